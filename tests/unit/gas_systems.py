"""Small gas systems for tests, in the units that the trade speaks."""

from __future__ import annotations

from typing import Any

from service.piping.extended import HEATER_KIND
from service.rules.catalogue import price_book
from service.survey.gas_request import GasRequest
from service.survey.model import (
    Appliance,
    GasCharacter,
    GasMethod,
    GasSegment,
    GasSupply,
    UnitSystem,
)
from service.units import Quantity, to_si
from service.usecases.gas import gas_report
from service.usecases.gas_results import GasReport, SegmentReport

STEEL = "steel_sch40"
PRICES = price_book("demo")


def in_wc(value: float) -> float:
    """Inches of water -> Pa."""
    return to_si(Quantity.GAS_PRESSURE, value, "in w.c.")


def psi(value: float) -> float:
    """Pounds a square inch -> Pa."""
    return to_si(Quantity.GAS_PRESSURE, value, "psi")


def btu_h(value: float) -> float:
    """Btu/h -> W."""
    return to_si(Quantity.POWER, value, "Btu/h")


def feet(value: float) -> int:
    """Feet -> whole mm."""
    return round(value * 304.8)


NATURAL = GasCharacter("natural_gas", to_si(Quantity.HEATING_VALUE, 1000, "Btu/ft3"), 0.6)
PROPANE = GasCharacter("propane", to_si(Quantity.HEATING_VALUE, 2488, "Btu/ft3"), 1.5)


def pipe(name: str, start: str, end: str, size: str | None, ft: float, **more: Any) -> GasSegment:
    """Pipe of steel unless said otherwise."""
    return GasSegment(name, start, end, more.pop("material", STEEL), size, feet(ft), **more)


def burner(name: str, node: str, input_btu_h: float, **more: Any) -> Appliance:
    """An appliance that takes 5.5 to 10.5 in w.c. unless said otherwise."""
    limits = {"inlet_min_pa": in_wc(5.5), "inlet_max_pa": in_wc(10.5)} | more
    return Appliance(name, limits.pop("kind", "furnace"), btu_h(input_btu_h), None, None, node, **limits)


def heater(node: str, input_btu_h: float = 199_000, **more: Any) -> Appliance:
    """The planned heater."""
    return burner("heater", node, input_btu_h, kind=HEATER_KIND, **more)


def supply(
    segments: tuple[GasSegment, ...], appliances: tuple[Appliance, ...], pressure_pa: float, drop_pa: float, **more: Any
) -> GasSupply:
    """A supply from a node called meter, with a meter that is large enough unless said otherwise."""
    meter = more.pop("meter_btu_h", 1_000_000)
    method = more.pop("method", GasMethod.LONGEST_TABLES)
    return GasSupply("meter", pressure_pa, btu_h(meter), drop_pa, (), segments, appliances, (), method, **more)


def report(system: GasSupply, gas: GasCharacter = NATURAL, units: UnitSystem = UnitSystem.US) -> GasReport:
    """The report of a system."""
    return gas_report(GasRequest("test", units, system, gas, PRICES))


def segment(found: GasReport, name: str) -> SegmentReport:
    """One pipe of a report."""
    return next(s for s in found.segments if s.id == name)


def verdicts(found: GasReport, rule: str) -> dict[str, str]:
    """Verdicts of one rule by the thing it was applied to."""
    return {f.object_id: f.verdict.value for f in found.findings if f.rule_id == rule}


def detail(found: GasReport, rule: str, thing: str = "") -> str:
    """What one finding says."""
    return next(f.detail for f in found.findings if f.rule_id == rule and f.object_id == thing)
