"""Reads a set of designs back, one for each dwelling of a survey, as the member ``dwellings`` of an answer tells it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from marshmallow import ValidationError

from service.building.model import Building
from service.design import EVERY_PART, Design, Service, Sleeve, Surface
from service.errors import Fault, InvalidRequest
from service.http.design_members import CostSchema, RenewalSchema, Spot, Told
from service.http.design_schema import WHOLE, load_design, read_line, read_renewal
from service.http.fields import Choice, Flag, Text, reading
from service.http.quantities import Quantities
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, faults_of, many, one, pointer, some
from service.http.schemas.limits import check_limits
from service.piping.options import split_name
from service.settings import Settings
from service.survey.model import Survey
from service.trades.gas_pipe import is_known
from service.usecases.check_set import HandedIn, keys_of, tap_of

Json = dict[str, Any]


UNREAD = ("branches", "gas_system")
"""What is told of a set and not read back."""


class SleeveSchema(Strict):
    """Hole that runs of one service of several heaters pass."""

    service = Choice(Service, required=True)
    through = Choice(Surface, required=True)
    start = Spot(required=True)
    end = Spot(required=True)
    dwellings = ListOf(Text(), required=True, validate=AT_LEAST_ONE)


class SharedSchema(Strict):
    """What is done and paid for once; what is left out is not done."""

    renewals = many(RenewalSchema)
    meter_upgrade = Flag()
    service_regulator = Flag()
    pressure_option = Text(allow_none=True)
    sleeves = many(SleeveSchema)
    branches = Told()
    gas_system = Told()
    cost = one(CostSchema, required=True)


class OfDwellingSchema(Strict):
    """A whole design with the id of the dwelling that it is for; its other members are those of a design."""

    dwelling = Text(required=True)


class DesignSetSchema(Strict):
    """One whole design for each dwelling of the survey, and what they share."""

    designs = some(OfDwellingSchema, required=True)
    shared = one(SharedSchema, required=True)
    findings = Told()
    explained = Told()


def load_set(document: object, survey: Survey, building: Building, settings: Settings) -> HandedIn:
    """Set of a JSON document, in the building's frame.

    Raises:
        InvalidRequest: every fault of schema, reference or agreement found.
        LimitExceeded: a list or string beyond its limit.
    """
    raw = _loaded(document, survey, settings)
    assert isinstance(document, dict)
    faults = list(_reference_faults(raw, survey))
    designs: list[tuple[str, Design]] = []
    for i, entry in enumerate(document["designs"]):
        try:
            design = load_design({k: v for k, v in entry.items() if k != "dwelling"}, survey, building, settings)
        except InvalidRequest as error:
            faults += [Fault(_within(i, f.pointer), f.code, f.detail) for f in error.faults]
            continue
        faults += [replace(f, pointer=_within(i, f.pointer)) for f in _not_whole(design, survey, building)]
        designs.append((entry["dwelling"], design))
    if faults:
        raise InvalidRequest(tuple(faults))
    quantities = Quantities(survey.units, building.frame, survey.prices.currency)
    return _handed_in(raw["shared"], designs, survey, quantities)


def _loaded(document: object, survey: Survey, settings: Settings) -> Json:
    """Outer members and what is shared; designs are read one by one afterwards."""
    outer = document
    if isinstance(document, dict):
        check_limits({"shared": _read(document.get("shared")), "designs": _named(document.get("designs"))}, settings)
        outer = {**document, **({"designs": _named(document["designs"])} if "designs" in document else {})}
    try:
        with reading(survey.units, settings):
            raw: Json = DesignSetSchema().load(outer)  # type: ignore[arg-type]  # it judges any value
    except ValidationError as error:
        raise InvalidRequest(faults_of(error.messages)) from None
    return raw


def _read(shared: object) -> object:
    """Of what is shared that which is read at all."""
    return {k: v for k, v in shared.items() if k not in UNREAD} if isinstance(shared, dict) else shared


def _named(designs: object) -> object:
    """Of each design the dwelling alone, where it can be read."""
    if not isinstance(designs, list):
        return designs
    return [{k: v for k, v in d.items() if k == "dwelling"} if isinstance(d, dict) else d for d in designs]


def _within(index: int, place: str) -> str:
    return f"{pointer('designs', index)}{place.removeprefix('#')}"


def _reference_faults(raw: Json, survey: Survey) -> Iterator[Fault]:
    known = {d.id for d in survey.dwellings}
    seen: set[str] = set()
    for i, entry in enumerate(raw["designs"]):
        name = entry["dwelling"]
        if name not in known:
            yield Fault(pointer("designs", i, "dwelling"), "unknown_reference", "the survey has no such dwelling")
        elif name in seen:
            yield Fault(pointer("designs", i, "dwelling"), "duplicate", "this dwelling has a design already")
        seen.add(name)
    for i, sleeve in enumerate(raw["shared"].get("sleeves", ())):
        for k, name in enumerate(sleeve["dwellings"]):
            if name not in seen:
                place = pointer("shared", "sleeves", i, "dwellings", k)
                yield Fault(place, "unknown_reference", "no design of the set is for this dwelling")


def _not_whole(design: Design, survey: Survey, building: Building) -> Iterator[Fault]:
    """A set is judged whole: each design with all members and a gas run that leaves the surveyed system."""
    if design.given != EVERY_PART:
        yield Fault("#", "missing", f"a design of a set is whole, with {', '.join(sorted(WHOLE))}")
    route = design.route(Service.GAS)
    if route is None:
        yield Fault("#/routes", "missing", "a design of a set has a gas run")
        return
    place = pointer("routes", design.routes.index(route))
    if not is_known(*split_name(route.option)):
        yield Fault(f"{place}/option", "unknown_reference", "there is no gas pipe of this material and size")
    try:
        tap_of(survey, building, route)
    except ValueError as error:
        yield Fault(f"{place}/ends_at", "unknown_reference", str(error))


def _handed_in(shared: Json, designs: list[tuple[str, Design]], survey: Survey, q: Quantities) -> HandedIn:
    holes = [(_sleeve(s, q), frozenset(s["dwellings"])) for s in shared.get("sleeves", ())]
    done = {"gas.meter_upgrade": shared.get("meter_upgrade"), "gas.service_regulator": shared.get("service_regulator")}
    pressure = shared.get("pressure_option")
    cost = shared["cost"]
    return HandedIn(
        tuple((n, replace(d, sleeves=tuple(h for h, users in holes if n in users))) for n, d in designs),
        tuple(read_renewal(r) for r in shared.get("renewals", ())),
        (*(key for key, is_done in done.items() if is_done), *keys_of(survey.gas, pressure)),
        tuple(hole for hole, _ in holes),
        tuple(read_line(line, q) for line in cost["lines"]),
        q.read_money(cost["total"]),
        pressure,
    )


def _sleeve(raw: Json, q: Quantities) -> Sleeve:
    start, end = sorted((q.to_frame(raw["start"]), q.to_frame(raw["end"])))
    return Sleeve(raw["service"], raw["through"], start, end)
