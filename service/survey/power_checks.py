"""What a survey says of outlets and panels against itself."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.model import Circuit, Survey


def power_faults(survey: Survey) -> Iterator[Fault]:
    """Circuits told of a panel, places told of an outlet, loads that contradict one another."""
    for i, outlet in enumerate(survey.receptacles):
        place = f"#/receptacles/{i}"
        if outlet.is_panel and outlet.circuit != Circuit():
            yield Fault(f"{place}/circuit", "contradiction", "a panel has circuits, and none is its own")
        if outlet.is_panel and outlet.gfci is not None:
            yield Fault(f"{place}/gfci", "contradiction", "a panel is no outlet")
        if not outlet.is_panel and outlet.free_spaces is not None:
            yield Fault(f"{place}/free_spaces", "contradiction", "only a panel has places for breakers")
        if not outlet.is_panel and outlet.panel_voltage_v is not None:
            yield Fault(f"{place}/panel_voltage", "contradiction", "of an outlet, its circuit tells the voltage")
        yield from _load_faults(f"{place}/circuit", outlet.circuit)


def _load_faults(place: str, circuit: Circuit) -> Iterator[Fault]:
    if circuit.dedicated and (circuit.load_w or circuit.fixed_load_w):
        yield Fault(f"{place}/dedicated", "contradiction", "a circuit for this heater alone feeds nothing yet")
    if circuit.load_w is not None and (circuit.fixed_load_w or 0) > circuit.load_w:
        yield Fault(f"{place}/fixed_load", "contradiction", "what is fastened in place is part of the load")
