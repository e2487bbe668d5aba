"""The water of a finished design: hardness, softener, scale, descaling, limits and service valves."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Design, Finding
from service.rules.rulesets import rule_set
from service.rules.tables import table
from service.survey.model import Survey, WaterItem
from service.trades.water_index import FORM, indices, sample_of, tendency, unknown_ends
from service.trades.water_quality import (
    descaling,
    hardness_class,
    limits,
    setpoint_c,
    sodium_added_mg_l,
    softener_is_advised,
    softener_size,
    use_m3_s,
    water_rule,
)
from service.usecases.water_parts import CONNECTION, bought, part
from service.usecases.water_results import Hardness, IndexReport, SoftenerReport, WaterPart, WaterQualityReport

RULES = (
    "water.hardness", "water.scale", "water.ph", "water.chloride", "water.iron", "water.tds", "water.price",
)  # fmt: skip
SOFT_MG_L = 0.0
"""Hardness behind a softener that works."""
SOFTENED = (
    "leave the cold taps of kitchen and garden unsoftened; the brine goes where local rules let it go",
    "softened to nothing, water of low alkalinity wears copper: leave some hardness, and look at the index again",
    "devices that change the form of scale leave the hardness as it is, and a test shows no effect",
)
"""What belongs to every softener: common practice."""


def water_quality_report(survey: Survey, design: Design, found: tuple[Finding, ...]) -> WaterQualityReport:
    """The water with the checker's findings on it."""
    hardness = survey.water.hardness_mg_l
    return WaterQualityReport(
        setpoint_c=setpoint_c(survey.water),
        hardness=_hardness(hardness),
        softener=_softener(survey, design),
        scale=_scale(survey),
        descaling=descaling(hardness),
        softened=descaling(SOFT_MG_L),
        limits=limits(survey.water.analysis, rule_set(survey.site.rule_set).country),
        parts=tuple(_parts(survey, design)),
        findings=tuple(f for f in found if f.rule_id in RULES),
    )


def _hardness(hardness_mg_l: float | None) -> Hardness:
    classes = table("hardness_classes")
    name = None if hardness_mg_l is None else hardness_class(hardness_mg_l)
    return Hardness(hardness_mg_l, name, f"{classes.standard}, {classes.section}", "read")


def _softener(survey: Survey, design: Design) -> SoftenerReport:
    water, rule = survey.water, water_rule("softener_above")
    hardness, use = water.hardness_mg_l, _use_m3_s(survey)
    iron = None if water.analysis is None else water.analysis.iron_mg_l
    return SoftenerReport(
        present=bool(water.softener),
        advised=None if hardness is None else softener_is_advised(hardness),
        bought=WaterItem.SOFTENER in design.water_items,
        above_mg_l=rule.value,
        size=None if hardness is None else softener_size(hardness, iron, use),
        use_from=_use_from(survey),
        sodium_mg_l=None if hardness is None else sodium_added_mg_l(hardness),
        notes=(*_sodium_note(hardness), *SOFTENED),
        citation=rule.citation,
        known_from=rule.known_from,
    )


def _use_m3_s(survey: Survey) -> float:
    daily = survey.water.daily_use_m3_s
    return use_m3_s(survey.water.occupants or 0) if daily is None else daily


def _use_from(survey: Survey) -> str:
    if survey.water.daily_use_m3_s is not None:
        return "the survey"
    rule = water_rule("use_per_person")
    return f"{survey.water.occupants or 0} people at {rule.printed:g} {rule.unit} ({rule.citation}, {rule.known_from})"


def _sodium_note(hardness_mg_l: float | None) -> tuple[str, ...]:
    """Sodium against what is advised for people who must keep off it."""
    if hardness_mg_l is None:
        return ()
    diet, added = water_rule("sodium_diet"), sodium_added_mg_l(hardness_mg_l)
    words = f"softening adds {added:.0f} mg/L of sodium to what the water holds"
    if added <= diet.value:
        return (f"{words}; people on a diet poor in salt are advised to keep to {diet.value:g} mg/L ({diet.citation})",)
    return (f"{words}, more than the {diet.value:g} mg/L for people on a diet poor in salt ({diet.citation}, "
            f"{diet.known_from}): drink unsoftened water",)  # fmt: skip


def _scale(survey: Survey) -> IndexReport:
    sample, missing = sample_of(survey.water)
    analysis = survey.water.analysis
    cold = None if analysis is None else analysis.temperature_c
    found = () if sample is None else indices(sample, setpoint_c(survey.water), cold)
    unknown = unknown_ends(found) if found else ()
    return IndexReport(sample, (*missing, *unknown), found, tendency(found) if found else None, FORM, "memory")


def _parts(survey: Survey, design: Design) -> Iterator[WaterPart]:
    """Service valves always; a softener as it is bought or advised."""
    rule = water_rule("isolation_valve_each")
    for side in ("cold", "hot"):
        yield part(survey, design, f"service valve with flush port, {side} side", f"{side} connection", rule,
                   CONNECTION, round(rule.printed))  # fmt: skip
    hardness = survey.water.hardness_mg_l
    advised = hardness is not None and softener_is_advised(hardness) and not survey.water.softener
    if advised or WaterItem.SOFTENER in design.water_items:
        yield bought(survey, design, WaterItem.SOFTENER, "water softener", water_rule("softener_above"))
