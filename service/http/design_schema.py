"""Reads a design back from the very JSON that ``design_json`` writes.

Compulsory is what fixes the design. What only tells it again in other words (room, heights above floor
and grade, plan points of mount and terminal, lengths, crossings, sums by trade) may be left out; where it
is given it must agree, since nobody knows which of two contradicting statements is meant. ``rank``,
``clearances`` and ``gas_system`` are taken and not read: findings are what the check is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from marshmallow import ValidationError

from service.building.model import Building
from service.design import (
    CostLine,
    Design,
    GasWorks,
    Mount,
    Piece,
    Renewal,
    Route,
    Service,
    Surface,
    Terminal,
)
from service.errors import Fault, InvalidRequest
from service.http.design_json import design_json
from service.http.design_members import DesignSchema
from service.http.fields import reading
from service.http.quantities import Quantities
from service.http.schemas.base import faults_of, pointer
from service.http.schemas.limits import check_limits
from service.settings import Settings
from service.survey.equipment import Heater
from service.survey.model import Point3, Survey

Json = dict[str, Any]
Path = tuple[str | int, ...]

UNREAD = ("clearances", "gas_system")
AGREEMENT = 1e-3
"""Told twice, figures may differ by this much in the unit of the answer."""


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
    _refuse(_contradictions(document, design_json(design, building, quantities), ()))
    return design


def _refuse(faults: Iterator[Fault]) -> None:
    if found := tuple(faults):
        raise InvalidRequest(found)


def _reference_faults(raw: Json, survey: Survey, building: Building) -> Iterator[Fault]:
    places: tuple[tuple[Path, str, set[str]], ...] = (
        (("heater", "id"), raw["heater"]["id"], {h.id for h in survey.heaters}),
        (("mount", "wall"), raw["mount"]["wall"], {f.id for f in building.faces}),
        (("terminal", "facade"), raw["terminal"]["facade"], {f.id for f in building.facades}),
    )
    for path, name, names in places:
        if name not in names:
            yield Fault(pointer(*path), "unknown_reference", "nothing in this survey has this id")
    seen: set[Service] = set()
    for i, route in enumerate(raw["routes"]):
        if route["service"] in seen:
            yield Fault(pointer("routes", i, "service"), "duplicate", "this service has a run already")
        seen.add(route["service"])
        if len(route["points"]) < 2 or len(route["surfaces"]) != len(route["points"]) - 1:
            yield Fault(pointer("routes", i, "surfaces"), "wrong_count", "one surface is needed between two points")


def _heater(raw: Json, survey: Survey) -> Heater:
    return next(h for h in survey.heaters if h.id == raw["heater"]["id"])


def _design(raw: Json, heater: Heater, building: Building, q: Quantities) -> Design:
    mount, terminal, cost = raw["mount"], raw["terminal"], raw["cost"]
    face = building.face(mount["wall"])
    return Design(
        heater=heater,
        mount=Mount(face.id, round(face.length_mm - mount["distance_to_vent_line"]), round(mount["bottom_z"])),
        terminal=Terminal(terminal["facade"], round(terminal["distance_along"]), round(terminal["z"])),
        routes=tuple(_route(r, q) for r in raw["routes"]),
        air_openings=raw["air_openings"],
        meter_upgrade=raw["meter_upgrade"],
        lines=tuple(_line(line, q) for line in cost["lines"]),
        total_cents=q.read_money(cost["total"]),
        gas=_gas(raw.get("gas", {})),
    )


def _gas(raw: Json) -> GasWorks:
    return GasWorks(
        renewals=tuple(_renewal(r) for r in raw.get("renewals", ())),
        pressure_option=raw.get("pressure_option"),
        line_regulators=raw.get("line_regulators", 0),
        ahead_of_regulator=raw.get("ahead_of_regulator", False),
        service_regulator=raw.get("service_regulator", False),
    )


def _renewal(raw: Json) -> Renewal:
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


def _line(raw: Json, q: Quantities) -> CostLine:
    return CostLine(
        trade=raw["trade"],
        key=raw["key"],
        description=raw["description"],
        quantity=raw["quantity"],
        per=raw["per"].value,
        unit_price_cents=q.read_money(raw["unit_price"]),
        amount_cents=q.read_money(raw["amount"]),
    )


def _contradictions(given: object, meant: object, path: Path) -> Iterator[Fault]:
    """Places where the document tells something else than the design that it fixes."""
    if isinstance(given, dict) and isinstance(meant, dict):
        for key in [k for k in given if k in meant and not _quantity_object(given[k])]:
            yield from _contradictions(given[key], meant[key], (*path, key))
    elif isinstance(given, list) and isinstance(meant, list) and len(given) == len(meant):
        for i, (a, b) in enumerate(zip(given, meant, strict=True)):
            yield from _contradictions(a, b, (*path, i))
    elif not _quantity_object(given) and not _agree(given, meant):
        yield Fault(pointer(*path), "contradiction", "the rest of the design says something else")


def _quantity_object(value: object) -> bool:
    """A figure with its own unit; only members that fix the design may be written so."""
    return isinstance(value, dict) and set(value) in ({"value", "unit"}, {"ft", "in"})


def _agree(given: object, meant: object) -> bool:
    if isinstance(given, bool) or isinstance(meant, bool):
        return given is meant
    if isinstance(given, int | float) and isinstance(meant, int | float):
        return abs(given - meant) <= AGREEMENT
    return given == meant
