"""A run followed piece by piece, room by room.

Two rooms may share a plane, so only a priced crossing leads from one into the other.
"""

from __future__ import annotations

from itertools import pairwise, takewhile

from service.building.model import Building
from service.check.crossings import into_the_house, through_floor, through_outer_wall, through_roof, through_wall
from service.check.place import CEILINGS, OUTDOORS, WALLS, Places, Step, shown
from service.check.surfaces import in_chase, on_ceiling, on_wall
from service.design import Piece, Route, Surface


def follow(building: Building, places: Places, piece: Piece, hole_margin_mm: int) -> Step:
    """The step that one piece makes; ``hole_margin_mm`` is how far it stays from openings."""
    if piece.surface in WALLS:
        return on_wall(building, places, piece, hole_margin_mm)
    if piece.surface in CEILINGS:
        return on_ceiling(building, places, piece)
    if piece.surface is Surface.CHASE:
        return in_chase(building, places, piece)
    if piece.surface is Surface.WALL_CROSSING:
        return through_wall(building, places, piece, hole_margin_mm)
    if piece.surface is Surface.FLOOR_CROSSING:
        return through_floor(building, places, piece)
    if piece.surface is Surface.ROOF:
        return through_roof(building, places, piece)
    return through_outer_wall(building, places, piece, hole_margin_mm)


def traced(building: Building, begins_in: Places, route: Route, hole_margin_mm: int) -> tuple[tuple[Piece, Step], ...]:
    """Every piece before the stubs with the step it makes, from the places where the run begins: outdoors, where the
    heater hangs there, and then it goes straight in."""
    out: list[tuple[Piece, Step]] = []
    places = begins_in
    for piece in takewhile(lambda p: p.surface is not Surface.STUB, route.pieces):
        if not out and places == {OUTDOORS}:
            step = into_the_house(building, piece, hole_margin_mm)
        else:
            step = follow(building, places, piece, hole_margin_mm)
        places = step.places
        out.append((piece, step))
    return tuple(out)


def connected(pieces: tuple[Piece, ...]) -> list[str]:
    """Faults where a piece does not begin at the end of the one before."""
    return [f"{shown(b)} does not begin where the one before ends" for a, b in pairwise(pieces) if a.end != b.start]
