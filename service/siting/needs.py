"""What each heater asks of the house, before any place is chosen; heaters it cannot have are left out."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Behind, Building, BuiltRoom
from service.piping.feeds import feeds_of
from service.piping.network import Network
from service.siting.costing import Extras
from service.siting.gas_plan import GasPlan
from service.survey.equipment import Draft, Heater
from service.survey.model import RoomUse, Survey
from service.trades import air, water
from service.trades.gas_equation import ROUNDING


@dataclass(frozen=True, slots=True)
class Need:
    """One heater with the sizes it takes."""

    heater: Heater
    gas: GasPlan
    cold_size: str
    hot_size: str
    meter_upgrade: bool
    service_regulator: bool


def needs_of(survey: Survey) -> tuple[tuple[Need, ...], tuple[str, ...]]:
    """Heaters this house can feed, sorted by id, and why the others are left out."""
    heaters = sorted(survey.heaters, key=lambda h: h.id)
    obstacles = {h.id: _obstacle(survey, h) for h in heaters}
    fed = [h for h in heaters if not obstacles[h.id]]
    plans: dict[tuple[float, float, float], GasPlan] = {}
    for h in fed:
        if _gas_key(h) not in plans:
            plans[_gas_key(h)] = GasPlan(survey, h)
    reasons = tuple(f"Heater {h} is left out: {reason}." for h, reason in obstacles.items() if reason)
    return tuple(_need(survey, h, plans[_gas_key(h)]) for h in fed), reasons


def _obstacle(survey: Survey, heater: Heater) -> str | None:
    if survey.site.fuel not in heater.fuels:
        return f"it does not burn {survey.site.fuel.replace('_', ' ')}"
    if not feeds_of(survey.gas, survey.site.gas, survey.prices, heater):
        return "no gas pressure to be had, less the permitted drop, is within its inlet range"
    if heater.condensing and not survey.drains:
        return "it condenses and the survey names no drain"
    if heater.max_flow_m3_s > water.largest_flow_m3_s():
        return "its flow is more than the largest water pipe of the tables carries"
    return None


def _gas_key(heater: Heater) -> tuple[float, float, float]:
    """Heaters with equal keys ask the same of the gas system."""
    return heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa


def _need(survey: Survey, heater: Heater, plan: GasPlan) -> Need:
    drawn = Network(survey.gas, survey.site.gas).connected.plus(heater.input_max_w).drawn_w(survey.gas.diversity)
    passes = survey.gas.service_regulator_w
    return Need(
        heater=heater,
        gas=plan,
        cold_size=water.branch_size(heater.max_flow_m3_s, hot=False),
        hot_size=water.branch_size(heater.max_flow_m3_s, hot=True),
        meter_upgrade=drawn > survey.gas.meter_capacity_w * ROUNDING,
        service_regulator=passes is not None and drawn > passes * ROUNDING,
    )


def extras_in(survey: Survey, building: Building, room: BuiltRoom, need: Need) -> Extras | None:
    """Things to buy if the heater hangs in this room, or None if it cannot have air there."""
    openings = _needs_openings(survey, room, need.heater)
    if openings and not _has_outer_wall(building, room):
        return None
    return Extras(openings, room.use is RoomUse.GARAGE, need.meter_upgrade, need.service_regulator)


def _needs_openings(survey: Survey, room: BuiltRoom, heater: Heater) -> bool:
    if heater.draft is Draft.DIRECT:
        return False
    # an appliance whose place is not known may stand here
    near = [a for a in survey.gas.appliances if a.room in (None, room.id) and a.direct_vent is not True]
    others = sum(a.input_w for a in near)
    return not air.room_air_ok(room.volume_m3, others + heater.input_max_w)


def _has_outer_wall(building: Building, room: BuiltRoom) -> bool:
    return any(
        s.behind is Behind.OUTDOORS for f in building.faces if f.room_id == room.id for s in f.stretches
    )  # fmt: skip
