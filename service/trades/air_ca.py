"""Combustion air by the Canadian code: one opening to outdoors by tables of which a few cells are known.

The next larger known input governs, as the next larger tabulated one does; beyond the known cells a rate derived from
them, rounded up. Where less is asked of a house that is not tight, or none from some volume on, is not known here: an
opening is always asked for. Source: CSA B149.1 8.2 to 8.5 (cells read, in worked examples).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from service.rules.tables import Table, table
from service.trades.air import DEFAULT, MM2, AirLoad

TIGHT_TABLES, OPEN_TABLES = ("8.2", "8.1"), ("8.4", "8.3")
"""Without, and with a draft control device."""


@dataclass(frozen=True, slots=True)
class CanadianArea:
    """Free area of the opening [mm2], the table that governs, and whether a rate derived from it was used."""

    area_mm2: float
    table: str
    derived: bool

    @property
    def citation(self) -> str:
        """Standard, table and how the figure came about."""
        how = "rate derived from the known cells, rounded up" if self.derived else "next larger known cell"
        return f"CSA B149.1 8.2, Table {self.table} ({how}); {DEFAULT}"


def opening_area(load: AirLoad, tight: bool | None) -> CanadianArea:
    """The least opening for all inputs of a space [W].

    An input that is not known to be fan-assisted counts as one with a draft control device, and then all do; a house
    that is not known to be tight or not counts as tight. Both ask for more.
    """
    control = load.other_w > 0
    name = (TIGHT_TABLES if tight is not False else OPEN_TABLES)[control]
    rates = _rates()
    if load.total_w > rates.constant("tables_end"):
        return CanadianArea(_whole(_large_m2(load.total_w)), name, False)
    known = [_known_m2(t, load.total_w) for t in _tables_of(name)]
    cell = min(known)
    if cell < inf:
        return CanadianArea(cell * MM2, name, False)
    step = rates.constant("step")
    area = ceil(round(load.total_w / step, 6)) * step / rates.constant("rate_8.1" if control else "rate_8.2")
    return CanadianArea(_whole(area), name, True)


def supply_citation() -> str:
    """Of a fan, whose rate is that of the US codes."""
    return f"CSA B149.1 8, mechanical supply (rate read in a technician's training text); {DEFAULT}"


def _tables_of(name: str) -> tuple[str, ...]:
    """Tables whose cells may be taken: the tight house's ask for no less."""
    return {"8.4": ("8.4", "8.2"), "8.3": ("8.3", "8.1")}.get(name, (name,))


def _known_m2(name: str, input_w: float) -> float:
    """Area of the next larger known input [m2], infinite beyond the last."""
    cells = [r for r in table("combustion_air_ca").rows if r.text("table") == name]
    return next((r.si("area") for r in cells if r.si("input") >= input_w * (1 - 1e-9)), inf)


def _large_m2(input_w: float) -> float:
    rates = _rates()
    first = min(input_w, rates.constant("large_first"))
    return first / rates.constant("large_rate") + (input_w - first) / rates.constant("large_rest_rate")


def _whole(area_m2: float) -> float:
    """Rounded up to the next whole square inch, as the tables print [mm2]."""
    in2 = table("combustion_air").where(symbol="indoor_opening_least").factors["value"]
    return ceil(round(area_m2 / in2, 6)) * in2 * MM2


def _rates() -> Table:
    return table("combustion_air_ca_rates")
