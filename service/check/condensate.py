"""Condensate of a condensing heater: where it goes, size of its pipe, trap, pump, neutraliser, leaks, nuisance."""

from __future__ import annotations

from service.building.model import Building
from service.check.place import room_spans
from service.check.routes import face_of
from service.check.verdicts import stated
from service.design import Design, Finding, Route, Service, Verdict
from service.survey.model import RoomUse, Survey
from service.trades.condensate import condensate_rule, is_wide_enough, line_size_of, nominal_in

SUBJECT = "drain"
HARD_TO_REACH = (RoomUse.ATTIC, RoomUse.CRAWL_SPACE)


def condensate_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings CO1, CO2 and CO4 to CO9 on a heater that condenses; CO3, the fall, is judged with the run."""
    drain = design.route(Service.DRAIN)
    if not design.heater.condensing or drain is None or not drain.pieces:
        return ()
    return (
        _place(survey, drain),
        *_size(design, drain),
        _advice("CO5", drain, "trap as the heater's instructions ask, primed before firing", "kind of trap"),
        *_leak(building, design, drain),
        *_pump(building, design, drain),
        _neutraliser(design, drain),
        _nuisance(survey, building, drain),
    )


def _cite(rule: str) -> str:
    return condensate_rule(rule).citation


def _judged(rule: str, drain: Route, holds: bool, detail: str) -> Finding:
    return stated(rule, SUBJECT, drain.end_id, holds, detail, _cite(rule))


def _advice(rule: str, drain: Route, detail: str, missing: str) -> Finding:
    return Finding(rule, Verdict.ADVICE, SUBJECT, drain.end_id, detail, None, None, _cite(rule), missing)


def _place(survey: Survey, drain: Route) -> Finding:
    named = any(d.id == drain.end_id for d in survey.drains)
    return _judged("CO1", drain, named, "led to a place that the survey names" if named else "led to no drain known")


def _size(design: Design, drain: Route) -> tuple[Finding, ...]:
    """CO2 and CO4: as wide as the heater's connection, and 3/4 in at least."""
    size = line_size_of(drain.option)
    line, own = nominal_in(size), nominal_in(design.heater.drain_size or "")
    if line is None:
        detail = f"{drain.option!r} is no nominal size"
        return (Finding("CO4", Verdict.UNKNOWN, SUBJECT, drain.end_id, detail, None, None, _cite("CO4"), "pipe size"),)
    wide = _judged("CO4", drain, is_wide_enough(line), f"line of {size} in, 3/4 in asked for, not reduced on its way")
    if own is None:
        told = f"line of {size} in; it must not be smaller than the heater's connection"
        return (_advice("CO2", drain, told, "size of the heater's condensate connection"), wide)
    told = f"line of {size} in, heater's connection {design.heater.drain_size} in"
    return (_judged("CO2", drain, line >= own, told), wide)


def _leak(building: Building, design: Design, drain: Route) -> tuple[Finding, ...]:
    """CO6: a leak does damage in a finished room and over another room."""
    if design.outdoors:
        return (_judged("CO6", drain, True, "hangs outdoors: a leak does no damage to the building"),)
    face = face_of(building, design)
    if face is None:
        return ()
    room = building.room(face.room_id)
    at = *face.point(design.mount.s_mm), room.floor_z
    over = [r.id for r in building.rooms if r.id != room.id and r.ceiling_z <= room.floor_z and room_spans(r, (
        at[0], at[1], r.ceiling_z))]  # fmt: skip
    if not room.finished and not over:
        return (_judged("CO6", drain, True, f"{room.id} is unfinished and no room lies below: a leak does no damage"),)
    where = f"{room.id} is finished" if room.finished else f"{room.id} lies over {', '.join(sorted(over))}"
    told = f"{where}: a pan with its own drain, or an automatic shut-off, unless a leak does no damage"
    return (_advice("CO6", drain, told, "pan or automatic shut-off"),)


def _pump(building: Building, design: Design, drain: Route) -> tuple[Finding, ...]:
    """CO7: a pump that fails where nobody sees it must stop the heater."""
    face = face_of(building, design)
    if not drain.pumped or face is None or building.room(face.room_id).use not in HARD_TO_REACH:
        return ()
    return (_advice("CO7", drain, "the pump's overflow switch is wired to stop the heater", "wiring of the switch"),)


def _neutraliser(design: Design, drain: Route) -> Finding:
    if any(line.key == "drain.neutraliser" for line in design.lines):
        return _judged("CO8", drain, True, "a neutraliser is in the price")
    return _advice("CO8", drain, "no neutraliser in the price: needed where the plumbing code asks", "local rule")


def _nuisance(survey: Survey, building: Building, drain: Route) -> Finding:
    """CO9: a drain within the house is no nuisance outdoors; one outdoors may be, and may freeze."""
    ends = drain.pieces[-1].end
    if any(room_spans(room, ends) for room in building.rooms):
        return _judged("CO9", drain, True, "ends within the house, not on a street, alley or walkway")
    told = "ends outdoors: not on a street, alley or walkway, and not where it freezes"
    return _advice("CO9", drain, told, "what the drain outdoors leads to")
