"""Contradictions in what a survey tells of its water."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.model import WaterSupply


def water_faults(water: WaterSupply) -> Iterator[Fault]:
    """A reducing valve that is not there has no setting."""
    if water.reducing_valve is False and water.reducing_valve_pa is not None:
        detail = "a setting is told of a reducing valve that reducing_valve says is not there"
        yield Fault("#/water/reducing_valve_setting", "contradiction", detail)
