"""Schemas of the plot: rules, climate, ground, neighbours, inlets, regulators."""

from __future__ import annotations

from service.http.fields import Choice, Flag, Int, Known, Length, Measure, Number, Text
from service.http.schemas.base import Strict, extent, identifier, many, one, point2, point3, ring
from service.http.schemas.demand import ClimateSchema
from service.http.schemas.gas import GasCharacterSchema
from service.http.schemas.storeys import OpeningSchema
from service.rules import rulesets
from service.survey.model import Figure, InletKind, Measuring, WayKind
from service.survey.water import ReliefRule
from service.trades.electrical_code import code_ids
from service.units import Quantity


class GradeLineSchema(Strict):
    """Ground along a plan line."""

    start = point2(required=True)
    end = point2(required=True)
    start_z = Length(required=True)
    end_z = Length(required=True)


class LotLineSchema(Strict):
    """Stretch of the boundary."""

    id = identifier()
    start = point2(required=True)
    end = point2(required=True)


class NeighbourWallSchema(Strict):
    """Wall of another building; sill and head of its openings count from its base."""

    id = identifier()
    start = point2(required=True)
    end = point2(required=True)
    base = Length()
    top = Length()
    openings = many(OpeningSchema)


class WaySchema(Strict):
    """Walkway or driveway."""

    id = identifier()
    kind = Choice(WayKind, required=True)
    outline = ring(required=True)
    surface = Length()


class DeckSchema(Strict):
    """Deck, porch or eave."""

    id = identifier()
    outline = ring(required=True)
    underside = Length(required=True)
    top = Length()
    open_sides = Int(0, 4)
    is_eave = Flag()
    vented = Flag()


class AirInletSchema(Strict):
    """Inlet grille."""

    id = identifier()
    kind = Choice(InletKind, required=True)
    at = point2(required=True)
    width = extent()
    bottom = Length(required=True)
    top = Length(required=True)


class RegulatorSchema(Strict):
    """Gas regulator outdoors."""

    id = identifier()
    at = point3(required=True)
    inlet_pressure = Measure(Quantity.WATER_PRESSURE, 0, 1e6)
    with_meter = Flag()


class AmendmentSchema(Strict):
    """Local change of a rule; a distance of null switches it off, or with enforce leaves the distance as it is.

    figure says which of its distances is changed, enforce makes advice binding.
    """

    rule_id = Text(required=True)
    distance = Length(low_mm=0, required=True, allow_none=True)
    note = Text(required=True)
    figure = Choice(Figure)
    enforce = Flag()


class SiteSchema(GasCharacterSchema):
    """The plot and the rules that hold there."""

    rule_set = Known("rule_set", lambda: rulesets.rule_set_ids())
    snow_depth = Length(low_mm=0)
    winter_design_temperature = Measure(Quantity.TEMPERATURE, -70, 50)
    grade = Length()
    grades = many(GradeLineSchema)
    lot_lines = many(LotLineSchema)
    neighbour_walls = many(NeighbourWallSchema)
    ways = many(WaySchema)
    decks = many(DeckSchema)
    air_inlets = many(AirInletSchema)
    regulators = many(RegulatorSchema)
    amendments = many(AmendmentSchema)
    measuring = Choice(Measuring)
    extra_clearance = Length(low_mm=0)
    tight = Flag()
    air_changes = Number(0, 50)
    flood_elevation = Length()
    electrical_code = Known("electrical_code", lambda: code_ids())
    relief = Choice(ReliefRule)
    relief_temperature = Measure(Quantity.TEMPERATURE, 60, 100)
    climate = one(ClimateSchema)
