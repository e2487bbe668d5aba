"""The straight parts of a house as grids: walls, rectangular ceilings, and the ways through walls and floors."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator

from service.design import Surface
from service.routing.columns import EVERYWHERE, Box, Boxes, Cuts
from service.routing.grids import Grid, Link
from service.routing.sheets import CeilingSheet, FloorCrossing, Sheets, WallCrossing, WallSheet

SURFACES = tuple(Surface)
NO_SHEET = -(10**6)
Fixed = tuple[int, int, int, int]


class HouseGrids:
    """Grids of a house that is cut so, or of a ``region`` of it; ``grids`` and ``links`` are all that are straight."""

    def __init__(self, sheets: Sheets, cuts: Cuts, region: Boxes | None) -> None:
        self._lines = tuple(c.tolist() for c in cuts.coordinates)
        self._region = region
        self._walls = {w.index: self._wall(w) for w in sheets.walls if not w.is_skew and self._has(w.index)}
        under = (c for c in sheets.ceilings if is_rectangle(c.room.outline) and self._has(sheet_of(c)))
        self.grids = [*self._walls.values(), *(g for c in under if _has_cells(g := self._ceiling(c)))]
        self.links = [link for k in sheets.wall_crossings for link in self._through_wall(k)]
        self.links += [link for k in sheets.floor_crossings for link in self._through_floor(k)]

    def _has(self, sheet: int) -> bool:
        return in_region(self._region, sheet)

    def _box(self, sheet: int) -> Box:
        return EVERYWHERE if self._region is None else self._region[sheet]

    def _numbers(self, axis: int, lo: int, hi: int, about: tuple[int, int]) -> tuple[int, int]:
        """Lines from ``lo`` to ``hi``, no more than lie about a part: number of the first, and after the last."""
        lines = self._lines[axis]
        first = max(bisect_left(lines, lo), bisect_right(lines, about[0]) - 1)
        return first, max(min(bisect_right(lines, hi), bisect_left(lines, about[1]) + 1), first)

    def _wall(self, w: WallSheet) -> Grid:
        box = self._box(w.index)
        along, up = self._numbers(w.axis, *w.span, box[:2]), self._numbers(2, w.face.z0, w.face.z1, box[2:])
        return Grid(_fixed(w), w.axis, *along, 2, *up, SURFACES.index(w.surface), w.index)

    def _ceiling(self, c: CeilingSheet) -> Grid:
        box, (xs, ys) = self._box(sheet_of(c)), zip(*c.room.outline, strict=True)
        x, y = self._numbers(0, min(xs), max(xs), box[:2]), self._numbers(1, min(ys), max(ys), box[2:])
        fixed = c.room_index, 0, 0, c.room.ceiling_z
        return Grid(fixed, 0, *x, 1, *y, SURFACES.index(c.surface), sheet_of(c))

    def _through_wall(self, k: WallCrossing) -> Iterator[Link]:
        a, b = self._walls.get(k.a.index), self._walls.get(k.b.index)
        if a is None or b is None:
            return
        low, high = sorted((k.a, k.b), key=lambda w: (w.plane, w.index))
        c, z = self._numbers(a.u, k.c0, k.c1, EVERYWHERE[:2]), self._numbers(2, k.z0, k.z1, EVERYWHERE[:2])
        u = max(a.u0, b.u0, c[0]), min(a.u1, b.u1, c[1])
        v = max(a.v0, b.v0, z[0]), min(a.v1, b.v1, z[1])
        if u[0] < u[1] and v[0] < v[1]:
            grid = Grid(_fixed(low), a.u, *u, 2, *v, SURFACES.index(Surface.WALL_CROSSING), k.a.index)
            yield from _links(grid, _fixed(high), k.a.normal_axis, high.plane - low.plane)

    def _through_floor(self, k: FloorCrossing) -> Iterator[Link]:
        w, below = self._walls.get(k.above.index), k.below
        if w is None or not self._has(sheet_of(below)):
            return
        base, room, x, y = self._lines[2][0], *_fixed(k.above)[:3]
        lower, upper = (below.room_index, x, y, below.room.ceiling_z - base), (room, x, y, k.above.face.z0 - base)
        for lo, hi in k.spans:
            c = self._numbers(w.u, lo, hi, EVERYWHERE[:2])
            u = max(w.u0, c[0]), min(w.u1, c[1])
            if u[0] < u[1]:
                grid = Grid(lower, w.u, *u, 2, 0, 1, SURFACES.index(Surface.FLOOR_CROSSING), NO_SHEET)
                yield from _links(grid, upper, 2, k.above.face.z0 - below.room.ceiling_z)


def in_region(region: Boxes | None, sheet: int) -> bool:
    """Whether a sheet is in a region, None being the whole house."""
    return region is None or sheet in region


def _links(grid: Grid, other: Fixed, axis: int, length: int) -> Iterator[Link]:
    """Without length they change no direction, so every axis of travel passes."""
    return (Link(grid, other, k, abs(length)) for k in ((axis,) if length else (0, 1, 2)))


def _fixed(w: WallSheet) -> Fixed:
    return (w.room, 0, w.plane, 0) if w.axis == 0 else (w.room, w.plane, 0, 0)


def _has_cells(grid: Grid) -> bool:
    return grid.u1 - grid.u0 > 1 and grid.v1 - grid.v0 > 1


def sheet_of(c: CeilingSheet) -> int:
    """Number of a ceiling among the sheets."""
    return -1 - c.room_index


def is_rectangle(outline: tuple[tuple[int, int], ...]) -> bool:
    """Whether an outline is one, parallel to the axes."""
    return len(outline) == 4 and is_square(outline)


def is_square(outline: tuple[tuple[int, int], ...]) -> bool:
    """Whether all sides of an outline are parallel to an axis."""
    return all(a[0] == b[0] or a[1] == b[1] for a, b in zip(outline, outline[1:] + outline[:1], strict=True))
