"""Scalding water: the setpoint against what a bath or shower may get."""

from __future__ import annotations

from service.check.verdicts import stated
from service.design import Design, Finding, Part, Verdict
from service.survey.model import Survey, WaterItem
from service.trades.scald import burn_time, is_too_hot, outlet_limit, safe_c
from service.trades.water_quality import setpoint_c
from service.units import Quantity, told

RULE = "scald.setpoint"
WORDS = {"about": "in about", "more_than": "after more than", "less_than": "in less than"}


def scald_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """The setpoint and the mixing valve that a hotter one needs; none without the hot pipe."""
    if not design.has(Part.HOT_RUN):
        return ()
    water, at = survey.water, setpoint_c(survey.water)
    detail = f"{told(Quantity.TEMPERATURE, at, survey.units)}: burns through {burn_words(at)}"
    if water.mixing_valve or WaterItem.MIXING_VALVE in design.water_items:
        where = "there already" if water.mixing_valve else "in the design"
        return (_finding(Verdict.PASS, f"{detail}; a mixing valve is {where}"),)
    if water.setpoint_c is None:
        return (_finding(Verdict.ADVICE, detail, "setpoint of the heater"),)
    if not is_too_hot(at):
        return (stated(RULE, "scald", "setpoint", True, detail, _citation()),)
    detail += f"; hotter than the {told(Quantity.TEMPERATURE, safe_c(), survey.units)} that a bath or shower may get"
    if water.mixing_valve is None:
        return (_finding(Verdict.UNKNOWN, detail, "mixing valve at the heater, or at every bath and shower"),)
    return (_finding(Verdict.FAIL, f"{detail}, and no mixing valve"),)


def burn_words(t_c: float) -> str:
    """Time to a burn of an adult in words."""
    burn = burn_time(t_c)
    return f"{WORDS[burn.relation]} {burn.seconds:.3g} s"


def _finding(verdict: Verdict, detail: str, missing: str = "") -> Finding:
    return Finding(RULE, verdict, "scald", "setpoint", detail, None, None, _citation(), missing)


def _citation() -> str:
    limit = outlet_limit("bath_shower")
    assert limit is not None
    return limit.citation
