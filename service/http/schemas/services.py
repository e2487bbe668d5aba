"""Schemas of what the house has: water, drains, outlets."""

from __future__ import annotations

from service.http.fields import Choice, Flag, Int, Known, Length, Measure, Number, Text
from service.http.schemas.base import ListOf, Strict, identifier, many, one, point3, some
from service.http.schemas.demand import DemandSchema, inlet
from service.http.schemas.fixtures import FixtureSchema
from service.survey.water import DischargeEnd
from service.trades import water_pipe
from service.trades.circuits import wire_sizes
from service.trades.water import SIZES
from service.units import Quantity


class WaterLineSchema(Strict):
    """Water pipe as a polyline."""

    id = identifier()
    points = ListOf(point3(), required=True)
    size = Text(required=True)
    material = Text(required=True)


class AnalysisSchema(Strict):
    """Analysis of the water that reaches the heater; calcium_hardness and alkalinity as CaCO3."""

    ph = Number(0, 14)
    tds = Measure(Quantity.CONCENTRATION, 0, 50_000)
    calcium_hardness = Measure(Quantity.CONCENTRATION, 0, 5000)
    alkalinity = Measure(Quantity.CONCENTRATION, 0, 5000)
    chloride = Measure(Quantity.CONCENTRATION, 0, 50_000)
    iron = Measure(Quantity.CONCENTRATION, 0, 1000)
    temperature = Measure(Quantity.TEMPERATURE, 0, 40)


class DischargeSchema(Strict):
    """Discharge pipe of the relief valve, there or planned; end_height counts from floor or rim."""

    end = Choice(DischargeEnd)
    size = Known("pipe_size", lambda: SIZES)
    end_height = Length(low_mm=0)
    air_gap_in_room = Flag()
    serves_one = Flag()
    harmless = Flag()
    visible_end = Flag()
    trapped = Flag()
    falls = Flag()
    threaded_end = Flag()
    valves_or_tees = Flag()
    listed_material = Flag()
    insert_fittings = Flag()
    end_fastened = Flag()


class WaterSchema(Strict):
    """Water supply."""

    cold = some(WaterLineSchema, required=True)
    hot = some(WaterLineSchema, required=True)
    static_pressure = Measure(Quantity.WATER_PRESSURE, 0, 3e6)
    hardness = Measure(Quantity.HARDNESS, 0, 5000)
    softener = Flag()
    analysis = one(AnalysisSchema)
    occupants = Int(0, 1000)
    daily_use = Measure(Quantity.DAILY_USE, 0, 0.01)
    setpoint = Measure(Quantity.TEMPERATURE, 30, 90)
    check_valve = Flag()
    reducing_valve = Flag()
    expansion_tank = Flag()
    mixing_valve = Flag()
    relief_discharge = one(DischargeSchema)
    equipment_loss = Measure(Quantity.WATER_PRESSURE, 0, 1e6)
    reducing_valve_setting = Measure(Quantity.WATER_PRESSURE, 1e4, 1e6)
    branch_material = Known("material", water_pipe.branch_materials)
    fixtures = many(FixtureSchema)
    demand = one(DemandSchema)
    inlet_temperature = inlet()


class DrainSchema(Strict):
    """Place for condensate."""

    id = identifier()
    at = point3(required=True)


class CircuitSchema(Strict):
    """What is known of an outlet's branch circuit; voltage in V, breaker in A, wire in AWG."""

    voltage = Number(1, 1000)
    breaker = Number(1, 400)
    present_load = Measure(Quantity.ELECTRIC_POWER, 0, 100_000)
    fixed_load = Measure(Quantity.ELECTRIC_POWER, 0, 100_000)
    dedicated = Flag()
    wire = Known("wire", wire_sizes)
    wire_length = Length(low_mm=0)


class ReceptacleSchema(Strict):
    """Outlet or panel."""

    id = identifier()
    at = point3(required=True)
    is_panel = Flag()
    circuit = one(CircuitSchema)
    gfci = Flag()
    free_spaces = Int(0, 200)
    panel_voltage = Number(1, 1000)
