"""Where on a facade pipes may not go through to a room: too near the edges of its wall, or where no room is."""

from __future__ import annotations

from collections.abc import Iterator

from service.building.model import Behind, Building, Facade
from service.clearance.wall_area import Box, outside


def passage_boxes(building: Building, facade: Facade, edge_mm: int) -> list[Box]:
    """Open boxes (s0, s1, z0, z1) of a facade that hold no whole millimetre at least ``edge_mm`` from floor, ceiling
    and side walls of a room's face behind [mm].

    Whole millimetres free up to b end where the next, b + 1, begins: hence the ones.
    """
    free = [(s0, s1 + 1, z0, z1 + 1) for s0, s1, z0, z1 in _free(building, facade, edge_mm)]
    return [(s0 - 1, s1, z0 - 1, z1) for s0, s1, z0, z1 in outside(free)]


def _free(building: Building, facade: Facade, edge_mm: int) -> Iterator[Box]:
    for face in building.faces:
        for t in face.stretches:
            if t.behind is Behind.OUTDOORS and t.facade_id == facade.id:
                shift = t.facade_s0 - t.s0
                s0, s1 = max(t.s0, edge_mm) + shift, min(t.s1, face.length_mm - edge_mm) + shift
                if s0 <= s1 and face.z0 + edge_mm <= face.z1 - edge_mm:
                    yield s0, s1, face.z0 + edge_mm, face.z1 - edge_mm
