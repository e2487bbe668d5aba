"""One way of serving all hubs: its cheapest route at each, within limits.

A variant's cost is exact where its cheapest route obeys its limits; elsewhere it is a lower bound until settled by the
limited search.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from dataclasses import field as dataclass_field

import numpy as np

from service.routing.fields import penalised
from service.routing.labels import Limited, Limits, Plain, Price, routes_within
from service.routing.lattice import Bools
from service.routing.planes import Ints
from service.routing.tariff import Floats
from service.siting.gas_plan import Tapping
from service.siting.hubs import Hubs
from service.siting.tracks import Path, RunLimit, Track
from service.survey.intake_listing import IntakeSide

DEAREST = 1e300


@dataclass(frozen=True, slots=True)
class Cheapest:
    """The cheapest way within limits: its route, the cost [money units] and what it is over its limit [mm]."""

    route: Limited
    cost: float
    excess_mm: float


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
    run does to the old piping. ``side``: where a twin-pipe vent's intake is. ``near`` marks hubs that do not fit but
    have places around them that may, ``raw`` is the cost without limits. ``plain``: a further limit, ``over`` how far
    the route is over it.
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

    def used_mm(self) -> Floats:
        """Equivalent length of the cheapest run without limits, with what is added at its source [mm]."""
        route, best = self.track.trace, self.best_starts()
        source = np.append(route.source, -1)[best]
        return np.asarray(np.append(route.used(self.bend_mm), np.inf)[best] + np.append(self.extra, np.inf)[source])

    def _hold_against_limits(self, best: Ints) -> None:
        route, used = self.track.trace, self.used_mm()
        source = np.append(route.source, -1)[best]
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
        found = self.least_mm() - spare_mm > self.length_mm + self.room_beside_mm()
        if self.plain is not None:
            found |= self._least(self.plain.extra, False) - spare_mm > self.plain.length_mm
        return np.asarray(found)

    def least_mm(self) -> Floats:
        """Least equivalent length from each hub, with what is added at its source [mm]."""
        return self._least(self.extra, self.bend_mm > 0)

    def least_at_mm(self, hub: int) -> float:
        """The same from one hub."""
        shortest = self.track.shortest(self.extra, self.bend_mm > 0)
        return float(shortest[self.starts_at(hub)].min(initial=np.inf))

    def starts_at(self, hub: int) -> list[int]:
        """States in which a run may begin at a hub."""
        return sorted({int(s) for s in self.starts[hub] if s >= 0})

    def room_beside_mm(self) -> Floats | float:
        """How much longer a run may be at most, by hub, if one that goes with it is as short as can be [mm]."""
        return 0.0

    def gain_beside(self, rate: int) -> Floats | float:
        """How much less than the cheapest such run another comes to at most, by hub [money units], at a price on length
        [money units a mm]."""
        return 0.0

    def cheapest_within(self, hub: int, most: float, is_over: Callable[[], bool]) -> Cheapest | None:
        """The cheapest way within the limits, None if none costs at most ``most``, what is paid once aside."""
        limit = float(self.length_mm[hub])
        route = next(self.within(hub, limit, most, is_over), None)
        return None if route is None else Cheapest(route, route.cost, route.used - limit)

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
        lacking, is_first = self.lacking(hub), not self.refused
        over = lacking[0], self.least_at_mm(hub) - float(self.length_mm[hub])
        beside = float(np.broadcast_to(self.room_beside_mm(), self.cost.shape)[hub])
        self.refused[hub] = *lacking, *over, *(e - beside for e in over)
        if is_first:
            self._close_hopeless()
            if self.settled[hub]:
                return
        worse = self.plain is not None and lacking[1] > lacking[0]
        too_long = lacking[worse]
        if self.price is None and too_long > 0 and ceiling < DEAREST:
            self._raise(max(int((ceiling - float(self.raw[hub])) / too_long), 0), worse)
        most = min(ceiling - float(self.once[hub]), DEAREST)
        found = self.cheapest_within(hub, most, is_over)
        self.settled[hub] = found is not None or most == DEAREST
        if found is not None:
            self.cost[hub], self.excess[hub] = found.cost + float(self.once[hub]), found.excess_mm
            self.over[hub] = 0.0 if self.plain is None else found.route.run - self.plain.length_mm
            self.paths[hub] = Path(found.route.states, found.route.source)
            self.slopes[worse].append((float(self.cost[hub] - self.raw[hub]), too_long - self.lacking(hub)[worse]))
        elif most == DEAREST:
            self.cost[hub] = np.inf
        else:
            self.cost[hub] = ceiling + 1
            self.slopes[worse].append((ceiling - float(self.raw[hub]), too_long))

    def within(self, hub: int, limit_mm: float, most: float, is_over: Callable[[], bool]) -> Iterator[Limited]:
        """Routes at a hub within a limit on equivalent length and the other limits: the cheapest, then such as are
        shorter and dearer, up to ``most``, what is paid once aside [money units]."""
        starts, track = self.starts_at(hub), self.track
        limits = Limits(limit_mm, self.bend_mm, self.max_bends, self._plain())
        least = track.shortest(self.extra, self.bend_mm > 0)
        return routes_within(starts, limits, track.field, track.walk, least, self.extra, most, is_over, self.price)

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
        beside = 0.0 if plain else self.gain_beside(rate)
        priced = penalised(self.track.field, rate, bend_mm, extra, self.track.flat_only)
        least = np.append(priced, np.inf)[self.starts].min(axis=1) + self.once - rate * limit - beside
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


def variant(
    option: str, track: Track, hubs: Hubs, starts: Ints | None = None, limit: float | Floats = np.inf,
    bend_mm: float = 0, bends: float = np.inf, extra: Floats | None = None, once: int | Floats = 0,
    rivals: bool = False, plain: RunLimit | None = None, moves: tuple[float, ...] = (1.0,), rises: float = 0.0,
) -> Variant:  # fmt: skip
    """A variant that starts at the manifold and knows no limit, unless told otherwise."""
    starts = hubs.manifold(track.field.lattice) if starts is None else starts
    extra = np.zeros(len(track.field.sources.names)) if extra is None else extra
    lengths = np.broadcast_to(limit, (len(starts),))
    added = np.broadcast_to(np.asarray(once, dtype=float), (len(starts),))
    return Variant(
        option, track, starts, added, bend_mm, lengths, bends, extra, hubs.reach, rivals, moves, rises, plain=plain
    )  # fmt: skip
