"""What each heater asks of the house, before any place is chosen; heaters it cannot have are left out."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.model import Behind, Building, BuiltRoom
from service.siting.costing import Extras
from service.survey.equipment import Draft, Heater
from service.survey.model import RoomUse, Survey
from service.trades import air, gas, water


@dataclass(frozen=True, slots=True)
class GasReach:
    """Gas pipe for one input: longest total run by size, and by end what the old piping allows [mm]."""

    length_mm: dict[str, int]
    total_mm: dict[str, int]


@dataclass(frozen=True, slots=True)
class Need:
    """One heater with the sizes it takes."""

    heater: Heater
    gas: GasReach
    cold_size: str
    hot_size: str
    meter_upgrade: bool


def needs_of(survey: Survey) -> tuple[tuple[Need, ...], tuple[str, ...]]:
    """Heaters this house can feed, sorted by id, and why the others are left out."""
    heaters = sorted(survey.heaters, key=lambda h: h.id)
    obstacles = {h.id: _obstacle(survey, h) for h in heaters}
    fed = [h for h in heaters if not obstacles[h.id]]
    reach = {w: _gas_reach(survey, w) for w in sorted({h.input_max_w for h in fed})}
    reasons = tuple(f"Heater {h} is left out: {reason}." for h, reason in obstacles.items() if reason)
    return tuple(_need(survey, h, reach[h.input_max_w]) for h in fed), reasons


def _obstacle(survey: Survey, heater: Heater) -> str | None:
    if survey.site.fuel not in heater.fuels:
        return f"it does not burn {survey.site.fuel.replace('_', ' ')}"
    if not gas.inlet_ok(survey.gas, heater):
        return "the supply pressure, less the allowed drop, is outside its inlet range"
    if heater.condensing and not survey.drains:
        return "it condenses and the survey names no drain"
    if heater.max_flow_m3_s > water.largest_flow_m3_s():
        return "its flow is more than the largest water pipe of the tables carries"
    return None


def _need(survey: Survey, heater: Heater, reach: GasReach) -> Need:
    return Need(
        heater=heater,
        gas=reach,
        cold_size=water.branch_size(heater.max_flow_m3_s, hot=False),
        hot_size=water.branch_size(heater.max_flow_m3_s, hot=True),
        meter_upgrade=not gas.meter_ok(survey.gas, heater.input_max_w),
    )


def _gas_reach(survey: Survey, input_w: float) -> GasReach:
    site, supply = survey.site, survey.gas
    flow = gas.flow_m3_s(input_w, site.heating_value_j_m3)
    length = {
        s: gas.max_length_mm(s, flow, supply.allowable_drop_pa, site.specific_gravity) for s in gas.SIZES
    }  # fmt: skip
    taps = gas.taps(supply, site, input_w)
    total = {node: tap.max_total_mm for node, tap in taps.items()}
    total |= {s.id: taps[s.end].max_total_mm for s in supply.segments if s.end in taps}
    return GasReach(length, total)


def extras_in(survey: Survey, building: Building, room: BuiltRoom, need: Need) -> Extras | None:
    """Things to buy if the heater hangs in this room, or None if it cannot have air there."""
    openings = _needs_openings(survey, room, need.heater)
    if openings and not _has_outer_wall(building, room):
        return None
    return Extras(openings, room.use is RoomUse.GARAGE, need.meter_upgrade)


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
