"""The roof in the frame: planes with a height at every plan point, what opens in them, what stands up beside them."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from service.survey.model import Point2
from service.survey.roof import RoofOpeningKind

NOISE = 1e-6


@dataclass(frozen=True, slots=True)
class RoofWall:
    """Upright thing that may stand over a roof plane: plan points of a line or outline, height of its top [mm]."""

    id: str
    points: tuple[Point2, ...]
    top_z: int


@dataclass(frozen=True, slots=True)
class RoofPlane:
    """One plane of the roof, its upper side.

    ``uphill`` is the unit vector in plan in which it rises from ``foot``, where it is ``foot_z`` high; (0, 0) if it is
    level. ``over`` are the rooms whose ceilings it covers, nothing else between as far as rooms go; ``walls`` all that
    stands up anywhere near it. ``assumed``: taken as flat, since nobody described the roof.
    """

    id: str
    outline: tuple[Point2, ...]
    pitch_in_12: float
    foot: Point2
    foot_z: int
    uphill: tuple[float, float]
    over: tuple[str, ...] = ()
    walls: tuple[RoofWall, ...] = ()
    assumed: bool = False

    @property
    def axis(self) -> int | None:
        """0 if it rises along x, 1 along y, None if it is level or rises askew."""
        across = [i for i in (0, 1) if self.uphill[i]]
        return across[0] if len(across) == 1 else None

    @property
    def is_level(self) -> bool:
        """Whether it rises nowhere."""
        return self.uphill == (0.0, 0.0)

    def level_mm(self, x: float, y: float) -> float:
        """Height of the plane, or of its continuation, over a plan point [mm]."""
        run = (x - self.foot[0]) * self.uphill[0] + (y - self.foot[1]) * self.uphill[1]
        return self.foot_z + run * self.pitch_in_12 / 12

    def height_mm(self, x: int, y: int) -> int:
        """``level_mm`` in whole millimetres, rounded up [mm]."""
        return ceil(self.level_mm(x, y) - NOISE)

    @property
    def edges(self) -> tuple[tuple[Point2, Point2], ...]:
        """Edges of the outline."""
        return tuple(zip(self.outline, self.outline[1:] + self.outline[:1], strict=True))

    @property
    def is_square(self) -> bool:
        """Whether all its edges run along the frame's axes."""
        return all(a[0] == b[0] or a[1] == b[1] for a, b in self.edges)


@dataclass(frozen=True, slots=True)
class BuiltRoofOpening:
    """Opening in the roof, its outline in plan and the heights of its lowest and highest point [mm]."""

    id: str
    kind: RoofOpeningKind
    operable: bool | None
    outline: tuple[Point2, ...]
    low_z: int
    top_z: int
