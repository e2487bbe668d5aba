"""Kinds of hot-water fixture: what is known of each, and the flows that law, label and code name for it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.rules.tables import Row, table
from service.units import Quantity, to_si

FEDERAL = "federal_limit"
"""Basis of the flow that no new fixture may exceed in the United States."""


@dataclass(frozen=True, slots=True)
class FlowFigure:
    """A flow [m3/s] that law, label or code names for a kind of fixture; ``pressure_pa`` None where none is told."""

    basis: str
    flow_m3_s: float
    pressure_pa: float | None
    citation: str
    known_from: str


def kinds() -> tuple[str, ...]:
    """Kinds that the tables know, in their order."""
    return tuple(row.text("kind") for row in table("fixture_kinds").rows)


def is_mixed(kind: str) -> bool:
    """Whether cold water is mixed to the draw; an unknown kind may draw hot water alone. Source: common practice."""
    return kind in kinds() and table("fixture_kinds").where(kind=kind).flag("mixed")


def default_flow(kind: str) -> FlowFigure:
    """Flow of a fixture of which only the kind is known: the limit of law where there is one, else the design flow of
    a code. KeyError for a kind that the tables do not know."""
    return flow_figure(kind, table("fixture_kinds").where(kind=kind).text("flow_basis"))


def flow_figure(kind: str, basis: str) -> FlowFigure:
    """One flow of the table ``fixture_flows``; KeyError where it has none."""
    return _figure(table("fixture_flows").where(kind=kind, basis=basis))


@cache
def flow_figures(kind: str) -> tuple[FlowFigure, ...]:
    """All flows that are known for a kind, in the order of the table; none for an unknown kind."""
    return tuple(_figure(row) for row in table("fixture_flows").rows if row.text("kind") == kind)


def use_temperature_c() -> float:
    """Temperature [degC] at which mixed water is used where nobody tells. Source: common practice, 102 to 106 degF."""
    return temperature_c("use_temperature")


def temperature_c(symbol: str) -> float:
    """A temperature [degC] of the table ``hot_water``; KeyError for another symbol."""
    return to_si(Quantity.TEMPERATURE, table("hot_water").where(symbol=symbol).printed("value"), "degF")


def _figure(row: Row) -> FlowFigure:
    pressure = None if row.cells["pressure"] is None else row.si("pressure")
    section = row.text("section")
    cite = row.text("standard") if section == "-" else f"{row.text('standard')}, {section}"
    return FlowFigure(row.text("basis"), row.si("flow"), pressure, cite, row.text("known_from"))
