"""Whether two heaters are in one another's way, told of two designs as they were found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.building.model import Face
from service.clearance.mount import mount_rules
from service.clearance.plane import face_plane
from service.design import Design, Piece, Service, Surface
from service.routing.obstacles import Part, things_before
from service.siting.dwelling_search import DwellingSearch
from service.siting.neighbours import Neighbour, case_of, may_lie_on
from service.siting.terminals import intake_at, place_of, sides_of
from service.survey.intake_listing import IntakeSide

WALLS = (Surface.WALL, Surface.WALL_FINISHED)


@dataclass(frozen=True, slots=True)
class Clash:
    """Two dwellings whose heaters are in one another's way: with their terminals (``ends``), or with a case. Outdoors
    terminal and case are one thing, and count as terminals."""

    first: int
    second: int
    ends: bool


def clash_of(searches: Sequence[DwellingSearch], designs: Sequence[Design], i: int, k: int) -> Clash | None:
    """How two designs are in one another's way; None if both can be."""
    return next(clashes_of(searches, designs, i, k), None)


def clashes_of(searches: Sequence[DwellingSearch], designs: Sequence[Design], i: int, k: int) -> Iterator[Clash]:
    """Every way in which two designs are in one another's way: with their terminals, with a case."""
    near, back = (Neighbour(searches[a].dwelling.id, designs[a]) for a in (k, i))
    if _ends_clash(searches[i], designs[i], near) or _ends_clash(searches[k], designs[k], back):
        yield Clash(i, k, True)
    if _case_clashes(searches[i], designs[i], near) or _case_clashes(searches[k], designs[k], back):
        yield Clash(i, k, False)


def _ends_clash(search: DwellingSearch, design: Design, near: Neighbour) -> bool:
    if design.outdoors:
        mount = design.mount
        outside = search.apart(near).outdoors(design.heater)[mount.facade_id]
        return any(zone.covers(mount.s_mm, mount.bottom_z_mm) for zone in outside)
    surface, s, z = place_of(design.terminal)
    zones = search.apart(near).terminal(design.heater, side_of(design))[surface]
    return any(zone.covers(s, z) for zone in zones)


def side_of(design: Design) -> IntakeSide | None:
    """The side that a design's intake is on, None where there is none to place."""
    listing = design.heater.vent
    sides = (side for side in sides_of(listing) if intake_at(design.terminal, listing, side) == design.intake)
    return next(sides, None)


def _case_clashes(search: DwellingSearch, design: Design, near: Neighbour) -> bool:
    """Whether the case is in the way of the other's case or runs, or runs pass behind the other's case."""
    return _hangs_in_the_way(search, design, near) or (
        not near.design.outdoors and any(_runs_behind(search, design, near))
    )


def _hangs_in_the_way(search: DwellingSearch, design: Design, near: Neighbour) -> bool:
    """Whether a case in a room does."""
    if design.outdoors:
        return False
    face = search.building.face(design.mount.face_id)
    zones = search.apart(near).mount(design.heater, face, mount_rules(search.survey, design.heater))
    return any(z.covers(design.mount.s_mm, design.mount.bottom_z_mm) for z in zones)


def _runs_behind(search: DwellingSearch, design: Design, near: Neighbour) -> Iterator[bool]:
    case = case_of(search.building, near)
    for face in search.part.faces:
        for part in things_before(face, (case,)):
            for route in design.routes:
                radius = design.heater.vent.bundle_radius_mm if route.service is Service.VENT else 0
                pieces = route.pieces if may_lie_on(route, design, search.building, face) else ()
                yield any(_passes(face, piece, part, radius) for piece in pieces)


def _passes(face: Face, piece: Piece, part: Part, radius: int) -> bool:
    """Whether a piece on a face enters an open box of it, grown by the pipe's radius."""
    placed = [face_plane(face).place((p[0], p[1])) for p in (piece.start, piece.end)]
    if piece.surface not in WALLS or any(abs(n) >= 1 for _, n in placed):
        return False
    s0, s1 = sorted(round(s) for s, _ in placed)
    z0, z1 = sorted((piece.start[2], piece.end[2]))
    along = s0 < part.s1 + radius and s1 > part.s0 - radius
    return along and z0 < part.z1 + radius and z1 > part.z0 - radius
