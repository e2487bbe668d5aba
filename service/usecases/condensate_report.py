"""Condensate of a finished design: how much and how sour, what its pipe must be, and what the rules say."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Design, Finding, Route, Service
from service.survey.model import Survey, UnitSystem
from service.trades.condensate import (
    acidity,
    cap_m3_s,
    condensate_rule,
    fall_mm,
    flow_m3_s,
    line_size_of,
    slope,
)
from service.units import Quantity, from_si, told, unit_name
from service.usecases.gas_results import PartLine
from service.usecases.vent_report import level_mm
from service.usecases.vent_results import CondensateReport

RULES = tuple(f"CO{n}" for n in range(1, 13))


def condensate_report(survey: Survey, design: Design, found: tuple[Finding, ...]) -> CondensateReport | None:
    """Condensate with the checker's findings on it; None for a heater that does not condense or has no drain run."""
    drain, heater = design.route(Service.DRAIN), design.heater
    if not heater.condensing or drain is None or not drain.pieces:
        return None
    level, (low, high) = level_mm(drain.pieces), acidity()
    return CondensateReport(
        flow_m3_s=flow_m3_s(heater.input_max_w),
        cap_m3_s=cap_m3_s(heater.input_max_w, survey.site.fuel),
        ph_low=low,
        ph_high=high,
        line_size=line_size_of(drain.option),
        connection_size=heater.drain_size,
        fall=slope(),
        level_mm=level,
        drop_mm=None if drain.pumped else fall_mm(level),
        pumped=drain.pumped,
        neutraliser=_neutraliser(survey, design),
        parts=tuple(_parts(survey.units, drain)),
        rules=tuple(condensate_rule(rule) for rule in RULES),
        findings=tuple(f for f in found if f.rule_id in RULES or f.rule_id == "freeze.drain"),
    )


def flow_words(m3_s: float, units: UnitSystem) -> str:
    """A flow of condensate [m3/s] as gallons or litres an hour."""
    return f"{hourly(m3_s, units):.1f} {flow_unit(units)}"


def hourly(m3_s: float, units: UnitSystem) -> float:
    """A flow of condensate [m3/s] in gallons or litres an hour."""
    return from_si(Quantity.FLOW, m3_s, units) * 60


def flow_unit(units: UnitSystem) -> str:
    """Unit of ``hourly``."""
    return "gal/h" if units is UnitSystem.US else "L/h"


def _neutraliser(survey: Survey, design: Design) -> str:
    """Its size by what it must take: the design flow, at the input that it is sold for."""
    watts, units = design.heater.input_max_w, survey.units
    priced = any(line.key == "drain.neutraliser" for line in design.lines)
    flow, cap = flow_words(flow_m3_s(watts), units), flow_words(cap_m3_s(watts, survey.site.fuel), units)
    size = f"for at least {told(Quantity.POWER, watts, units)} of input, {flow} at full fire and never more than {cap}"
    return f"{'priced' if priced else 'not priced'}: {size}; its filling is used up and renewed as its maker says"


def _parts(units: UnitSystem, drain: Route) -> Iterator[PartLine]:
    length, per = from_si(Quantity.LENGTH, drain.length_mm / 1000, units), unit_name(Quantity.LENGTH, units)
    pipe, size = condensate_rule("CO4"), line_size_of(drain.option)
    yield PartLine(f"pipe {size} in that resists condensate, never reduced", length, per, drain.end_id,
                   pipe.citation, pipe.known_from)  # fmt: skip
    if drain.elbows:
        yield _each(f"elbow {size} in", drain.elbows, drain.end_id, "CO2")
    yield _each("trap as the heater's instructions ask, primed", 1, drain.end_id, "CO5")
    yield _each("neutraliser", 1, drain.end_id, "CO8")
    if drain.pumped:
        yield _each("condensate pump with overflow switch that stops the heater", 1, drain.end_id, "CO7")


def _each(item: str, quantity: float, where: str, rule: str) -> PartLine:
    known = condensate_rule(rule)
    return PartLine(item, quantity, "each", where, known.citation, known.known_from)
