"""What no run may pass: openings in walls, keep-outs before walls and under ceilings.

Obstacles are open boxes in a sheet's two coordinates. They are known from the start but cut into
the graph only when a cheapest route runs through one, so most never cost anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from shapely import Polygon, box

from service.building.model import Building, Face, Prism
from service.building.outline import shape_of
from service.design import KEEP_OUT_REACH_MM
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Planes
from service.routing.sheets import CeilingSheet, Sheets, WallSheet


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Open box [c0, c1] x [d0, d1] on a sheet (d is z on walls, y on ceilings) [mm]."""

    sheet: int
    c0: int
    c1: int
    d0: int
    d1: int
    reason: str

    def grown(self, by_mm: int) -> Obstacle:
        """The box a pipe of radius ``by_mm`` sees."""
        return Obstacle(
            self.sheet, self.c0 - by_mm, self.c1 + by_mm, self.d0 - by_mm, self.d1 + by_mm, self.reason
        )  # fmt: skip

    def meets(self, arc_box: Ints) -> Bools:
        """Which arcs on its sheet, given by (c0, c1, d0, d1), enter the open box."""
        c0, c1, d0, d1 = arc_box
        inside: Bools = (c0 < self.c1) & (c1 > self.c0) & (d0 < self.d1) & (d1 > self.d0)
        return inside

    def add_planes(self, planes: Planes, sheets: Sheets) -> None:
        """Put the box's four sides among the critical planes."""
        if self.sheet < 0:
            axes = (0, 1)
        elif sheets.walls[self.sheet].is_skew:
            for c in (self.c0, self.c1):
                _add_skew(planes, sheets.walls[self.sheet], c, self.reason)
            axes = (-1, 2)
        else:
            axes = (sheets.walls[self.sheet].axis, 2)
        for axis, values in zip(axes, ((self.c0, self.c1), (self.d0, self.d1)), strict=True):
            for value in values if axis >= 0 else ():
                planes.add(axis, value, self.reason)


def blocked(lattice: Lattice, obstacles: Iterable[Obstacle]) -> Bools:
    """Arcs of a lattice that enter any of the boxes."""
    out, sheet = np.zeros(len(lattice.arcs.a), dtype=bool), lattice.arcs.sheet
    order = np.argsort(sheet, kind="stable")
    for number, group in _by_sheet(obstacles):
        first, last = np.searchsorted(sheet, (number, number + 1), sorter=order)
        here = order[first:last]
        for obstacle in group if len(here) else ():
            out[here] |= obstacle.meets(lattice.box[:, here])
    return out


def _by_sheet(obstacles: Iterable[Obstacle]) -> Iterator[tuple[int, list[Obstacle]]]:
    found: dict[int, list[Obstacle]] = {}
    for obstacle in obstacles:
        found.setdefault(obstacle.sheet, []).append(obstacle)
    yield from found.items()


def _add_skew(planes: Planes, wall: WallSheet, c: int, reason: str) -> None:
    if 0 < c < wall.face.length_mm:
        planes.add_skew(wall.face.id, c, reason)


def obstacles_of(building: Building, sheets: Sheets) -> tuple[Obstacle, ...]:
    """All obstacles of a house, on walls first, then on ceilings."""
    out = [_on_wall(w, part) for w in sheets.walls for part in holes_in(w.face)]
    out += [_on_wall(w, part) for w in sheets.walls for part in things_before(w.face, building.keep_outs)]
    out += [o for c in sheets.ceilings for k in building.keep_outs for o in _under_ceiling(c, k)]
    return tuple(out)


@dataclass(frozen=True, slots=True)
class Part:
    """Open box [s0, s1] x [z0, z1] of a wall face that no run may pass [mm]."""

    s0: int
    s1: int
    z0: int
    z1: int
    reason: str


def _on_wall(w: WallSheet, part: Part) -> Obstacle:
    c0, c1 = sorted((w.coordinate(part.s0), w.coordinate(part.s1)))
    rounding = int(w.is_skew)  # a point of a skew wall lies off its distance by up to a millimetre
    return Obstacle(w.index, c0 - rounding, c1 + rounding, part.z0, part.z1, part.reason)


def holes_in(face: Face) -> list[Part]:
    """Openings of a face."""
    return [Part(h.s0, h.s1, h.z0, h.z1, f"opening {h.opening_id}") for h in face.holes]


def things_before(face: Face, keep_outs: Iterable[Prism]) -> list[Part]:
    """The parts of a wall that keep-outs stand before, within KEEP_OUT_REACH_MM."""
    return [part for k in keep_outs for part in _before(face, k)]


def _before(face: Face, k: Prism) -> list[Part]:
    if k.z1 <= face.z0 or k.z0 >= face.z1 or not _could_touch(face, k):
        return []
    (ax, ay), (bx, by) = face.start, face.end
    ux, uy = (bx - ax) / face.length_mm, (by - ay) / face.length_mm
    local = Polygon([((x - ax) * ux + (y - ay) * uy, (y - ay) * ux - (x - ax) * uy) for x, y in k.outline])
    near = local.intersection(box(0, 0, face.length_mm, KEEP_OUT_REACH_MM))
    if near.area == 0:
        return []
    s0, _, s1, _ = near.bounds
    return [Part(int(np.floor(s0)), int(np.ceil(s1)), k.z0, k.z1, f"keep-out {k.id}")]


def _could_touch(face: Face, k: Prism) -> bool:
    """Whether the bounding boxes of a wall and a keep-out come within reach of one another."""
    for axis in (0, 1):
        wall, prism = sorted((face.start[axis], face.end[axis])), [p[axis] for p in k.outline]
        if min(prism) > wall[1] + KEEP_OUT_REACH_MM or max(prism) < wall[0] - KEEP_OUT_REACH_MM:
            return False
    return True


def _under_ceiling(c: CeilingSheet, k: Prism) -> list[Obstacle]:
    """The bounding box of a keep-out that reaches the ceiling from below or through it."""
    if not k.z0 < c.room.ceiling_z <= k.z1 or not Polygon(k.outline).intersection(shape_of(c.room.outline)).area:
        return []
    xs, ys = zip(*k.outline, strict=True)
    return [Obstacle(-1 - c.room_index, min(xs), max(xs), min(ys), max(ys), f"keep-out {k.id}")]
