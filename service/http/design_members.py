"""Schemas of a design's members, as ``design_json`` writes them; what only tells again is taken as it comes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from service.design import RenewedPart, Service, Surface
from service.http.air_members import AirSchema
from service.http.fields import MISSING, Choice, Flag, Int, Number, Text, measured
from service.http.schemas.base import ListOf, Strict, many, one
from service.survey.equipment import Per
from service.survey.model import GasMaterial, WaterItem
from service.units import Quantity, to_si

FAR_MM = 10_000_000
MOST_MONEY = 1e9
MOST_ELBOWS = 1000
MOST_REGULATORS = 1000


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

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Reach(), **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Any:
        if not isinstance(value, list) or len(value) != 3:
            raise ValidationError("wrong_type: a list of 3 coordinates is expected")
        return super()._deserialize(value, attr, data, **kwargs)


class PlanSpot(ListOf):
    """Point ``[x, y]`` of the survey [mm]."""

    def __init__(self) -> None:
        super().__init__(Reach(), allow_none=True)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Any:
        if not isinstance(value, list) or len(value) != 2:
            raise ValidationError("wrong_type: a list of 2 coordinates is expected")
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
    vent = Text(allow_none=True)


class MountSchema(Strict):
    """Where it hangs: on a wall, by the vent port's line, or outdoors on a facade, by the flue outlet's line."""

    wall = Text()
    facade = Text()
    distance_to_vent_line = Reach()
    distance_to_flue_line = Reach()
    bottom_z = Reach(required=True)
    room = Told()
    side = Told()
    from_corner = Told()
    from_end = Told()
    height_above_grade = Told()
    distance_to_left_edge = Told()
    point = Told()
    bottom_height = Told()


class TerminalSchema(Strict):
    """Where the vent ends: facade and distance_along, or roof and point."""

    facade = Text()
    distance_along = Reach()
    roof = Text()
    point = PlanSpot()
    z = Reach(required=True)
    side = Told()
    from_end = Told()
    height_above_grade = Told()
    pitch = Told()
    height_above_roof = Told()
    height_above_ceiling = Told()

    @validates_schema
    def one_or_other(self, data: Mapping[str, Any], **kwargs: Any) -> None:
        """A wall or a roof, and where on it."""
        needed = ("roof", "point") if "roof" in data else ("facade", "distance_along")
        if missing := {name: MISSING["required"] for name in needed if data.get(name) is None}:
            raise ValidationError(dict(missing))
        if "roof" in data and "facade" in data:
            raise ValidationError({"facade": "contradiction: a vent ends at a facade or over a roof"})


class IntakeTerminalSchema(Strict):
    """Where a twin-pipe vent's intake begins: always in a facade."""

    facade = Text(required=True)
    distance_along = Reach(required=True)
    z = Reach(required=True)
    side = Told()
    from_end = Told()
    height_above_grade = Told()
    point = Told()


class RenewalSchema(Strict):
    """Old gas segment, or part of one, that other pipe takes the place of."""

    segment = Text(required=True)
    part = Choice(RenewedPart, required=True)
    material = Choice(GasMaterial, required=True)
    size = Text(required=True)
    length = Reach(required=True)


class GasWorksSchema(Strict):
    """Works on the gas system besides the branch; what is left out is not done."""

    renewals = many(RenewalSchema)
    pressure_option = Text(allow_none=True)
    line_regulators = Int(0, MOST_REGULATORS)
    ahead_of_regulator = Flag()
    service_regulator = Flag()


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
    weighed_waiting = Number(0, MOST_MONEY, allow_none=True)
    by_trade = Told()
    currency = Told()


class DesignSchema(Strict):
    """One installation, as an answer ranks it, or any parts of one: what is left out is not judged.

    With mount, terminal, air_openings, meter_upgrade, routes and cost it is a whole design, and a run that it lacks
    is missing. Where the vent's run is given a cold-climate fitting that is not told is not there; where the meter or
    gas works are given, works that are not told are not done; water_items that
    are not told are not bought.
    """

    rank = Told()
    heater = one(ChosenHeaterSchema, required=True)
    mount = one(MountSchema)
    terminal = one(TerminalSchema)
    intake = one(IntakeTerminalSchema, allow_none=True)
    air_openings = Flag()
    air = one(AirSchema, allow_none=True)
    meter_upgrade = Flag()
    cold_fitting = Flag()
    water_items = ListOf(Choice(WaterItem))
    gas = one(GasWorksSchema)
    routes = many(RouteSchema)
    clearances = Told()
    gas_system = Told()
    vent_system = Told()
    condensate = Told()
    power = Told()
    water_quality = Told()
    relief_and_scald = Told()
    start_up = Told()
    water_pressure = Told()
    waiting = Told()
    hot_water = Told()
    outdoors = Told()
    cost = one(CostSchema)
