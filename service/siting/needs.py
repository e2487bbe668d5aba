"""What each heater asks of the house, before any place is chosen; heaters it cannot have are left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import inf

from service.building.model import BuiltRoom
from service.design import Surface
from service.piping.feeds import feeds_of
from service.piping.network import Load, Network
from service.rules.rulesets import rule_set
from service.siting import lifts
from service.siting.air_plan import AirPlan
from service.siting.costing import OUTDOOR_KEY, Extras
from service.siting.gas_plan import GasPlan
from service.siting.power import power_obstacle
from service.siting.roof import is_twin
from service.siting.tariffs import intake_keys, terminal_key_of, vent_tariff
from service.survey.equipment import Draft, Heater, PriceBook
from service.survey.model import RoomUse, Survey, WaterItem
from service.trades import water
from service.trades.air import opens_outdoors
from service.trades.condensate import LINE_SIZE, nominal_in
from service.trades.demand import Duty, duty_of
from service.trades.demand_words import shortfall
from service.trades.freeze import needs_cold_fitting
from service.trades.gas_equation import ROUNDING
from service.trades.house_pressure import HousePressure, missing_facts, with_bought
from service.trades.vent_systems import fall_faults, suitability
from service.trades.water_items import water_items
from service.units import Quantity, told

NOT_TO_BE_HAD = 10**15
"""Dearer than any price [money units]."""


@dataclass(frozen=True, slots=True)
class Need:
    """One heater, with one of its vents or outdoors, and the sizes it takes.

    ``behind``: index of the need of the same heater that no design of this one can undercut but for the limits on its
    vent, None if none is known. ``cold_sizes`` and ``hot_sizes`` keep to the velocity limit, smallest first.
    """

    heater: Heater
    gas: GasPlan
    cold_sizes: tuple[str, ...]
    hot_sizes: tuple[str, ...]
    meter_upgrade: bool
    service_regulator: bool
    behind: int | None = None
    outdoors: bool = False

    @property
    def key(self) -> tuple[str, bool]:
        """Needs with equal keys hang alike."""
        return self.heater.label, self.outdoors

    @property
    def name(self) -> str:
        """The heater with its vent, or outdoors."""
        return hanging_name(self.heater, self.outdoors)


def hanging_name(heater: Heater, outdoors: bool) -> str:
    """What a heater with its vent, or outdoors, is called where one of several is chosen."""
    return f"{heater.label} outdoors" if outdoors else heater.label


def needs_of(survey: Survey, lifted: lifts.Rules = frozenset()) -> tuple[tuple[Need, ...], tuple[str, ...]]:
    """Heaters this house can feed, each with each of its vents and then outdoors, and why the others are left out.

    They are sorted by the heater's id and then as its listing names the vents: of equals the first wins. ``lifted``:
    limits (``lifts``) that leave none out.
    """
    reasons: list[str] = []
    fed: list[tuple[Heater, bool]] = []
    duty = None if (facts := survey.hot_water) is None or lifted >= lifts.DEMAND else duty_of(facts)
    offered = sorted(survey.heaters, key=lambda h: h.id)
    heaters = [_at_any_pressure(survey, h) for h in offered] if lifted >= lifts.GAS_INLET else offered
    alike = {_gas_key(h): h for h in heaters}
    suited = {key for key, h in alike.items() if feeds_of(survey.gas, survey.site.gas, survey.prices, h)}
    for heater in heaters:
        if reason := _obstacle(survey, heater, duty, lifted, _gas_key(heater) in suited):
            reasons.append(f"Heater {heater.label} is left out: {reason}.")
            continue
        barred = outdoor_obstacle(survey, heater)
        vented = heater.vented
        unsuited = {h.label: reason for h in vented if (reason := _vent_obstacle(survey, h))}
        fed += [(h, False) for h in vented if h.label not in unsuited]
        fed += [(heater, True)] if barred is None else []
        reasons += [f"Heater {label} is left out: {reason}." for label, reason in unsuited.items()]
        reasons += _not_outdoors(survey, heater, barred)
    plans = {_gas_key(h): h for h, _ in reversed(fed)}
    made = {key: GasPlan(survey, h, lifted >= lifts.gas_pipe(survey.gas.method)) for key, h in plans.items()}
    connected = Network(survey.gas, survey.site.gas).connected
    needs = tuple(replace(_need(survey, h, made[_gas_key(h)], connected), outdoors=outdoors) for h, outdoors in fed)
    return with_leaders(needs, survey), tuple(reasons)


def _not_outdoors(survey: Survey, heater: Heater, barred: str | None) -> Iterator[str]:
    """Why a heater is not hung outdoors, where that is told: it hangs nowhere else, or the survey allows it there."""
    if barred is None or heater.outdoor is None:
        return
    if not heater.indoors:
        yield f"Heater {heater.label} is left out: it hangs outdoors only; {barred}."
    elif survey.preferences.outdoors:
        yield f"Heater {heater.label} is not hung outdoors: {barred}."


def outdoor_obstacle(survey: Survey, heater: Heater) -> str | None:
    """Why a heater may not hang outdoors, whatever the place; None if it may."""
    listing, site = heater.outdoor, survey.site
    if listing is None or not heater.outdoor_listed:
        return "its listing says nothing of a place outdoors"
    if not survey.preferences.outdoors:
        return "the survey does not allow a heater outdoors"
    if OUTDOOR_KEY not in survey.prices.items:
        return f"the price book has no {OUTDOOR_KEY}"
    winter = told(Quantity.TEMPERATURE, site.winter_design_temperature_c, survey.units)
    if listing.min_temperature_c is None:
        return f"how cold it may get outdoors is not told, winter design temperature {winter}"
    if site.winter_design_temperature_c < listing.min_temperature_c:
        least = told(Quantity.TEMPERATURE, listing.min_temperature_c, survey.units)
        return f"it is listed outdoors down to {least}, winter design temperature {winter}"
    return None


def _at_any_pressure(survey: Survey, heater: Heater) -> Heater:
    """A heater that no gas pressure here suits as if any did."""
    if feeds_of(survey.gas, survey.site.gas, survey.prices, heater):
        return heater
    return replace(heater, gas_inlet_min_pa=0.0, gas_inlet_max_pa=inf)


def _obstacle(survey: Survey, heater: Heater, duty: Duty | None, lifted: lifts.Rules, suited: bool) -> str | None:
    """Why a heater is left out; ``suited``: some gas pressure that is to be had is within its inlet range."""
    if survey.site.fuel not in heater.fuels:
        return f"it does not burn {survey.site.fuel.replace('_', ' ')}"
    if not suited:
        return "no gas pressure to be had, less the permitted drop, is within its inlet range"
    if heater.condensing and not survey.drains:
        return "it condenses and the survey names no drain"
    if duty is not None and (short := shortfall(heater, duty, survey.site.altitude_m, survey.units)):
        return short
    if not lifted >= lifts.WATER_FLOW and not _water_sizes(survey, heater, hot=True):
        return "its flow is more than the largest water pipe of the tables carries"
    return (
        (None if lifted >= lifts.WATER_PRESSURE else _pressure_obstacle(survey, heater))
        or (None if lifted >= lifts.DRAIN_SIZE else _drain_obstacle(heater))
        or power_obstacle(survey, heater, lifted >= lifts.CIRCUIT)
    )


def _pressure_obstacle(survey: Survey, heater: Heater) -> str | None:
    """Whether water pressure would not do even without any pipe between supply, heater and fixtures."""
    if missing_facts(survey.water) or not heater.pressure_loss:
        return None
    pressure = HousePressure(with_bought(survey.water, survey.preferences.water_items), heater)
    short = pressure.least_need_pa - pressure.budget_pa
    if short <= 0:
        return None
    lacking = told(Quantity.WATER_PRESSURE, short, survey.units)
    return f"even without pipe before it a fixture would lack {lacking} of its least pressure with all fixtures open"


def _drain_obstacle(heater: Heater) -> str | None:
    own, line = (nominal_in(size) for size in (heater.drain_size or LINE_SIZE, LINE_SIZE))
    if heater.condensing and own is not None and line is not None and own > line:
        return f"its condensate connection of {heater.drain_size} in is larger than the {LINE_SIZE} in pipe of the book"
    return None


def _vent_obstacle(survey: Survey, heater: Heater) -> str | None:
    asked = suitability(heater, rule_set(survey.site.rule_set).country)
    faults = [s.detail for s in asked if s.suits is False]
    faults += [f"its vent {fault}" for fault in fall_faults(heater.vent, heater.category)]
    return faults[0] if faults else None


def _gas_key(heater: Heater) -> tuple[float, float, float]:
    """Heaters with equal keys ask the same of the gas system."""
    return heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa


def _water_sizes(survey: Survey, heater: Heater, hot: bool) -> tuple[str, ...]:
    """Sizes of its water branch that keep to the velocity limit, smallest first."""
    return water.branch_options(heater.max_flow_m3_s, hot=hot, material=survey.water.branch_material)


def _taken(survey: Survey, heater: Heater, hot: bool) -> tuple[str, ...]:
    """Those sizes, or the largest that there is for a heater that was let in without any."""
    return _water_sizes(survey, heater, hot) or (water.largest_branch(survey.water.branch_material),)


def _need(survey: Survey, heater: Heater, plan: GasPlan, connected: Load) -> Need:
    drawn = connected.plus(heater.input_max_w).drawn_w(survey.gas.diversity)
    passes = survey.gas.service_regulator_w
    return Need(
        heater=heater,
        gas=plan,
        cold_sizes=_taken(survey, heater, hot=False),
        hot_sizes=_taken(survey, heater, hot=True),
        meter_upgrade=drawn > survey.gas.meter_capacity_w * ROUNDING,
        service_regulator=passes is not None and drawn > passes * ROUNDING,
    )


def with_leaders(needs: tuple[Need, ...], survey: Survey) -> tuple[Need, ...]:
    """The needs, each told the first of the same heater that it is behind."""
    out = list(needs)
    for i, need in enumerate(needs):
        ahead = (k for k in range(i) if out[k].behind is None and _is_behind(need, needs[k], survey))
        out[i] = replace(need, behind=next(ahead, None))
    return tuple(out)


def _is_behind(need: Need, other: Need, survey: Survey) -> bool:
    """Whether each design with a heater's vent is one with its other vent that costs no more, limits on the vent aside:
    nothing of the vent is cheaper or thinner, it rises at least as far before it turns, and the other has no intake to
    place. Over a pitched roof a thinner terminal is held off by other amounts, so there they must be as thick."""
    if need.outdoors or other.outdoors or other.heater.vent.intake:
        return False
    if need.heater.id != other.heater.id or need.heater.draft is not Draft.DIRECT:
        return False
    own, others = need.heater.vent.terminal_radius_mm, other.heater.vent.terminal_radius_mm
    if own != others and survey.roof and any(p.pitch_in_12 for p in survey.roof.planes):
        return False
    pairs = zip(_vent_facts(need.heater, survey.prices), _vent_facts(other.heater, survey.prices), strict=True)
    return all(own >= others for own, others in pairs)


def _vent_facts(heater: Heater, prices: PriceBook) -> tuple[int, ...]:
    """Prices of the vent [money units], a roof terminal without one as dear as any, its radii and its rise [mm]."""
    listing, tariff = heater.vent, vent_tariff(prices, heater.vent)
    ends = [terminal_key_of(listing.system, False), *([intake_keys(listing.system)[2]] if listing.intake else [])]
    terminals = (sum(prices[key].units_each for key in ends), _over_roof_units(heater, prices))
    bundle = (listing.bundle_radius_mm, listing.terminal_radius_mm, heater.vent_rise_mm)
    return (tariff.per_mm[Surface.WALL], tariff.bend, *terminals, *bundle)


def _over_roof_units(heater: Heater, prices: PriceBook) -> int:
    price = prices.items.get(terminal_key_of(heater.vent.system, True))
    return NOT_TO_BE_HAD if price is None or is_twin(heater.vent) else price.units_each


def extras_by_room(plan: AirPlan, survey: Survey, rooms: Iterable[BuiltRoom], need: Need) -> list[Extras | None]:
    """``extras_in`` each of some rooms."""
    items, cold = water_items(survey), needs_cold_fitting(survey.site.winter_design_temperature_c)
    return [_extras(plan, room, need, items, cold) for room in rooms]


def extras_in(plan: AirPlan, survey: Survey, room: BuiltRoom, need: Need) -> Extras | None:
    """Things to buy if the heater hangs in this room, or on its wall outdoors, or None if it cannot have air there."""
    return extras_by_room(plan, survey, (room,), need)[0]


def _extras(
    plan: AirPlan, room: BuiltRoom, need: Need, items: tuple[WaterItem, ...], cold: bool
) -> Extras | None:
    if need.outdoors:
        return Extras(
            False, False, need.meter_upgrade, need.service_regulator, water_items=items, outdoors=True
        )  # fmt: skip
    air = None
    if need.heater.draft is not Draft.DIRECT:
        air = plan.cheapest(room.id, need.heater)
        if air is None:
            return None
    outdoors = air is not None and opens_outdoors(air.method)
    guard = room.use is RoomUse.GARAGE
    return Extras(outdoors, guard, need.meter_upgrade, need.service_regulator, cold, air, items)
