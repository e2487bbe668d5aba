"""What a survey asks to be told besides the cheapest designs, part by part."""

from __future__ import annotations

from collections.abc import Callable

from service.design import Design
from service.siting.certify import certificate_of
from service.siting.ground import Ground
from service.siting.search import Outcome
from service.siting.zones import Zones
from service.survey.explain import Explain
from service.survey.model import Survey
from service.usecases.checked import CheckedDesign
from service.usecases.different import different
from service.usecases.explain_results import Certified, Explained
from service.usecases.fronts import fronts
from service.usecases.sureness import sureness


def explained(
    ground: Ground, zones: Zones, outcome: Outcome, seconds: float, judge: Callable[[Survey, Design], CheckedDesign]
) -> Explained | None:
    """The parts that the survey asks for, each within ``seconds`` [s]; None if it asks for none.

    ``outcome`` is what the search for the cheapest designs found; ``judge`` has a design checked and lets its
    CheckFailed pass.
    """
    asked = ground.survey.explain
    if asked == Explain():
        return None
    return Explained(
        different=different(ground, zones, outcome, asked.different, seconds, judge) if asked.different else None,
        trade_offs=tuple(fronts(ground, zones, seconds, judge)),
        sureness=sureness(ground, zones, outcome, seconds) if asked.sureness else None,
        certified=_certified(ground, zones, outcome, seconds) if asked.certificate else None,
    )


def _certified(ground: Ground, zones: Zones, outcome: Outcome, seconds: float) -> Certified:
    """The certificate of the first design, or why there is none."""
    found = certificate_of(ground, zones, outcome, seconds)
    if found is not None:
        return Certified(found, ground, "")
    if not outcome.designs:
        return Certified(None, ground, "there is no design to certify")
    proven = outcome.cost_units is not None and outcome.bound_units >= outcome.cost_units
    why = "time was up before every heater was closed" if proven else "the design is not proven"
    return Certified(None, ground, why)
