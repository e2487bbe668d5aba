"""Schemas of heaters brought along, prices and wishes."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.http.fields import MISSING, Choice, Flag, Int, Known, Length, Measure, Number, Text, json_number, measured
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, extent, identifier, many, one
from service.http.schemas.fuel import Fuel
from service.rules import catalogue
from service.survey.equipment import Category, Draft, PortService, VentConstruction, VentMaterial
from service.survey.intake_listing import IntakeSide, LengthBasis
from service.survey.water import WaterItem
from service.trades.vent_systems import temperature_classes
from service.units import Quantity

MAX_CENTS = 100_000_000
MOST_CENTS_A_SECOND = 1_000_000
DRAIN_SIZES = ("1/4", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4")


class ClearancesSchema(Strict):
    """Free space around the case."""

    left = Length(low_mm=0, required=True)
    right = Length(low_mm=0, required=True)
    top = Length(low_mm=0, required=True)
    bottom = Length(low_mm=0, required=True)
    front = Length(low_mm=0, required=True)


class PortSchema(Strict):
    """Connection of the case."""

    service = Choice(PortService, required=True)
    dx = Length(low_mm=0, required=True)
    on_top = Flag(required=True)


class IntakeSchema(Strict):
    """Intake of a twin-pipe vent; what is left out takes what the trade does."""

    pipe_radius = extent()
    terminal_radius = extent()
    apart = extent()
    sides = ListOf(Choice(IntakeSide), validate=AT_LEAST_ONE)
    length_basis = Choice(LengthBasis)


class VentSchema(Strict):
    """Listed vent system."""

    system = Text(required=True)
    pipe_radius = extent(required=True)
    terminal_radius = extent(required=True)
    max_equivalent = extent(required=True)
    elbow_equivalent = Length(low_mm=0, required=True)
    max_elbows = Int(0, 50, allow_none=True)
    first_elbow = Length(low_mm=0, required=True)
    fall = Number(0, 0.5, required=True)
    falls_to_heater = Flag(required=True)
    material = Choice(VentMaterial)
    construction = Choice(VentConstruction)
    listed_to = ListOf(Text())
    temperature_class = Known("temperature_class", temperature_classes)
    flue_temperature = Measure(Quantity.TEMPERATURE, 0, 600)
    intake = one(IntakeSchema)


class FlueOutletSchema(Strict):
    """Where the burnt gas leaves the case of a heater hung outdoors."""

    dx = Length(low_mm=0, required=True)
    up = Length(low_mm=0, required=True)
    radius = extent(required=True)
    judged_as = Choice(Draft)


class OutdoorSchema(Strict):
    """Listing for outdoors."""

    flue = one(FlueOutletSchema, required=True)
    clearances = one(ClearancesSchema, required=True)
    openings = Length(low_mm=0)
    min_temperature = Measure(Quantity.TEMPERATURE, -70, 20)


class LossPoint(fields.Field[tuple[float, float]]):
    """``[flow, pressure loss]``."""

    default_error_messages = MISSING

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise ValidationError("wrong_type: a list of flow and pressure is expected")
        flow, loss = measured(Quantity.FLOW, value[0]), measured(Quantity.WATER_PRESSURE, value[1])
        if not (0 <= flow <= 0.05 and 0 <= loss <= 3e6):
            raise ValidationError("out_of_range: flow or pressure loss is beyond any heater's")
        return flow, loss


class HeaterSchema(Strict):
    """A heater that the survey brings along."""

    id = identifier(required=True)
    name = Text(required=True)
    condensing = Flag(required=True)
    category = Choice(Category, required=True)
    draft = Choice(Draft, required=True)
    fuels = ListOf(Choice(Fuel), required=True)
    input_min = Measure(Quantity.POWER, 0, 1e7, required=True)
    input_max = Measure(Quantity.POWER, 1, 1e7, required=True)
    efficiency = Number(0.1, 1.1, required=True)
    width = extent(required=True)
    height = extent(required=True)
    depth = extent(required=True)
    clearances = one(ClearancesSchema, required=True)
    ports = many(PortSchema, required=True)
    vent = one(VentSchema)
    other_vents = many(VentSchema)
    gas_inlet_min = Measure(Quantity.GAS_PRESSURE, 0, 1e5, required=True)
    gas_inlet_max = Measure(Quantity.GAS_PRESSURE, 0, 1e5, required=True)
    activation_flow = Measure(Quantity.FLOW, 0, 0.05, required=True)
    max_flow = Measure(Quantity.FLOW, 0, 0.05, required=True)
    pressure_loss = ListOf(LossPoint(), required=True)
    electrical = Measure(Quantity.ELECTRIC_POWER, 0, 20_000, required=True)
    cord_length = Length(low_mm=0, required=True)
    outdoor_listed = Flag(required=True)
    outdoor = one(OutdoorSchema)
    vapour_ignition_resistant = Flag(required=True)
    price_cents = Int(0, MAX_CENTS, required=True)
    freeze_limit = Measure(Quantity.TEMPERATURE, -70, 20)
    drain_size = Known("drain_size", lambda: DRAIN_SIZES)
    voltage = Number(1, 1000)
    freeze_element = Measure(Quantity.ELECTRIC_POWER, 0, 20_000)
    may_be_wired = Flag()

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def needs_a_vent(self, data: Mapping[str, Any], original: Mapping[str, Any], **kwargs: Any) -> None:
        """Without a listing for outdoors a heater cannot do without a vent; one told wrongly is a fault already."""
        if "vent" not in original and ("outdoor" not in original or "other_vents" in original):
            raise ValidationError({"vent": [MISSING["required"]]})


class HeaterEntry(fields.Field[str | dict[str, Any]]):
    """Id of a catalogue entry, or an own entry."""

    default_error_messages = MISSING

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> str | dict[str, Any]:
        if isinstance(value, str):
            return Known("heater", catalogue.heaters).deserialize(value)
        if not isinstance(value, dict):
            raise ValidationError("wrong_type: the id of a heater or an object is expected")
        loaded: dict[str, Any] = HeaterSchema().load(value)
        return loaded


class PriceItems(fields.Field[dict[str, int]]):
    """Prices by key, in whole cents."""

    default_error_messages = MISSING

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> dict[str, int]:
        if not isinstance(value, dict):
            raise ValidationError("wrong_type: an object of whole cents by key is expected")
        faults = {key: [text] for key, cents in value.items() if (text := _cents_fault(cents))}
        if faults:
            raise ValidationError(faults)
        return {key: int(cents) for key, cents in value.items()}


def _cents_fault(cents: object) -> str:
    try:
        number = json_number(cents)
    except ValidationError as error:
        return str(error.messages[0])
    if not 0 <= number <= MAX_CENTS or number != int(number):
        return f"out_of_range: whole cents between 0 and {MAX_CENTS} are expected"
    return ""


class Outdoors(StrEnum):
    """Whether a heater listed for it may hang outdoors."""

    ALLOWED = "allowed"
    REFUSED = "refused"


class PricesSchema(Strict):
    """Price book and what the survey puts over it."""

    book = Known("price_book", lambda: catalogue.price_book_ids())
    items = PriceItems()


class PreferencesSchema(Strict):
    """Wishes."""

    rooms_refused = ListOf(identifier())
    rooms_wanted = ListOf(identifier())
    outdoors = Choice(Outdoors)
    alternatives = Int(1, 1000)
    solver_seconds = Number(0.001, 1e6)
    water_items = ListOf(Choice(WaterItem))
    waiting_cents_per_second = Int(0, MOST_CENTS_A_SECOND)
    recirculation = Flag()
