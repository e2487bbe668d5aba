"""What a gas pipe carries: by the printed table where one fits, by the equation elsewhere, and by the equation alone.

A load passes a capacity when ``load_w <= capacity.load_w * ROUNDING``. By tables a length takes the next row that is
not shorter. No printed table has a longer pipe carry more, but the equation beyond its last row may, when the gas is
richer or lighter than the table's: then the shorter row's capacity holds, the safe side. Corrugated tubing has no
equation: between printed rows its capacity is interpolated in logarithms, and another drop counts by the similarity
of the tables (the same drop a length is the same flow). What is not known is None, 0 or infinite, never a pass.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, floor, inf, log

from service.survey.model import GasCharacter
from service.trades import gas_equation
from service.trades.gas_equation import ROUNDING, flow_m3_s
from service.trades.gas_pipe import CSST, inside_m, is_known, sizes
from service.trades.gas_printed import PrintedTable, cells, gravity_multiplier, ladder_mm, lengths_mm, tables

UNLIMITED_MM = 10_000_000
"""Stands for 'no limit' where next to nothing flows [mm]."""
EQUATION = {False: "low-pressure equation, NFPA 54 B.4", True: "high-pressure equation, NFPA 54 B.4"}
COMPUTED = "computed"
_CACHED = 8192


@dataclass(frozen=True, slots=True)
class Terms:
    """What capacity depends on besides the pipe: the gas, gauge pressure of the supply and permitted drop [Pa]."""

    gas: GasCharacter
    supply_pa: float
    drop_pa: float


@dataclass(frozen=True, slots=True)
class Capacity:
    """Input that a pipe carries [W] over a length [mm] (that of the row used, the pipe's own by the equation), with
    the table or equation it is from and how that is known (read | memory | computed)."""

    load_w: float
    length_mm: int
    source: str
    known_from: str

    def passes(self, load_w: float) -> bool:
        """Whether a load [W] is carried."""
        return load_w <= self.load_w * ROUNDING


@lru_cache(maxsize=1024)
def table_for(material: str, terms: Terms) -> PrintedTable | None:
    """The printed table that fits, None if there is none."""
    fitting = [t for t in _tables_of_class(material, terms) if t.fits(terms.drop_pa)]
    return max(fitting, key=lambda t: t.drop_pa, default=None)


@lru_cache(maxsize=1024)
def rows_mm(material: str, terms: Terms) -> tuple[int, ...]:
    """Lengths [mm] at which capacity by tables is read, shortest first: the printed rows and, but for corrugated
    tubing, those of the equation beyond them. () for corrugated tubing without a table and unknown materials."""
    fitting = table_for(material, terms)
    printed = lengths_mm(fitting.number) if fitting else ()
    if material == CSST or not sizes(material):
        return printed
    return printed + tuple(mm for mm in ladder_mm() if not printed or mm > printed[-1])


@lru_cache(maxsize=_CACHED)
def by_tables(material: str, size: str, length_mm: int, terms: Terms) -> Capacity | None:
    """Capacity in the next row not shorter than ``length_mm``: the printed cell (times the gravity's multiplier,
    IFGC 2018 A.2.4, read), where a table fits and has one, else the equation at that row.

    None when not known: unknown material or size, corrugated tubing without a table or beyond it, beyond 2,000 ft.
    ValueError for a drop that is not positive or above the supply, and for a gravity outside 0.35 to 2.1.
    """
    index = bisect_left(rows_mm(material, terms), length_mm)
    return next(iter(by_rows(material, size, terms)[index:]), None)


@lru_cache(maxsize=_CACHED)
def by_rows(material: str, size: str, terms: Terms) -> tuple[Capacity | None, ...]:
    """Capacity in each of the rows of ``rows_mm``, as ``by_tables`` reads it, never more than in a shorter row; () for
    an unknown material or size."""
    return tuple(_held(_raw_column(material, size, terms))) if is_known(material, size) else ()


@lru_cache(maxsize=_CACHED)
def by_equation(material: str, size: str, length_mm: int, terms: Terms) -> Capacity | None:
    """Capacity at the length itself, in the annex form. Corrugated tubing: interpolated between printed rows, that
    of the first row before it. None when not known: unknown material or size, corrugated tubing beyond the last row
    or with no table for gas and pressure. ValueError as ``by_tables``."""
    if not is_known(material, size):
        return None
    length_mm = max(length_mm, 1)
    if material != CSST:
        return Capacity(_equation_w(material, size, length_mm, terms), length_mm, _equation_name(terms), COMPUTED)
    law = _csst_law(size, terms)
    if law is None or (load_w := law.load_w(length_mm)) is None:
        return None
    return Capacity(load_w, length_mm, law.source, COMPUTED)


@lru_cache(maxsize=_CACHED)
def longest_mm(material: str, size: str, load_w: float, terms: Terms) -> int:
    """Longest length [mm] over which a load passes ``by_equation``, 0 if none is known, at most 10 km.
    ValueError as ``by_tables``."""
    if not is_known(material, size):
        return 0
    guess_mm = floor(min(_length_at(material, size, load_w, terms), UNLIMITED_MM - 1)) + 1
    while guess_mm > 0:
        capacity = by_equation(material, size, guess_mm, terms)
        if capacity is not None and capacity.passes(load_w):
            return guess_mm
        guess_mm -= 1
    return 0


@lru_cache(maxsize=_CACHED)
def loss(material: str, size: str, length_mm: int, load_w: float, terms: Terms) -> float:
    """What a load loses along a pipe [Pa, or Pa2 at high pressure, see ``gas_equation``], infinite if not known.

    Corrugated tubing by the law of its table: a load below the last row's loses as that row's (the safe side), one
    above the first row's is not known. ValueError as ``by_tables``.
    """
    if not is_known(material, size):
        return inf
    if length_mm <= 0 or load_w <= 0:
        return 0.0
    if material != CSST:
        gas, flow = terms.gas, flow_m3_s(load_w, terms.gas.heating_value_j_m3)
        return gas_equation.loss(
            inside_m(material, size), length_mm / 1000, flow, terms.supply_pa, gas.specific_gravity
        )
    law = _csst_law(size, terms)
    reach_mm = law.length_mm(load_w) if law else 0.0
    return gas_equation.budget(terms.supply_pa, terms.drop_pa) * length_mm / reach_mm if reach_mm else inf


def _tables_of_class(material: str, terms: Terms) -> list[PrintedTable]:
    """Tables for this gas, material and pressure, whatever the drop."""
    return [t for t in tables() if t.serves(material, terms.gas, terms.supply_pa)]


def _held(column: list[Capacity | None]) -> Iterator[Capacity | None]:
    shorter: Capacity | None = None
    for own in column:
        if own is not None and shorter is not None and shorter.load_w < own.load_w:
            own = replace(shorter, length_mm=own.length_mm)
        yield own
        shorter = own or shorter


def _raw_column(material: str, size: str, terms: Terms) -> list[Capacity | None]:
    fitting = table_for(material, terms)
    printed = _printed(fitting, size, terms) if fitting else {}
    return [_at_row(material, size, mm, terms, printed.get(mm), fitting) for mm in rows_mm(material, terms)]


def _at_row(
    material: str, size: str, row_mm: int, terms: Terms, printed: Capacity | None, fitting: PrintedTable | None
) -> Capacity | None:
    if material == CSST or (printed is not None and fitting is not None and not fitting.least):
        return printed
    computed = Capacity(_equation_w(material, size, row_mm, terms), row_mm, _equation_name(terms), COMPUTED)
    return computed if printed is None or computed.load_w < printed.load_w else printed


def _printed(fitting: PrintedTable, size: str, terms: Terms) -> dict[int, Capacity]:
    """Printed cells of one size for the gas at hand, by length [mm]; none for a gravity beyond the multipliers."""
    factor = _to_load(fitting, terms)
    source = f"IFGC 2018 Table {fitting.number}"
    column = cells(fitting.number, size)
    return {} if factor is None else {
        mm: Capacity(cell.capacity_si * factor, mm, source, cell.known_from) for mm, cell in column.items()
    }  # fmt: skip


def _to_load(fitting: PrintedTable, terms: Terms) -> float | None:
    """Load [W] of one printed unit of capacity; propane is printed as load."""
    if fitting.fuel == "propane":
        return 1.0
    multiplier = gravity_multiplier(terms.gas.specific_gravity)
    return None if multiplier is None else multiplier * terms.gas.heating_value_j_m3


def _equation_w(material: str, size: str, length_mm: int, terms: Terms) -> float:
    bore_m, gas = inside_m(material, size), terms.gas
    flow = gas_equation.capacity_m3_s(bore_m, length_mm / 1000, terms.supply_pa, terms.drop_pa, gas.specific_gravity)
    return flow * gas.heating_value_j_m3


def _equation_name(terms: Terms) -> str:
    return EQUATION[gas_equation.is_high(terms.supply_pa)]


def _length_at(material: str, size: str, load_w: float, terms: Terms) -> float:
    """Length [mm] at which the capacity is just the load."""
    if material == CSST:
        law = _csst_law(size, terms)
        return law.length_mm(load_w) if law else 0.0
    per_metre = loss(material, size, 1000, load_w, terms)
    return gas_equation.budget(terms.supply_pa, terms.drop_pa) / per_metre * 1000 if per_metre else inf


@dataclass(frozen=True, slots=True)
class _Law:
    """Capacity of one size of corrugated tubing over length: lengths [mm] rise, loads [W] do not."""

    lengths: tuple[float, ...]
    loads: tuple[float, ...]
    source: str

    def load_w(self, length_mm: float) -> float | None:
        """Load at a length; the first row's before it, None beyond the last."""
        i = bisect_left(self.lengths, length_mm / ROUNDING)
        if i == len(self.lengths):
            return None
        return self.loads[0] if i == 0 else _between(self.lengths[i - 1 : i + 1], self.loads[i - 1 : i + 1], length_mm)

    def length_mm(self, load_w: float) -> float:
        """Longest length at a load: the last row's below its load, 0 above the first row's."""
        i = sum(load_w <= own * ROUNDING for own in self.loads)
        if i in (0, len(self.loads)):
            return self.lengths[-1] if i else 0.0
        return _between(self.loads[i - 1 : i + 1], self.lengths[i - 1 : i + 1], min(load_w, self.loads[i - 1]))


@lru_cache(maxsize=4096)
def _csst_law(size: str, terms: Terms) -> _Law | None:
    """Law of the table that fits, or of the first of its class, its lengths scaled to the permitted drop."""
    drawn_from = table_for(CSST, terms) or next(iter(_tables_of_class(CSST, terms)), None)
    printed = _printed(drawn_from, size, terms) if drawn_from else {}
    if drawn_from is None or not printed:
        return None
    permitted = gas_equation.budget(terms.supply_pa, terms.drop_pa)
    scale = permitted / gas_equation.budget(terms.supply_pa, drawn_from.drop_pa)
    lengths, loads = tuple(mm * scale for mm in printed), tuple(c.load_w for c in printed.values())
    return _Law(lengths, loads, f"between rows of IFGC 2018 Table {drawn_from.number}")


def _between(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    """Point of a power law through two points."""
    share = log(x / xs[0]) / log(xs[1] / xs[0])
    return exp(log(ys[0]) + share * log(ys[1] / ys[0]))
