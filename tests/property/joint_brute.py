"""Pairs of designs tried one by one, by the placement of one heater alone: what stands is written into the survey."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.building.build import build
from service.check.mount import mount_findings
from service.check.routes import route_findings
from service.check.terminal import terminal_findings
from service.design import Design, Terminal
from service.settings import Settings
from service.survey.divided import of_dwelling
from service.survey.model import (
    AirInlet,
    AskedTerminal,
    InletKind,
    KeepOut,
    KeepOutKind,
    Question,
    Survey,
)
from service.usecases.place import place
from service.usecases.results import BROKEN

SETTINGS = Settings(solver_seconds=60)
STEP_MM = 1_500


def pairs(survey: Survey, first: int, more: tuple[AskedTerminal, ...] = ()) -> Iterator[int]:
    """Costs [cents] of lawful pairs: one dwelling's cheapest design through each place of a raster of its walls, and of
    ``more``, with the other's cheapest beside it. The gas pipe must be wide enough for both, each of its runs sized by
    itself, and no inner wall worth crossing: then nothing is shared but the walls."""
    own, other = (of_dwelling(apart_from(survey, i), survey.dwellings[i]) for i in (first, 1 - first))
    for at in (*_raster(survey), *more):
        (here,) = place(replace(own, what_about=(Question("here", None, at),)), SETTINGS).what_about
        if here.design is None:
            continue
        design = here.design.design
        beside = place(with_things_of(other, own, design), SETTINGS)
        for checked in beside.designs[:1]:
            if _bears(own, design, checked.design):
                yield design.total_cents + checked.design.total_cents


def apart_from(survey: Survey, index: int) -> Survey:
    """The survey with all rooms but the dwelling's own closed to a heater."""
    own = set(survey.dwellings[index].rooms or ())
    rooms = {r.id for s in survey.storeys for r in s.rooms} - own
    return replace(survey, preferences=replace(survey.preferences, rooms_refused=tuple(sorted(rooms))))


def _raster(survey: Survey) -> Iterator[AskedTerminal]:
    for facade in build(survey).facades:
        for s in range(STEP_MM // 2, facade.length_mm, STEP_MM):
            yield AskedTerminal(facade.point(s), None)


def with_things_of(other: Survey, own: Survey, design: Design) -> Survey:
    """The other dwelling's survey with a design's intake and case in it."""
    storey = other.storeys[0]
    kept = KeepOut("theirs", KeepOutKind.OTHER, _outline(own, design), design.mount.bottom_z_mm, _top(design))
    site = replace(other.site, air_inlets=(*other.site.air_inlets, _inlet(own, design)))
    return replace(other, site=site, storeys=(replace(storey, keep_outs=(*storey.keep_outs, kept)),))


def _outline(survey: Survey, design: Design) -> tuple[tuple[int, int], ...]:
    """Box of the case in plan, of a wall along an axis: seen from the room s grows to the left."""
    face, heater = build(survey).face(design.mount.face_id), design.heater
    (ax, ay), (bx, by) = face.start, face.end
    ux, uy = ((b > a) - (b < a) for a, b in ((ax, bx), (ay, by)))
    left = design.mount.s_mm + heater.vent_dx_mm
    corners = [(s, n) for s in (left - heater.width_mm, left) for n in (0, heater.depth_mm)]
    xs, ys = zip(*((ax + s * ux - n * uy, ay + s * uy + n * ux) for s, n in corners), strict=True)
    return (min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))


def _top(design: Design) -> int:
    return design.mount.bottom_z_mm + design.heater.height_mm


def _inlet(survey: Survey, design: Design) -> AirInlet:
    end = design.terminal
    assert isinstance(end, Terminal)
    r = design.heater.vent.terminal_radius_mm
    at = build(survey).facade(end.facade_id).point(end.s_mm)
    return AirInlet("theirs", InletKind.COMBUSTION, at, 2 * r, end.z_mm - r, end.z_mm + r)


def _bears(own: Survey, design: Design, beside: Design) -> bool:
    """Whether the first design bears the second as well: its exhaust the intake, its space the case, its runs too."""
    there = with_things_of(own, own, beside)
    house = build(there)
    found = (
        *terminal_findings(there, house, design),
        *mount_findings(there, house, design),
        *route_findings(there, house, design),
    )
    return not any(f.verdict in BROKEN for f in found)
