"""Frost: heaters and condensate pipes in rooms that are not heated, and how far a heater protects itself."""

from __future__ import annotations

from service.building.model import Building, BuiltRoom
from service.check.place import room_place
from service.check.routes import face_of, steps_of
from service.check.verdicts import stated
from service.design import Design, Finding, Service, Verdict
from service.survey.model import Survey
from service.trades.freeze import Warmth, freezes, warmth
from service.units import Quantity, told

PRACTICE = "common practice"


def freeze_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Notes on frost where water freezes outdoors at the winter design temperature; none elsewhere."""
    if not freezes(survey.site.winter_design_temperature_c):
        return ()
    if design.outdoors:
        return (_outdoors(design), *_drain(building, design))
    return (_limit(survey, design), *_room(building, design), *_drain(building, design))


def _advice(rule_id: str, thing: str, detail: str, missing: str = "") -> Finding:
    return Finding(rule_id, Verdict.ADVICE, "freeze", thing, detail, None, None, PRACTICE, missing)


def _outdoors(design: Design) -> Finding:
    """What no listing protects: pipes before the wall, and a heater without power. The limit is a mounting rule."""
    thing = design.mount.facade_id or design.heater.id
    detail = "hangs outdoors: insulate the pipes before the wall and heat them with listed tape; its own protection "
    detail += "works only while it has power, so give it a circuit that stays on, and drain it when power or gas is off"
    if design.heater.condensing:
        detail += "; the condensate trap before the wall freezes first"
    return _advice("freeze.outdoors", thing, detail, "power that stays on in frost")


def _limit(survey: Survey, design: Design) -> Finding:
    """The heater's own protection against the winter design temperature."""
    heater, winter_c = design.heater, survey.site.winter_design_temperature_c
    winter = f"winter design temperature {told(Quantity.TEMPERATURE, winter_c, survey.units)}"
    if heater.freeze_limit_c is None:
        detail = f"{winter}: how far the heater protects itself is not told"
        return _advice("freeze.limit", heater.id, detail, "lowest temperature of the heater's own freeze protection")
    limit = told(Quantity.TEMPERATURE, heater.freeze_limit_c, survey.units)
    detail = f"protects itself to {limit} while powered, {winter}"
    if winter_c < heater.freeze_limit_c:
        return _advice("freeze.limit", heater.id, f"{detail}: more protection is needed, or drain it in such weather")
    return stated("freeze.limit", "freeze", heater.id, True, detail, "listing, installation instructions")


def _room(building: Building, design: Design) -> tuple[Finding, ...]:
    face = face_of(building, design)
    state = Warmth.HEATED if face is None else warmth(building.room(face.room_id).use)
    if face is None or state is Warmth.HEATED:
        return ()
    is_cold = state is Warmth.UNHEATED
    detail = f"hangs in {face.room_id}, {'not' if is_cold else 'perhaps not'} heated: its protection works only while "
    detail += "it has power and gas; insulate the water pipes and heat them, and drain it when either is off in frost"
    missing = "" if is_cold else f"whether {face.room_id} is heated"
    return (_advice("freeze.room", face.room_id, detail, missing),)


def _drain(building: Building, design: Design) -> tuple[Finding, ...]:
    """Rooms that may freeze along the condensate's way."""
    drain = design.route(Service.DRAIN)
    if drain is None or not drain.pieces:
        return ()
    places = {place for _, step in steps_of(building, design, drain) for place in step.places}
    cold = [room for room in building.rooms if room_place(room.id) in places and _may_freeze(room)]
    detail = "condensate pipe passes {}, which may freeze: insulate or heat it, or lead it another way"
    return tuple(_advice("freeze.drain", room.id, detail.format(room.id), f"whether {room.id} is heated")
                 for room in sorted(cold, key=lambda r: r.id))  # fmt: skip


def _may_freeze(room: BuiltRoom) -> bool:
    return warmth(room.use) is not Warmth.HEATED
