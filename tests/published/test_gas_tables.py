"""Every printed capacity table against the sizing equations, and single published values against the look-up.

Marks: read = seen in a public copy of the source; memory = known, not seen; computed = worked out from the cited
formula outside this code. Tables: IFGC 2018 402.4(1)-(35), as ``gas_capacity.csv`` holds them, a mark to each cell.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cache
from math import floor, log10, sqrt
from statistics import mean

import pytest

from service.rules.tables import UNITS, table
from service.survey.model import GasCharacter
from service.trades import gas_capacity, gas_equation, gas_pipe
from service.trades.gas_capacity import Terms

CFH, FT, INCH, WC, PSI, BTU_H = (UNITS[u] for u in ("cfh", "ft", "in", "in w.c.", "psi", "Btu/h"))
BTU_FT3 = UNITS["Btu/ft3"]
PROPANE_BTU_FT3 = 2488  # IFGC, propane after vaporisation, read: what the propane tables are built on
GRAVITY = {"natural_gas": 0.60, "propane": 1.50}  # headings of the tables, read
NATURAL = GasCharacter("natural_gas", 1000 * BTU_FT3, 0.60)
PROPANE = GasCharacter("propane", PROPANE_BTU_FT3 * BTU_FT3, 1.50)
LOW_INLET_PA = 7 * WC
HEADINGS = {row.text("number"): row for row in table("gas_capacity_tables").rows}
ODD = ("402.4(5)", "402.4(7)")  # follow rough-pipe turbulence, not the code's equation (read, computed)

# Computed once outside this code from copies of the tables: cells, mean and worst of the annex form [%], mean and
# worst of the code's form [%], cells that the annex form returns exactly after rounding to three figures.
STATED = {
    "402.4(1)": (126, -0.05, -1.15, 0.72, 1.53, 125),
    "402.4(2)": (180, 0.00, 1.71, 0.77, 2.37, 178),
    "402.4(3)": (72, -0.01, -0.29, 0.66, 1.01, 69),
    "402.4(4)": (79, -0.03, -0.36, 0.62, 1.10, 77),
    "402.4(5)": (81, 5.23, 12.88, 5.79, 13.60, 2),
    "402.4(6)": (87, 0.00, 0.43, 0.52, 1.13, 87),
    "402.4(7)": (81, 3.43, 11.08, 3.95, 11.71, 1),
    "402.4(9)": (118, -0.17, -3.54, 0.47, -3.10, 118),
    "402.4(11)": (45, -0.04, 0.49, 0.37, 0.91, 41),
    "402.4(12)": (53, -0.00, 0.39, 0.40, 0.89, 53),
    "402.4(13)": (26, 0.00, -0.45, 0.37, 0.79, 26),
    "402.4(14)": (54, 0.01, -0.40, 0.38, 0.79, 54),
    "402.4(20)": (70, -0.00, 1.00, 0.73, 1.63, 66),
    "402.4(21)": (64, 0.01, 0.43, 0.73, 1.04, 58),
    "402.4(25)": (74, -0.04, -0.42, 0.53, 0.90, 72),
    "402.4(26)": (68, -0.01, -0.44, 0.53, 1.01, 68),
    "402.4(27)": (76, 0.03, 0.49, 0.58, 1.17, 73),
    "402.4(28)": (54, 0.00, -0.45, 0.75, 1.16, 54),
    "402.4(29)": (39, -0.02, -0.35, 0.41, 0.73, 38),
    "402.4(30)": (35, -0.06, -0.98, 0.55, 1.37, 35),
    "402.4(31)": (42, -0.01, -0.42, 0.41, 0.70, 40),
    "402.4(35)": (58, 0.00, 0.44, 0.74, 1.16, 57),
}


@dataclass(frozen=True)
class Compared:
    """A printed cell beside the two equations, in the cell's own unit."""

    printed: float
    annex: float
    code: float
    known_from: str

    @property
    def unit(self) -> float:
        """Of the third figure, 1 below 1,000."""
        return float(10 ** max(0, floor(log10(self.printed)) - 2))


def pressures(number: str) -> tuple[float, float]:
    """Supply and drop [Pa] of a table. 402.4(11) is headed below 2 psi but built on 2.0 psi, its drop of 17 in w.c.
    at the code's 27.7 in w.c. to the psi (read, computed)."""
    row = HEADINGS[number]
    if number == "402.4(11)":
        return 2 * PSI, row.printed("drop") / 27.7 * PSI
    return row.si("inlet") if row.text("pressure") == "high" else LOW_INLET_PA, row.si("drop")


