"""From which pressure zone, under which delivery pressure, a heater may take its gas."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from service.piping.extended import at_pressure
from service.piping.network import Network, Zone
from service.rules.tables import table
from service.survey.equipment import Heater, PriceBook
from service.survey.model import Appliance, GasCharacter, GasMethod, GasSupply, PressureOption
from service.trades.gas_capacity import Terms
from service.trades.gas_equation import ROUNDING
from service.trades.gas_parts import usual_inlet_pa

CHANGE_KEY = "gas.pressure_change"
REGULATOR_KEY = "gas.line_regulator"


@dataclass(frozen=True, slots=True)
class Feed:
    """One zone of the piping at one delivery pressure. ``set_point``: outlet and permitted drop of the heater's own
    line regulator [Pa], None where the zone's pressure suits it. ``units``: the supplier's allowance and the
    regulators that come with it [money units]."""

    pressure: PressureOption | None
    network: Network
    zone: int
    set_point: tuple[float, float] | None
    units: int

    @property
    def terms(self) -> Terms:
        """What capacity depends on here."""
        zone = self.network.zones[self.zone]
        return Terms(self.network.gas, zone.supply_pa, zone.drop_pa)

    @property
    def regulators(self) -> int:
        """Line regulators to buy."""
        return (self.set_point is not None) + (self.pressure is not None and self.pressure.regulated_pa is not None)


def feeds_of(supply: GasSupply, gas: GasCharacter, prices: PriceBook, heater: Heater) -> tuple[Feed, ...]:
    """All feeds that suit a heater, the delivery as it is first."""
    options: list[PressureOption | None] = [None, *supply.pressure_options]
    return tuple(f for o in options if _is_lawful(supply, gas, o) for f in _feeds_at(supply, gas, prices, heater, o))


def lawful_options(supply: GasSupply, gas: GasCharacter) -> tuple[PressureOption, ...]:
    """Other delivery pressures that suit every appliance and every old line regulator that is there."""
    suiting = (o for o in supply.pressure_options if _is_lawful(supply, gas, o))
    return tuple(o for o in suiting if _old_regulators_hold(supply, gas, o))


def _old_regulators_hold(supply: GasSupply, gas: GasCharacter, option: PressureOption) -> bool:
    network = Network(at_pressure(supply, option), gas)
    old = {r.node: r.capacity_w for r in supply.regulators}
    regulated = [k for k, zone in enumerate(network.zones) if zone.regulator is not None]
    drawn = {k: network.zone_load(k).drawn_w(supply.diversity) for k in regulated}
    passed = (drawn[k] <= (old.get(network.zones[k].root) or inf) * ROUNDING for k in regulated)
    return all(passed) and all(_has_pressure(network, k) for k in regulated)


def option_keys(option: PressureOption | None) -> tuple[str, ...]:
    """Price keys of what comes with a delivery pressure."""
    if option is None:
        return ()
    return (CHANGE_KEY,) if option.regulated_pa is None else (CHANGE_KEY, REGULATOR_KEY)


def _feeds_at(
    supply: GasSupply, gas: GasCharacter, prices: PriceBook, heater: Heater, option: PressureOption | None
) -> list[Feed]:
    network = Network(at_pressure(supply, option), gas)
    found = []
    for i, zone in enumerate(network.zones):
        if not _regulators_hold(network, i, option, heater):
            continue
        own = set_point_of(gas, heater) if _feeds_a_regulator(zone, heater, prices) else None
        if own is not None or _pressure_suits(zone, heater, supply.method):
            feed = Feed(option, network, i, own, 0)
            found.append(replace(feed, units=_units(feed, prices)))
    return found


def _regulators_hold(network: Network, zone: int, option: PressureOption | None, heater: Heater) -> bool:
    """Whether every old line regulator that the heater or another delivery pressure asks more of stands it. One of
    unknown capacity is taken as full, as a meter is; a new one is bought for its load."""
    behind = _behind(network, zone)
    asked = behind if option is None else [k for k, z in enumerate(network.zones) if z.regulator is not None]
    bought = {network.supply.delivery_node} if option is not None and option.regulated_pa is not None else set()
    return all(
        _has_pressure(network, k) and (network.zones[k].root in bought or _passes(network, k, k in behind, heater))
        for k in asked
    )


def _behind(network: Network, zone: int) -> list[int]:
    """Zones whose line regulators the gas of a zone has come through."""
    found = []
    while network.zones[zone].regulator is not None:
        found.append(zone)
        zone = network.zone_ahead(network.zones[zone].root)
    return found


def _passes(network: Network, zone: int, with_heater: bool, heater: Heater) -> bool:
    """Whether a zone's regulator passes its load, and the heater's if that hangs behind it."""
    regulator, load = network.zones[zone].regulator, network.zone_load(zone)
    assert regulator is not None
    if regulator.capacity_w is None:
        return not with_heater
    drawn = (load.plus(heater.input_max_w) if with_heater else load).drawn_w(network.supply.diversity)
    return drawn <= regulator.capacity_w * ROUNDING


def _has_pressure(network: Network, zone: int) -> bool:
    """Whether enough pressure is left ahead of a zone's regulator for its outlet and its own loss."""
    regulator, ahead = network.zones[zone].regulator, network.zones[network.zone_ahead(network.zones[zone].root)]
    assert regulator is not None
    return regulator.outlet_pa + (regulator.loss_pa or 0.0) <= (ahead.supply_pa - ahead.drop_pa) * ROUNDING


