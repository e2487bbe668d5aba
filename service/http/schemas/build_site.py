"""From a loaded site to the survey's: every default of the plot, its climate and its rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.schemas.air import build_house_air
from service.http.schemas.build_demand import build_climate
from service.http.schemas.build_gas import build_character
from service.http.schemas.build_storeys import build_opening
from service.http.schemas.notes import Notes, named
from service.survey.model import (
    AirInlet,
    Amendment,
    Deck,
    GradeLine,
    LotLine,
    Measuring,
    NeighbourWall,
    Point3,
    Regulator,
    RoomUse,
    Site,
    Storey,
    Way,
)
from service.units import Quantity, told

Entry = Mapping[str, Any]
DEFAULT_RULE_SET = "us-2021"
DEFAULT_WINTER_C = -20.0
DEFAULT_NEIGHBOUR_HEIGHT_MM = 12_000
DEFAULT_INLET_WIDTH_MM = 600
ABSENT_UNLESS_GIVEN = ("lot_lines", "neighbour_walls", "ways", "decks", "air_inlets")
BELOW_GROUND = frozenset({RoomUse.BASEMENT, RoomUse.CRAWL_SPACE})
RELIEF_UNKNOWN = "Local rule on relief valves not told, taken as the strictest, temperature and pressure relief"


def build_site(entry: Entry, storeys: tuple[Storey, ...], delivery: Point3 | None, notes: Notes) -> Site:
    """The site; ``delivery`` is where gas enters, if that is known."""
    gas = build_character(entry, notes)
    rules = notes.taken(entry.get("rule_set"), DEFAULT_RULE_SET, f"Rule set not given: {DEFAULT_RULE_SET}")
    grade = _grade(entry, storeys, notes)
    _note_absent(entry, notes)
    return Site(
        rule_set=rules,
        fuel=gas.fuel,
        heating_value_j_m3=gas.heating_value_j_m3,
        specific_gravity=gas.specific_gravity,
        altitude_m=gas.altitude_m,
        snow_depth_mm=notes.taken(entry.get("snow_depth"), 0, "Snow depth not given, taken as no snow"),
        winter_design_temperature_c=_winter(entry, notes),
        grade_z_mm=grade,
        grades=tuple(GradeLine(e["start"], e["end"], e["start_z"], e["end_z"]) for e in entry.get("grades", [])),
        lot_lines=tuple(
            LotLine(named(e, "lot-line", i), e["start"], e["end"]) for i, e in enumerate(entry.get("lot_lines", []))
        ),
        neighbour_walls=tuple(
            _neighbour(e, named(e, "neighbour-wall", i), grade, notes)
            for i, e in enumerate(entry.get("neighbour_walls", []))
        ),
        ways=tuple(_way(e, named(e, "way", i), grade, notes) for i, e in enumerate(entry.get("ways", []))),
        decks=tuple(_deck(e, named(e, "deck", i), notes) for i, e in enumerate(entry.get("decks", []))),
        air_inlets=tuple(_inlet(e, named(e, "inlet", i), notes) for i, e in enumerate(entry.get("air_inlets", []))),
        regulators=_regulators(entry, delivery, notes),
        amendments=tuple(_amendment(e) for e in entry.get("amendments", [])),
        measuring=entry.get("measuring", Measuring.RECTANGLE),
        spare_mm=entry.get("extra_clearance", 0),
        flood_elevation_mm=entry.get("flood_elevation"),
        electrical_code=entry.get("electrical_code"),
        relief=notes.unknown(entry.get("relief"), RELIEF_UNKNOWN, "site.relief"),
        relief_temperature_c=entry.get("relief_temperature"),
        climate=build_climate(entry.get("climate")),
        **build_house_air(entry, rules, notes),
    )


def _note_absent(entry: Entry, notes: Notes) -> None:
    absent = [f"site.{key}" for key in ABSENT_UNLESS_GIVEN if key not in entry]
    if absent:
        notes.warn(f"Not surveyed, taken as absent: have it confirmed on site: {', '.join(absent)}.")


def _winter(entry: Entry, notes: Notes) -> float:
    text = told(Quantity.TEMPERATURE, DEFAULT_WINTER_C, notes.system)
    sentence = f"Winter design temperature not given, taken as {text}"
    return notes.taken(entry.get("winter_design_temperature"), DEFAULT_WINTER_C, sentence)


def _grade(entry: Entry, storeys: tuple[Storey, ...], notes: Notes) -> int:
    """Ground as high as it may be: at the lowest floor that is not all basement or crawl space."""
    above = [s for s in storeys if any(r.use not in BELOW_GROUND for r in s.rooms)] or storeys
    lowest = min(above, key=lambda s: s.floor_z_mm)
    sentence = "Height of the ground not given, taken as level with the floor of storey"
    return notes.taken(entry.get("grade"), lowest.floor_z_mm, sentence, lowest.id)


def _neighbour(entry: Entry, name: str, grade: int, notes: Notes) -> NeighbourWall:
    base = notes.taken(entry.get("base"), grade, "Foot of neighbouring wall not given, taken at the ground", name)
    height = told(Quantity.LENGTH, DEFAULT_NEIGHBOUR_HEIGHT_MM / 1000, notes.system)
    sentence = f"Top of neighbouring wall not given, taken {height} over its foot"
    top = notes.taken(entry.get("top"), base + DEFAULT_NEIGHBOUR_HEIGHT_MM, sentence, name)
    openings = enumerate(entry.get("openings", []))
    built = tuple(build_opening(e, named(e, f"{name}-opening", i), base, top, notes) for i, e in openings)
    return NeighbourWall(name, entry["start"], entry["end"], base, top, built)


def _way(entry: Entry, name: str, grade: int, notes: Notes) -> Way:
    surface = notes.taken(entry.get("surface"), grade, "Surface of way not given, taken level with the ground", name)
    return Way(name, entry["kind"], notes.outline(entry["outline"], f"way {name}"), surface)


def _deck(entry: Entry, name: str, notes: Notes) -> Deck:
    is_eave = bool(entry.get("is_eave", False))
    if is_eave:
        notes.unknown(entry.get("vented"), "Eave not said to be unvented, treated as vented", name)
    return Deck(
        id=name,
        outline=notes.outline(entry["outline"], f"deck {name}"),
        underside_z_mm=entry["underside"],
        top_z_mm=notes.taken(entry.get("top"), entry["underside"], "Top of deck not given, taken as underside", name),
        open_sides=entry.get("open_sides"),
        is_eave=is_eave,
        vented=entry.get("vented"),
    )


def _inlet(entry: Entry, name: str, notes: Notes) -> AirInlet:
    text = told(Quantity.LENGTH, DEFAULT_INLET_WIDTH_MM / 1000, notes.system)
    sentence = f"Width of air inlet not given, taken as {text}"
    width = notes.taken(entry.get("width"), DEFAULT_INLET_WIDTH_MM, sentence, name)
    return AirInlet(name, entry["kind"], entry["at"], width, entry["bottom"], entry["top"])


def _regulators(entry: Entry, delivery: Point3 | None, notes: Notes) -> tuple[Regulator, ...]:
    """Those given; if the survey is silent, one where gas enters, which is where one mostly is."""
    if "regulators" not in entry and delivery is not None:
        notes.assume("No gas regulators given, one taken at the point of delivery")
        return (Regulator("delivery-regulator", delivery),)
    return tuple(
        Regulator(named(e, "regulator", i), e["at"], e.get("inlet_pressure"), e.get("with_meter", True))
        for i, e in enumerate(entry.get("regulators", []))
    )


def _amendment(entry: Entry) -> Amendment:
    return Amendment(
        entry["rule_id"], entry["distance"], entry["note"], entry.get("figure"), bool(entry.get("enforce", False))
    )
