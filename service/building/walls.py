"""What lies behind each inside wall face: a room, another dwelling, a closed void, or outdoors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from service.building.edges import PARALLEL, Edge, Upright
from service.building.facts import FactOnEdge, WallFact, fact_at, facts_on
from service.building.model import Behind
from service.building.outline import MIN_OVERLAP_MM, Interval, Outlines
from service.building.spans import FLOOR_GAP_MM
from service.survey.model import WallKind

REACH_MM = 500
"""Greatest distance between two faces of one wall when its thickness is not given [mm]."""
HAIRLINE_MM = 30
"""Rooms may overlap by this much and still be neighbours [mm]."""
CENTRE_LINE_MM = 50
"""Faces nearer than this are drawn on the wall's centre line [mm]."""
INTERIOR_THICKNESS_MM = 100
EXTERIOR_THICKNESS_MM = 200
SHORT_MM = 150
"""Leftovers shorter than this are ends of walls, not walls [mm]."""
SLIVER_MM = 30
"""A neighbour seen over less than this is a drawing inaccuracy [mm]."""


@dataclass(frozen=True, slots=True)
class Cell:
    """Part [s0, s1] of a face with one thing behind it.

    ``open_z`` are the height ranges where it stands outdoors, ``outer_mm`` thick there; ``void``
    marks a closed part behind which no room is listed; ``assumed`` an outer thickness nobody gave.
    """

    s0: int
    s1: int
    behind: Behind
    thickness_mm: int
    face_id: str | None = None
    open_z: tuple[Interval, ...] = ()
    outer_mm: int = 0
    void: bool = False
    assumed: bool = False

    def same_kind(self, other: Cell) -> bool:
        """Whether both differ in nothing but their place."""
        return self == replace(other, s0=self.s0, s1=self.s1)


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Opposite face behind part [s0, s1] of a face, ``gap`` away [mm]."""

    s0: int
    s1: int
    gap: int
    edge: Edge


def facing(edges: Sequence[Edge]) -> Iterator[list[Edge]]:
    """For each edge those that run the other way at a height in common: what may be opposite it, wherever it lies."""
    every = Upright((e.z0, e.z1, e.line) for e in edges)
    for e in edges:
        found = every.beside(e.z0, e.z1) & every.parallel(e.line, PARALLEL) & every.against(e.line)
        yield [edges[i] for i in np.flatnonzero(found).tolist()]


def cells_of(edge: Edge, others: Iterable[Edge], facts: tuple[WallFact, ...], outlines: Outlines) -> tuple[Cell, ...]:
    """All of a face, from start to end, by what lies behind it. ``others``: those ``facing`` it."""
    spoken = facts_on(edge, facts)
    thickest = max((p.fact.thickness_mm or 0 for p in spoken), default=0)
    near = _neighbours(edge, others, max(REACH_MM, thickest + 100))
    view = _View(edge, spoken, near, _Covered(edge, outlines))
    cells = [view.cell(a, b) for a, b in pairwise(_cuts(edge, spoken, near, view.covered))]
    return tuple(_absorb(_merge(cells)))


def _neighbours(edge: Edge, others: Iterable[Edge], reach_mm: int) -> list[Neighbour]:
    found = [n for other in others if (n := _neighbour(edge, other, reach_mm)) is not None]
    return sorted(found, key=lambda n: (n.gap, n.edge.z0, n.s0, n.edge.id))


def _neighbour(edge: Edge, other: Edge, reach_mm: int) -> Neighbour | None:
    gap = (edge.line.out(other.start) + edge.line.out(other.end)) / 2
    if not -HAIRLINE_MM <= gap <= reach_mm:
        return None
    s0 = max(round(edge.line.along(other.end)), 0)
    s1 = min(round(edge.line.along(other.start)), edge.length_mm)
    return Neighbour(s0, s1, round(gap), other) if s1 - s0 >= SLIVER_MM else None


class _Covered:
    """Where the house goes on beyond a face, by storey-high parts of its height."""

    def __init__(self, edge: Edge, outlines: Outlines) -> None:
        self._edge, self._outlines = edge, outlines
        self._known: dict[Interval, list[Interval]] = {}

    def at(self, z: Interval) -> list[Interval]:
        """Covered parts of the face at a height range [mm]."""
        if z not in self._known:
            found = self._outlines.covered(self._edge.line, 0, self._edge.length_mm, z)
            self._known[z] = [(max(a, 0), min(b, self._edge.length_mm)) for a, b in found]
        return self._known[z]

    def whole(self) -> list[Interval]:
        """Covered parts over the face's whole height [mm]."""
        return self.at((self._edge.z0, self._edge.z1))


