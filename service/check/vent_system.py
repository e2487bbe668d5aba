"""Whether the vent system suits the heater's category and the country, how it falls, and what a cold climate asks."""

from __future__ import annotations

from service.check.place import plan
from service.check.verdicts import all_of, stated
from service.design import Design, Finding, Part, Route, Service, Surface, Verdict
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft
from service.survey.model import Survey
from service.trades.freeze import COLD_KEY, cold_limit_c, needs_cold_fitting
from service.trades.vent import vent_rule
from service.trades.vent_systems import (
    PLASTICS,
    Suitability,
    condenses_by_efficiency,
    fall_faults,
    is_flat,
    suitability,
    system_of,
)
from service.units import Quantity, told

SUBJECT = "vent"
PRACTICE = "common practice"


def vent_system_findings(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """Findings on material, standard, temperature class, slope, drain and cold-climate fitting of the vent."""
    heater = design.heater
    asked = suitability(heater, rule_set(survey.site.rule_set).country)
    faults = fall_faults(heater.vent, heater.category)
    falls = f"falls {heater.vent.fall:.2%} to the {'heater' if heater.vent.falls_to_heater else 'terminal'}"
    return (
        *(_finding(s, heater.vent.system) for s in asked),
        *all_of("vent.slope", SUBJECT, heater.vent.system, faults, falls, f"{PRACTICE}; way of Category IV read"),
        *_flat(design, faults),
        *_category(design),
        *_standing_water(design),
        *_passage(design),
        *_cold(survey, design),
    )


def _finding(asked: Suitability, system: str) -> Finding:
    if asked.suits is None:
        return _advice(asked.rule_id, system, asked.detail, asked.citation, asked.missing)
    return stated(asked.rule_id, SUBJECT, system, asked.suits, asked.detail, asked.citation)


def _advice(rule_id: str, thing: str, detail: str, citation: str = PRACTICE, missing: str = "") -> Finding:
    return Finding(rule_id, Verdict.ADVICE, SUBJECT, thing, detail, None, None, citation, missing)


def _flat(design: Design, faults: tuple[str, ...]) -> tuple[Finding, ...]:
    """Less fall than is usual for dry flue gas, which the listing may allow."""
    listing = design.heater.vent
    if faults or not is_flat(listing):
        return ()
    detail = f"falls {listing.fall:.2%}, less than 1/4 in per ft: compare with the instructions"
    return (_advice("vent.fall", listing.system, detail, missing="fall that the listing asks for"),)


def _category(design: Design) -> tuple[Finding, ...]:
    """A category that does not go with what the heater is said to be; the nameplate knows."""
    heater, dry = design.heater, design.heater.category.value == "III"
    if heater.condensing == dry:
        doubt = f"Category {heater.category.value}, yet it is said {'to' if heater.condensing else 'not to'} condense"
    elif dry and condenses_by_efficiency(heater.efficiency):
        doubt = f"Category III, yet an efficiency of {heater.efficiency:g} condenses"
    else:
        return ()
    return (_advice("vent.category", heater.id, f"{doubt}: compare with the nameplate", missing="vent category"),)


def _standing_water(design: Design) -> tuple[Finding, ...]:
    """Water that runs back to a heater which has no drain of its own needs one in the vent."""
    vent = design.route(Service.VENT)
    if vent is None or not vent.pieces or design.heater.condensing or not runs_back(design, vent):
        return ()
    detail = "water of the vent runs back to a heater without a drain"
    if design.cold_fitting:
        return (stated("vent.drain", SUBJECT, vent.option, True, f"{detail}, the cold-climate fitting drains it"),)
    rule = vent_rule("drain_tee_each")
    missing = "drain tee at the low point of the vent"
    return (_advice("vent.drain", vent.option, f"{detail}: a trapped drain tee belongs there", rule.citation, missing),)


def runs_back(design: Design, vent: Route) -> bool:
    """Whether water of the vent runs back to the heater: by the fall, or from a rise of more than the first straight
    piece and the fall."""
    rises = sum(p.end[2] - p.start[2] for p in vent.pieces if plan(p.start) == plan(p.end))
    return design.heater.vent.falls_to_heater or rises > design.heater.vent_rise_mm


def _passage(design: Design) -> tuple[Finding, ...]:
    """Single-wall metal through a floor is the listing's to allow, plastic is fire-stopped by its own listing."""
    vent, system = design.route(Service.VENT), system_of(design.heater.vent)
    if vent is None or system.construction != "single" or system.material in PLASTICS:
        return ()
    if not any(p.surface in (Surface.FLOOR_CROSSING, Surface.ROOF) for p in vent.pieces):
        return ()
    rule = vent_rule("single_wall_passage")
    return (_advice("vent.single_wall", vent.option, f"passes a floor or ceiling: {rule.note}", rule.citation,
                    "listing for passing floors"),)  # fmt: skip


def _cold(survey: Survey, design: Design) -> tuple[Finding, ...]:
    """The fitting for cold climates is asked for by the survey's winter design temperature."""
    winter_c, system = survey.site.winter_design_temperature_c, design.heater.vent.system
    if not needs_cold_fitting(winter_c) or not design.has(Part.VENT_RUN):
        return ()
    winter, limit = (told(Quantity.TEMPERATURE, t, survey.units) for t in (winter_c, cold_limit_c()))
    detail = f"winter design temperature {winter}, below {limit}: a cold-climate fitting in the vent near the heater"
    detail += "" if design.cold_fitting else " is missing"
    return (
        stated("vent.cold_fitting", SUBJECT, system, design.cold_fitting, detail, PRACTICE),
        *_cold_advice(survey, design),
    )


def _cold_advice(survey: Survey, design: Design) -> tuple[Finding, ...]:
    heater, system = design.heater, design.heater.vent.system
    found = []
    if COLD_KEY not in survey.prices.items:
        detail = f"needed, but the price book has no {COLD_KEY}: not in the total"
        found.append(_advice("vent.cold_price", system, detail, missing=f"price {COLD_KEY}"))
    if heater.draft is Draft.ROOM_AIR:
        detail = "burns room air: the fitting holds a backdraft damper, and only one that the listing allows"
        found.append(_advice("vent.damper", system, detail, missing="whether the listing allows a backdraft damper"))
    if not heater.condensing:
        detail = "the fitting's drain is led to a drain, trapped, neutralised where asked for; neither drawn nor priced"
        found.append(_advice("vent.cold_drain", system, detail, missing="where the vent's own condensate is led"))
    return tuple(found)
