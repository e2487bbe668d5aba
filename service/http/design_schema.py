"""Reads a design back from the very JSON that ``design_json`` writes.

Compulsory is the heater and what fixes each part that is given; ``Design.given`` keeps which those are. What only
tells it again in other words (room, heights above floor and grade, plan points of mount and terminal, lengths,
crossings, sums by trade) may be left out; where it is given it must agree, since nobody knows which of two
contradicting statements is meant. ``rank``, ``clearances``, ``gas_system``, ``vent_system``, ``condensate``,
``power``, ``water_quality``, ``relief_and_scald``, ``start_up``, ``waiting``, ``hot_water``, ``water_pressure`` and
``outdoors`` are taken and not read: findings are what the check is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from marshmallow import ValidationError

from service.building.model import Building
from service.design import (
    EVERY_PART,
    NO_MOUNT,
    NO_TERMINAL,
    CostLine,
    Design,
    GasWorks,
    Mount,
    Part,
    Piece,
    Renewal,
    RoofTerminal,
    Route,
    Service,
    Surface,
    Terminal,
)
from service.errors import Fault, InvalidRequest
from service.http.air_json import FIGURES, read_air
from service.http.design_json import design_json
from service.http.design_members import DesignSchema
from service.http.fields import reading
from service.http.quantities import Quantities
from service.http.roof_json import read_roof_terminal
from service.http.schemas.base import faults_of, pointer
from service.http.schemas.limits import check_limits
from service.settings import Settings
from service.survey.equipment import Heater
from service.survey.model import Point3, Survey, UnitSystem
from service.trades.air import opens_outdoors

Json = dict[str, Any]
Path = tuple[str | int, ...]

UNREAD = (
    "clearances", "gas_system", "vent_system", "condensate", "power", "water_quality", "relief_and_scald",
    "start_up", "waiting", "hot_water", "water_pressure", "outdoors",
)  # fmt: skip
WHOLE = frozenset({"mount", "terminal", "air_openings", "meter_upgrade", "routes", "cost"})
"""A document with all of these is a whole design: a run that it lacks is missing, not left out."""
_PART_OF = {
    "mount": Part.MOUNT, "terminal": Part.TERMINAL, "intake": Part.INTAKE, "air_openings": Part.AIR, "air": Part.AIR,
    "meter_upgrade": Part.GAS_WORKS, "gas": Part.GAS_WORKS, "cost": Part.COST,
}  # fmt: skip
_INDOORS, _OUTDOORS = ("wall", "distance_to_vent_line"), ("facade", "distance_to_flue_line")
AGREEMENT = {UnitSystem.SI: 1e-3, UnitSystem.US: 2.5e-3}
"""Told twice, figures may differ by this much in the unit of the answer: a place in whole millimetres in a turned frame
is up to 0.7 mm off what a caller says in his own unit."""


def load_design(document: object, survey: Survey, building: Building, settings: Settings) -> Design:
    """Design of a JSON document, in the building's frame.

    Raises:
        InvalidRequest: every fault of schema, reference or agreement found.
        LimitExceeded: a list or string beyond its limit.
    """
    if isinstance(document, dict):
        check_limits({k: v for k, v in document.items() if k not in UNREAD}, settings)
    try:
        with reading(survey.units, settings):
            raw: Json = DesignSchema().load(document)  # type: ignore[arg-type]  # it judges any value
    except ValidationError as error:
        raise InvalidRequest(faults_of(error.messages)) from None
    _refuse(_reference_faults(raw, survey, building))
    quantities = Quantities(survey.units, building.frame, survey.prices.currency)
    design = _design(raw, _heater(raw, survey), building, quantities)
    _refuse(_contradictions(document, design_json(design, building, quantities), AGREEMENT[survey.units], ()))
    return design


def _refuse(faults: Iterator[Fault]) -> None:
    if found := tuple(faults):
        raise InvalidRequest(found)


def _reference_faults(raw: Json, survey: Survey, building: Building) -> Iterator[Fault]:
    facades = {f.id for f in building.facades}
    places = (
        ("heater", "id", {h.id for h in survey.heaters}),
        ("mount", "wall", {f.id for f in building.faces}),
        ("mount", "facade", facades),
        ("terminal", "facade", facades),
        ("terminal", "roof", {p.id for p in building.roof}),
        ("intake", "facade", {f.id for f in building.facades}),
    )
    yield from _mount_faults(raw.get("mount"))
    for member, key, names in places:
        if key in (raw.get(member) or ()) and raw[member][key] not in names:
            yield Fault(pointer(member, key), "unknown_reference", "nothing in this survey has this id")
    yield from _unknown_vent(raw["heater"], survey)
    if not _parts_given(raw):
        yield Fault(pointer(), "missing", "besides the heater at least one part of a design is needed")
    seen: set[Service] = set()
    for i, route in enumerate(raw.get("routes", ())):
        if route["service"] in seen:
            yield Fault(pointer("routes", i, "service"), "duplicate", "this service has a run already")
        seen.add(route["service"])
        if len(route["points"]) < 2 or len(route["surfaces"]) != len(route["points"]) - 1:
            yield Fault(pointer("routes", i, "surfaces"), "wrong_count", "one surface is needed between two points")


def _unknown_vent(chosen: Json, survey: Survey) -> Iterator[Fault]:
    listed = {v.system for h in survey.heaters if h.id == chosen["id"] for v in h.listings}
    if listed and chosen.get("vent") is not None and chosen["vent"] not in listed:
        yield Fault(pointer("heater", "vent"), "unknown_reference", "the heater is not listed with this vent")


def _mount_faults(mount: Json | None) -> Iterator[Fault]:
    """A place on a wall is told by the vent port's line, one on a facade by the flue outlet's, none by both."""
    if mount is None:
        return
    outdoors = "facade" in mount
    asked, other = (_OUTDOORS, _INDOORS) if outdoors else (_INDOORS, _OUTDOORS)
    yield from (Fault(pointer("mount", k), "missing", "this field is compulsory") for k in asked if k not in mount)
    told = "it hangs outdoors on a facade" if outdoors else "it hangs in a room on a wall"
    yield from (Fault(pointer("mount", k), "contradiction", told) for k in other if k in mount)


def _parts_given(raw: Json) -> frozenset[Part]:
    """Parts that a document holds."""
    if raw.keys() >= WHOLE:
        return EVERY_PART
    runs = {Part.run(route["service"]) for route in raw.get("routes", ())}
    return frozenset(runs | {part for member, part in _PART_OF.items() if raw.get(member) is not None})


def _heater(raw: Json, survey: Survey) -> Heater:
    """The heater with the vent that is named, else with that of the vent's run, else with its standard one."""
    heater = next(h for h in survey.heaters if h.id == raw["heater"]["id"])
    runs = [r["option"] for r in raw.get("routes", ()) if r["service"] is Service.VENT]
    named = raw["heater"].get("vent", *runs[:1])
    return next((h for h in heater.vented if h.vent.system == named), heater)


