"""Houses made of facades and faces directly, and heaters, for tests of the clearance step. All invented."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import ceil
from typing import Any

from service.building.model import (
    Behind,
    Building,
    BuiltRoom,
    Facade,
    Face,
    Frame,
    GradeStep,
    Hole,
    Prism,
    Stretch,
)
from service.clearance.model import TerminalSpec, Zone
from service.clearance.mount import mount_zones
from service.clearance.terminal import terminal_zones
from service.rules.catalogue import heaters
from service.survey.equipment import Clearances, Draft, Heater
from service.survey.model import OpeningKind, Point2, RoomUse, Survey, UnitSystem
from tests.unit.building_houses import box, room, storey
from tests.unit.open_plans import plain_site, with_services

W_PER_BTU_H = 1055.05585262 / 3600
RADIUS = 75
WALL = ((0, 0), (12_000, 0), (12_000, 5_000), (0, 5_000))
L_HOUSE = ((0, 0), (10_000, 0), (10_000, 4_000), (5_000, 4_000), (5_000, 9_000), (0, 9_000))


def inches(value: float) -> int:
    """Least whole number of millimetres that is at least so many inches."""
    return ceil(round(value * 25.4, 6))


def feet(value: float, more_inches: float = 0.0) -> int:
    """As ``inches``, from feet and inches."""
    return inches(12 * value + more_inches)


def spec(direct: bool, btu_h: float, category: str = "III", radius: int = RADIUS) -> TerminalSpec:
    """Terminal of a heater with this input."""
    return TerminalSpec(direct, category, btu_h * W_PER_BTU_H, radius)


def hole(s0: int, s1: int, z0: int, z1: int, **more: Any) -> Hole:
    """A window that opens, unless said otherwise."""
    facts: dict[str, Any] = {"opening_id": "window", "kind": OpeningKind.WINDOW, "operable": True} | more
    return Hole(s0=s0, s1=s1, z0=z0, z1=z1, **facts)


def outside(
    outline: Sequence[Point2] = WALL,
    holes: Mapping[int, tuple[Hole, ...]] | None = None,
    top: int = 9_000,
    grade: int = -3_000,
) -> Building:
    """Prism-shaped house: facade i runs from outline point i to the next, wall from ``grade`` up to ``top``."""
    ends = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    facades = tuple(_facade(i, a, b, (holes or {}).get(i, ()), top, grade) for i, (a, b) in enumerate(ends))
    return Building(Frame(0.0), (), (), facades, (), (), (), ())


def _facade(i: int, a: Point2, b: Point2, holes: tuple[Hole, ...], top: int, grade: int) -> Facade:
    length = abs(b[0] - a[0]) + abs(b[1] - a[1])
    steps = (GradeStep(0, length, grade),)
    return Facade(f"F{i}", a, b, 0 if a[1] == b[1] else 1, length, ((0, length, grade, top),), holes, steps)


def survey(rule_set: str, units: UnitSystem = UnitSystem.US, **site: Any) -> Survey:
    """A survey whose site is as given; its rooms play no part in a test of terminals."""
    plain = with_services("invented", (storey(room("any", box(0, 0, 3000, 3000))),))
    return replace(plain, units=units, site=replace(plain_site(), rule_set=rule_set, **site))


def broken(building: Building, at: Survey, terminal: TerminalSpec, s: int, z: int, facade: str = "F0") -> set[str]:
    """Ids of the rules that forbid the terminal's centre at (s, z)."""
    return _covering(terminal_zones(building, at, terminal)[facade], s, z)


def _covering(zones: Iterable[Zone], s: int, z: int) -> set[str]:
    return {zone.rule_id for zone in zones if zone.covers(s, z)}


def inside(
    outline: Sequence[Point2],
    use: RoomUse = RoomUse.UTILITY,
    *,
    height: int = 4_000,
    holes: Mapping[int, tuple[Hole, ...]] | None = None,
    keep_outs: tuple[Prism, ...] = (),
    only_into: RoomUse | None = None,
) -> Building:
    """One room whose face i runs from outline point i to the next; ``only_into`` gives it one way out."""
    here = BuiltRoom("room", 0, use, True, tuple(outline), 0, height, "beyond" if only_into else None)
    rooms = (here, *((replace(here, id="beyond", use=only_into, opens_only_into=None),) if only_into else ()))
    ends = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    faces = tuple(_face(i, a, b, (holes or {}).get(i, ()), height) for i, (a, b) in enumerate(ends))
    return Building(Frame(0.0), rooms, faces, (), keep_outs, (), (), ())


def _face(i: int, a: Point2, b: Point2, holes: tuple[Hole, ...], height: int) -> Face:
    length = abs(b[0] - a[0]) + abs(b[1] - a[1])
    stretch = (Stretch(0, length, Behind.OUTDOORS, 200),)
    return Face(f"W{i}", "room", 0, a, b, 0 if a[1] == b[1] else 1, length, 0, height, stretch, holes)


def heater(draft: Draft = Draft.DIRECT, **changes: Any) -> Heater:
    """A small heater of a made-up size: 400 wide, 600 high, 250 deep, vent 150 from its left edge."""
    one = next(h for h in heaters().values() if h.draft is draft)
    ports = tuple(replace(p, dx_mm=150) for p in one.ports)
    sizes: dict[str, Any] = {"width_mm": 400, "height_mm": 600, "depth_mm": 250, "ports": ports}
    free = Clearances(left_mm=50, right_mm=80, top_mm=150, bottom_mm=300, front_mm=600)
    return replace(one, **(sizes | {"clearances": free} | changes))


def refused(building: Building, at: Survey, case: Heater, s: int, z: int, face: str = "W0") -> set[str]:
    """Ids of the rules that forbid the case with its vent port's line at s and its bottom at z."""
    return _covering(mount_zones(building, at, case)[face], s, z)
