"""The start-up sheet of a finished design: the ordered list for this very heater in this very house."""

from __future__ import annotations

from dataclasses import replace

from service.survey.equipment import Draft
from service.trades.freeze import freezes
from service.trades.start_up import StepRule, cited_in, customer_points, step_rules
from service.usecases.cautions import CAUTIONS
from service.usecases.start_up_readings import readings_of
from service.usecases.start_up_results import StartUpSheet, Step, Subject
from service.usecases.start_up_words import supplier_work, words_of

LICENSED = {
    "gas fitter": "gas fitter: all work on gas pipe, its tests, first firing, pressures and combustion",
    "vent installer": "gas fitter or vent installer certified for this vent: vent and terminal",
    "plumber": "plumber: water and relief valve",
    "electrician": "electrician: circuit, outlet or wiring, disconnect",
    "gas supplier": "gas supplier: meter, service regulator and delivery pressure",
}


def start_up_sheet(subject: Subject) -> StartUpSheet:
    """Steps, readings and limits of a whole design; figures that neither survey nor listing tell are left blank."""
    facts, words = facts_of(subject), words_of(subject)
    steps = tuple(_step(rule, subject, words) for rule in step_rules(facts))
    points = tuple(replace(p, text=p.text.format_map(words)) for p in customer_points(facts))
    who = {s.rule.who for s in steps}
    licences = tuple(_licence(trade, facts) for trade in LICENSED if trade in who)
    return StartUpSheet(steps, points, licences, CAUTIONS)


def _licence(trade: str, facts: frozenset[str]) -> str:
    """A trade with its work; condensate only where there is some."""
    return LICENSED[trade] + ("; condensate pipe" if trade == "plumber" and "condensing" in facts else "")


def facts_of(subject: Subject) -> frozenset[str]:
    """What of a design decides which steps and points it has."""
    survey, heater, condensate = subject.survey, subject.design.heater, subject.condensate
    facts = {
        "condensing": condensate is not None,
        "pumped": condensate is not None and condensate.pumped,
        "room_air": heater.draft is not Draft.DIRECT and not subject.design.outdoors,
        "vented": not subject.design.outdoors,
        "outdoors": subject.design.outdoors,
        "cold_fitting": subject.design.cold_fitting,
        "freezing": freezes(survey.site.winter_design_temperature_c),
        "supplier": bool(supplier_work(subject)),
        "expansion": subject.relief.expansion.tank_present or subject.relief.expansion.tank_bought,
        "mixing": subject.relief.scald.mixing_present or subject.relief.scald.mixing_bought,
        "hardness": survey.water.hardness_mg_l is not None,
        "hardness_unknown": survey.water.hardness_mg_l is None,
    }
    return frozenset(name for name, holds in facts.items() if holds)


def _step(rule: StepRule, subject: Subject, words: dict[str, str]) -> Step:
    cited = cited_in(rule.citation, subject.country)
    return Step(replace(rule, action=rule.action.format_map(words), citation=cited), readings_of(rule.id, subject))
