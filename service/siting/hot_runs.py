"""The hot run of a heater, and the cold one that goes with it where pressure decides the sizes of both.

Friction of both branches comes out of one budget. What the cheapest cold run in a size leaves of it is a limit on the
length of the hot run in each of its own, which a shorter and dearer cold run moves (``paired.py``). So every pair of
sizes is a variant of the hot run, which pays what its cold run costs more than the cheapest: a larger size may be the
cheaper one.
"""

from __future__ import annotations

import numpy as np

from service.design import Service
from service.siting.hubs import Hubs
from service.siting.lifts import WATER_PRESSURE
from service.siting.needs import Need
from service.siting.offers import Offer
from service.siting.paired import Paired
from service.siting.tariffs import ANY_WAY
from service.siting.tracks import RunLimit, Track
from service.siting.variants import Variant, variant
from service.siting.waiting_price import LongestWait
from service.siting.ways import Ways
from service.trades.house_pressure import CONNECTION_MM, HousePressure
from service.trades.water_fittings import branch_fittings

NOTHING_FITS_MM = -1e9
"""Limit where no cold run comes to: finite, for prices on length multiply it."""


def hot_offer(ways: Ways, need: Need, hubs: Hubs, loose: bool) -> Offer:
    """One size and its cheapest route; where pressure binds, the cheapest pair of sizes that keeps it. ``loose``: of
    any length, for bounds."""
    pressure = ways.ground.pressures[need.heater.id]
    if pressure is None:
        return Offer([_plain(ways, need.hot_sizes[0], hubs, loose)])
    cold = cold_offer(ways, need, hubs)
    pairs = ((c, size) for c in cold.variants for size in need.hot_sizes)
    last = need.hot_sizes[-1] if ways.ground.lifted >= WATER_PRESSURE else None
    return Offer([
        _joint(ways, pressure, (cold, c), size, hubs, loose or (c is cold.variants[-1] and size == last))
        for c, size in pairs
    ])  # fmt: skip


def cold_offer(ways: Ways, need: Need, hubs: Hubs) -> Offer:
    """The cold run in one size; where pressure binds, in all that may go with a hot one, the cheapest chosen."""
    pressure = ways.ground.pressures[need.heater.id]
    if pressure is None:
        return Offer([variant(need.cold_sizes[0], ways.ended(Service.COLD, need.cold_sizes[0], ANY_WAY), hubs)])
    return Offer([_cold(ways, pressure, size, hubs) for size in need.cold_sizes])


def are_tied(ways: Ways, need: Need) -> bool:
    """Whether pressure decides the sizes of a heater's hot and cold runs, so that neither is chosen by itself."""
    return ways.ground.pressures[need.heater.id] is not None


def _track(ways: Ways, size: str) -> tuple[Track, int]:
    """Routes of a size, waiting included if it is priced, and what is the same for all of them."""
    waiting = ways.ground.waiting
    charges = None if waiting is None else waiting.charges(ways.anchors[Service.HOT])
    return ways.ended(Service.HOT, size, ANY_WAY, charges=charges), 0 if waiting is None else waiting.once(size)


def _plain(ways: Ways, size: str, hubs: Hubs, loose: bool) -> Variant:
    """The cheapest route, or the cheapest that keeps the wait below a limit."""
    (track, once), held = _track(ways, size), ways.ground.longest_wait
    if held is None or loose:
        return variant(size, track, hubs, once=once)
    within = _within(ways, track, size, held)
    return variant(size, track, hubs, limit=within.length_mm, extra=within.extra, once=once, rivals=True)


def _within(ways: Ways, track: Track, size: str, held: LongestWait) -> RunLimit:
    """A limit on the wait as one on the run in a size."""
    anchors = [ways.anchors[Service.HOT][name] for name in track.field.sources.names]
    return RunLimit(max(held.length_mm(size), NOTHING_FITS_MM), np.array(held.extra_mm(size, anchors)))


def _cold(ways: Ways, pressure: HousePressure, size: str, hubs: Hubs) -> Variant:
    """The cold run in one size where pressure decides; old pipe on its way counts as so much more of it."""
    track, rate = ways.ended(Service.COLD, size, ANY_WAY), pressure.branch_pa_mm(size, hot=False)
    anchors = [ways.anchors[Service.COLD][name] for name in track.field.sources.names]
    old = np.array([pressure.cold_pa(a.end_id, a.real) / rate for a in anchors], dtype=float)
    return variant(size, track, hubs, bend_mm=branch_fittings(size).elbow_mm, extra=old)


def _joint(
    ways: Ways, pressure: HousePressure, beside: tuple[Offer, Variant], size: str, hubs: Hubs, loose: bool
) -> Variant:
    """The hot run in one size beside the cold one in another, which is told with all that are offered; ``loose``: of
    any length."""
    (track, once), held = _track(ways, size), ways.ground.longest_wait
    rate, (offered, cold) = pressure.branch_pa_mm(size, hot=True), beside
    anchors = [ways.anchors[Service.HOT][name] for name in track.field.sources.names]
    extra = np.array([pressure.hot_need_pa(a.end_id, a.real) / rate for a in anchors], dtype=float)
    with np.errstate(invalid="ignore"):
        more = np.where(np.isfinite(cold.cost), cold.cost - offered.cost, np.inf)
    worth, cold_mm = pressure.branch_pa_mm(cold.option, hot=False) / rate, cold.used_mm()
    fittings = branch_fittings(size)
    taken = worth * (cold_mm + CONNECTION_MM + branch_fittings(cold.option).standing_mm)
    room = pressure.budget_pa / rate - taken
    limit = np.maximum(room - CONNECTION_MM - fittings.standing_mm, NOTHING_FITS_MM)
    return Paired(
        size, track, hubs.manifold(track.field.lattice), once + more, fittings.elbow_mm,
        np.full(len(limit), np.inf) if loose else limit, np.inf, extra, hubs.reach, rivals=True, moves=_moves(worth),
        plain=None if held is None or loose else _within(ways, track, size, held),
        cold=cold, worth=worth, cold_mm=cold_mm,
    )  # fmt: skip


def _moves(cold: float) -> tuple[float, ...]:
    """By how much a hot run may come nearer to its limit for each millimetre that the heater moves, if a millimetre of
    cold pipe takes as much as ``cold`` of hot: each of the two runs grows by one, shrinks by one, or stays [mm/mm]."""
    return 1.0, cold, 1 + cold, abs(1 - cold)
