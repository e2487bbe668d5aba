"""What each trade offers at every hub of a stage: its sizes or ways, with the limits that hold for them."""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np

from service.design import Service
from service.piping.options import branch_options
from service.routing.sources import Charges
from service.routing.tariff import Floats, Sources
from service.siting.gas_plan import Tapping
from service.siting.gas_rivals import Rivals
from service.siting.hot_runs import are_tied, cold_offer, hot_offer
from service.siting.hubs import Hubs
from service.siting.needs import Need
from service.siting.offers import Offer
from service.siting.power import PowerWay, power_ways
from service.siting.tariffs import ANY_WAY, DOWNHILL, jog_units, vent_tariff
from service.siting.terminals import lawful, sides_of, terminal_key, vent_sources
from service.siting.variants import Variant, variant
from service.siting.ways import Ways
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.trades import condensate
from service.trades.power_options import PowerOption, piece_keys
from service.trades.vent import exhaust_limit


def offer_of(ways: Ways, service: Service, need: Need, hubs: Hubs, room: Floats, loose: bool = False) -> Offer:
    """Offer of one service for one heater; ``room`` is what it may cost at each hub [money units], -inf at hubs that
    cannot win, ``loose`` asks for bounds."""
    if service is Service.VENT:
        return _vent(ways, need, hubs, loose)
    if service is Service.GAS:
        return _gas(ways, need, hubs, room, loose)
    if service is Service.DRAIN:
        return _drain(ways, hubs, loose)
    if service is Service.POWER:
        return _power(ways, need, hubs)
    if service is Service.HOT:
        return hot_offer(ways, need, hubs, loose)
    return cold_offer(ways, need, hubs)


def asked_of(ways: Ways, service: Service, need: Need) -> Hashable | None:
    """What of a heater its offer of a service depends on, places and limits on runs aside; None if on all of it."""
    if service is Service.GAS:
        return id(need.gas)
    if service is Service.POWER:
        return tuple(_power_ways(ways, need))
    if service is Service.HOT:
        return id(ways.ground.pressures[need.heater.id]), need.cold_sizes, need.hot_sizes
    if service is Service.COLD:
        return need.cold_sizes[: None if are_tied(ways, need) else 1]
    return None if service is Service.VENT else ()


def floor_of(ways: Ways, service: Service, need: Need) -> float:
    """What a service costs at least wherever the heater hangs, told by its ends alone [money units]: nothing but for
    vents, whose terminal is most of their price."""
    if service is not Service.VENT:
        return 0.0
    sides = sides_of(need.heater.vent)
    return min(float(_vent_sources(ways, need.heater, side).costs.min(initial=np.inf)) for side in sides)


def _vent(ways: Ways, need: Need, hubs: Hubs, loose: bool) -> Offer:
    """One way, or one for each side that an intake may be on; ``loose``: of any length."""
    return Offer([_vent_way(ways, need, hubs, side, loose) for side in sides_of(need.heater.vent)])


def _vent_way(ways: Ways, need: Need, hubs: Hubs, side: IntakeSide | None, loose: bool) -> Variant:
    listing, key = need.heater.vent, (Service.VENT, _outlets_asked(ways, need.heater, side))
    track = ways.track(
        key, vent_tariff(ways.ground.survey.prices, listing), listing.bundle_radius_mm,
        lambda: _vent_sources(ways, need.heater, side), ways.exposed, listing.elbow_equivalent_mm,
    )  # fmt: skip
    longest, few = (np.inf, None) if loose else exhaust_limit(listing)
    limit, bends = float(longest - need.heater.vent_rise_mm), np.inf if few is None else few
    made = variant(listing.system, track, hubs, hubs.vent, limit, listing.elbow_equivalent_mm, bends)
    made.side = side
    return made


def _outlets_asked(ways: Ways, heater: Heater, side: IntakeSide | None) -> Hashable:
    """What the outlets of a vent, and its ways to them, depend on."""
    listing, key = heater.vent, terminal_key(heater, side)
    marks = frozenset((facade, zone) for facade, group in ways.active.terminal.get(key, {}).items() for zone in group)
    radii = listing.bundle_radius_mm, listing.pipe_radius_mm, listing.terminal_radius_mm
    shut, ends = tuple(sorted(ways.shut_outlets.get(key, ()))), ways.ends(heater)
    return listing.system, listing.elbow_equivalent_mm, listing.intake, radii, marks, shut, ends


