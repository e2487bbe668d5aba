"""What one service costs at every hub, and the route behind the cheapest offer.

An offer is the least of several variants (pipe sizes, gravity or pump). A variant's cost is exact
where its cheapest route obeys the variant's limits; elsewhere it is a lower bound until settled by
the limited search.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from itertools import count

import numpy as np

from service.routing.fields import penalised
from service.routing.labels import Limits, Plain, Price, cheapest_within
from service.routing.lattice import Bools
from service.routing.planes import Ints
from service.routing.tariff import Floats
from service.siting.gas_plan import Tapping
from service.siting.tracks import Path, RunLimit, Track
from service.survey.intake_listing import IntakeSide

DEAREST = 1e300
RISE = 1.05
LEARN_AT = 4
"""Hubs settled one by one before all others are bounded by what these showed; again at 8, 16, ..."""


@dataclass(slots=True)
class Variant:
    """One way of serving all hubs. Shapes (hubs,) unless said.

    ``starts`` holds the states a run may begin in, shape (hubs, k), -1 for none. ``length_mm`` is the
    limit on equivalent length at each hub, ``excess`` how far the cheapest route is over it, ``fits``
    whether it obeys all limits (or there is none at all).
    ``extra`` adds to the length at each source, shape (sources,); inf closes a source. ``rivals``:
    other variants may take over, so hubs around which the limit cannot be met within ``reach`` [mm] are
    closed at once, not with the first that is settled. ``moves``: by how much ``excess`` may change for each millimetre
    that the heater moves; ``rises``: up or down, if by something else. ``refused``: by hub, the excesses of the
    cheapest and the shortest route, once it was settled. ``once`` is paid whatever the route. ``tapping``: what a gas
    run does to the old piping. ``cold``: the cold run that goes with a hot one. ``side``: where a twin-pipe vent's
    intake is. ``near`` marks hubs that do not fit but have places around them that may, ``raw`` is the cost without
    limits. ``plain``: a further limit, ``over`` how far the route is over it.
    """

    option: str
    track: Track
    starts: Ints
    once: Floats
    bend_mm: float
    length_mm: Floats
    max_bends: float
    extra: Floats
    reach: Ints
    rivals: bool = False
    moves: tuple[float, ...] = (1.0,)
    rises: float = 0.0
    pumped: bool = False
    tapping: Tapping | None = None
    cold: Variant | None = None
    side: IntakeSide | None = None
    plain: RunLimit | None = None
    cost: Floats = dataclass_field(init=False)
    settled: Bools = dataclass_field(init=False)
    fits: Bools = dataclass_field(init=False)
    near: Bools = dataclass_field(init=False)
    raw: Floats = dataclass_field(init=False)
    excess: Floats = dataclass_field(init=False)
    over: Floats = dataclass_field(init=False)
    refused: dict[int, tuple[float, ...]] = dataclass_field(init=False, default_factory=dict)
    paths: dict[int, Path] = dataclass_field(init=False, default_factory=dict)
    slopes: dict[bool, list[tuple[float, float]]] = dataclass_field(init=False)
    price: Price | None = dataclass_field(init=False, default=None)

    def __post_init__(self) -> None:
        best = self.best_starts()
        self.cost = np.append(self.track.field.cost, np.inf)[best] + self.once
        self.settled, self.slopes = np.ones(len(best), dtype=bool), {False: [], True: []}
        self.excess, self.over = np.zeros(len(best)), np.zeros(len(best))
        self.fits, self.near, self.raw = self.settled, ~self.settled, self.cost
        if np.isfinite(self.max_bends) or np.isfinite(self.length_mm).any() or self.plain is not None:
            self._hold_against_limits(best)

    def best_starts(self) -> Ints:
        """The state in which the cheapest run without limits begins at each hub."""
        cost = np.append(self.track.field.cost, np.inf)
        column = np.argmin(cost[self.starts], axis=1)
        return np.asarray(self.starts[np.arange(len(self.starts)), column])

    def _hold_against_limits(self, best: Ints) -> None:
        route = self.track.trace
        source = np.append(route.source, -1)[best]
        used = np.append(route.used(self.bend_mm), np.inf)[best] + np.append(self.extra, np.inf)[source]
        bends = np.append(route.bends, 0)[best]
        np.subtract(used, self.length_mm, out=self.excess, where=np.isfinite(used))
        holds = (used <= self.length_mm) & (bends <= self.max_bends)
        if self.plain is not None:
            run = np.append(route.run, np.inf)[best] + np.append(self.plain.extra, np.inf)[source]
            np.subtract(run, self.plain.length_mm, out=self.over, where=np.isfinite(run))
            holds &= run <= self.plain.length_mm
        self.settled = holds | ~np.isfinite(self.cost)
        self.fits, self.near, self.raw = self.settled.copy(), ~self.settled, self.cost.copy()
        if self.rivals and not self.fits.all():
            self._close_hopeless()

    def _close_hopeless(self) -> None:
        """Close the hubs around which not even the shortest route keeps within the limit."""
        hopeless = self._beyond(np.asarray(self.reach * max(*self.moves, self.rises), dtype=np.float64))
        self.cost[hopeless] = np.inf
        self.settled |= hopeless
        self.near &= ~hopeless

    def close_beyond(self) -> None:
        """Close all hubs from which no route at all keeps within the limits on length: settled one by one they would be
        closed too."""
        if self.fits.all():
            return
        beyond = self._beyond(0)
        self.cost[beyond & ~self.settled] = np.inf
        self.settled |= beyond

    def _beyond(self, spare_mm: float | Floats) -> Bools:
        """Hubs from which even the shortest route is beyond a limit on length by more than ``spare_mm``."""
        found = self._least(self.extra, self.bend_mm > 0) - spare_mm > self.length_mm
        if self.plain is not None:
            found |= self._least(self.plain.extra, False) - spare_mm > self.plain.length_mm
        return np.asarray(found)

    def _least(self, extra: Floats, bends: bool) -> Floats:
        """Least length from each hub, bends counted or not, an extra at each source added [mm]."""
        return np.asarray(np.append(self.track.shortest(extra, bends), np.inf)[self.starts].min(axis=1))

    def lacking(self, hub: int) -> tuple[float, float]:
        """How far the route at a hub is over its limit, and over that on the run alone [mm]; negative: what is left."""
        return float(self.excess[hub]), float(self.over[hub])

    def excesses(self, hub: int) -> set[float]:
        """The same of all routes at a hub that were looked at: those that were refused, and the shortest, besides."""
        return {e for e in (*self.lacking(hub), *self.refused.get(hub, ())) if e and np.isfinite(e)}

    def settle(self, hub: int, ceiling: float, is_over: Callable[[], bool]) -> None:
        """Replace the bound at a hub by the cheapest cost within the limits, inf if there is none; if
        that is above ``ceiling`` the bound only rises to just above it."""
        track, lacking = self.track, self.lacking(hub)
        starts = sorted({int(s) for s in self.starts[hub] if s >= 0})
        limits = Limits(float(self.length_mm[hub]), self.bend_mm, self.max_bends, self._plain())
        least, is_first = track.shortest(self.extra, self.bend_mm > 0), not self.refused
        self.refused[hub] = *lacking, float(least[starts].min(initial=np.inf)) - limits.length_mm
        if is_first:
            self._close_hopeless()
            if self.settled[hub]:
                return
        worse = self.plain is not None and lacking[1] > lacking[0]
        too_long = lacking[worse]
        if self.price is None and too_long > 0 and ceiling < DEAREST:
            self._raise(max(int((ceiling - float(self.raw[hub])) / too_long), 0), worse)
        most = min(ceiling - float(self.once[hub]), DEAREST)
        found = cheapest_within(starts, limits, track.field, track.walk, least, self.extra, most, is_over, self.price)
        self.settled[hub] = found is not None or most == DEAREST
        if found is not None:
            self.cost[hub], self.excess[hub] = found.cost + float(self.once[hub]), found.used - self.length_mm[hub]
            self.over[hub] = 0.0 if self.plain is None else found.run - self.plain.length_mm
            self.paths[hub] = Path(found.states, found.source)
            self.slopes[worse].append((float(self.cost[hub] - self.raw[hub]), too_long - self.lacking(hub)[worse]))
        elif most == DEAREST:
            self.cost[hub] = np.inf
        else:
            self.cost[hub] = ceiling + 1
            self.slopes[worse].append((ceiling - float(self.raw[hub]), too_long))

    def _plain(self) -> Plain | None:
        if self.plain is None:
            return None
        return Plain(self.plain.length_mm, self.plain.extra, self.track.shortest(self.plain.extra, False))

    def raise_bounds(self) -> None:
        """Raise the bounds at all hubs not settled by a price on length, the one that hubs settled last showed."""
        for plain, slopes in self.slopes.items():
            shown = sorted(units / mm for units, mm in slopes if mm > 0)
            slopes.clear()
            if shown:
                self._raise(int(shown[len(shown) // 2]), plain)

    def _raise(self, rate: int, plain: bool) -> None:
        """Raise the bounds at all hubs not settled by a price on length, or on the run alone [money units a mm]."""
        bend_mm, extra, limit = self.bend_mm, self.extra, self.length_mm
        if plain and self.plain is not None:
            bend_mm, extra, limit = 0, self.plain.extra, np.full(len(self.cost), self.plain.length_mm)
        priced = penalised(self.track.field, rate, bend_mm, extra, self.track.flat_only)
        least = np.append(priced, np.inf)[self.starts].min(axis=1) + self.once - rate * limit
        self.cost = np.where(self.settled, self.cost, np.maximum(self.cost, least))
        self.price = Price(rate, priced, plain)

    def path(self, hub: int) -> Path:
        """The route at a settled hub."""
        if hub in self.paths:
            return self.paths[hub]
        start = int(self.best_starts()[hub])
        field = self.track.field
        limited = np.isfinite(self.length_mm[hub])
        states = field.straight_path(start) if field.lattice.free_bends and not limited else field.path(start)
        return Path(tuple(states), int(self.track.entry[states[-1]]))


@dataclass(slots=True)
class Offer:
    """Variants of one service for one heater; ``cost`` is the least bound at each hub."""

    variants: list[Variant]
    cost: Floats = dataclass_field(init=False)
    choice: Ints = dataclass_field(init=False)

    settles: int = dataclass_field(init=False, default=0)
    closed_beyond: bool = dataclass_field(init=False, default=False)

    def __post_init__(self) -> None:
        self.compare()

    def compare(self) -> None:
        """Choose the cheapest variant at every hub."""
        costs = np.stack([v.cost for v in self.variants])
        self.choice = np.argmin(costs, axis=0)
        self.cost = costs[self.choice, np.arange(costs.shape[1])]

    def chosen(self, hub: int) -> Variant:
        """The variant with the least cost at a hub."""
        return self.variants[int(self.choice[hub])]

    def at_stake(self, hub: int) -> list[Variant]:
        """What is chosen at a hub, and what would be there but for its limits, which may be kept close by."""
        chosen = self.chosen(hub)
        return [v for v in self.variants if v is chosen or (v.near[hub] and v.raw[hub] < self.cost[hub])]

    def close_beyond(self) -> None:
        """Close the hubs of every variant that are beyond its limits on length; once is enough."""
        for variant in () if self.closed_beyond else self.variants:
            variant.close_beyond()
        self.closed_beyond = True
        self.compare()

    def settle(self, hub: int, is_over: Callable[[], bool], most: float = np.inf) -> bool:
        """Make the offer at a hub exact, or known to cost over ``most``; a variant need only be exact where it beats
        the others. True if the bounds at other hubs were raised too."""
        asked = sum(bool(v.refused) for v in self.variants)
        for attempt in count():
            costs = [v.cost[hub] for v in self.variants]  # a price on length may have raised some since
            self.choice[hub] = int(np.argmin(costs))
            self.cost[hub] = costs[int(self.choice[hub])]
            variant = self.chosen(hub)
            if variant.settled[hub] or self.cost[hub] > most:
                break
            # a settled rival is a ceiling; one that is itself a bound may yet rise, but not for ever
            rise = RISE if attempt < len(self.variants) else np.inf
            rivals = [float(v.cost[hub]) * (1 if v.settled[hub] else rise) for v in self.variants if v is not variant]
            variant.settle(hub, min([most, *rivals]), is_over)
        if has_closed := asked < sum(bool(v.refused) for v in self.variants):
            self.compare()
        return self._learn() or has_closed

    def _learn(self) -> bool:
        """Each time twice as many hubs have been settled, use what they showed on all others."""
        self.settles += 1
        if self.settles < LEARN_AT or self.settles & (self.settles - 1):
            return False
        for variant in self.variants:
            variant.raise_bounds()
        self.compare()
        return True
