"""How a heater is connected: cord and its way, ground-fault protection, wiring in, disconnect."""

from __future__ import annotations

from math import hypot

from service.building.model import Building, BuiltRoom
from service.check.routes import face_of
from service.check.verdicts import all_of, at_most, stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Part, Route, Surface, Verdict
from service.rules.rulesets import rule_set
from service.rules.tables import table
from service.survey.equipment import PortService
from service.survey.model import Receptacle, Survey
from service.trades.electrical_code import OutletPlace, cited, edition_of, ground_fault
from service.trades.power_options import CORDS, PROTECTED, SWITCHED, WIRED, PowerOption

SUBJECT = "power"
ALONG = (Surface.WALL, Surface.WALL_FINISHED, Surface.STUB)


def run_findings(
    survey: Survey, building: Building, design: Design, run: Route, end: Receptacle
) -> tuple[Finding, ...]:
    """Findings on the end at the heater, by the way that the run says it is made."""
    if run.option in CORDS:
        made = (*_cord(survey, design, run, end), *_protected(survey, building, design, run, end))
    elif run.option in WIRED:
        made = (
            _wired(survey, design, end), _disconnect(survey, design, run, end),
            *_wired_outdoors(survey, design, run, end),
        )  # fmt: skip
    else:
        made = (_outlet(survey, design, end),)
    return made


def _cite(survey: Survey, rule: str) -> str:
    return cited(rule, rule_set(survey.site.rule_set).country)


def _outlet(survey: Survey, design: Design, end: Receptacle) -> Finding:
    """A new outlet at the heater takes a plug, which is its disconnect; the priced one is protected."""
    told = "a new outlet with ground-fault protection at the heater, whose plug disconnects it"
    if not design.heater.cord_length_mm:
        return stated("power.wired", SUBJECT, end.id, False, "the heater has no cord", _cite(survey, "power.wired"))
    return stated("power.gfci", SUBJECT, end.id, True, told, _cite(survey, "power.gfci"))


def _cord(survey: Survey, design: Design, run: Route, end: Receptacle) -> tuple[Finding, ...]:
    """The cord from its port by the point below the case along the wall, and where it may lie."""
    heater, drawn = design.heater, sum(round(hypot(*_move(p.start, p.end))) for p in run.pieces)
    ports = [p.dx_mm for p in heater.ports if p.service is PortService.POWER] or [0, heater.width_mm]
    line = heater.line_dx_mm(design.outdoors)
    used = drawn + MANIFOLD_DROP_MM + max(abs(dx - line) for dx in ports)
    told = "cord from the heater's port down and along the wall"
    astray = sorted({p.surface.value for p in run.pieces if p.surface not in ALONG})
    faults = [f"the cord lies on or goes through: {', '.join(astray)}"] if astray else []
    faults += ["the end is a panel, into which nothing plugs"] if end.is_panel else []
    return (
        at_most("power.cord", SUBJECT, end.id, heater.cord_length_mm, used, told, _cite(survey, "power.cord")),
        *all_of("power.cord_way", SUBJECT, end.id, faults, "stays on the walls of one room",
                _cite(survey, "power.cord_way")),
    )  # fmt: skip


def _move(a: tuple[int, int, int], b: tuple[int, int, int]) -> tuple[int, int, int]:
    return b[0] - a[0], b[1] - a[1], b[2] - a[2]


def _protected(survey: Survey, building: Building, design: Design, run: Route, end: Receptacle) -> tuple[Finding, ...]:
    """An outlet that stays as it is, where protection is asked for or may be."""
    face = face_of(building, design)
    if face is None or not design.has(Part.MOUNT):
        return ()
    asked = ground_fault(edition_of(survey.site), _place(survey, building, building.room(face.room_id), end))
    if run.option == PowerOption.CORD_GFCI or end.gfci:
        return (stated("power.gfci", SUBJECT, end.id, True, "the outlet is protected", asked.citation),)
    told = f"the outlet is {'not' if end.gfci is False else 'not known to be'} protected: {asked.why}"
    if asked.asked is None:
        return (Finding("power.gfci", Verdict.UNKNOWN, SUBJECT, end.id, told, None, None, asked.citation,
                        "ground-fault protection asked for here"),)  # fmt: skip
    if asked.asked and end.gfci is None:
        return (Finding("power.gfci", Verdict.UNKNOWN, SUBJECT, end.id, told, None, None, asked.citation,
                        "ground-fault protection of the outlet"),)  # fmt: skip
    return (stated("power.gfci", SUBJECT, end.id, not asked.asked, told, asked.citation),)


def _place(survey: Survey, building: Building, room: BuiltRoom, end: Receptacle) -> OutletPlace:
    reach = table("power").constant("gfci_reach") * 1000
    gaps = [hypot(*_move(end.at, f.at)) for f in survey.water.fixtures]
    ground = max((step.z for facade in building.facades for step in facade.grade), default=survey.site.grade_z_mm)
    near = min(gaps) <= reach if gaps else None
    return OutletPlace(room.use, room.finished, room.floor_z < ground, near)


def _wired(survey: Survey, design: Design, end: Receptacle) -> Finding:
    """A listing with a cord that does not speak of wiring in does not allow it."""
    heater = design.heater
    holds = not heater.cord_length_mm or heater.may_be_wired is True
    told = "wired in, as its listing takes" if holds else "its listing is not known to take wiring in place of its cord"
    return stated("power.wired", SUBJECT, end.id, holds, told, _cite(survey, "power.wired"))


def _wired_outdoors(survey: Survey, design: Design, run: Route, end: Receptacle) -> tuple[Finding, ...]:
    """What is wired in outdoors is protected at its breaker, where the edition asks or no edition is known."""
    if not design.outdoors:
        return ()
    edition = edition_of(survey.site)
    row = table("power_gfci").where(place="outdoors_wired")
    since, cited_by = row.integer("from_year"), f"{edition.name}, {row.text('section')}"
    if run.option in PROTECTED:
        return (stated("power.gfci", SUBJECT, end.id, True, "protected at its breaker", cited_by),)
    told = "wired in outdoors without ground-fault protection"
    if not edition.year:
        return (Finding("power.gfci", Verdict.UNKNOWN, SUBJECT, end.id, told, None, None, edition.name,
                        "ground-fault protection asked for here"),)  # fmt: skip
    return (stated("power.gfci", SUBJECT, end.id, edition.year < since, told, cited_by),)


def _disconnect(survey: Survey, design: Design, run: Route, end: Receptacle) -> Finding:
    element, known = design.heater.freeze_element_w, table("power").constant
    draws = design.heater.electrical_w + (known("freeze_element_high") if element is None else element)
    by_breaker = draws <= known("breaker_disconnects")
    told = f"{draws:.0f} VA, " + ("the breaker may disconnect it" if by_breaker else "a switch in sight is asked for")
    holds = by_breaker or run.option in SWITCHED
    return stated("power.disconnect", SUBJECT, end.id, holds, told, _cite(survey, "power.disconnect"))
