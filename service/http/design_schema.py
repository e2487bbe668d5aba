"""Reads a design back from the very JSON that ``design_json`` writes.

Compulsory is what fixes the design. What only tells it again in other words (room, heights above floor
and grade, plan points of mount and terminal, lengths, crossings, sums by trade) may be left out; where it
is given it must agree, since nobody knows which of two contradicting statements is meant. ``rank`` and
``clearances`` are taken and not read: findings are what the check is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError, fields

from service.building.model import Building
from service.design import CostLine, Design, Mount, Piece, Route, Service, Surface, Terminal
from service.errors import Fault, InvalidRequest
from service.http.design_json import design_json
from service.http.fields import MISSING, Choice, Flag, Int, Number, Text, measured, reading
from service.http.quantities import Quantities
from service.http.schemas.base import ListOf, Strict, faults_of, many, one, pointer
from service.http.schemas.limits import check_limits
from service.settings import Settings
from service.survey.equipment import Heater, Per
from service.survey.model import Point3, Survey
from service.units import Quantity, to_si

Json = dict[str, Any]
Path = tuple[str | int, ...]

FAR_MM = 10_000_000
MOST_MONEY = 1e9
MOST_ELBOWS = 1000
AGREEMENT = 1e-3
"""Told twice, figures may differ by this much in the unit of the answer."""


class Reach(fields.Field[float]):
    """Length, height or coordinate [mm], not rounded: a turned frame needs the fraction."""

    default_error_messages = MISSING

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        mm = measured(Quantity.LENGTH, value) / to_si(Quantity.LENGTH, 1.0, "mm")
        if abs(mm) > FAR_MM:
            raise ValidationError(f"out_of_range: at most {FAR_MM // 1000} m is expected")
        return mm


class Told(fields.Raw):
    """Member that tells again what others fix; compared afterwards."""

    def __init__(self) -> None:
        """Anything may stand here until it is compared."""
        super().__init__(allow_none=True)


class Spot(ListOf):
    """Point ``[x, y, z]`` of the survey [mm]."""

    def __init__(self) -> None:
        super().__init__(Reach())

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Any:
        if not isinstance(value, list) or len(value) != 3:
            raise ValidationError("wrong_type: a list of 3 coordinates is expected")
        return super()._deserialize(value, attr, data, **kwargs)


class ChosenHeaterSchema(Strict):
    """Which heater."""

    id = Text(required=True)
    name = Told()
    category = Told()
    condensing = Told()
    draft = Told()
    input_max = Told()
    efficiency = Told()


class MountSchema(Strict):
    """Where it hangs."""

    wall = Text(required=True)
    distance_to_vent_line = Reach(required=True)
    bottom_z = Reach(required=True)
    room = Told()
    from_corner = Told()
    distance_to_left_edge = Told()
    point = Told()
    bottom_height = Told()


class TerminalSchema(Strict):
    """Where the vent ends."""

    facade = Text(required=True)
    distance_along = Reach(required=True)
    z = Reach(required=True)
    side = Told()
    from_end = Told()
    height_above_grade = Told()
    point = Told()


class RouteSchema(Strict):
    """One run."""

    service = Choice(Service, required=True)
    option = Text(required=True)
    ends_at = Text(required=True)
    elbows = Int(0, MOST_ELBOWS, required=True)
    equivalent_length = Reach(required=True, allow_none=True)
    limit = Reach(required=True, allow_none=True)
    pumped = Flag(required=True)
    points = ListOf(Spot(), required=True)
    surfaces = ListOf(Choice(Surface), required=True)
    length = Told()
    crossings = Told()


class LineSchema(Strict):
    """One cost."""

    trade = Text(required=True)
    key = Text(required=True)
    description = Text(required=True)
    quantity = Number(0, MOST_MONEY, required=True)
    per = Choice(Per, required=True)
    unit_price = Number(0, MOST_MONEY, required=True)
    amount = Number(0, MOST_MONEY, required=True)


class CostSchema(Strict):
    """What it costs."""

    lines = many(LineSchema, required=True)
    total = Number(0, MOST_MONEY, required=True)
    by_trade = Told()
    currency = Told()


class DesignSchema(Strict):
    """One complete installation, as an answer ranks it."""

    rank = Told()
    heater = one(ChosenHeaterSchema, required=True)
    mount = one(MountSchema, required=True)
    terminal = one(TerminalSchema, required=True)
    air_openings = Flag(required=True)
    meter_upgrade = Flag(required=True)
    routes = many(RouteSchema, required=True)
    clearances = Told()
    cost = one(CostSchema, required=True)


def load_design(document: object, survey: Survey, building: Building, settings: Settings) -> Design:
    """Design of a JSON document, in the building's frame.

    Raises:
        InvalidRequest: every fault of schema, reference or agreement found.
        LimitExceeded: a list or string beyond its limit.
    """
    if isinstance(document, dict):
        check_limits({k: v for k, v in document.items() if k != "clearances"}, settings)
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
    )


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
