"""What a drawing holds: geometry in local millimetres on named layers, x to the right and y up.

Nothing here knows paper: a layer's line type and hatch are in ``style``, the size of letters and where words stand on
a page in ``layout``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]
Ring = tuple[Point, ...]


class Layer(StrEnum):
    """What a thing on a drawing is; every writer names its layers so."""

    WALL = "wall"
    OUTLINE = "outline"
    ROOM = "room"
    OPENING = "opening"
    KEEP_OUT = "keep-out"
    HEATER = "heater"
    SPACE = "working-space"
    VENT = "vent"
    GAS = "gas"
    COLD = "cold"
    HOT = "hot"
    DRAIN = "drain"
    POWER = "power"
    OLD_GAS = "old-gas"
    OLD_COLD = "old-cold"
    OLD_HOT = "old-hot"
    RENEWED = "renewed-gas"
    SLEEVE = "shared-hole"
    TAP = "tap"
    FORBIDDEN = "forbidden"
    ZONE = "zone"
    THING = "thing"
    GRADE = "grade"
    TERMINAL = "terminal"
    DIMENSION = "dimension"
    LEADER = "leader"
    TEXT = "text"


class Symbol(StrEnum):
    """Mark of one size on paper, whatever the scale."""

    TAP = "tap"
    POINT = "point"
    METER = "meter"
    TERMINAL = "terminal"
    RISER = "riser"
    CORNER = "corner"


@dataclass(frozen=True, slots=True)
class Line:
    """Open or closed run of straight pieces [mm]."""

    points: Ring
    layer: Layer
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Area:
    """Face with holes, outer rings and holes in any order (even-odd) [mm]; ``covers``: hides what lies below."""

    rings: tuple[Ring, ...]
    layer: Layer
    covers: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """Symbol at a point [mm]."""

    at: Point
    symbol: Symbol
    layer: Layer


@dataclass(frozen=True, slots=True)
class Label:
    """Words that belong to a point; where they stand is found on paper. ``bold`` words come first.

    ``within``: half width and height [mm] of the thing inside which they should stand, as a room's name does, so that
    no leader is drawn.
    """

    at: Point
    lines: tuple[str, ...]
    layer: Layer
    within: tuple[float, float] | None = None
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """Distance between two points told in words; its line is drawn ``off`` [mm on paper] to the left of start -> end,
    or to the right where that is negative, ``beyond`` [mm] farther off; along the points themselves where it is 0."""

    start: Point
    end: Point
    text: str
    off: float = 0.0
    beyond: float = 0.0


Item = Line | Area | Mark | Label | Dimension


@dataclass(frozen=True, slots=True)
class KeyRow:
    """Row of a drawing's key: what a number on it means."""

    number: str
    words: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """One view to scale. ``north_rad``: from the view's y axis to north, to the left; None where it looks sideways.

    ``floor_mm``: height of the floor that a plan shows [mm], None of other views.
    ``key`` explains numbers, ``notes`` are sentences; ``window`` (x0, y0, x1, y1) cuts the view, None shows all.
    """

    name: str
    title: str
    items: tuple[Item, ...]
    key: tuple[KeyRow, ...] = ()
    notes: tuple[str, ...] = ()
    north_rad: float | None = None
    window: tuple[float, float, float, float] | None = None
    floor_mm: float | None = None
