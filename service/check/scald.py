"""Scalding water: the setpoint against what a bath or shower may get."""

from __future__ import annotations

from collections.abc import Iterator

from service.check.verdicts import stated
from service.design import Design, Finding, Part, Verdict
from service.survey.model import Survey, WaterItem
from service.trades.scald import burn_time, is_over, is_too_hot, limits_of, safe_c
from service.trades.water_quality import setpoint_c
from service.units import Quantity, told

RULE = "scald.setpoint"
PRACTICE = "common practice"
WORDS = {"about": "in about", "more_than": "after more than", "less_than": "in less than"}


def scald_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """The setpoint, the mixing valve that a hotter one needs, and the valves that outlets need whatever the setpoint;
    none without the hot pipe."""
    return (_setpoint(survey, design), *_outlets(survey)) if design.has(Part.HOT_RUN) else ()


def _setpoint(survey: Survey, design: Design) -> Finding:
    water, at = survey.water, setpoint_c(survey.water)
    detail = f"{told(Quantity.TEMPERATURE, at, survey.units)}: burns through {burn_words(at)}"
    if water.mixing_valve or WaterItem.MIXING_VALVE in design.water_items:
        where = "there already" if water.mixing_valve else "in the design"
        return _finding(Verdict.PASS, f"{detail}; a mixing valve is {where}")
    if water.setpoint_c is None:
        return _finding(Verdict.ADVICE, detail, "setpoint of the heater")
    if not is_too_hot(at):
        return stated(RULE, "scald", "setpoint", True, detail, PRACTICE)
    detail += f"; hotter than the {told(Quantity.TEMPERATURE, safe_c(), survey.units)} that a bath or shower may get"
    if water.mixing_valve is None:
        return _finding(Verdict.UNKNOWN, detail, "mixing valve at the heater, or at every bath and shower")
    return _finding(Verdict.FAIL, f"{detail}, and no mixing valve")


def _outlets(survey: Survey) -> Iterator[Finding]:
    """A setpoint, or a valve at the heater, is no limiting device at the outlet: nobody tells of those."""
    at = setpoint_c(survey.water)
    for outlet, limit in limits_of(survey.water):
        most = told(Quantity.TEMPERATURE, limit.at_most_c, survey.units)
        detail = f"may give {most} at most, held by a device of its own: {limit.device}"
        detail += f"; the setpoint of {told(Quantity.TEMPERATURE, at, survey.units)} is hotter" * is_over(limit, at)
        yield Finding(
            "scald.outlet", Verdict.ADVICE, "fixture", outlet, detail, None, None, limit.citation,
            f"limiting device at {outlet}",
        )  # fmt: skip


def burn_words(t_c: float) -> str:
    """Time to a burn of an adult in words."""
    burn = burn_time(t_c)
    return f"{WORDS[burn.relation]} {burn.seconds:.3g} s"


def _finding(verdict: Verdict, detail: str, missing: str = "") -> Finding:
    return Finding(RULE, verdict, "scald", "setpoint", detail, None, None, PRACTICE, missing)
