"""The water that a heater gets: hardness and softener, scale or corrosion, and what else it should not hold."""

from __future__ import annotations

from service.check.verdicts import stated
from service.design import Design, Finding, Part, Verdict
from service.rules.rulesets import rule_set
from service.survey.model import Survey, WaterItem
from service.trades.water_index import FORM, indices, sample_of, tendency, unknown_ends
from service.trades.water_quality import (
    Limit,
    hardness_class,
    limits,
    setpoint_c,
    softener_is_advised,
    water_rule,
)
from service.units import Quantity, told

SUBJECT = "water"
NAMES = {"ph": "pH", "tds": "dissolved solids", "chloride": "chloride", "iron": "iron"}


def water_quality_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """Findings on the water's quality; all that is not in order is advice, for no code binds it."""
    if not design.has(Part.COLD_RUN):
        return ()
    country = rule_set(survey.site.rule_set).country
    known = (limit for limit in limits(survey.water.analysis, country) if limit.kept is not None)
    return (
        _hardness(survey, design),
        *_scale(survey),
        *(_limit(limit) for limit in known),
        *_prices(survey, design),
    )


def _advice(rule_id: str, thing: str, detail: str, citation: str, missing: str = "") -> Finding:
    return Finding(rule_id, Verdict.ADVICE, SUBJECT, thing, detail, None, None, citation, missing)


def _hardness(survey: Survey, design: Design) -> Finding:
    """Soft enough, softened by what is bought, or a softener is advised; one that is there must be seen to work."""
    water, rule = survey.water, water_rule("softener_above")
    if water.hardness_mg_l is None:
        return _advice("water.hardness", "heater", "have the water tested", rule.citation, "hardness of the water")
    limit = told(Quantity.HARDNESS, rule.value, survey.units)
    detail = f"{told(Quantity.HARDNESS, water.hardness_mg_l, survey.units)}, {hardness_class(water.hardness_mg_l)}"
    if not softener_is_advised(water.hardness_mg_l):
        return stated("water.hardness", SUBJECT, "heater", True, f"{detail}: not above {limit}", rule.citation)
    if WaterItem.SOFTENER in design.water_items:
        detail += f": above {limit}, a softener is in the design"
        return stated("water.hardness", SUBJECT, "heater", True, detail, rule.citation)
    if water.softener:
        detail += f": above {limit} though a softener is there; test behind it, and service it if this is what it gives"
        return _advice("water.hardness", "heater", detail, rule.citation, "hardness behind the softener")
    return _advice("water.hardness", "heater", f"{detail}: above {limit}, a softener is advised", rule.citation)


def _scale(survey: Survey) -> tuple[Finding, ...]:
    """Langelier's index of an analysis; without one nothing is said."""
    water = survey.water
    if water.analysis is None:
        return ()
    sample, missing = sample_of(water)
    if sample is None:
        detail = "neither scale nor corrosion can be told"
        return (_advice("water.scale", "heater", detail, FORM, ", ".join(missing)),)
    found = indices(sample, setpoint_c(water), water.analysis.temperature_c)
    if not found:
        return (_advice("water.scale", "heater", "hotter than the formula holds for", FORM, "index at this setpoint"),)
    words = "; ".join(f"{i.langelier:+.2f} at {told(Quantity.TEMPERATURE, i.t_c, survey.units)}" for i in found)
    if (verdict := tendency(found)) == "balanced":
        return (stated("water.scale", SUBJECT, "heater", True, f"balanced: Langelier index {words}", FORM),)
    if verdict is None:
        ends = ", ".join(f"index of the {place}" for place in unknown_ends(found))
        return (_advice("water.scale", "heater", f"as far as told, Langelier index {words}", FORM, ends),)
    effect = "lays down scale" if verdict == "scaling" else "dissolves scale and metal"
    return (_advice("water.scale", "heater", f"{effect}: Langelier index {words}", FORM),)


def _limit(limit: Limit) -> Finding:
    unit = "" if limit.substance == "ph" else " mg/L"
    span = f"{limit.low:g} to {limit.high:g}" if limit.low is not None else f"at most {limit.high:g}"
    detail = f"{NAMES[limit.substance]} {limit.found:g}{unit}, {span}{unit} asked for: {limit.note}"
    rule_id = f"water.{limit.substance}"
    if limit.kept:
        return stated(rule_id, SUBJECT, "heater", True, detail, limit.citation)
    return _advice(rule_id, "heater", detail, limit.citation)


def _prices(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """What the design buys for the water and the book has no price of."""
    lacking = [item for item in design.water_items if item.price_key not in survey.prices.items]
    return tuple(
        _advice("water.price", item, f"bought, but the price book has no {item.price_key}: not in the total",
                f"price book {survey.prices.id}", f"price {item.price_key}")
        for item in lacking
    )  # fmt: skip