def code_flow(inside_m: float, length_m: float, supply: float, drop: float, gravity: float) -> float:
    """Flow [m3/s] for which the code's form asks just this bore, from two points of its power law."""
    needed = [gas_equation.diameter_needed_m(q, length_m, supply, drop, gravity) for q in (CFH, 1000 * CFH)]
    exponent = log10(needed[1] / needed[0]) / 3
    return float(CFH * (inside_m / needed[0]) ** (1 / exponent))


@cache
def compared(number: str) -> tuple[Compared, ...]:
    """All cells of a table but those with a wrong length in print."""
    heading = HEADINGS[number]
    fuel, material = heading.text("fuel"), heading.text("material")
    supply, drop = pressures(number)
    unit = CFH if fuel == "natural_gas" else 1000 * BTU_H / PROPANE.heating_value_j_m3
    found = []
    for row in (r for r in table("gas_capacity").rows if r.text("table") == number):
        if heading.cells["last_row"] is not None and row.integer("length") > heading.printed("last_row"):
            continue
        bore = gas_pipe.inside_m("copper_k" if material == "copper" else material, row.text("nominal"))
        terms = (bore, row.si("length"), supply, drop, GRAVITY[fuel])
        annex, code = gas_equation.capacity_m3_s(*terms) / unit, code_flow(*terms) / unit
        found.append(Compared(row.printed("capacity"), annex, code, row.text("known_from")))
    return tuple(found)


@pytest.mark.parametrize("number", [n for n in STATED if n not in ODD])
def test_every_printed_cell_lies_within_its_rounding(number: str) -> None:
    """Annex form within 0.1 % and half a unit of the third figure, code form within 1 % and half a unit."""
    for cell in compared(number):
        assert abs(cell.annex - cell.printed) <= 0.001 * cell.printed + 0.5 * cell.unit, cell
        assert abs(cell.code - cell.printed) <= 0.010 * cell.printed + 0.5 * cell.unit, cell


@pytest.mark.parametrize("number", ODD)
def test_tables_of_another_law_lie_within_15_percent(number: str) -> None:
    """402.4(5), (7) read: they follow no equation of the code."""
    for cell in compared(number):
        assert cell.annex == pytest.approx(cell.printed, rel=0.15)
        assert cell.code == pytest.approx(cell.printed, rel=0.15)


@pytest.mark.parametrize("number", ODD)
def test_tables_of_another_law_fall_with_the_root_of_length(number: str) -> None:
    """Row 40 is half of row 10 within 1.5 %, where the code's exponent would give 0.472."""
    rows = [r for r in table("gas_capacity").rows if r.text("table") == number]
    at = {(r.text("nominal"), r.integer("length")): r.printed("capacity") for r in rows}
    for size in gas_pipe.sizes("steel_sch40"):
        assert at[size, 40] / at[size, 10] == pytest.approx(0.5, rel=0.015)


def test_deviations_are_the_stated_ones() -> None:
    """Cells, mean and worst of both forms, and exact cells, table by table (printed with ``pytest -s``)."""
    print(f"\n{'table':10} {'cells':>5} {'annex mean':>10} {'worst':>7} {'code mean':>10} {'worst':>7} {'equal':>6}")
    for number, stated in STATED.items():
        cells = compared(number)
        annex = [100 * (c.annex / c.printed - 1) for c in cells]
        code = [100 * (c.code / c.printed - 1) for c in cells]
        equal = sum(abs(round(c.annex / c.unit) * c.unit - c.printed) < 1e-6 for c in cells)
        found = (len(cells), mean(annex), max(annex, key=abs), mean(code), max(code, key=abs), equal)
        print("{:10} {:5d} {:+10.2f} {:+7.2f} {:+10.2f} {:+7.2f} {:6d}".format(number, *found))
        assert found[:5] == pytest.approx(stated[:5], abs=0.015), number
        # Stated with the printed Cr; its formula differs in the fifth figure, which a few cells near a half notice.
        assert abs(found[5] - stated[5]) <= 3, number


def test_all_printed_tables_are_compared_or_have_no_equation() -> None:
    """27 tables; only corrugated tubing has none. 1,420 cells of 20 tables are within rounding."""
    csst = {n for n, row in HEADINGS.items() if row.text("material") == "csst"}
    assert set(HEADINGS) == set(STATED) | csst and len(HEADINGS) == 27 and len(csst) == 5
    assert sum(len(compared(n)) for n in STATED if n not in ODD) == 1420


def test_a_table_is_called_read_only_if_all_its_cells_are() -> None:
    """Heading and cells agree about how they are known."""
    marks: dict[str, Counter[str]] = {}
    for row in table("gas_capacity").rows:
        marks.setdefault(row.text("table"), Counter())[row.text("known_from")] += 1
    assert {n for n, row in HEADINGS.items() if row.text("known_from") == "read"} == {
        n for n, count in marks.items() if set(count) == {"read"}
    }


