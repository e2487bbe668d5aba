"""The printed capacity tables of the fuel gas code, ready for look-up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.rules.tables import Row, table
from service.survey.model import GasCharacter, GasMaterial
from service.trades.gas_equation import ROUNDING, is_high

NEAREST_DROP = 0.95
"""A table serves a permitted drop down to this share of it; a conversion between units takes less."""
NEAREST_SUPPLY = 0.01
"""By how much a supply may differ from that of a high-pressure table."""
_COPPER = (GasMaterial.COPPER_K.value, GasMaterial.COPPER_L.value)


@dataclass(frozen=True, slots=True)
class PrintedTable:
    """Heading of one table [Pa, mm].

    ``inlet_pa``: supply of a high-pressure table, least supply of a low one. ``cell_si``: worth of a printed unit
    [m3/s of natural gas, W of propane]. ``least``: the lesser of cell and equation holds. ``last_mm``: last row whose
    label is right.
    """

    number: str
    fuel: str
    material: str
    high: bool
    inlet_pa: float
    drop_pa: float
    cell_si: float
    least: bool
    last_mm: int | None
    known_from: str
    note: str

    def serves(self, material: str, gas: GasCharacter, supply_pa: float) -> bool:
        """Whether fuel, material and class of pressure are the table's. Propane is printed for one gravity alone."""
        printed_for = material in _COPPER if self.material == "copper" else material == self.material
        if not printed_for or self.fuel != gas.fuel or self.high != is_high(supply_pa):
            return False
        if gas.fuel == "propane" and gas.specific_gravity != table_gravity(gas.fuel):
            return False
        if self.high:
            return abs(supply_pa - self.inlet_pa) <= NEAREST_SUPPLY * self.inlet_pa
        return supply_pa * (1 + 1e-6) >= self.inlet_pa

    def fits(self, drop_pa: float) -> bool:
        """Whether the table's drop is the permitted one, or hardly below it."""
        return NEAREST_DROP * drop_pa <= self.drop_pa <= drop_pa * (1 + 1e-6)


@dataclass(frozen=True, slots=True)
class Cell:
    """One printed capacity [W for propane, m3/s for natural gas] and its mark."""

    capacity_si: float
    known_from: str


@cache
def table_gravity(fuel: str) -> float:
    """Specific gravity [-] that the tables of a fuel are printed for. Source: their headings (read)."""
    return table("gas_properties").where(fuel=fuel).printed("specific_gravity")


@cache
def tables() -> tuple[PrintedTable, ...]:
    """All tables, in the order of their numbers."""
    return tuple(_heading(row) for row in table("gas_capacity_tables").rows)


@cache
def cells(number: str, size: str) -> dict[int, Cell]:
    """Printed cells of one size by length [mm], shortest first, without the rows whose label is wrong."""
    return _all_cells().get((number, size), {})


@cache
def lengths_mm(number: str) -> tuple[int, ...]:
    """Lengths that a table prints, shortest first, without the rows whose label is wrong."""
    return tuple(sorted({mm for (table_number, _), column in _all_cells().items() if table_number == number
                         for mm in column}))  # fmt: skip


@cache
def ladder_mm() -> tuple[int, ...]:
    """Lengths at which the equation is read where no printed row serves, shortest first."""
    return tuple(_mm(row.si("length")) for row in table("gas_rows").rows)


@cache
def gravity_multiplier(specific_gravity: float) -> float | None:
    """Multiplier [-] of a natural gas table, of the next higher gravity listed; None above the last.
    Source: IFGC 2018 Table A.2.4 (read)."""
    rows = table("gas_gravity").rows
    found = (r.printed("multiplier") for r in rows if r.printed("specific_gravity") * ROUNDING >= specific_gravity)
    return next(found, None)


def _heading(row: Row) -> PrintedTable:
    return PrintedTable(
        number=row.text("number"),
        fuel=row.text("fuel"),
        material=row.text("material"),
        high=row.text("pressure") == "high",
        inlet_pa=0.0 if row.cells["inlet"] is None else row.si("inlet"),
        drop_pa=row.si("drop"),
        cell_si=row.si("cell"),
        least=row.text("policy") == "least",
        last_mm=None if row.cells["last_row"] is None else _mm(row.si("last_row")),
        known_from=row.text("known_from"),
        note="" if row.cells["note"] is None else row.text("note"),
    )


@cache
def _all_cells() -> dict[tuple[str, str], dict[int, Cell]]:
    headings = {heading.number: heading for heading in tables()}
    found: dict[tuple[str, str], dict[int, Cell]] = {}
    for row in table("gas_capacity").rows:
        heading, length_mm = headings[row.text("table")], _mm(row.si("length"))
        if heading.last_mm is None or length_mm <= heading.last_mm:
            cell = Cell(row.printed("capacity") * heading.cell_si, row.text("known_from"))
            found.setdefault((heading.number, row.text("nominal")), {})[length_mm] = cell
    return found


def _mm(length_m: float) -> int:
    return round(length_m * 1000)
