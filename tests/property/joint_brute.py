"""Pairs of designs tried one by one, by the placement of one heater alone: what stands is written into the survey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.building.build import build
from service.check.mount import mount_findings
from service.check.routes import route_findings
from service.check.terminal import terminal_findings
from service.design import Design, RoofTerminal, Terminal
from service.settings import Settings
from service.survey.divided import of_dwelling
from service.survey.model import (
    AirInlet,
    AskedTerminal,
    InletKind,
    KeepOut,
    KeepOutKind,
    Point2,
    Question,
    Survey,
)
from service.survey.roof import RoofOpening, RoofOpeningKind
from service.usecases.place import place
from service.usecases.results import BROKEN
from tests.property.depth import DEPTH

SETTINGS = Settings(solver_seconds=60)
STEP_MM, OVER_STEP_MM = (2_400, 2_000) if DEPTH == 1 else (1_500, 2_000)


@dataclass(frozen=True)
class Over:
    """A place over a plane of the survey's roof, in the survey's axes, which are the building's [mm]."""

    plane_id: str
    at: Point2


def pairs(survey: Survey, first: int, places: Iterable[AskedTerminal | Over]) -> Iterator[int]:
    """Costs [cents] of lawful pairs: one dwelling's cheapest design through each of some places, with the other's
    cheapest beside it. The gas pipe must be wide enough for both, each of its runs sized by itself, and no inner wall
    worth crossing: then nothing is shared but the walls and the roof."""
    own, other = (of_dwelling(apart_from(survey, i), survey.dwellings[i]) for i in (first, 1 - first))
    for design in _through_each(own, tuple(places)):
        beside = place(with_things_of(other, own, design), SETTINGS)
        for checked in beside.designs[:1]:
            if _bears(own, design, checked.design):
                yield design.total_cents + checked.design.total_cents


def _through_each(own: Survey, places: Sequence[AskedTerminal | Over]) -> Iterator[Design]:
    """The cheapest through each place."""
    yield from _through(own, [at for at in places if isinstance(at, AskedTerminal)])
    for at in places:
        if isinstance(at, Over):
            yield from _over(own, at)


def _through(own: Survey, places: Sequence[AskedTerminal]) -> Iterator[Design]:
    """The cheapest through each place of the walls, all asked about at once: the house itself is solved once."""
    questions = tuple(Question(str(i), None, at) for i, at in enumerate(places))
    answers = place(replace(own, what_about=questions), SETTINGS).what_about if questions else ()
    yield from (here.design.design for here in answers if here.design is not None)


def _over(own: Survey, at: Over) -> Iterator[Design]:
    """The cheapest of each heater through a place of the roof: nothing of the plane is left but what its terminal
    takes, and no wall is worth passing."""
    assert own.roof is not None
    items, key = own.prices.items, "vent.outer_wall"
    prices = replace(own.prices, items={**items, key: replace(items[key], cents=10**7)})
    for heater in own.heaters:
        square = _square(at.at, heater.vent.terminal_radius_mm)
        planes = tuple(replace(p, outline=square) for p in own.roof.planes if p.id == at.plane_id)
        there = replace(own, heaters=(heater,), prices=prices, roof=replace(own.roof, planes=planes))
        found = [checked.design for checked in place(there, SETTINGS).designs[:1]]
        yield from (d for d in found if isinstance(d.terminal, RoofTerminal))


def _square(at: Point2, half: int) -> tuple[Point2, ...]:
    (x, y), r = at, half
    return (x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)


def over_raster(survey: Survey) -> Iterator[Over]:
    """Places all over the roof."""
    for plane in survey.roof.planes if survey.roof else ():
        xs, ys = zip(*plane.outline, strict=True)
        for x in range(min(xs) + OVER_STEP_MM // 2, max(xs), OVER_STEP_MM):
            yield from (Over(plane.id, (x, y)) for y in range(min(ys) + OVER_STEP_MM // 2, max(ys), OVER_STEP_MM))


def apart_from(survey: Survey, index: int) -> Survey:
    """The survey with all rooms but the dwelling's own closed to a heater."""
    own = set(survey.dwellings[index].rooms or ())
    rooms = {r.id for s in survey.storeys for r in s.rooms} - own
    return replace(survey, preferences=replace(survey.preferences, rooms_refused=tuple(sorted(rooms))))


def raster(survey: Survey) -> Iterator[AskedTerminal]:
    """Places along all walls, at any height."""
    for facade in build(survey).facades:
        for s in range(STEP_MM // 2, facade.length_mm, STEP_MM):
            yield AskedTerminal(facade.point(s), None)


def with_things_of(other: Survey, own: Survey, design: Design) -> Survey:
    """The other dwelling's survey with a design's intake and case in it."""
    storey = other.storeys[0]
    kept = KeepOut("theirs", KeepOutKind.OTHER, _outline(own, design), design.mount.bottom_z_mm, _top(design))
    there = replace(other, storeys=(replace(storey, keep_outs=(*storey.keep_outs, kept)),))
    if isinstance(design.terminal, RoofTerminal):
        assert other.roof is not None
        return replace(there, roof=replace(other.roof, openings=(*other.roof.openings, _opening(own, design))))
    return replace(there, site=replace(other.site, air_inlets=(*other.site.air_inlets, _inlet(own, design))))


def _opening(survey: Survey, design: Design) -> RoofOpening:
    """The intake over the roof, from the roof up to the opening."""
    end = design.terminal
    assert isinstance(end, RoofTerminal)
    square = _square((end.x_mm, end.y_mm), design.heater.vent.terminal_radius_mm)
    level = max(p.height_mm(*at) for p in build(survey).roof if p.id == end.roof_id for at in square)
    return RoofOpening("theirs", RoofOpeningKind.COMBUSTION_INLET, square, end.z_mm - level)


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
