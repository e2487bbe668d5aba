"""The roof as surveyed: planes, what opens in them, what stands on them. See ``model`` for the units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.survey.house import Point2

FLAT_OVER_CEILING_MM = 305
"""Structure of a roof that a survey does not describe, over the ceilings below it [mm] (common practice, no source)."""


class RoofOpeningKind(StrEnum):
    """What opens in a roof."""

    SKYLIGHT = "skylight"
    HATCH = "hatch"
    GRAVITY_INLET = "gravity_inlet"
    FORCED_INLET = "forced_inlet"
    COMBUSTION_INLET = "combustion_inlet"


@dataclass(frozen=True, slots=True)
class RoofPlane:
    """One plane of the roof, its upper side [mm].

    It rises square to the eave line by ``pitch_in_12`` in a run of 12, ``eave_z_mm`` high along that line; a level
    plane has none and is ``eave_z_mm`` high everywhere.
    """

    id: str
    outline: tuple[Point2, ...]
    eave_z_mm: int
    pitch_in_12: float = 0.0
    eave: tuple[Point2, Point2] | None = None


@dataclass(frozen=True, slots=True)
class RoofOpening:
    """Skylight, hatch or air opening in a roof plane; ``height_mm`` is how far it stands over the roof.

    ``operable`` is a skylight's; None = not known.
    """

    id: str
    kind: RoofOpeningKind
    outline: tuple[Point2, ...]
    height_mm: int = 0
    operable: bool | None = None


@dataclass(frozen=True, slots=True)
class RoofObstruction:
    """Parapet, dormer, chimney or other upright thing on the roof: outline in plan, absolute height of its top [mm]."""

    id: str
    outline: tuple[Point2, ...]
    top_z_mm: int


@dataclass(frozen=True, slots=True)
class Roof:
    """A roof; without planes it is taken as flat over the rooms that nothing else lies over."""

    planes: tuple[RoofPlane, ...] = ()
    openings: tuple[RoofOpening, ...] = ()
    obstructions: tuple[RoofObstruction, ...] = ()
