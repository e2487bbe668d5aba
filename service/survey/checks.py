"""Contradictions that no schema can see: a survey in, every fault with its JSON Pointer out.

Lists of the survey are in the order of the document, so a position here is a position there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Protocol

from service.errors import Fault
from service.survey.air_checks import joined_faults
from service.survey.dwelling_checks import dwelling_faults
from service.survey.end_checks import end_faults
from service.survey.equipment import Draft, Heater, PortService, VentListing
from service.survey.gas_checks import gas_faults, gas_warnings, supply_faults
from service.survey.heater_checks import outdoor_faults
from service.survey.model import GasSupply, Survey, WaterItem
from service.survey.opening_checks import opening_faults, unmatched_walls
from service.survey.plan_checks import outline_faults, overlap_faults, overlap_warnings, overlaps
from service.survey.power_checks import power_faults
from service.survey.question_checks import question_faults
from service.survey.roof import Roof
from service.survey.roof_checks import roof_faults, roof_warnings
from service.survey.room_checks import room_faults
from service.survey.water_checks import water_faults

COMPULSORY_PORTS = (PortService.GAS, PortService.COLD, PortService.HOT)


class Named(Protocol):
    """Anything with an id."""

    @property
    def id(self) -> str:
        """Name that no other thing of its kind has."""


Lists = dict[str, tuple[str, Sequence[Named]]]
"""Kind -> where its list stands in the document, and the list."""


def check_survey(survey: Survey) -> tuple[tuple[Fault, ...], tuple[str, ...]]:
    """Faults and warnings. Shapes are compared with one another only once each is sound by itself."""
    faults = [
        *duplicate_ids(survey),
        *reference_faults(survey),
        *wish_faults(survey),
        *joined_faults(survey),
        *height_faults(survey),
        *line_faults(survey),
        *heater_faults(survey),
        *room_faults(survey),
        *gas_faults(survey),
        *power_faults(survey),
        *water_faults(survey.water),
        *dwelling_faults(survey),
    ]
    if unsound := list(outline_faults(survey)):
        return tuple(faults + unsound), ()
    common = tuple(overlaps(survey))
    faults += [*overlap_faults(survey, common), *opening_faults(survey), *roof_faults(survey), *question_faults(survey)]
    faults += end_faults(survey)
    warned = (*overlap_warnings(survey, common), *unmatched_walls(survey), *roof_warnings(survey))
    return tuple(faults), (*warned, *gas_warnings(survey.gas))


def check_supply(gas: GasSupply) -> tuple[tuple[Fault, ...], tuple[str, ...]]:
    """Faults and warnings of a gas supply that comes without a house."""
    return (*_duplicates(_placed(_gas_lists(gas))), *supply_faults(gas)), tuple(gas_warnings(gas))


def duplicate_ids(survey: Survey) -> Iterator[Fault]:
    """Ids that two things of one kind share."""
    return _duplicates(_named(survey))


def _duplicates(named: dict[str, list[tuple[str, str]]]) -> Iterator[Fault]:
    for kind, entries in named.items():
        seen: set[str] = set()
        for place, name in entries:
            if name in seen:
                yield Fault(f"{place}/id", "duplicate_id", f"another {kind} has the id {name!r}")
            seen.add(name)


def _named(survey: Survey) -> dict[str, list[tuple[str, str]]]:
    """Places and ids of everything that has one, by kind."""
    site, storeys = survey.site, list(enumerate(survey.storeys))
    openings = [(f"#/storeys/{i}/openings/{j}", o.id) for i, s in storeys for j, o in enumerate(s.openings)]
    openings += [
        (f"#/site/neighbour_walls/{i}/openings/{j}", o.id)
        for i, w in enumerate(site.neighbour_walls)
        for j, o in enumerate(w.openings)
    ]
    lists: Lists = {
        "storey": ("storeys", survey.storeys),
        "chase": ("chases", survey.chases),
        "drain": ("drains", survey.drains),
        "receptacle": ("receptacles", survey.receptacles),
        "place asked about": ("what_about", survey.what_about),
        "dwelling": ("dwellings", survey.dwellings),
        "heater": ("heaters", survey.heaters),
        **_gas_lists(survey.gas),
        "fixture": ("water/fixtures", survey.water.fixtures),
        "lot line": ("site/lot_lines", site.lot_lines),
        "neighbouring wall": ("site/neighbour_walls", site.neighbour_walls),
        "way": ("site/ways", site.ways),
        "deck": ("site/decks", site.decks),
        "air inlet": ("site/air_inlets", site.air_inlets),
        "regulator": ("site/regulators", site.regulators),
        **_roof_lists(survey.roof),
    }
    water = {"cold": survey.water.cold, "hot": survey.water.hot}
    return {
        **_placed(lists),
        "room": [(f"#/storeys/{i}/rooms/{j}", r.id) for i, s in storeys for j, r in enumerate(s.rooms)],
        "opening": openings,
        "wall": [(f"#/storeys/{i}/walls/{j}", w.id) for i, s in storeys for j, w in enumerate(s.walls)],
        "keep-out": [(f"#/storeys/{i}/keep_outs/{j}", k.id) for i, s in storeys for j, k in enumerate(s.keep_outs)],
        "water line": [(f"#/water/{k}/{i}", line.id) for k, lines in water.items() for i, line in enumerate(lines)],
    }


def _roof_lists(roof: Roof | None) -> Lists:
    if roof is None:
        return {}
    return {
        "roof plane": ("roof/planes", roof.planes),
        "roof opening": ("roof/openings", roof.openings),
        "roof obstruction": ("roof/obstructions", roof.obstructions),
    }


def _gas_lists(gas: GasSupply) -> Lists:
    return {
        "gas node": ("gas/nodes", gas.nodes),
        "gas segment": ("gas/segments", gas.segments),
        "appliance": ("gas/appliances", gas.appliances),
        "pressure option": ("gas/pressure_options", gas.pressure_options),
    }


def _placed(lists: Lists) -> dict[str, list[tuple[str, str]]]:
    return {kind: [(f"#/{path}/{i}", e.id) for i, e in enumerate(entries)] for kind, (path, entries) in lists.items()}


def reference_faults(survey: Survey) -> Iterator[Fault]:
    """Names of rooms that the survey does not have, and rooms both wanted and refused."""
    rooms = {r.id for s in survey.storeys for r in s.rooms}
    wishes = survey.preferences
    named = [
        *((f"#/storeys/{i}/rooms/{j}/opens_only_into", r.opens_only_into)
          for i, s in enumerate(survey.storeys) for j, r in enumerate(s.rooms)),
        *((f"#/gas/appliances/{i}/room", a.room) for i, a in enumerate(survey.gas.appliances)),
        *((f"#/preferences/rooms_refused/{i}", room) for i, room in enumerate(wishes.rooms_refused)),
        *((f"#/preferences/rooms_wanted/{i}", room) for i, room in enumerate(wishes.rooms_wanted)),
    ]  # fmt: skip
    for place, room in named:
        if room is not None and room not in rooms:
            yield Fault(place, "unknown_room", f"there is no room {room!r}")
    for i, room in enumerate(wishes.rooms_wanted):
        if room in wishes.rooms_refused:
            yield Fault(f"#/preferences/rooms_wanted/{i}", "contradiction", f"room {room!r} is also refused")


def wish_faults(survey: Survey) -> Iterator[Fault]:
    """Things wished for the water that are there already."""
    water = survey.water
    there = {
        WaterItem.SOFTENER: water.softener,
        WaterItem.EXPANSION_TANK: water.expansion_tank,
        WaterItem.MIXING_VALVE: water.mixing_valve,
    }
    for i, item in enumerate(survey.preferences.water_items):
        if there.get(item):
            yield Fault(f"#/preferences/water_items/{i}", "contradiction", f"{item} is there already")


def height_faults(survey: Survey) -> Iterator[Fault]:
    """Things whose upper end is not over their lower one."""
    pairs = [
        *((f"#/storeys/{i}/ceiling", s.floor_z_mm, s.ceiling_z_mm) for i, s in enumerate(survey.storeys)),
        *((f"#/storeys/{i}/rooms/{j}/ceiling", r.floor_z_mm, r.ceiling_z_mm)
          for i, s in enumerate(survey.storeys) for j, r in enumerate(s.rooms)),
        *((f"#/storeys/{i}/keep_outs/{j}/top", k.base_z_mm, k.top_z_mm)
          for i, s in enumerate(survey.storeys) for j, k in enumerate(s.keep_outs)),
        *((f"#/chases/{i}/top", c.base_z_mm, c.top_z_mm) for i, c in enumerate(survey.chases)),
        *((f"#/site/neighbour_walls/{i}/top", w.base_z_mm, w.top_z_mm)
          for i, w in enumerate(survey.site.neighbour_walls)),
        *((f"#/site/air_inlets/{i}/top", a.bottom_z_mm, a.top_z_mm) for i, a in enumerate(survey.site.air_inlets)),
        *((f"#/site/decks/{i}/top", d.underside_z_mm, d.top_z_mm + 1) for i, d in enumerate(survey.site.decks)),
    ]  # fmt: skip
    return (Fault(place, "upside_down", "the upper end is not over the lower") for place, a, b in pairs if b <= a)


def line_faults(survey: Survey) -> Iterator[Fault]:
    """Lines without length."""
    site = survey.site
    lines = [
        *((f"#/site/grades/{i}/end", g.start, g.end) for i, g in enumerate(site.grades)),
        *((f"#/site/lot_lines/{i}/end", g.start, g.end) for i, g in enumerate(site.lot_lines)),
        *((f"#/site/neighbour_walls/{i}/end", g.start, g.end) for i, g in enumerate(site.neighbour_walls)),
        *((f"#/storeys/{i}/walls/{j}/end", w.start, w.end)
          for i, s in enumerate(survey.storeys) for j, w in enumerate(s.walls)),
    ]  # fmt: skip
    for place, start, end in lines:
        if start == end:
            yield Fault(place, "no_length", "start and end are the same point")
    for kind, pipes in (("cold", survey.water.cold), ("hot", survey.water.hot)):
        for i, pipe in enumerate(pipes):
            if len(set(pipe.points)) < 2:
                yield Fault(f"#/water/{kind}/{i}/points", "no_length", "a pipe needs two different points")


def heater_faults(survey: Survey) -> Iterator[Fault]:
    """Heaters that cannot be connected, or contradict themselves or the fuel."""
    for i, heater in enumerate(survey.heaters):
        yield from _port_faults(f"#/heaters/{i}", heater)
        if survey.site.fuel not in heater.fuels:
            yield Fault(f"#/heaters/{i}", "wrong_fuel", f"heater {heater.id!r} does not burn {survey.site.fuel}")
        for field, low, high in (
            ("input_max", heater.input_min_w, heater.input_max_w),
            ("gas_inlet_max", heater.gas_inlet_min_pa, heater.gas_inlet_max_pa),
            ("max_flow", heater.activation_flow_m3_s, heater.max_flow_m3_s),
        ):
            if high < low:
                yield Fault(f"#/heaters/{i}/{field}", "upside_down", "the greatest is less than the least")
        yield from _vent_faults(f"#/heaters/{i}", heater)
        yield from outdoor_faults(f"#/heaters/{i}", heater)
        flows = [flow for flow, _ in heater.pressure_loss]
        if flows != sorted(set(flows)):
            yield Fault(f"#/heaters/{i}/pressure_loss", "not_rising", "flows must rise from entry to entry")


def _vent_faults(place: str, heater: Heater) -> Iterator[Fault]:
    """Terminals thinner than their pipe, and vents of one system, which no design could tell apart."""
    names = ["vent", *(f"other_vents/{k}" for k in range(len(heater.listings) - 1))][: len(heater.listings)]
    systems = [listing.system for listing in heater.listings]
    for k, (name, listing) in enumerate(zip(names, heater.listings, strict=True)):
        if listing.terminal_radius_mm < listing.pipe_radius_mm:
            yield Fault(f"{place}/{name}/terminal_radius", "upside_down", "the greatest is less than the least")
        yield from _intake_faults(f"{place}/{name}", heater, listing)
        if listing.system in systems[:k]:
            yield Fault(f"{place}/{name}/system", "duplicate", "the heater has a vent of this system already")


def _intake_faults(place: str, heater: Heater, listing: VentListing) -> Iterator[Fault]:
    """A twin-pipe vent on a heater that burns room air, or terminals and pipes that overlap."""
    intake = listing.intake
    if intake is None:
        return
    if heater.draft is not Draft.DIRECT:
        yield Fault(f"{place}/construction", "contradiction", "a heater that burns room air has no intake to place")
    if intake.terminal_radius_mm < intake.pipe_radius_mm:
        yield Fault(f"{place}/intake/terminal_radius", "upside_down", "the greatest is less than the least")
    if intake.apart_mm < intake.terminal_radius_mm + listing.terminal_radius_mm:
        yield Fault(f"{place}/intake/apart", "overlap", "so near the two terminals overlap")


def _port_faults(place: str, heater: Heater) -> Iterator[Fault]:
    held = Counter(port.service for port in heater.ports)
    asked = {PortService.VENT: heater.indoors, PortService.DRAIN: heater.condensing}
    for service in (*COMPULSORY_PORTS, *(s for s, needed in asked.items() if needed)):
        if not held[service]:
            yield Fault(f"{place}/ports", "missing_port", f"heater {heater.id!r} has no port for {service}")
    for j, port in enumerate(heater.ports):
        if port.dx_mm > heater.width_mm:
            yield Fault(f"{place}/ports/{j}/dx", "outside_case", "the port is beyond the case's right edge")
        if held[port.service] > 1:
            yield Fault(f"{place}/ports/{j}/service", "duplicate_port", f"more than one port for {port.service}")