def _pressure_suits(zone: Zone, heater: Heater, method: GasMethod) -> bool:
    """Whether the heater's inlet range holds the zone's pressure without flow, and with the permitted drop taken
    off. Sizing by pressure keeps the drop to what the heater leaves. Source: listed instructions, common practice."""
    least = zone.supply_pa if method is GasMethod.PRESSURE else zone.supply_pa - zone.drop_pa
    return least >= heater.gas_inlet_min_pa and zone.supply_pa <= heater.gas_inlet_max_pa


def _feeds_a_regulator(zone: Zone, heater: Heater, prices: PriceBook) -> bool:
    """Whether a zone is above the heater's range, and high enough for a line regulator that can be bought."""
    enough = zone.supply_pa - zone.drop_pa >= table("gas_regulators").constant("least_ahead")
    return enough and zone.supply_pa > heater.gas_inlet_max_pa and REGULATOR_KEY in prices.items


def set_point_of(gas: GasCharacter, heater: Heater) -> tuple[float, float] | None:
    """Outlet pressure and permitted drop [Pa] of a heater's own line regulator, if its inlet range holds them."""
    constants = table("gas_regulators")
    outlet, drop = constants.constant(gas.fuel), constants.constant("drop")
    return (outlet, drop) if heater.gas_inlet_min_pa <= outlet - drop and outlet <= heater.gas_inlet_max_pa else None


def _units(feed: Feed, prices: PriceBook) -> int:
    change = prices[CHANGE_KEY].units_each if feed.pressure is not None else 0
    return change + (prices[REGULATOR_KEY].units_each * feed.regulators if feed.regulators else 0)


def _is_lawful(supply: GasSupply, gas: GasCharacter, option: PressureOption | None) -> bool:
    """Whether another delivery pressure suits every appliance that is there; as delivered it is no design's doing."""
    if option is None:
        return True
    network = Network(at_pressure(supply, option), gas)
    return all(_suits(a, network.zones[network.zone_behind(a.node)], gas) for a in supply.appliances)


def _suits(appliance: Appliance, zone: Zone, gas: GasCharacter) -> bool:
    """Whether a zone's pressure is within an appliance's inlet range: its nameplate's, else what is common."""
    usual_least, usual_most = usual_inlet_pa(gas.fuel)
    least = usual_least if appliance.inlet_min_pa is None else appliance.inlet_min_pa
    most = usual_most if appliance.inlet_max_pa is None else appliance.inlet_max_pa
    return zone.supply_pa <= most and zone.supply_pa - zone.drop_pa >= least
