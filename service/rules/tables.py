"""Tables as printed: a CSV file with a TOML file of the same name beside it that says whence it comes.

The TOML names title, standard, edition, section, known_from, note, sha256 (of the CSV's bytes), key
(columns that tell rows apart) and ``[columns]``: kind, unit, order. Everything is checked on load, so
a table with a slip in it stops the program instead of a design.
"""

from __future__ import annotations

import csv
import hashlib
import io
import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

RULES = Path(__file__).parent
MARKS = ("read", "memory", "common_practice", "invented")
"""How a figure is known, the surest first."""
MIXED = "mixed"
"""Value of ``known_from`` when each row has its own mark in a column of that name."""

_FT, _IN, _LB, _BTU, _GAL, _HOUR = 0.3048, 0.0254, 0.45359237, 1055.05585262, 3.785411784e-3, 3600.0
_GRAIN = 64.79891  # mg, exact
_PSI = _LB * 9.80665 / _IN**2
_BTU_H, _GPM = _BTU / _HOUR, _GAL / 60
UNITS: dict[str, float] = {
    "1": 1.0, "cent": 1.0, "in": _IN, "ft": _FT, "mm": 1e-3, "m": 1.0, "in/ft": _IN / _FT, "mm/m": 1e-3,
    "psi": _PSI, "in w.c.": _IN * 9806.65, "Pa": 1.0, "Btu/h": _BTU_H, "W": 1.0, "Btu/ft3": _BTU / _FT**3,
    "cfh": _FT**3 / _HOUR, "gpm": _GPM, "ft/s": _FT, "cP": 1e-3, "degR": 5 / 9, "degC": 1.0, "V": 1.0, "A": 1.0,
    "ft3/(kBtu/h)": _FT**3 / (1000 * _BTU_H), "(Btu/h)/in2": _BTU_H / _IN**2, "gal/therm": _GAL / (1e5 * _BTU),
    "Btu/(h gpm degF)": _BTU_H / _GPM * 1.8, "in2": _IN**2, "cfm/(kBtu/h)": _FT**3 / 60 / (1000 * _BTU_H),
    "VA": 1.0, "ohm/kft": 1 / (1000 * _FT),
    "mg/L": 1.0, "gpg": _GRAIN / (1000 * _GAL), "grains": _GRAIN / 1000, "gal/day": _GAL / (24 * _HOUR),
    "s": 1.0, "gal": _GAL, "psi/ft": _PSI / _FT, "kg/m3": 1.0,
}  # fmt: skip
"""Closed list of units a table may use, with the factor to SI; the inch of water is the conventional one
(1000 kg/m3, standard gravity), of which the gas code rounds 27.68 in a psi to 27.7. Temperatures stay in
degrees Celsius, concentrations in mg/L, masses of hardness in grams."""

Cell = str | int | float | bool | None
_REQUIRED = ("title", "standard", "edition", "section", "known_from", "note", "sha256", "key", "columns")
_COLUMN_KEYS = frozenset({"kind", "unit", "order", "optional"})
_KINDS = frozenset({"text", "integer", "number", "flag"})


class TableError(ValueError):
    """A table or its TOML is not fit for use; the message names file and fault."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds. ``unit`` starting with @ names the column that holds each row's unit."""

    name: str
    kind: str
    unit: str
    order: str
    optional: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table. Each getter raises TableError when the cell is not of its kind."""

    cells: dict[str, Cell]
    factors: dict[str, float]

    def text(self, column: str) -> str:
        """Text cell."""
        value = self.cells[column]
        if not isinstance(value, str):
            raise TableError(f"{column} holds no text")
        return value

    def integer(self, column: str) -> int:
        """Whole number as printed."""
        value = self.cells[column]
        if isinstance(value, bool) or not isinstance(value, int):
            raise TableError(f"{column} holds no whole number")
        return value

    def flag(self, column: str) -> bool:
        """Yes or no."""
        value = self.cells[column]
        if not isinstance(value, bool):
            raise TableError(f"{column} holds no yes or no")
        return value

    def printed(self, column: str) -> float:
        """Number as printed, in the column's own unit."""
        value = self.cells[column]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise TableError(f"{column} holds no number")
        return float(value)

    def si(self, column: str) -> float:
        """Number in SI."""
        return self.printed(column) * self.factors[column]


@dataclass(frozen=True, slots=True)
class Table:
    """A loaded table with its citation; ``facts`` are further values of the TOML, such as a currency."""

    name: str
    title: str
    standard: str
    edition: str
    section: str
    known_from: str
    note: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    facts: dict[str, str]
    _asked: dict[tuple[tuple[str, Cell], ...], Row] = field(default_factory=dict, compare=False, repr=False)

    def where(self, **cells: Cell) -> Row:
        """The one row whose cells equal those given; KeyError when there is none. A row once found is kept: a search
        asks for the same ones thousands of times, and a table has no more answers than rows and keys."""
        asked = tuple(cells.items())
        if asked not in self._asked:
            found = [r for r in self.rows if all(r.cells[name] == value for name, value in asked)]
            if len(found) != 1:
                raise KeyError(f"{self.name}: {len(found)} rows with {cells}")
            self._asked[asked] = found[0]
        return self._asked[asked]

    def constant(self, symbol: str) -> float:
        """Value [SI] of the row with that symbol, for tables of single constants."""
        return self.where(symbol=symbol).si("value")


@cache
def table(name: str) -> Table:
    """Table ``name`` of service/rules/tables; TableError when it is missing or unsound."""
    return load(RULES / "tables" / f"{name}.csv")


