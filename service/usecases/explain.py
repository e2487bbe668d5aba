"""What a survey asks to be told besides the cheapest designs, part by part."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

from service.deadline import KEPT_S, OutOfTime, ending_when, seconds_left
from service.siting.certify import certificate_of
from service.siting.ground import Ground
from service.siting.outcome import Outcome
from service.siting.zones import Zones
from service.survey.explain import Explain
from service.usecases.different import different
from service.usecases.explain_results import Certified, DifferentSet, Explained, Sureness
from service.usecases.fronts import fronts
from service.usecases.inspector import Inspector
from service.usecases.sureness import CUT_OFF, sureness

T = TypeVar("T")
SHARES_HOLES = "its runs pass holes that other heaters' runs pay for as well, of which the re-check knows nothing"


def explained(
    ground: Ground, zones: Zones, outcome: Outcome, deadline: float, inspector: Inspector
) -> Explained | None:
    """The parts that the survey asks for; None if it asks for none. Time that is left is parted evenly among those
    still to come, so one that needs little leaves more to the rest.

    ``outcome`` is what the search for the cheapest designs found; CheckFailed of the ``inspector`` passes through.
    """
    asked = ground.survey.explain
    if asked == Explain():
        return None
    parts = sum(map(bool, (asked.different, asked.trade_offs, asked.sureness, asked.certificate)))
    to_come = iter(range(parts, 0, -1))

    def end() -> float:
        return time.monotonic() + seconds_left(deadline) / next(to_come)

    return Explained(
        different=_different(ground, zones, outcome, end(), inspector) if asked.different else None,
        trade_offs=tuple(fronts(ground, zones, seconds_left(end()), inspector)) if asked.trade_offs else (),
        sureness=_sure(ground, zones, outcome, end(), inspector) if asked.sureness else None,
        certified=_certified(ground, zones, outcome, end()) if asked.certificate else None,
    )


def _different(
    ground: Ground, zones: Zones, outcome: Outcome, deadline: float, inspector: Inspector
) -> DifferentSet:
    count = ground.survey.explain.different
    return different(ground, zones, outcome, count, seconds_left(deadline), inspector)


def _by(deadline: float, part: Callable[[float], T], otherwise: T) -> T:
    """What a part gives in the time that is left, or what is told where there is not enough of it."""
    left = seconds_left(deadline)
    try:
        with ending_when(lambda: not seconds_left(deadline + KEPT_S / 2)):
            return part(left) if left else otherwise
    except OutOfTime:
        return otherwise


def _sure(ground: Ground, zones: Zones, outcome: Outcome, deadline: float, inspector: Inspector) -> Sureness:
    cut_off = Sureness((), (), (), None, False, CUT_OFF)
    return _by(deadline, lambda seconds: sureness(ground, zones, outcome, seconds, inspector), cut_off)


def _certified(ground: Ground, zones: Zones, outcome: Outcome, deadline: float) -> Certified:
    """The certificate of the first design, or why there is none."""
    if ground.passing:
        return Certified(None, ground, SHARES_HOLES)
    found = _by(deadline, lambda seconds: certificate_of(ground, zones, outcome, seconds), None)
    if found is not None:
        return Certified(found, ground, "")
    if not outcome.designs:
        return Certified(None, ground, "there is no design to certify")
    proven = outcome.cost_units is not None and outcome.bound_units >= outcome.cost_units
    why = "time was up before every heater was closed" if proven else "the design is not proven"
    return Certified(None, ground, why)
