"""What less waiting, or more room at the terminal, would cost: fronts of cost, from cheap to dear."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from service.errors import CheckFailed
from service.siting.features import Featured
from service.siting.ground import Ground
from service.siting.scope import covers_network
from service.siting.search import search
from service.siting.waiting_price import longest_wait
from service.siting.zones import Zones
from service.survey.explain import TradeOff
from service.trades.hot_side import tells_waits
from service.usecases.checked import CheckedDesign
from service.usecases.different import compared
from service.usecases.explain_results import Front
from service.usecases.inspector import Inspector
from service.usecases.margin import FARTHEST_MM, with_spare

MOST_POINTS = 12
CUT_OFF = "Ended by the time limit before the last design of the front."
CAPPED = f"No more than {MOST_POINTS} designs are told; a wider step reaches farther."
NO_WAIT = "The wait for hot water is not known: the survey names no fixtures, or a hot pipe whose bore is not known."
FAR = "Margins beyond 3 m are not looked for."
Found = tuple[float, CheckedDesign]
"""Seconds of waiting, or millimetres of margin, of a design."""


@dataclass(slots=True)
class _Walk:
    """From one design of a front to the next. ``why`` tells what ended it before its end, ``limited`` whether its
    proof is of the network alone."""

    ground: Ground
    zones: Zones
    deadline: float
    inspector: Inspector
    why: str = ""
    limited: bool = False

    def run(self, searches: Callable[[float | None], tuple[Ground, Zones] | None],
            measure: Callable[[CheckedDesign], float], step: float) -> list[Found]:  # fmt: skip
        """Designs by rising cost, each farther by a ``step`` (below nought: down) at least. ``searches``: what a search
        sees that is held to a limit (None: to none), or None past the last limit. Of designs that cost the same the
        last one stays."""
        points: list[Found] = []
        limit: float | None = None
        while (seen := searches(limit)) is not None:
            if len(points) == MOST_POINTS:
                self.why = CAPPED
                return points
            outcome = search(*seen, 1, self.deadline)
            self.limited |= covers_network(self.ground, outcome)
            if outcome.cut_off:
                self.why = CUT_OFF
            if outcome.cut_off or not outcome.designs:
                return points
            checked = self.inspector.checked(self.ground.survey, self.zones.whole, outcome.designs[0])
            if points and points[-1][1].design.total_cents == checked.design.total_cents:
                points.pop()
            points.append((measure(checked), checked))
            limit = points[-1][0] + step
        self.why = FAR
        return points


def fronts(ground: Ground, zones: Zones, seconds: float, inspector: Inspector) -> Iterator[Front]:
    """The fronts that the survey asks for, all within ``seconds`` [s]. Cost is what is paid, without weighed waiting.

    Each search proves that no design that is farther than one of the front by a step costs less than the next.
    """
    preferences = replace(ground.survey.preferences, waiting_cents_per_s=None)
    ground = replace(ground, survey=replace(ground.survey, preferences=preferences), waiting=None)
    deadline = time.monotonic() + seconds
    for kind in ground.survey.explain.trade_offs:
        walk = _Walk(ground, zones, deadline, inspector)
        points = _by_waiting(walk) if kind is TradeOff.WAITING else _by_margin(walk)
        yield _front(kind, walk, points)


def _by_waiting(walk: _Walk) -> list[Found]:
    ground, survey = walk.ground, walk.ground.survey
    if not tells_waits(survey.water):
        walk.why = NO_WAIT
        return []

    def held(limit_s: float | None) -> tuple[Ground, Zones]:
        longest = None if limit_s is None else longest_wait(survey, ground.building, limit_s)
        return replace(ground, longest_wait=longest), walk.zones

    return walk.run(held, _wait_s, -survey.explain.waiting_step_s)


def _wait_s(checked: CheckedDesign) -> float:
    """Mean wait for hot water [s]. CheckFailed if it is not told though all that it takes is known."""
    if checked.waiting is None or checked.waiting.mean_s is None:
        raise CheckFailed("the wait for hot water is not told of a design though all pipes and fixtures are known")
    return checked.waiting.mean_s


def _by_margin(walk: _Walk) -> list[Found]:
    ground = walk.ground

    def held(limit_mm: float | None) -> tuple[Ground, Zones] | None:
        if limit_mm is None:
            return ground, walk.zones
        if limit_mm > FARTHEST_MM:
            return None
        survey = with_spare(ground.survey, int(limit_mm))
        return replace(ground, survey=survey), walk.zones.of(survey, walk.zones.whole)

    def margin(checked: CheckedDesign) -> float:
        return walk.inspector.margin_mm(ground.survey, walk.zones.whole, checked.design)

    return walk.run(held, margin, ground.survey.explain.margin_step_mm)


def _front(kind: TradeOff, walk: _Walk, points: list[Found]) -> Front:
    featured, explain = Featured(walk.ground, walk.zones), walk.ground.survey.explain
    step = explain.waiting_step_s if kind is TradeOff.WAITING else explain.margin_step_mm
    rows = compared(featured, [(checked, featured.of(checked.design)) for _, checked in points], walk.inspector)
    return Front(kind, step, rows, not walk.why, walk.why, walk.limited)