def test_rows_with_wrong_labels_are_the_equation_at_other_lengths() -> None:
    """402.4(28), read: rows labelled 80 and 100 are the equation at 70 and 80 ft, and are not used."""
    printed = {(r.text("nominal"), r.integer("length")): r.printed("capacity")
               for r in table("gas_capacity").rows if r.text("table") == "402.4(28)"}  # fmt: skip
    for label, truth in ((80, 70), (100, 80)):
        for size in ("1/2", "3/4", "1", "1-1/4"):
            flow = gas_equation.capacity_m3_s(
                gas_pipe.inside_m("steel_sch40", size), truth * FT, 11 * WC, 0.5 * WC, 1.5
            )
            assert flow / CFH * PROPANE_BTU_FT3 / 1000 == pytest.approx(printed[size, label], rel=0.006)
    assert carried("steel_sch40", "3/4", 80, Terms(PROPANE, 11 * WC, 0.5 * WC)) == pytest.approx(197.4, abs=0.1)


def carried(material: str, size: str, feet: float, terms: Terms) -> float:
    """Capacity by tables in the tables' unit (cfh, 1,000 Btu/h)."""
    found = gas_capacity.by_tables(material, size, round(feet * 304.8), terms)
    assert found is not None
    per_unit = 1000 * BTU_H if terms.gas.fuel == "propane" else CFH * terms.gas.heating_value_j_m3
    return found.load_w / per_unit


LOW, PROPANE_LOW = Terms(NATURAL, 7 * WC, 0.5 * WC), Terms(PROPANE, 11 * WC, 0.5 * WC)
TWO_PSI, PROPANE_TWO_PSI = Terms(NATURAL, 2 * PSI, 1 * PSI), Terms(PROPANE, 2 * PSI, 1 * PSI)


@pytest.mark.parametrize(
    ("material", "size", "feet", "terms", "expected"),
    [
        pytest.param("steel_sch40", "1/2", 10, TWO_PSI, 1510, id="16: 402.4(5) read"),
        pytest.param("steel_sch40", "3/4", 60, TWO_PSI, 1240, id="17: 402.4(5) read"),
        pytest.param("csst", "25", 40, PROPANE_LOW, 153, id="31: 402.4(32) read"),
        pytest.param("csst", "31", 100, PROPANE_TWO_PSI, 1450, id="32: 402.4(33) read"),
        pytest.param("csst", "18", 100, TWO_PSI, 189, id="33: 402.4(18), hybrid example of the annex, read"),
        pytest.param("steel_sch40", "3/4", 30, LOW, 199, id="402.4(2) memory"),
        pytest.param("steel_sch40", "3/4", 25, LOW, 199, id="402.4(2) memory, next longer row"),
        pytest.param("copper_l", "1/2", 20, TWO_PSI, 708, id="402.4(12) read, K's bore for L"),
        pytest.param("copper_k", "3/4", 30, PROPANE_LOW, 258, id="29: 402.4(30) read"),
        pytest.param("pe", "1", 40, PROPANE_LOW, 580, id="30: 402.4(35) read"),
    ],
)
def test_look_up_returns_the_printed_cell(material: str, size: str, feet: float, terms: Terms, expected: float) -> None:
    """Published single values, exactly."""
    assert carried(material, size, feet, terms) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("gravity", "multiplier"),
    [
        pytest.param(0.50, 1.10, id="50: A.2.4 read"),
        pytest.param(0.65, 0.96, id="50: A.2.4 read"),
        pytest.param(1.50, 0.63, id="50: A.2.4 read"),
        pytest.param(0.62, 0.96, id="the next higher gravity when not listed, read"),
        pytest.param(0.58, 1.00, id="never the next lower one"),
    ],
)
def test_other_gravities_multiply_the_printed_cell(gravity: float, multiplier: float) -> None:
    """IFGC 2018 Table A.2.4 on 402.4(2), 1 in over 40 ft: 320 cfh."""
    terms = Terms(GasCharacter("natural_gas", 1000 * BTU_FT3, gravity), 7 * WC, 0.5 * WC)
    assert carried("steel_sch40", "1", 40, terms) == pytest.approx(320 * multiplier, rel=1e-12)


def test_multipliers_are_roots_of_the_gravity() -> None:
    """Law of Table A.2.4 (read): sqrt(0.60 / SG), printed within 0.006."""
    for row in table("gas_gravity").rows:
        assert row.printed("multiplier") == pytest.approx(sqrt(0.60 / row.printed("specific_gravity")), abs=0.006)


