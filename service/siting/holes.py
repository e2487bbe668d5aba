"""Where holes of a vent may not be in the wall that it leaves, and where its intake, if it has one, keeps it away.

Everything is told as zones of the exhaust's centre. An intake lies at a fixed shift from it, so what forbids the
intake a place forbids the exhaust the place shifted back.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.building.model import Building, Face
from service.clearance.model import Zone
from service.routing.obstacles import holes_in, things_before
from service.survey.equipment import VentListing
from service.survey.intake_listing import IntakeSide

HOLE_RULE = "vent.hole"
INTAKE_RULE = "intake.run"
Shift = tuple[int, int]


def hole_zones(building: Building, listing: VentListing, side: IntakeSide | None = None) -> Iterator[Zone]:
    """Where a vent's own holes would cut into a floor, ceiling or side wall of the room it leaves, or where the way to
    the intake's hole on a side, straight along the wall, would leave the face, pass an opening or a keep-out."""
    for face in building.faces:
        for stretch in face.stretches:
            if stretch.facade_id is not None:
                start = stretch.facade_s0 - stretch.s0
                yield from _frame_of(face, stretch.facade_id, start, listing, _shift(listing, side))
                if side is not None:
                    yield from _on_the_way(building, face, stretch.facade_id, start, listing, _shift(listing, side))


def shifted_back(zones: Iterable[Zone], listing: VentListing, side: IntakeSide) -> Iterator[Zone]:
    """Zones of the intake's centre as zones of the exhaust's."""
    ds, dz = _shift(listing, side)
    for zone in zones:
        box = zone.within and (zone.within[0] - ds, zone.within[1] - ds, zone.within[2] - dz, zone.within[3] - dz)
        yield replace(
            zone, s0=zone.s0 - ds, s1=zone.s1 - ds, z0=zone.z0 - dz, z1=zone.z1 - dz, within=box,
        )  # fmt: skip


def _shift(listing: VentListing, side: IntakeSide | None) -> Shift:
    return (0, 0) if side is None or listing.intake is None else listing.intake.shift_mm(side)


def _thin(listing: VentListing) -> int:
    return listing.intake.pipe_radius_mm if listing.intake else 0


def _frame_of(face: Face, facade_id: str, start: int, listing: VentListing, shift: Shift) -> Iterator[Zone]:
    """Strips along the four edges of a face, edges included, on its facade: as wide as the bundle's radius, and wider
    where the way to the intake leads."""
    left, right, low, high = start, start + face.length_mm, face.z0, face.z1
    r, (ds, dz) = listing.bundle_radius_mm, shift
    west, east, down, up = (max(r, _thin(listing) + d) for d in (-ds, ds, -dz, dz))
    strips = [
        (left - 1, left + west, low - 1, high + 1), (right - east, right + 1, low - 1, high + 1),
        (left - 1, right + 1, low - 1, low + down), (left - 1, right + 1, high - up, high + 1),
    ]  # fmt: skip
    yield from (Zone(facade_id, *strip, 0, HOLE_RULE, face.id) for strip in strips)


def _on_the_way(
    building: Building, face: Face, facade_id: str, start: int, listing: VentListing, shift: Shift
) -> Iterator[Zone]:
    """Places from which the intake's pipe would meet an opening or a keep-out on its way along the wall."""
    r, (ds, dz) = _thin(listing), shift
    for part in (*holes_in(face), *things_before(face, building.keep_outs)):
        s0, s1 = start + part.s0 - r - max(ds, 0), start + part.s1 + r - min(ds, 0)
        z0, z1 = part.z0 - r - max(dz, 0), part.z1 + r - min(dz, 0)
        yield Zone(facade_id, s0, s1, z0, z1, 0, INTAKE_RULE, part.reason)
