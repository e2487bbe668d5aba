"""What each trade offers at every hub of a stage: its sizes or ways, with the limits that hold for them."""

from __future__ import annotations

import numpy as np

from service.design import Service, Surface
from service.routing.fields import Floats
from service.routing.lattice import Bools
from service.routing.planes import Ints
from service.siting.hubs import Hubs
from service.siting.needs import Need
from service.siting.offers import Offer, Track, Variant
from service.siting.tariffs import ANY_WAY, DOWNHILL, UPHILL, tariff_of
from service.siting.terminals import lawful, terminal_key, vent_sources
from service.siting.ways import Ways
from service.survey.equipment import PriceBook
from service.trades import condensate, gas


def offer_of(ways: Ways, service: Service, need: Need, hubs: Hubs, alive: Bools) -> Offer:
    """Offer of one service for one heater; ``alive`` marks the hubs that can still win."""
    if service is Service.VENT:
        return _vent(ways, need, hubs)
    if service is Service.GAS:
        return _gas(ways, need, hubs, alive)
    if service is Service.DRAIN:
        return _drain(ways, hubs)
    options = {Service.COLD: need.cold_size, Service.HOT: need.hot_size, Service.POWER: "cable"}
    return Offer([_variant(options[service], ways.ended(service, options[service], ANY_WAY), hubs)])


def _vent(ways: Ways, need: Need, hubs: Hubs) -> Offer:
    listing, radius = need.heater.vent, need.heater.vent.pipe_radius_mm
    tariff = tariff_of(ways.ground.survey.prices, Service.VENT, listing.system, UPHILL)
    zones = ways.active.terminal.get(terminal_key(need.heater), {})
    marks = frozenset((facade, zone) for facade, group in zones.items() for zone in group)
    shut = sorted(ways.shut_outlets)
    track = ways.track(
        (Service.VENT, listing.system, radius, marks, len(shut)), tariff, radius,
        lambda: vent_sources(ways.outlets, lawful(ways.outlets, zones, shut), tariff), ways.exposed(),
        listing.elbow_equivalent_mm,
    )  # fmt: skip
    limit = float(listing.max_equivalent_mm - need.heater.vent_rise_mm)
    bends = np.inf if listing.max_elbows is None else listing.max_elbows
    return Offer([_variant(listing.system, track, hubs, hubs.vent, limit, listing.elbow_equivalent_mm, bends)])


def _gas(ways: Ways, need: Need, hubs: Hubs, alive: Bools) -> Offer:
    """Sizes from the smallest up to the one that fits wherever it could matter.

    Taps that the old pipe holds to a shorter run than the size itself make a variant of their own: else
    the cheap near tap would hide the dearer one that a far heater must take.
    """
    totals = [need.gas.total_mm[a.end_id] for a in ways.anchors[Service.GAS]]
    variants: list[Variant] = []
    held: set[int] = {i for i, total in enumerate(totals) if total <= 0}
    for size in gas.SIZES:
        limit = need.gas.length_mm[size]
        dearest = _no_larger_is_cheaper(ways.ground.survey.prices, size)
        free = {i for i, total in enumerate(totals) if total >= limit}
        short = set(range(len(totals))) - free - held
        variants += [_gas_variant(ways, hubs, size, limit, totals, group) for group in (free, short) if group]
        held |= short if dearest else set()
        if free and dearest and variants[-1 - bool(short)].fits[alive].all():
            break
    return Offer(variants or [_gas_variant(ways, hubs, gas.SIZES[0], 0, totals, set())])


def _gas_variant(ways: Ways, hubs: Hubs, size: str, limit: int, totals: list[int], group: set[int]) -> Variant:
    """One size from a group of taps."""
    track = ways.ended(Service.GAS, size, ANY_WAY, shut=frozenset(range(len(totals))) - group)
    extra = np.array([max(limit - totals[name], 0) for name in track.field.sources.names], dtype=float)
    bend = gas.elbow_equivalent_mm(size)
    return _variant(size, track, hubs, hubs.manifold, float(limit), bend, extra=extra, rivals=True)


def _no_larger_is_cheaper(prices: PriceBook, size: str) -> bool:
    """Whether no larger gas pipe has a lower price, by length or by elbow."""
    own = tariff_of(prices, Service.GAS, size)
    larger = [tariff_of(prices, Service.GAS, s) for s in gas.SIZES[gas.SIZES.index(size) + 1 :]]
    return all(t.bend >= own.bend and t.per_mm[Surface.WALL] >= own.per_mm[Surface.WALL] for t in larger)


def _drain(ways: Ways, hubs: Hubs) -> Offer:
    """By gravity as far as the fall lets it run, or pumped."""
    floor, rate = int(ways.heights[0]), condensate.longest_run_mm(1)
    falling = ways.ended(Service.DRAIN, "gravity", DOWNHILL, flat_only=True)
    ends = [ways.anchors[Service.DRAIN][name] for name in falling.field.sources.names]
    extra = np.array([rate * (a.real[2] - floor) for a in ends], dtype=float)
    limit = np.asarray(rate * (hubs.manifold_z - floor), dtype=np.float64)
    gravity = _variant("gravity", falling, hubs, hubs.manifold, limit, extra=extra)
    lifted = _variant(
        "pumped", ways.ended(Service.DRAIN, "pumped", ANY_WAY), hubs,
        once=ways.ground.survey.prices["drain.pump"].units_each,
    )  # fmt: skip
    lifted.pumped = True
    return Offer([gravity, lifted])


def _variant(
    option: str, track: Track, hubs: Hubs, starts: Ints | None = None, limit: float | Floats = np.inf,
    bend_mm: float = 0, bends: float = np.inf, extra: Floats | None = None, once: int = 0, rivals: bool = False,
) -> Variant:  # fmt: skip
    """A variant that starts at the manifold and knows no limit, unless told otherwise."""
    starts = hubs.manifold if starts is None else starts
    extra = np.zeros(len(track.field.sources.names)) if extra is None else extra
    lengths = np.broadcast_to(limit, (len(starts),))
    return Variant(option, track, starts, once, bend_mm, lengths, bends, extra, hubs.reach, rivals)