def test_same_drop_a_length_is_the_same_row() -> None:
    """58: 0.5 in w.c. over 10 ft is 3.0 over 60, 402.4(2) memory and (3) read; (4) row 20 is (3) row 10."""
    at = {(r.text("table"), r.text("nominal"), r.integer("length")): r.printed("capacity")
          for r in table("gas_capacity").rows}  # fmt: skip
    expected = (172, 360, 678, 1390, 2090, 4020, 6400, 11300, 23100)
    for size, cfh in zip(gas_pipe.sizes("steel_sch40"), expected, strict=True):
        assert at["402.4(2)", size, 10] == at["402.4(3)", size, 60] == cfh
        if size != "3":  # 402.4(3) prints 29,800, (4) 29,900
            assert at["402.4(4)", size, 20] == at["402.4(3)", size, 10]
    for size in gas_pipe.sizes("csst"):
        if size != "39":  # 0.8 % less in (16)
            assert at["402.4(15)", size, 5] == at["402.4(16)", size, 30]


def test_corrugated_tubing_carries_propane_as_its_density_says() -> None:
    """Read 402.4(33) over remembered (18): sqrt(0.60 / 1.50) x 2.5 = 1.58 within rounding, all columns."""
    at = {(r.text("table"), r.text("nominal"), r.integer("length")): r.printed("capacity")
          for r in table("gas_capacity").rows}  # fmt: skip
    ratios = [at["402.4(33)", s, f] / at["402.4(18)", s, f] for s in gas_pipe.sizes("csst") for f in (10, 100, 250)]
    assert ratios == pytest.approx([1.58] * len(ratios), rel=0.02)


@pytest.mark.parametrize(("size", "elbow_ft", "tee_ft"), [("3/4", 2.06, 4.12), ("1", 2.62, 5.24), ("2", 5.17, 10.3)])
def test_fittings_of_steel(size: str, elbow_ft: float, tee_ft: float) -> None:
    """51: IFGC 2018 Table A.2.2 (read), rounded up to the millimetre."""
    assert 0 <= gas_pipe.elbow_mm("steel_sch40", size) - elbow_ft * 304.8 < 1
    assert 0 <= gas_pipe.tee_mm("steel_sch40", size) - tee_ft * 304.8 < 1


def test_four_elbows_and_a_tee() -> None:
    """52: 4 x 2.62 + 5.24 = 15.72 ft in 1 in steel (read values)."""
    total = 4 * gas_pipe.elbow_mm("steel_sch40", "1") + gas_pipe.tee_mm("steel_sch40", "1")
    assert 15.72 * 304.8 <= total < 15.72 * 304.8 + 5


EXAMPLES = [
    pytest.param("csst", 110, 100, TWO_PSI, ("13", "18", "23", "30"), "18", id="46: A.7.2 section A, read"),
    pytest.param(
        "csst", 60, 15, Terms(NATURAL, 10 * WC, 3 * WC), ("13", "18", "23", "30"), "13", id="46: A.7.2 B, read"
    ),
    pytest.param("csst", 40, 40, LOW, ("13", "18", "23", "30"), "18", id="48: A.7.4 section G, read load; computed"),
    pytest.param("copper_l", 220, 50, Terms(NATURAL, 7 * WC, WC), None, "1", id="47: A.7.3 A, read"),
    pytest.param("copper_l", 75, 30, Terms(NATURAL, 7 * WC, WC), None, "1/2", id="47: A.7.3 B, read"),
    pytest.param("copper_l", 30, 50, Terms(NATURAL, 7 * WC, WC), None, "3/8", id="47: A.7.3 C, read"),
    pytest.param("copper_l", 35, 30, Terms(NATURAL, 7 * WC, WC), None, "3/8", id="47: A.7.3 D, read"),
    pytest.param("steel_sch40", 35, 60, LOW, None, "1/2", id="44: A.7.1 A, read"),
    pytest.param("steel_sch40", 110, 60, LOW, None, "3/4", id="44: A.7.1 section 1, read"),
    pytest.param("steel_sch40", 135, 60, LOW, None, "3/4", id="44: A.7.1 section 2, read"),
    pytest.param("steel_sch40", 245, 60, LOW, None, "1", id="44: A.7.1 section 3, read"),
    pytest.param("steel_sch40", 136, 60, LOW, None, "3/4", id="45: state example D, computed"),
    pytest.param("steel_sch40", 230, 60, LOW, None, "1", id="45: state example section 3, read"),
]


@pytest.mark.parametrize(("material", "cfh", "feet", "terms", "on_hand", "expected"), EXAMPLES)
def test_sizes_of_the_annex_examples(
    material: str, cfh: float, feet: float, terms: Terms, on_hand: tuple[str, ...] | None, expected: str
) -> None:
    """Smallest size by tables of IFGC 2018 appendix A.7 and a state's example to NFPA 54 6.1.1."""
    carrying = [s for s in on_hand or gas_pipe.sizes(material) if carried(material, s, feet, terms) >= cfh]
    assert carrying[0] == expected
