"""Rectangles of exterior wall on the outer plane, from the cells of the inside faces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.building.edges import PARALLEL, Edge, Line
from service.building.outline import Interval, overlap
from service.building.walls import Cell

CellsByEdge = Mapping[str, tuple[Cell, ...]]


@dataclass(frozen=True, slots=True)
class Part:
    """Exterior wall [s0, s1] x [z0, z1] on the plane ``out`` beyond the edge's line [mm]."""

    edge: Edge
    s0: float
    s1: float
    z0: int
    z1: int
    out: int


def outer_parts(edges: tuple[Edge, ...], cells: CellsByEdge) -> list[Part]:
    """Exterior wall of all faces, carried to the outer corners of their rooms."""
    rooms: dict[tuple[int, str], list[Edge]] = {}
    for edge in edges:
        rooms.setdefault((edge.room.storey, edge.room.id), []).append(edge)
    found: list[Part] = []
    for ring in rooms.values():
        for i, edge in enumerate(ring):
            found += _parts(edge, ring[i - 1], ring[(i + 1) % len(ring)], cells)
    return [p for p in found if p.s1 > p.s0]


def _parts(edge: Edge, before: Edge, after: Edge, cells: CellsByEdge) -> list[Part]:
    own = cells[edge.id]
    found = []
    for cell in own:
        for z in cell.open_z:
            s0, s1 = float(cell.s0), float(cell.s1)
            if cell is own[0]:
                s0 = _corner(edge, (cell.outer_mm, z), before, cells[before.id][-1], s0)
            if cell is own[-1]:
                s1 = _corner(edge, (cell.outer_mm, z), after, cells[after.id][0], s1)
            found.append(Part(edge, s0, s1, *z, cell.outer_mm))
    return found


def _corner(edge: Edge, wall: tuple[int, Interval], beside: Edge, cell: Cell, s: float) -> float:
    """Where a wall (thickness, heights) meets the outer plane of the next face of its room.

    That is at ``s``, its own end, when the next face does not stand outdoors over most of the height.
    """
    thickness, (z0, z1) = wall
    common = sum(max(overlap(z0, z1, *z), 0) for z in cell.open_z)
    if 2 * common < z1 - z0 or abs(edge.line.cross(beside.line)) <= PARALLEL:
        return s
    return meet(edge.line, thickness, beside.line, cell.outer_mm)


def meet(line: Line, out: float, other: Line, other_out: float) -> float:
    """Distance along ``line`` at which its parallel at ``out`` meets the other's at ``other_out`` [mm].

    Raises ZeroDivisionError when the lines are parallel.
    """
    x, y = line.at(0.0, out)
    ox, oy = other.at(0.0, other_out)
    return ((ox - x) * other.uy - (oy - y) * other.ux) / line.cross(other)