@dataclass(frozen=True, slots=True)
class _View:
    """All that is known of what lies behind one face."""

    edge: Edge
    spoken: list[FactOnEdge]
    near: list[Neighbour]
    covered: _Covered

    def cell(self, s0: int, s1: int) -> Cell:
        middle = (s0 + s1) / 2
        fact = fact_at(self.spoken, middle)
        if fact is not None and fact.kind is WallKind.PARTY:
            return Cell(s0, s1, Behind.PARTY, fact.thickness_mm or EXTERIOR_THICKNESS_MM)
        seen, left = self._seen(middle, fact)
        high = [z for z in left if z[1] - z[0] >= self._least()]
        outer = self._outer(middle, high, fact)
        best = max(seen, key=lambda n: seen[n], default=None)
        if best is not None and seen[best] >= self._least():
            return replace(outer, s0=s0, s1=s1, thickness_mm=_inner_thickness(best.gap, fact), face_id=best.edge.id)
        if outer.open_z and outer.open_z == tuple(high):
            return replace(outer, s0=s0, s1=s1, behind=Behind.OUTDOORS, thickness_mm=outer.outer_mm)
        given = fact.thickness_mm if fact is not None else None
        return replace(outer, s0=s0, s1=s1, behind=Behind.PARTY, thickness_mm=given or INTERIOR_THICKNESS_MM, void=True)

    def _outer(self, s: float, high: list[Interval], fact: WallFact | None) -> Cell:
        """A cell behind which there is a room, with what of it stands outdoors."""
        open_z = self._open(s, high, fact)
        if not open_z:
            return Cell(0, 0, Behind.ROOM, 0)
        given = fact.thickness_mm if fact is not None and fact.kind is not WallKind.INTERIOR else None
        outer_mm = given or EXTERIOR_THICKNESS_MM
        return Cell(0, 0, Behind.ROOM, 0, open_z=open_z, outer_mm=outer_mm, assumed=given is None)

    def _seen(self, s: float, fact: WallFact | None) -> tuple[dict[Neighbour, int], list[Interval]]:
        """Height of each neighbour that is seen through the wall, and the heights left over."""
        reach = max(REACH_MM, 100 + ((fact.thickness_mm or 0) if fact else 0))
        left: list[Interval] = [(self.edge.z0, self.edge.z1)]
        seen: dict[Neighbour, int] = {}
        for n in self.near:
            if n.gap <= reach and n.s0 <= s <= n.s1:
                before = sum(b - a for a, b in left)
                left = [part for z in left for part in _minus(z, (n.edge.z0, n.edge.z1))]
                seen[n] = before - sum(b - a for a, b in left)
        return seen, left

    def _least(self) -> int:
        return min(MIN_OVERLAP_MM, self.edge.z1 - self.edge.z0)

    def _open(self, s: float, high: list[Interval], fact: WallFact | None) -> tuple[Interval, ...]:
        if fact is not None and fact.kind is WallKind.INTERIOR:
            return ()
        if fact is not None and fact.kind is WallKind.EXTERIOR:
            return tuple(high)
        if high != [(self.edge.z0, self.edge.z1)]:
            high = [z for z in high if z[1] - z[0] > FLOOR_GAP_MM]
        return tuple(z for z in high if not any(a <= s <= b for a, b in self.covered.at(z)))


def _minus(z: Interval, cut: Interval) -> list[Interval]:
    parts = [(z[0], min(z[1], cut[0])), (max(z[0], cut[1]), z[1])]
    return [(a, b) for a, b in parts if a < b]


def _inner_thickness(gap: int, fact: WallFact | None) -> int:
    if gap >= CENTRE_LINE_MM:
        return gap
    given = fact.thickness_mm if fact is not None and fact.kind is not WallKind.EXTERIOR else None
    return given or INTERIOR_THICKNESS_MM


def _cuts(edge: Edge, spoken: list[FactOnEdge], near: list[Neighbour], covered: _Covered) -> list[int]:
    at = {0, edge.length_mm}
    at.update(s for p in spoken for s in (p.s0, p.s1))
    at.update(s for n in near for s in (n.s0, n.s1))
    tops = {edge.z0, edge.z1, *(z for n in near for z in (n.edge.z0, n.edge.z1) if edge.z0 < z < edge.z1)}
    for z in {(a, b) for a, b in pairwise(sorted(tops)) if b - a >= MIN_OVERLAP_MM}:
        at.update(s for part in covered.at(z) for s in part)
    at.update(s for part in covered.whole() for s in part)
    return sorted(at)


def _merge(cells: list[Cell]) -> list[Cell]:
    out: list[Cell] = []
    for cell in cells:
        if out and out[-1].same_kind(cell):
            out[-1] = replace(out[-1], s1=cell.s1)
        else:
            out.append(cell)
    return out


def _absorb(cells: list[Cell]) -> list[Cell]:
    """Without slivers; short leftovers become closed wall, or room where the same room is on both sides."""
    whole = _without_slivers(cells)
    return _merge([_closed_if_short(cell, _either_side(whole, i)) for i, cell in enumerate(whole)])


def _either_side(cells: list[Cell], i: int) -> tuple[Cell | None, Cell | None]:
    return (cells[i - 1] if i else None, cells[i + 1] if i + 1 < len(cells) else None)


def _without_slivers(cells: list[Cell]) -> list[Cell]:
    out = list(cells)
    while len(out) > 1:
        i = min(range(len(out)), key=lambda k: (out[k].s1 - out[k].s0, k))
        if out[i].s1 - out[i].s0 >= SLIVER_MM:
            break
        before, after = _either_side(out, i)
        if before is not None and (after is None or before.s1 - before.s0 >= after.s1 - after.s0):
            out[i - 1] = replace(before, s1=out[i].s1)
        elif after is not None:
            out[i + 1] = replace(after, s0=out[i].s0)
        del out[i]
        out = _merge(out)
    return out


def _closed_if_short(cell: Cell, beside: tuple[Cell | None, Cell | None]) -> Cell:
    if cell.behind is Behind.ROOM or cell.s1 - cell.s0 >= SHORT_MM:
        return cell
    before, after = beside
    if before is not None and after is not None and before.same_kind(after):
        return replace(before, s0=cell.s0, s1=cell.s1)
    outdoors = next((c for c in beside if c is not None and c.behind is Behind.OUTDOORS), None)
    if cell.behind is Behind.OUTDOORS and outdoors is not None:
        return replace(outdoors, s0=cell.s0, s1=cell.s1)
    if cell.behind is Behind.PARTY and not cell.void:
        return cell
    return Cell(cell.s0, cell.s1, Behind.PARTY, INTERIOR_THICKNESS_MM)