def _design(raw: Json, heater: Heater, building: Building, q: Quantities) -> Design:
    cost, air = raw.get("cost", {"lines": (), "total": 0}), read_air(raw["air"]) if raw.get("air") else None
    return Design(
        heater=heater,
        mount=_mount(raw["mount"], building) if "mount" in raw else NO_MOUNT,
        terminal=_terminal(raw["terminal"], q) if "terminal" in raw else NO_TERMINAL,
        routes=tuple(_route(r, q) for r in raw.get("routes", ())),
        air_openings=raw.get("air_openings", air is not None and opens_outdoors(air.method)),
        meter_upgrade=raw.get("meter_upgrade", False),
        lines=tuple(read_line(line, q) for line in cost["lines"]),
        total_cents=q.read_money(cost["total"]),
        gas=_gas(raw.get("gas", {})),
        given=_parts_given(raw),
        cold_fitting=raw.get("cold_fitting", False),
        air=air,
        water_items=tuple(raw.get("water_items", ())),
        weighed_cents=None if cost.get("weighed_waiting") is None else q.read_money(cost["weighed_waiting"]),
        intake=_in_wall(raw["intake"]) if raw.get("intake") else None,
    )


def _mount(raw: Json, building: Building) -> Mount:
    if "facade" in raw:
        return Mount("", round(raw["distance_to_flue_line"]), round(raw["bottom_z"]), raw["facade"])
    face = building.face(raw["wall"])
    return Mount(face.id, round(face.length_mm - raw["distance_to_vent_line"]), round(raw["bottom_z"]))