def _vent_sources(ways: Ways, heater: Heater, side: IntakeSide | None) -> Sources:
    """Outlets that a vent may take, at what it costs to end there."""
    asked = _outlets_asked(ways, heater, side)
    if asked not in ways.vents:
        listing, key, prices = heater.vent, terminal_key(heater, side), ways.ground.survey.prices
        zones, shut = ways.active.terminal.get(key, {}), sorted(ways.shut_outlets.get(key, ()))
        free = ways.unbarred(heater, lawful(ways.outlets, zones, shut, ways.lines))
        jogs = np.array([jog_units(prices, listing, w.surface) for w in ways.ground.sheets.walls], dtype=float)
        ways.vents[asked] = vent_sources(ways.outlets, free, vent_tariff(prices, listing), ways.ends(heater), jogs)
    return ways.vents[asked]


def _gas(ways: Ways, need: Need, hubs: Hubs, room: Floats, loose: bool) -> Offer:
    """Tappings of every run that may be cheapest somewhere, the runs in turn."""
    ceiling = ways.ceilings.get(Service.GAS, np.inf)
    rivals = Rivals(ways.ground.survey.prices, room, everywhere=loose)
    variants: list[Variant] = []
    runs = ways.tappings(need.gas)
    while runs:
        for run in tuple(runs):
            tapping = next(run, None)
            beaten = tapping is None or rivals.beat(tapping)
            if tapping is None or (beaten and need.gas.is_orderly):
                runs.remove(run)
            elif not beaten and not tapping.is_shut and tapping.charges.units.min() <= ceiling:
                variants.append(_tapped(ways, hubs, tapping, loose and need.gas.is_orderly))
                rivals.add(tapping, variants[-1])
    return Offer(variants or [_closed(ways, hubs)])


def _tapped(ways: Ways, hubs: Hubs, tapping: Tapping, loose: bool) -> Variant:
    """One branch pipe from all anchors that it may leave; ``loose``: of any length, for a bound of all that follow."""
    track = ways.ended(Service.GAS, tapping.branch.name, ANY_WAY, charges=tapping.charges)
    extra = tapping.extra(ways.anchors[Service.GAS])[list(track.field.sources.names)]
    made = variant(
        tapping.branch.name, track, hubs, limit=np.inf if loose else tapping.limit_mm, bend_mm=tapping.bend_mm,
        extra=extra, rivals=True,
    )
    made.tapping = tapping
    return made


def _closed(ways: Ways, hubs: Hubs) -> Variant:
    """A branch that may leave nowhere."""
    shut = Charges(np.zeros(0, dtype=np.int64), np.zeros(0))
    survey = ways.ground.survey
    option = next(o for m in survey.gas.branch_materials for o in branch_options(survey.prices, m))
    return variant(option.name, ways.ended(Service.GAS, option.name, ANY_WAY, charges=shut), hubs)


def _drain(ways: Ways, hubs: Hubs, loose: bool) -> Offer:
    """By gravity as far as the fall lets it run, ``loose`` as far as one likes, or pumped."""
    floor, rate = int(ways.heights[0]), condensate.longest_run_mm(1)
    falling = ways.ended(Service.DRAIN, "gravity", DOWNHILL, flat_only=True)
    ends = [ways.anchors[Service.DRAIN][name] for name in falling.field.sources.names]
    extra = np.array([rate * (a.real[2] - floor) for a in ends], dtype=float)
    limit = np.asarray(rate * (hubs.manifold_z - floor), dtype=np.float64)
    gravity = variant("gravity", falling, hubs, limit=np.inf if loose else limit, extra=extra, rises=rate)
    lifted = variant(
        "pumped", ways.ended(Service.DRAIN, "pumped", ANY_WAY), hubs,
        once=ways.ground.survey.prices["drain.pump"].units_each,
    )  # fmt: skip
    lifted.pumped = True
    return Offer([gravity, lifted])


def _power(ways: Ways, need: Need, hubs: Hubs) -> Offer:
    """By cable from any circuit that may carry the heater, wired in, or by its own cord as far as that reaches."""
    nowhere = PowerWay(PowerOption.CABLE, (), np.inf)  # no outlet or panel is in the part of the house looked at
    found = _power_ways(ways, need) or [nowhere]
    return Offer([_powered(ways, hubs, way, len(ways.anchors[Service.POWER])) for way in found])


def _power_ways(ways: Ways, need: Need) -> list[PowerWay]:
    ground = ways.ground
    return power_ways(ground.survey, ground.building, need.heater, ways.anchors[Service.POWER], need.outdoors)


def _powered(ways: Ways, hubs: Hubs, way: PowerWay, count: int) -> Variant:
    prices, units = ways.ground.survey.prices, np.full(count, np.inf)
    units[list(way.anchors)] = 0
    charges = None if len(way.anchors) == count else Charges(np.arange(count), units)
    once = sum(prices[key].units_each for key in piece_keys(way.option))
    track = ways.ended(Service.POWER, way.option, ANY_WAY, charges=charges)
    return variant(way.option, track, hubs, limit=way.limit_mm, once=once, rivals=True)
