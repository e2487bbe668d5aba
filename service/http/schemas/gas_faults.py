"""Faults of a gas entry that only its own words, the tables or the price book show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from service.errors import Fault
from service.piping.options import option_name, priced_sizes
from service.rules.tables import table
from service.survey.equipment import PriceBook
from service.survey.model import GasMaterial, GasSupply, PressureOption
from service.trades.gas_loads import typical_input_w
from service.trades.gas_pipe import MATERIALS

Entry = Mapping[str, Any]
CHANGE_KEY = "gas.pressure_change"
REGULATOR_KEY = "gas.line_regulator"


def entry_faults(entry: Entry, supply: GasSupply, prices: PriceBook) -> Iterator[Fault]:
    """All of them; ``supply`` is what was built of the entry."""
    if "meter_class" in entry and "meter_capacity" in entry:
        yield Fault("#/gas/meter_class", "contradiction", "the meter's capacity is given too; one of them will do")
    yield from _input_faults(entry)
    yield from _option_faults(supply, prices)
    yield from _branch_faults(supply, prices)
    yield from _new_pipe_faults(supply, prices)


def _input_faults(entry: Entry) -> Iterator[Fault]:
    """Appliances of which neither the input is given nor a typical one known."""
    for i, appliance in enumerate(entry.get("appliances", [])):
        if "input" not in appliance and typical_input_w(appliance["kind"]) is None:
            detail = f"compulsory, for table gas_appliances has no typical input of kind {appliance['kind']!r}"
            yield Fault(f"#/gas/appliances/{i}/input", "missing", detail)


def _option_faults(supply: GasSupply, prices: PriceBook) -> Iterator[Fault]:
    """Offered pressures that need a regulator, or a price, that is not given."""
    limit_pa = table("gas_equation").constant("low_pressure_limit")
    for i, option in enumerate(supply.pressure_options):
        place = f"#/gas/pressure_options/{i}"
        if option.pressure_pa >= limit_pa and option.regulated_pa is None:
            detail = "compulsory above the range of the low-pressure equation"
            yield Fault(f"{place}/regulated_pressure", "missing", detail)
        for key in _keys(option, limit_pa):
            if key not in prices.items:
                yield _unpriced(place, key)


def _keys(option: PressureOption, limit_pa: float) -> tuple[str, ...]:
    """Prices that an offered pressure is told by."""
    regulated = option.pressure_pa >= limit_pa or option.regulated_pa is not None
    return (CHANGE_KEY, REGULATOR_KEY) if regulated else (CHANGE_KEY,)


def _branch_faults(supply: GasSupply, prices: PriceBook) -> Iterator[Fault]:
    """Materials for the branch that are not priced; an elbow is needed with each pipe that has no bends of its own."""
    for i, material in enumerate(supply.branch_materials):
        place, found = f"#/gas/branch_materials/{i}", priced_sizes(prices, material)
        if not found:
            yield _unpriced(place, f"gas.{option_name(material, '<size>')}.pipe")
        elbows = [] if material == GasMaterial.CSST else [f"gas.{option_name(material, s)}.elbow" for s in found]
        yield from (_unpriced(place, key) for key in elbows if key not in prices.items)


def _new_pipe_faults(supply: GasSupply, prices: PriceBook) -> Iterator[Fault]:
    """Pipe to be sized of a material that has no known capacity, or no price."""
    for i, segment in enumerate(supply.segments):
        place = f"#/gas/segments/{i}/material"
        if segment.size is None and segment.material not in MATERIALS:
            yield Fault(place, "unknown_material", f"pipe without a size is one of {', '.join(MATERIALS)}")
        elif segment.size is None and not priced_sizes(prices, segment.material):
            yield _unpriced(place, f"gas.{option_name(segment.material, '<size>')}.pipe")


def _unpriced(place: str, key: str) -> Fault:
    return Fault(place, "missing_price", f"{key!r} has no price")