def every_table() -> tuple[Table, ...]:
    """All tables of service/rules/tables, in the order of their names; TableError when one is unsound."""
    return tuple(table(path.stem) for path in sorted((RULES / "tables").glob("*.csv")))


def load(path: Path) -> Table:
    """Reads and checks one CSV with its TOML; raises TableError."""
    meta = _sidecar(path.with_suffix(".toml"))
    columns = tuple(_column(path.name, name, spec) for name, spec in meta["columns"].items())
    rows = tuple(_rows(path, meta["sha256"], columns))
    loaded = Table(
        path.stem, meta["title"], meta["standard"], meta["edition"], meta["section"], meta["known_from"],
        meta["note"], tuple(meta["key"]), columns, rows, meta.get("facts", {}),
    )  # fmt: skip
    for check in (_check_marks, _check_key, _check_order):
        check(loaded)
    return loaded


def _sidecar(path: Path) -> dict[str, Any]:
    meta = toml_of(path)
    missing = [key for key in _REQUIRED if key not in meta]
    unknown = sorted(set(meta) - set(_REQUIRED) - {"facts"})
    if missing or unknown:
        raise TableError(f"{path.name}: missing {missing}, unknown {unknown}")
    if not set(meta["key"]) <= set(meta["columns"]):
        raise TableError(f"{path.name}: key names no column")
    return meta


def toml_of(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as fault:
        raise TableError(f"{path.name}: {fault}") from fault


def _column(file: str, name: str, spec: dict[str, Any]) -> Column:
    if unknown := sorted(set(spec) - _COLUMN_KEYS):
        raise TableError(f"{file}: column {name}: unknown {unknown}")
    column = Column(
        name, spec.get("kind", ""), spec.get("unit", ""), spec.get("order", ""), spec.get("optional", False)
    )
    numeric = column.kind in ("integer", "number")
    if column.kind not in _KINDS or column.order not in ("", "increasing", "decreasing"):
        raise TableError(f"{file}: column {name}: unknown kind or order")
    if numeric and not column.unit.startswith("@") and column.unit not in UNITS:
        raise TableError(f"{file}: column {name}: unknown unit {column.unit!r}")
    if not numeric and (column.unit or column.order):
        raise TableError(f"{file}: column {name}: only a number has unit and order")
    return column


def _rows(path: Path, digest: str, columns: tuple[Column, ...]) -> Iterator[Row]:
    raw = path.read_bytes()
    if (actual := hashlib.sha256(raw).hexdigest()) != digest:
        raise TableError(f"{path.name}: sha256 is {actual}, its TOML says {digest}")
    reader = csv.DictReader(io.StringIO(raw.decode("utf-8")), strict=True)
    if reader.fieldnames != [c.name for c in columns]:
        raise TableError(f"{path.name}: columns are {reader.fieldnames}")
    for line, cells in enumerate(reader, start=2):
        if None in cells or None in cells.values():
            raise TableError(f"{path.name}:{line}: wrong number of cells")
        yield _row(f"{path.name}:{line}", cells, columns)


def _row(place: str, texts: dict[str, str], columns: tuple[Column, ...]) -> Row:
    cells = {c.name: _cell(place, c, texts[c.name]) for c in columns}
    units = {c.name: texts[c.unit[1:]] if c.unit.startswith("@") else c.unit for c in columns if c.unit}
    if unknown := sorted(set(units.values()) - set(UNITS)):
        raise TableError(f"{place}: unknown unit {unknown}")
    return Row(cells, {name: UNITS[unit] for name, unit in units.items()})


def _cell(place: str, column: Column, text: str) -> Cell:
    if not text:
        if column.optional:
            return None
        raise TableError(f"{place}: {column.name} is empty")
    if column.kind == "text":
        return text
    if column.kind == "flag":
        if text not in ("yes", "no"):
            raise TableError(f"{place}: {column.name} is neither yes nor no")
        return text == "yes"
    try:
        value = int(text) if column.kind == "integer" else float(text)
    except ValueError as fault:
        raise TableError(f"{place}: {column.name}: {fault}") from fault
    if not math.isfinite(value):
        raise TableError(f"{place}: {column.name} is not finite")
    return value


def _check_marks(loaded: Table) -> None:
    if loaded.known_from == MIXED and "known_from" not in (c.name for c in loaded.columns):
        raise TableError(f"{loaded.name}: mixed marks need a column known_from")
    if unknown := sorted(set(marks_of(loaded)) - set(MARKS)):
        raise TableError(f"{loaded.name}: unknown mark {unknown}")


def marks_of(loaded: Table) -> list[str]:
    """Mark of each row."""
    return [row.text("known_from") if loaded.known_from == MIXED else loaded.known_from for row in loaded.rows]


def _check_key(loaded: Table) -> None:
    keys = [tuple(row.cells[name] for name in loaded.key) for row in loaded.rows]
    if not keys or len(set(keys)) != len(keys):
        raise TableError(f"{loaded.name}: no rows, or two rows with one key")


def _check_order(loaded: Table) -> None:
    """Declared columns rise (or fall) strictly among rows that share all key columns but the last."""
    for column in (c for c in loaded.columns if c.order):
        for above, below in pairwise(loaded.rows):
            if any(above.cells[name] != below.cells[name] for name in loaded.key[:-1]):
                continue
            step = below.printed(column.name) - above.printed(column.name)
            if (step if column.order == "increasing" else -step) <= 0:
                raise TableError(f"{loaded.name}: {column.name} is not {column.order}")