def _terminal(raw: Json, q: Quantities) -> Terminal | RoofTerminal:
    if "roof" in raw:
        return read_roof_terminal(raw, q)
    return _in_wall(raw)


def _in_wall(raw: Json) -> Terminal:
    return Terminal(raw["facade"], round(raw["distance_along"]), round(raw["z"]))


def _gas(raw: Json) -> GasWorks:
    return GasWorks(
        renewals=tuple(read_renewal(r) for r in raw.get("renewals", ())),
        pressure_option=raw.get("pressure_option"),
        line_regulators=raw.get("line_regulators", 0),
        ahead_of_regulator=raw.get("ahead_of_regulator", False),
        service_regulator=raw.get("service_regulator", False),
    )


def read_renewal(raw: Json) -> Renewal:
    return Renewal(raw["segment"], raw["part"], raw["material"].value, raw["size"], round(raw["length"]))


def _route(raw: Json, q: Quantities) -> Route:
    return Route(
        service=raw["service"],
        option=raw["option"],
        end_id=raw["ends_at"],
        pieces=_pieces([q.to_frame(p) for p in raw["points"]], raw["surfaces"]),
        elbows=raw["elbows"],
        equivalent_mm=_whole(raw["equivalent_length"]),
        limit_mm=_whole(raw["limit"]),
        pumped=raw["pumped"],
    )


def _pieces(points: list[Point3], surfaces: list[Surface]) -> tuple[Piece, ...]:
    return tuple(Piece(a, b, s) for a, b, s in zip(points, points[1:], surfaces, strict=False))


def _whole(mm: float | None) -> int | None:
    return None if mm is None else round(mm)


def read_line(raw: Json, q: Quantities) -> CostLine:
    return CostLine(
        trade=raw["trade"],
        key=raw["key"],
        description=raw["description"],
        quantity=raw["quantity"],
        per=raw["per"].value,
        unit_price_cents=q.read_money(raw["unit_price"]),
        amount_cents=q.read_money(raw["amount"]),
    )


def _contradictions(given: object, meant: object, most: float, path: Path) -> Iterator[Fault]:
    """Places where the document tells something else than the design that it fixes."""
    if isinstance(given, dict) and isinstance(meant, dict):
        for key in [k for k in given if k in meant and k not in FIGURES and not _quantity_object(given[k])]:
            yield from _contradictions(given[key], meant[key], most, (*path, key))
    elif isinstance(given, list) and isinstance(meant, list) and len(given) == len(meant):
        for i, (a, b) in enumerate(zip(given, meant, strict=True)):
            yield from _contradictions(a, b, most, (*path, i))
    elif not _quantity_object(given) and not _agree(given, meant, most):
        yield Fault(pointer(*path), "contradiction", "the rest of the design says something else")


def _quantity_object(value: object) -> bool:
    """A figure with its own unit; only members that fix the design may be written so."""
    return isinstance(value, dict) and set(value) in ({"value", "unit"}, {"ft", "in"})


def _agree(given: object, meant: object, most: float) -> bool:
    if isinstance(given, bool) or isinstance(meant, bool):
        return given is meant
    if isinstance(given, int | float) and isinstance(meant, int | float):
        return abs(given - meant) <= most
    return given == meant
