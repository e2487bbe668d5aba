"""Relief valve and its discharge pipe, thermal expansion of a closed system, and a pan where a leak does damage."""

from __future__ import annotations

from service.building.model import Building
from service.check.place import room_spans
from service.check.routes import face_of
from service.check.verdicts import stated
from service.design import Design, Finding, Part, Verdict
from service.rules.figures import Figure
from service.rules.rulesets import rule_set
from service.survey.model import RoomUse, Survey, WaterItem
from service.survey.water import ReliefRule
from service.trades.house_pressure import needs_valve
from service.trades.relief import discharge_rules, expansion_rule, is_closed, relief_rule, relief_valve
from service.units import Quantity, told

CONNECTION = "water.connection"
"""Price that holds the relief valve, on the hot side."""


def relief_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on relief, discharge, expansion and pan; none without the hot pipe, which they belong to."""
    if not design.has(Part.HOT_RUN):
        return ()
    return (
        _valve(survey, design),
        _discharge(survey, design),
        _expansion(survey, design),
        *(_pan(building, design) if design.has(Part.MOUNT) else ()),
    )


def _advice(rule_id: str, thing: str, detail: str, citation: str, missing: str = "") -> Finding:
    return Finding(rule_id, Verdict.ADVICE, "relief", thing, detail, None, None, citation, missing)


def _valve(survey: Survey, design: Design) -> Finding:
    """Of the kind that the local rule asks for; that its price is in the bill is judged with the bill."""
    valve = relief_valve(survey.site, design.heater.input_max_w)
    kind = "temperature and pressure relief" if valve.temperature else "pressure relief"
    detail = f"{kind} for at least {told(Quantity.POWER, valve.capacity_w, survey.units)}, set at most at "
    detail += told(Quantity.WATER_PRESSURE, valve.pressure_most_pa, survey.units)
    if valve.temperature_most_c is not None:
        detail += f" and {told(Quantity.TEMPERATURE, valve.temperature_most_c, survey.units)}"
    detail += f", in the price of {CONNECTION}"
    detail += "; the strictest rule is taken" if survey.site.relief is None else ""
    if missing := _open(survey):
        return _advice("relief.valve", design.heater.id, detail, valve.citation, missing)
    return stated("relief.valve", "relief", design.heater.id, True, detail, valve.citation)


def _open(survey: Survey) -> str:
    """What is not known of the rule on relief valves."""
    if survey.site.relief is None:
        return "local rule on relief valves"
    if survey.site.relief is ReliefRule.BY_LISTING:
        return "relief that the heater's instructions ask for"
    return _of_canada(survey)


def _of_canada(survey: Survey) -> str:
    """The tables hold codes of the United States."""
    here = rule_set(survey.site.rule_set).country == "ca"
    return "what the National Plumbing Code of Canada asks" if here else ""


def _discharge(survey: Survey, design: Design) -> Finding:
    """All fourteen rules at once; a pipe that breaks one is laid anew, so it is advice."""
    rules = discharge_rules(survey.water.relief_discharge)
    broken = [f"{r.rule_id} ({r.topic})" for r in rules if r.kept is False]
    unknown = [r.rule_id for r in rules if r.kept is None]
    cite, thing = "IPC 2018, 504.6", design.heater.id
    missing = _of_the_pipe(unknown, len(rules)) if unknown else ""
    if broken:
        detail = f"the discharge pipe as surveyed breaks {', '.join(broken)}: lay it anew"
        return _advice("relief.discharge", thing, detail, cite, missing)
    if unknown:
        return _advice("relief.discharge", thing, "discharge pipe neither drawn nor priced", cite, missing)
    if missing := _of_canada(survey):
        return _advice("relief.discharge", thing, "the pipe surveyed keeps all rules of this code", cite, missing)
    return stated("relief.discharge", "relief", thing, True, "the pipe surveyed keeps all rules", cite)


def _of_the_pipe(unknown: list[str], rules: int) -> str:
    if len(unknown) == rules:
        return f"size, way and end of the discharge pipe ({unknown[0]} to {unknown[-1]})"
    return f"of the discharge pipe: {', '.join(unknown)}"


def _expansion(survey: Survey, design: Design) -> Finding:
    """A tank where the system is closed; a relief valve does not stand in for it."""
    water, rule = survey.water, expansion_rule(survey.water)
    closed = is_closed(water)
    if closed is False:
        return _stated("expansion", True, "nothing keeps the water from swelling back into the main", rule)
    if closed is None:
        missing = "whether a check valve or a pressure reducing valve stands between main and heater"
        missing += "" if water.static_pressure_pa is not None else ", or must: static water pressure"
        detail = "either would close the system and ask for an expansion tank"
        return _advice("relief.expansion", "water", detail, rule.citation, missing)
    reducing = "a pressure reducing valve" if water.reducing_valve else "the pressure reducing valve to be put in"
    closing = reducing if water.reducing_valve or needs_valve(water) else "a check valve"
    if water.expansion_tank or WaterItem.EXPANSION_TANK in design.water_items:
        where = "there already" if water.expansion_tank else "in the design"
        return _stated("expansion", True, f"{closing} closes the system, an expansion tank is {where}", rule)
    return _stated("expansion", False, f"{closing} closes the system and no expansion tank is known", rule)


def _stated(name: str, holds: bool, detail: str, rule: Figure) -> Finding:
    return stated(f"relief.{name}", "relief", "water", holds, detail, rule.citation)


def _pan(building: Building, design: Design) -> tuple[Finding, ...]:
    """A leak in an attic or over a finished room does damage below."""
    face = face_of(building, design)
    if face is None:
        return ()
    room, rule = building.room(face.room_id), relief_rule("pan_advised")
    x, y = face.point(design.mount.s_mm)
    below = [r.id for r in building.rooms if r.id != room.id and r.finished and r.ceiling_z <= room.floor_z
             and room_spans(r, (x, y, r.ceiling_z))]  # fmt: skip
    if room.use is not RoomUse.ATTIC and not below:
        detail = "no finished room below that a leak could harm"
        return (stated("relief.pan", "relief", room.id, True, detail, rule.citation),)
    where = f"{room.id} lies over {', '.join(sorted(below))}" if below else f"{room.id} is an attic"
    if WaterItem.DRAIN_PAN in design.water_items:
        return (stated("relief.pan", "relief", room.id, True, f"{where}, a pan is in the design", rule.citation),)
    return (_advice("relief.pan", room.id, f"{where}: {rule.note}", rule.citation, "pan or leak sensor"),)
