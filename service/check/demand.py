"""Whether the heater carries the hot water that the house asks for: arithmetic of its own, in heat and not in flow."""

from __future__ import annotations

from collections.abc import Iterator

from service.check.peak import peak_m3_s
from service.check.supply_temperature import coldest_c, warmest_c
from service.design import Design, Finding, Verdict
from service.rules.rulesets import rule_set
from service.rules.tables import Row, table
from service.survey.model import DemandMethod, Draw, HotWater, Survey
from service.units import Quantity, to_si, told

SLACK = 1 + 1e-6
PRACTICE = "common practice"
AT_ONCE = "which fixtures run at once"
CITATIONS = {
    DemandMethod.CONCURRENT_USE: "US Energy Department, sizing of tankless heaters",
    DemandMethod.FIXTURE_UNITS: "IPC 2018, Tables E103.3(2) and E103.3(3)",
    DemandMethod.PROBABILISTIC: "UPC 2018 and 2021, Appendix M",
}


def demand_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """Output against demand, who runs together, smallest draw, flows over the limit of law; none without fixtures."""
    facts = survey.hot_water
    if facts is None:
        return ()
    return (
        _capacity(survey, facts, design),
        *_together(facts),
        *_activation(survey, facts, design),
        *_over_the_limit(survey, facts),
    )


def _capacity(survey: Survey, facts: HotWater, design: Design) -> Finding:
    heater, cold = design.heater, coldest_c(facts)
    flow, heat_w = (None if figure is None else figure / facts.terms.sharing for figure in asked(facts, cold))
    given_w = input_w(heater.input_max_w, facts.altitude_m) * heater.efficiency
    cite = CITATIONS[facts.terms.method]
    if flow is None or heat_w is None:
        detail = f"{facts.terms.method} cannot tell what the house asks for"
        return Finding("demand.capacity", Verdict.UNKNOWN, "heater", heater.id, detail, None, None, cite, "demand")
    need, most = (told(Quantity.FLOW, f, survey.units) for f in (flow, heater.max_flow_m3_s))
    heat, output = (told(Quantity.POWER, w, survey.units) for w in (heat_w, given_w))
    inlet = told(Quantity.TEMPERATURE, cold, survey.units)
    detail = (
        f"{facts.terms.method}: {need} of hot water with {heat} asked for at an inlet of {inlet}; the heater passes "
        f"{most} at most and gives {output}{_shared(facts)}"
    )
    gives = heater.max_flow_m3_s, given_w
    if not _within((flow, heat_w), gives):
        verdict = Verdict.FAIL
    else:
        known = facts.terms.is_told or _within(_all_at_once(facts, cold), gives)
        verdict = Verdict.PASS if known else Verdict.ADVICE
    missing = AT_ONCE if verdict is Verdict.ADVICE else ""
    return Finding("demand.capacity", verdict, "heater", heater.id, detail, citation=cite, missing=missing)


def _shared(facts: HotWater) -> str:
    n = facts.terms.sharing
    return f"; each of {n} heaters in parallel carries an even part, which is what is told here" if n > 1 else ""


def _within(asked_for: tuple[float, float], most: tuple[float, float]) -> bool:
    """Whether flow [m3/s] and heat [W] are both no more than a heater gives."""
    return all(a <= b * SLACK for a, b in zip(asked_for, most, strict=True))


def _all_at_once(facts: HotWater, cold_c: float) -> tuple[float, float]:
    """Hot water [m3/s] and heat [W] with every fixture open: what runs together is no more."""
    hot = sum(d.count * _hot_m3_s(facts, d, cold_c) for d in facts.draws)
    heat = sum(d.count * _heat_w(facts, d, cold_c) for d in facts.draws)
    return hot / facts.terms.sharing, heat / facts.terms.sharing


def _together(facts: HotWater) -> Iterator[Finding]:
    if not facts.terms.is_told:
        detail = "only the largest draw by itself was held against the heater: nobody told which fixtures run at once"
        yield Finding("demand.together", Verdict.ADVICE, "heater", "", detail, citation=PRACTICE, missing=AT_ONCE)


def _activation(survey: Survey, facts: HotWater, design: Design) -> Iterator[Finding]:
    """The hot part of the smallest draw, least when water comes in warmest, against the flow that starts the fire."""
    warm, heater = warmest_c(facts), design.heater
    hot = [(_hot_m3_s(facts, d, warm) / facts.terms.sharing, d.id) for d in facts.draws]
    smallest = min((found for found in hot if found[0]), default=None)
    if smallest is None:
        return
    draw, start = (told(Quantity.FLOW, f, survey.units) for f in (smallest[0], heater.activation_flow_m3_s))
    part = "" if facts.terms.sharing == 1 else f" of each of {facts.terms.sharing} heaters"
    detail = f"the smallest draw takes {draw} of hot water{part}, the burner starts at {start}"
    starts = smallest[0] * SLACK >= heater.activation_flow_m3_s
    if not starts:
        detail += ": it stays off and the water cold unless the tap is opened further"
    verdict = Verdict.PASS if starts else Verdict.ADVICE
    yield Finding("demand.activation", verdict, "heater", smallest[1], detail, citation=PRACTICE)


