"""From loaded water, drains and outlets to the survey's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.schemas.build_demand import build_terms
from service.http.schemas.build_fixtures import build_fixtures
from service.http.schemas.notes import Notes, named
from service.survey.model import (
    STANDARD_BRANCH,
    Circuit,
    Discharge,
    Drain,
    Receptacle,
    RoomUse,
    Storey,
    WaterAnalysis,
    WaterLine,
    WaterSupply,
)
from service.trades.water_quality import people_of, water_rule
from service.units import Quantity, told

Entry = Mapping[str, Any]
SLEPT_IN = (RoomUse.BEDROOM, RoomUse.UNKNOWN)


def build_water(entry: Entry, storeys: tuple[Storey, ...], notes: Notes) -> WaterSupply:
    """The water supply."""
    if "static_pressure" not in entry:
        notes.assume("Static water pressure not given and not judged")
    if "hardness" not in entry:
        notes.assume("Water hardness not given: descaling as for the hardest water, no softener sized")
    if not entry.get("fixtures"):
        notes.assume("No fixtures given: every outlet taken as near enough to water to need ground-fault protection")
    return WaterSupply(
        cold=tuple(_line(e, named(e, "cold", i)) for i, e in enumerate(entry["cold"])),
        hot=tuple(_line(e, named(e, "hot", i)) for i, e in enumerate(entry["hot"])),
        static_pressure_pa=entry.get("static_pressure"),
        hardness_mg_l=entry.get("hardness"),
        fixtures=build_fixtures(entry.get("fixtures", []), notes),
        softener=_there(entry, "softener", notes),
        analysis=_analysis(entry, notes),
        occupants=_occupants(entry, storeys, notes),
        daily_use_m3_s=entry.get("daily_use"),
        setpoint_c=note_setpoint(entry, notes),
        check_valve=entry.get("check_valve"),
        reducing_valve=entry.get("reducing_valve", True if "reducing_valve_setting" in entry else None),
        expansion_tank=_there(entry, "expansion_tank", notes),
        mixing_valve=_there(entry, "mixing_valve", notes),
        relief_discharge=_discharge(entry.get("relief_discharge")),
        demand=build_terms(entry.get("demand")),
        inlet_temperature_c=entry.get("inlet_temperature"),
        equipment_loss_pa=entry.get("equipment_loss"),
        reducing_valve_pa=entry.get("reducing_valve_setting"),
        branch_material=entry.get("branch_material", STANDARD_BRANCH),
    )


def _there(entry: Entry, key: str, notes: Notes) -> bool | None:
    return notes.unknown(entry.get(key), "Not told, taken as not there", f"water.{key}")


def _analysis(entry: Entry, notes: Notes) -> WaterAnalysis | None:
    given = entry.get("analysis")
    if given is None:
        return None
    if "calcium_hardness" not in given and "hardness" in entry:
        notes.assume("Calcium hardness not given, all hardness is taken as calcium, the worst case for scale")
    return WaterAnalysis(
        ph=given.get("ph"),
        tds_mg_l=given.get("tds"),
        calcium_mg_l=given.get("calcium_hardness"),
        alkalinity_mg_l=given.get("alkalinity"),
        chloride_mg_l=given.get("chloride"),
        iron_mg_l=given.get("iron"),
        temperature_c=given.get("temperature"),
    )


def _discharge(entry: Entry | None) -> Discharge | None:
    if entry is None:
        return None
    lengths = {"end_height": "end_height_mm"}
    return Discharge(**{lengths.get(key, key): value for key, value in entry.items()})


def _occupants(entry: Entry, storeys: tuple[Storey, ...], notes: Notes) -> int:
    """People in the house; rooms that may be bedrooms count as such."""
    taken = people_of(sum(room.use in SLEPT_IN for storey in storeys for room in storey.rooms))
    return notes.taken(entry.get("occupants"), taken, f"Number of people not given, taken as bedrooms and one, {taken}")


def note_setpoint(entry: Entry, notes: Notes) -> float | None:
    """The heater's setpoint; what is taken where it is not given is told."""
    usual = told(Quantity.TEMPERATURE, water_rule("setpoint").value, notes.system)
    sentence = f"Setpoint of the heater not given, taken as {usual}, as heaters are delivered (common practice)"
    return notes.unknown(entry.get("setpoint"), sentence, "water.setpoint")


def build_drain(entry: Entry, index: int) -> Drain:
    """One drain."""
    return Drain(named(entry, "drain", index), entry["at"])


def build_receptacle(entry: Entry, index: int) -> Receptacle:
    """One outlet or panel."""
    return Receptacle(
        named(entry, "receptacle", index), entry["at"], entry.get("is_panel", False),
        _circuit(entry.get("circuit", {})), entry.get("gfci"), entry.get("free_spaces"),
        entry.get("panel_voltage"),
    )  # fmt: skip


def _circuit(entry: Entry) -> Circuit:
    return Circuit(
        voltage_v=entry.get("voltage"),
        breaker_a=entry.get("breaker"),
        load_w=entry.get("present_load"),
        fixed_load_w=entry.get("fixed_load"),
        dedicated=entry.get("dedicated"),
        wire=entry.get("wire"),
        wire_length_mm=entry.get("wire_length"),
    )


def _line(entry: Entry, name: str) -> WaterLine:
    return WaterLine(name, tuple(entry["points"]), entry["size"], entry["material"])
