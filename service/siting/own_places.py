"""Places that are critical for one heater by itself: those at which it may stand while others give way to it."""

from __future__ import annotations

from collections.abc import Sequence

from service.design import MANIFOLD_DROP_MM, Design, RoofTerminal
from service.routing.planes import Planes, closed_heights
from service.routing.sheets import WallSheet
from service.siting.active import Active
from service.siting.eager import activate_everything
from service.siting.ground import Ground, first_planes
from service.siting.hubs import offset_of
from service.siting.needs import Need
from service.siting.zones import Zones

Lines = tuple[list[int], list[int]]
"""Distances along a surface and heights, sorted [mm]."""


class OwnPlaces:
    """Critical lines of the heater of one design, of all rules at once."""

    def __init__(self, ground: Ground, zones: Zones, name: str) -> None:
        """``name`` is that of the heater with its vent, or outdoors."""
        need = next(n for n in ground.needs if n.name == name)
        self._ground, (self._planes, self._heights) = ground, _critical(ground, zones, need)

    def lines_of(self, design: Design, ends: bool) -> Lines | None:
        """Lines of the surface that a design's terminal, or its case, is on; None where they are not known."""
        return self._of_end(design) if ends else self._of_case(design)

    def _of_end(self, design: Design) -> Lines | None:
        """Lines of the facade or roof plane that the vent leaves by; None where they are not known (a skew wall)."""
        end = design.terminal
        if isinstance(end, RoofTerminal):
            outline = self._ground.building.roof_plane(end.roof_id).outline
            x, y = (_within(self._planes, axis, min(v), max(v)) for axis, v in enumerate(zip(*outline, strict=True)))
            return x, y
        along = self._along_facade(end.facade_id)
        return None if along is None else (along, self._heights)

    def _along_facade(self, facade_id: str) -> list[int] | None:
        facade = self._ground.building.facade(facade_id)
        if facade.axis is None:
            return None
        start = facade.start[facade.axis]
        return sorted(abs(c - start) for c in _within(self._planes, facade.axis, start, facade.end[facade.axis]))

    def _of_case(self, design: Design) -> Lines | None:
        """Lines of the wall, or outdoors of the facade, that the case hangs on, heights of its underside; None on a
        skew wall."""
        undersides = sorted({z + MANIFOLD_DROP_MM for z in (*self._heights, *self._planes.hub)})
        if design.outdoors:
            along = self._along_facade(design.mount.facade_id)
            return None if along is None else (along, undersides)
        wall = next(w for w in self._ground.sheets.walls if w.face.id == design.mount.face_id)
        if wall.is_skew:
            return None
        return _along(wall, self._planes), undersides


def planes_of(ground: Ground, zones: Zones, need: Need) -> tuple[list[int], ...]:
    """Coordinates critical for one heater by itself, by axis."""
    planes, heights = _critical(ground, zones, need)
    return planes.coordinates(0).tolist(), planes.coordinates(1).tolist(), heights


def everything_of(ground: Ground, zones: Zones, need: Need) -> Active:
    """All that matters for one heater by itself."""
    active = Active(first_planes(ground, (need,)))
    activate_everything(ground, zones, active, need)
    return active


def _critical(ground: Ground, zones: Zones, need: Need) -> tuple[Planes, list[int]]:
    active = everything_of(ground, zones, need)
    bands = sorted({(w.face.z0, w.face.z1) for w in ground.sheets.walls})
    offset = 0 if need.outdoors else offset_of(need.heater)
    return active.planes, closed_heights(active.planes, [offset], bands).tolist()


def _along(wall: WallSheet, planes: Planes) -> list[int]:
    return sorted(wall.distance(c) for c in _within(planes, wall.axis, *wall.span))


def _within(planes: Planes, axis: int, a: int, b: int) -> list[int]:
    low, high = min(a, b), max(a, b)
    return [c for c in planes.coordinates(axis).tolist() if low <= c <= high]


def beside(lines: Sequence[int], value: int) -> tuple[int | None, int | None]:
    """The lines next below and above a value."""
    return max((v for v in lines if v < value), default=None), min((v for v in lines if v > value), default=None)