def _over_the_limit(survey: Survey, facts: HotWater) -> Iterator[Finding]:
    limits = {r.text("kind"): r for r in table("fixture_flows").rows if r.text("basis") == "federal_limit"}
    if rule_set(survey.site.rule_set).country != "us":
        return
    for draw in facts.draws:
        row = limits.get(draw.kind)
        if row is not None and draw.flow_m3_s > row.si("flow") * SLACK:
            flow, most = (told(Quantity.FLOW, f, survey.units) for f in (draw.flow_m3_s, row.si("flow")))
            detail = f"draws {flow}; one new {draw.kind.replace('_', ' ')} may draw {most}"
            cite = f"{row.text('standard')}, {row.text('section')}"
            yield Finding("demand.flow_limit", Verdict.ADVICE, "fixture", draw.id, detail, citation=cite)


def input_w(rating_w: float, altitude_m: float) -> float:
    """Input [W] that is left of a rating at an altitude [m]."""
    rule = table("gas_altitude")
    if altitude_m <= rule.constant("threshold"):
        return rating_w
    return rating_w * max(0.0, 1 - rule.constant("share") * altitude_m / rule.constant("step"))


def asked(facts: HotWater, cold_c: float) -> tuple[float | None, float | None]:
    """Hot water [m3/s] and heat [W] that the house asks for at a cold inlet [degC]; None where not known."""
    rise = max(0.0, _outlet_c(facts) - cold_c)
    if facts.terms.method is DemandMethod.CONCURRENT_USE:
        sets = _sets(facts)
        hot = [sum(n * _hot_m3_s(facts, d, cold_c) for d, n in together) for together in sets]
        heat = [sum(n * _heat_w(facts, d, cold_c) for d, n in together) for together in sets]
        return max(hot), max(heat)
    flow = peak_m3_s(facts.draws) if facts.terms.method is DemandMethod.PROBABILISTIC else _units_m3_s(facts.draws)
    return flow, None if flow is None else _factor() * flow * rise


def _sets(facts: HotWater) -> list[list[tuple[Draw, int]]]:
    """Draws that run together, each with how many of it."""
    if not facts.terms.at_once:
        return [[(d, 1)] for d in facts.draws]
    return [[(d, d.count) for d in facts.draws if d.id in ids] for ids in facts.terms.at_once]


def _heat_w(facts: HotWater, draw: Draw, cold_c: float) -> float:
    """Heat of one draw: all of it is warmed from the inlet to where it is used, at most to the outlet's temperature."""
    use = _use_c(facts, draw)
    return _factor() * draw.flow_m3_s * max(0.0, min(use, _outlet_c(facts)) - cold_c)


def _hot_m3_s(facts: HotWater, draw: Draw, cold_c: float) -> float:
    rise = _outlet_c(facts) - cold_c
    if rise <= 0 or _use_c(facts, draw) >= _outlet_c(facts):
        return draw.flow_m3_s
    return _heat_w(facts, draw, cold_c) / (_factor() * rise)


def _use_c(facts: HotWater, draw: Draw) -> float:
    """Temperature at which a draw is used [degC]; hot alone: that of the outlet."""
    if draw.use_temperature_c is not None:
        return draw.use_temperature_c
    if not any(r.text("kind") == draw.kind and r.flag("mixed") for r in table("fixture_kinds").rows):
        return _outlet_c(facts)
    house = facts.terms.use_temperature_c
    return usual_c("use_temperature") if house is None else house


def _outlet_c(facts: HotWater) -> float:
    if facts.setpoint_c is not None:
        return facts.setpoint_c
    return table("water_quality").where(rule="setpoint").si("value")


def usual_c(symbol: str) -> float:
    """A temperature of the table ``hot_water`` [degC]."""
    return to_si(Quantity.TEMPERATURE, table("hot_water").where(symbol=symbol).printed("value"), "degF")


def _factor() -> float:
    return table("water").constant("heat_factor")


def _units_m3_s(draws: tuple[Draw, ...]) -> float | None:
    """Flow of the summed hot units by the same code's curve, None where a kind or the sum is beyond its tables."""
    called = {r.text("kind"): r.text("ipc_fixture") for r in table("fixture_kinds").rows}
    hot = {r.text("fixture"): r.printed("hot") for r in table("fixture_units").rows}
    if any(d.kind not in called for d in draws):
        return None
    units = sum(hot[called[d.kind]] * d.count for d in draws)
    curve = [r for r in table("demand_curves").rows if r.text("code") == "ipc"]
    return _on_curve(curve, units)


def _on_curve(curve: list[Row], units: float) -> float | None:
    """Linear between the last row not above and the first row not below."""
    above = next((r for r in curve if r.printed("units") >= units), None)
    below = next((r for r in reversed(curve) if r.printed("units") <= units), above)
    if above is None or below is None:
        return None
    (u0, f0), (u1, f1) = ((r.printed("units"), r.si("flow")) for r in (below, above))
    return f1 if u1 == u0 else f1 - (f1 - f0) * (u1 - units) / (u1 - u0)
