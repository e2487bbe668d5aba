"""The gas trade of the brute force: every tap, feed and branch tried from every place.

All that it uses of the answers of ``brute_feeds`` is that a longer branch never makes the works cheaper.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from service.design import GasWorks, Piece, Service
from service.survey.equipment import Heater
from service.survey.model import Survey
from tests.property.brute_ends import End
from tests.property.brute_feeds import Feed, Pipe, Taken, feeds_heater, feeds_of, pipes_of, works_of
from tests.property.brute_routes import Floats, Goal, Mask, Mesh, Numbers, Rates, Walks, Weights, goals_of, money, turns

LEVELS = (1, 1000, 2000, 3000, 4500, 6000, 8000, 11000, 15000)
"""Lengths of branch at which every tap is priced for the bounds [mm]; between two the shorter one's price bounds."""
STRETCHES = (0.0, 0.5, 3.0, 1e4)
"""How much a run is pressed to be short, in units of its own price a millimetre."""
TRIED_WHEN_PRESSED = 8
NOTHING = Rates(0, 0, 0, {})


@dataclass(frozen=True)
class GasRun:
    """A lawful run: money units with all works, the pipe, its pieces and end, and the works."""

    money: int
    option: str
    pieces: tuple[Piece, ...]
    end: End
    works: GasWorks
    pumped: bool = False


@dataclass(frozen=True)
class Level:
    """Bound of one pipe for branches from one length up to another [mm]: works by end [money units], inf: none."""

    pipe: Pipe
    at_least: int
    below: float
    works: Floats


class GasOffer:
    """Gas from every place: bounds by levels of length, runs by the shortest paths from the place to all ends."""

    service = Service.GAS

    def __init__(
        self, survey: Survey, heater: Heater, ends: list[End], mesh: Mesh, is_open: Mask, manifolds: Numbers
    ) -> None:
        self.mesh, self.open, self.manifolds, self.heater = mesh, is_open, manifolds, heater
        self.works, self.method = works_of(survey, heater), survey.gas.method
        self.ends, self.feeds = ends, feeds_of(survey, heater)
        self.pipes = pipes_of(survey.prices, survey.gas)
        self.goals = {p.name: goals_of(mesh, ends, p.rates) for p in self.pipes}
        self.index = {e: i for i, e in enumerate(ends)}

    @cached_property
    def feeding(self) -> list[list[Feed]]:
        """Feeds that suit the heater, by end."""
        return [[f for f in self.feeds if feeds_heater(f, e, self.heater, self.method)] for e in self.ends]

    @cached_property
    def levels(self) -> list[Level]:
        """Bounds that no other pipe's undercut everywhere."""
        every = list(self._by_pipe.values())
        pairs = [(own, [(o, i > j) for j, o in enumerate(every) if i != j]) for i, own in enumerate(every)]
        kept = [own for own, others in pairs if not any(_beaten(own, o, later) for o, later in others)]
        return [level for of in kept for level in of if np.isfinite(level.works).any()]

    @cached_property
    def _by_pipe(self) -> dict[str, list[Level]]:
        """Bounds of every pipe: the works that any pipe of that length asks for, where this one may carry the load."""
        every = [(i, f, self.ends[i]) for i, feeds in enumerate(self.feeding) for f in feeds]
        ways = [(i, self.works.taken(f, end), self._ladder(f, end)) for i, f, end in every]
        return {p.name: self._levels_of(p, ways) for p in self.pipes}

    def _levels_of(self, pipe: Pipe, ways: list[tuple[int, Taken, Floats]]) -> list[Level]:
        works = np.full((len(self.ends), len(LEVELS)), np.inf)
        with_tee = [bisect_right(LEVELS, mm + pipe.tee_mm) - 1 for mm in LEVELS]
        for i, taken, ladder in ways:
            fits = [self.works.fits(taken, pipe, mm + pipe.tee_mm) for mm in LEVELS]
            works[i] = np.minimum(works[i], np.where(fits, ladder[with_tee], np.inf))
        tops = [*map(float, LEVELS[1:]), np.inf]
        return [Level(pipe, low, top, works[:, k]) for k, (low, top) in enumerate(zip(LEVELS, tops, strict=True))]

    def _ladder(self, feed: Feed, end: End) -> Floats:
        """Least works at each level, from the ends of the ladder inwards."""
        units = np.full(len(LEVELS), np.nan)

        def at(k: int) -> float:
            if np.isnan(units[k]):
                units[k] = self.works.least(feed, end, LEVELS[k])
            return float(units[k])

        def fill(i: int, j: int) -> None:
            if at(i) == np.inf or at(i) == at(j):
                units[i : j + 1] = units[i]
            elif j - i > 1:
                fill(i, (i + j) // 2)
                fill((i + j) // 2, j)

        fill(0, len(LEVELS) - 1)
        return units

    @cached_property
    def bounds(self) -> dict[str, Floats]:
        """Least money units by pipe at each place, shape (places,)."""
        found: dict[str, Floats] = {}
        for level, at in self._merged():
            least = np.where(self._shortest(level.pipe.bend_mm) < level.below, at, np.inf)
            found[level.pipe.name] = np.minimum(found.get(level.pipe.name, np.inf), least)
        return found

    def _merged(self) -> Iterator[tuple[Level, Floats]]:
        """Levels with what their runs would cost at each place, neighbours with equal works walked once."""
        walked: tuple[Level, Floats] | None = None
        for level in self.levels:
            if walked is None or walked[0].pipe != level.pipe or not np.array_equal(walked[0].works, level.works):
                walked = level, self._walk(level)
            yield level, walked[1]

    def _walk(self, level: Level) -> Floats:
        goals = [
            replace(g, cost=g.cost + int(w))
            for g in self.goals[level.pipe.name]
            if np.isfinite(w := level.works[self.index[g.end]])
        ]
        return self._at_places(Walks(self.mesh, self.open, goals, Weights(level.pipe.rates)))

    def _at_places(self, walks: Walks) -> Floats:
        found: Floats = walks.cost[self.manifolds].min(axis=1)
        return found

    def _shortest(self, bend_mm: int) -> Floats:
        """Least equivalent length of a run from each place to any end [mm]."""
        if bend_mm not in self._lengths:
            goals = goals_of(self.mesh, self.ends, NOTHING)
            walks = Walks(self.mesh, self.open, goals, Weights(NOTHING, 0, bend_mm, 1.0))
            self._lengths[bend_mm] = self._at_places(walks)
        return self._lengths[bend_mm]

    @cached_property
    def _lengths(self) -> dict[int, Floats]:
        return {}

    def lower(self) -> Floats:
        """Least money units at each place; inf where gas cannot be had."""
        least = np.full(len(self.manifolds), np.inf)
        for bound in self.bounds.values():
            least = np.minimum(least, bound)
        return least

    def run(self, place_no: int, spot: object) -> GasRun | None:
        """Cheapest run found from a place, sized at its real length."""
        best: GasRun | None = None
        pipes = {p.name: p for p in self.pipes}
        for name in sorted(self.bounds, key=lambda n: (self.bounds[n][place_no], n)):
            for stretch in STRETCHES:
                if self.bounds[name][place_no] < (np.inf if best is None else best.money):
                    best = self._tried(place_no, pipes[name], stretch, best)
        return best

    def _tried(self, place_no: int, pipe: Pipe, stretch: float, best: GasRun | None) -> GasRun | None:
        """The better of a run and what is found with this pipe."""
        weights = Weights(pipe.rates, 0, pipe.bend_mm, stretch * pipe.rates.per_mm)
        starts = [Goal(int(s), 0, 0, 0, self.ends[0]) for s in self.manifolds[place_no]]
        walks = Walks(self.mesh, self.open, starts, weights)
        for bound, goal in self._order(walks, pipe, stretch, self._shortest(pipe.bend_mm)[place_no]):
            if best is not None and bound >= best.money:
                break
            best = self._better(walks, pipe, goal, best)
        return best

    def _order(self, walks: Walks, pipe: Pipe, stretch: float, shortest: float) -> Sequence[tuple[float, Goal]]:
        """Goals with a bound of what a run to them costs, cheapest first; of pressed runs the first few, unbounded."""
        level = max(k for k, mm in enumerate(LEVELS) if mm <= max(shortest, 1))
        works, goals = self._by_pipe[pipe.name][level].works, self.goals[pipe.name]
        found = [(float(walks.cost[g.state] + walks.weight(g) + works[self.index[g.end]]), n)
                 for n, g in enumerate(goals)]  # fmt: skip
        order = sorted(f for f in found if np.isfinite(f[0]))
        if stretch:
            return [(-np.inf, goals[n]) for _, n in order[:TRIED_WHEN_PRESSED]]
        return [(bound, goals[n]) for bound, n in order]

    def _better(self, walks: Walks, pipe: Pipe, goal: Goal, best: GasRun | None) -> GasRun | None:
        pieces = walks.back(goal)
        length, elbows, own = sum(p.length_mm for p in pieces), turns(pieces), money(pieces, pipe.rates)
        level = bisect_right(LEVELS, max(length, 1)) - 1
        least = own + self._by_pipe[pipe.name][level].works[self.index[goal.end]]
        for feed in self.feeding[self.index[goal.end]] if best is None or least < best.money else ():
            units = self.works.units(feed, goal.end, pipe, length, elbows)
            if units is not None and (best is None or own + units < best.money):
                works = self.works.works(feed, goal.end, pipe, length, elbows)
                best = GasRun(own + units, pipe.name, pieces, goal.end, works)
        return best


def _beaten(own: list[Level], other: list[Level], on_ties: bool) -> bool:
    """Whether another pipe is nowhere dearer: by length, by elbow, and by what its taps ask for."""
    a, b = own[0].pipe, other[0].pipe
    cheaper = b.rates.per_mm <= a.rates.per_mm and b.rates.bend <= a.rates.bend and b.bend_mm <= a.bend_mm
    return cheaper and all((y.works <= x.works).all() for x, y in zip(own, other, strict=True)) and (
        on_ties or b.rates.per_mm < a.rates.per_mm
    )

