"""Look-up of gas capacity: next row, monotone, the safe side of what print gets wrong, nothing known of nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import inf, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.rules import catalogue
from service.rules.tables import UNITS, table
from service.survey.equipment import Per
from service.survey.model import GasCharacter
from service.trades import gas_capacity as gc
from service.trades import gas_equation, gas_pipe, gas_printed
from service.trades.gas_capacity import Capacity, Terms

FT, CFH, WC, PSI, BTU_H = 304.8, UNITS["cfh"], UNITS["in w.c."], UNITS["psi"], UNITS["Btu/h"]
NATURAL = GasCharacter("natural_gas", 1000 * UNITS["Btu/ft3"], 0.60)
PROPANE = GasCharacter("propane", 2488 * UNITS["Btu/ft3"], 1.50)
LOW, PROPANE_LOW = Terms(NATURAL, 7 * WC, 0.5 * WC), Terms(PROPANE, 11 * WC, 0.5 * WC)
TWO_PSI = Terms(NATURAL, 2 * PSI, 1 * PSI)
HEATER_W = 199_000 * BTU_H
STEEL = "steel_sch40"


def terms_of(printed: gas_printed.PrintedTable, gravity: float | None = None) -> Terms:
    """Terms for which a table is made, or those of another gravity."""
    gas = NATURAL if printed.fuel == "natural_gas" else PROPANE
    gas = gas if gravity is None else replace(gas, specific_gravity=gravity)
    return Terms(gas, printed.inlet_pa or max(7 * WC, 1.2 * printed.drop_pa), printed.drop_pa)


TABLES = gas_printed.tables()
RICH = replace(PROPANE, heating_value_j_m3=2800 * UNITS["Btu/ft3"])
ALL_TERMS = [
    *[pytest.param(t, terms_of(t), id=t.number) for t in TABLES],
    *[pytest.param(t, terms_of(t, 0.67), id=f"{t.number} SG 0.67") for t in TABLES if t.fuel == "natural_gas"],
    *[pytest.param(t, terms_of(t, 1.05), id=f"{t.number} SG 1.05") for t in TABLES if t.fuel == "natural_gas"],
    *[pytest.param(t, replace(terms_of(t), gas=RICH), id=f"{t.number} rich") for t in TABLES if t.fuel == "propane"],
]


def materials_of(printed: gas_printed.PrintedTable) -> tuple[str, ...]:
    """Materials that a table serves."""
    return ("copper_k", "copper_l") if printed.material == "copper" else (printed.material,)


@pytest.mark.parametrize(("printed", "terms"), ALL_TERMS)
def test_capacity_never_grows_with_length_nor_shrinks_with_size(
    printed: gas_printed.PrintedTable, terms: Terms
) -> None:
    """All tables and what continues them, at each row, just short of it and just beyond it."""
    for material in materials_of(printed):
        assert gc.table_for(material, terms) == printed
        rows = gc.rows_mm(material, terms)
        lengths = sorted({1} | {mm + d for mm in rows for d in (-1, 0, 1)})
        table_of = {s: [load(gc.by_tables(material, s, mm, terms)) for mm in lengths] for s in gas_pipe.sizes(material)}
        for column in table_of.values():
            assert all(longer <= shorter for shorter, longer in pairwise(column))
        for small, large in pairwise(gas_pipe.sizes(material)):
            assert all(a <= b for a, b in zip(table_of[small], table_of[large], strict=True))


def load(capacity: Capacity | None) -> float:
    """Watts, none where nothing is known."""
    return 0.0 if capacity is None else capacity.load_w


@pytest.mark.parametrize(("printed", "terms"), ALL_TERMS[:27])
def test_no_look_up_exceeds_print_and_no_least_table_exceeds_the_equation(
    printed: gas_printed.PrintedTable, terms: Terms
) -> None:
    """A printed cell is returned as it stands or less; tables of another law give the lesser of it and the equation."""
    held = 0
    for material in materials_of(printed):
        for size in gas_pipe.sizes(material):
            for mm, cell in gas_printed.cells(printed.number, size).items():
                found = gc.by_tables(material, size, mm, terms)
                assert found is not None and found.length_mm == mm
                value = cell.capacity_si * (1 if printed.fuel == "propane" else NATURAL.heating_value_j_m3)
                assert found.load_w <= value
                held += found.load_w < value
                if printed.least:
                    equation = gc.by_equation(material, size, mm, terms)
                    assert equation is not None and found.load_w <= equation.load_w
    assert bool(held) == printed.least


def test_beyond_the_last_row_nothing_grows() -> None:
    """402.4(28) is built on 2,488 Btu/ft3: with 2,800 the equation at 70 ft lies above row 60, which holds."""
    terms = Terms(RICH, 11 * WC, 0.5 * WC)
    last, beyond = (gc.by_tables(STEEL, "3/4", round(feet * FT), terms) for feet in (60, 70))
    equation = gc.by_equation(STEEL, "3/4", round(70 * FT), terms)
    assert last and beyond and equation
    assert equation.load_w > last.load_w == beyond.load_w == 231_000 * BTU_H
    assert (beyond.length_mm, beyond.source) == (round(70 * FT), last.source)


def test_the_edge_of_table_and_equation() -> None:
    """199,000 Btu/h at 1,000 Btu/ft3 through 3/4 in steel over 30 ft: 402.4(2) prints 199, the equation gives 198.6."""
    table_says, equation_says = (f(STEEL, "3/4", round(30 * FT), LOW) for f in (gc.by_tables, gc.by_equation))
    assert table_says and equation_says
    assert table_says.passes(HEATER_W) and not equation_says.passes(HEATER_W)
    assert equation_says.load_w / BTU_H == pytest.approx(198_600, abs=100)
    assert gc.longest_mm(STEEL, "3/4", HEATER_W, LOW) < 30 * FT
    assert (table_says.source, table_says.known_from) == ("IFGC 2018 Table 402.4(2)", "memory")
    assert equation_says.known_from == "computed"


def test_a_metric_drop_takes_the_table_in_inches_but_a_larger_one_does_not() -> None:
    """0.125 kPa is 0.5018 in w.c. (table 0.5); 0.6 in w.c. has no table; 0.49 must not take the table of 0.5."""
    found = {drop: gc.table_for(STEEL, Terms(NATURAL, 1750, drop)) for drop in (125.0, 0.6 * WC, 0.49 * WC)}
    assert [t and t.number for t in found.values()] == ["402.4(2)", None, None]


@pytest.mark.parametrize(
    ("material", "terms", "number"),
    [
        (STEEL, Terms(NATURAL, 7.9 * WC, 3 * WC), None),
        (STEEL, Terms(NATURAL, 8 * WC, 3 * WC), "402.4(3)"),
        (STEEL, Terms(NATURAL, 10 * WC, 6 * WC), None),
        (STEEL, Terms(NATURAL, 1.6 * PSI, 0.5 * WC), None),
        (STEEL, Terms(NATURAL, 2.015 * PSI, 1 * PSI), "402.4(5)"),
        (STEEL, Terms(NATURAL, 2.1 * PSI, 1 * PSI), None),
        (STEEL, Terms(PROPANE, 10 * WC, 0.5 * WC), None),
        (STEEL, Terms(replace(PROPANE, specific_gravity=1.52), 11 * WC, 0.5 * WC), None),
        ("copper_l", TWO_PSI, "402.4(12)"),
        ("copper_l", Terms(NATURAL, 2 * PSI, 1.5 * PSI), "402.4(13)"),
        ("pe", TWO_PSI, None),
        ("lead", LOW, None),
    ],
)
def test_which_table_fits(material: str, terms: Terms, number: str | None) -> None:
    """Fuel, gravity of propane, material, class of pressure and least supply decide (headings, read)."""
    found = gc.table_for(material, terms)
    assert (found.number if found else None) == number


def test_without_a_table_the_equation_is_read_at_the_next_row() -> None:
    """1 in steel with 1.2 in w.c. to lose, 41 ft: row 50, worked out with the printed formula."""
    found = gc.by_tables(STEEL, "1", round(41 * FT), Terms(NATURAL, 7 * WC, 1.2 * WC))
    assert found is not None
    by_hand = 2313 * 1.049**2.623 * (1.2 / (0.6094 * 50)) ** 0.541
    assert found.load_w / BTU_H == pytest.approx(by_hand * 1000, rel=1e-4)
    assert (found.length_mm, found.known_from) == (round(50 * FT), "computed")


def test_rows_with_wrong_labels_and_cells_cut_off_are_the_equation() -> None:
    """402.4(28) ends at 60 ft for us; 402.4(25) prints row 90 for two sizes only (as the copy shows)."""
    beyond = gc.by_tables(STEEL, "3/4", round(61 * FT), PROPANE_LOW)
    assert beyond is not None and (beyond.length_mm, beyond.known_from) == (round(70 * FT), "computed")
    ten = Terms(PROPANE, 10 * PSI, 1 * PSI)
    marks = [c and c.known_from for c in (gc.by_tables(STEEL, s, round(90 * FT), ten) for s in ("3/4", "1"))]
    assert marks == ["read", "computed"]


def test_nothing_is_known_of_nothing() -> None:
    """Unknown material or size, corrugated tubing beyond its rows or without a table, anything beyond 2,000 ft."""
    assert gc.rows_mm("lead", LOW) == () and gas_pipe.sizes("lead") == ()
    beyond = round(300 * FT) + 1
    for material, size, mm, terms in (
        ("lead", "1/2", 3048, LOW),
        (STEEL, "7", 3048, LOW),
        ("csst", "18", beyond, LOW),
        ("csst", "18", 3048, Terms(PROPANE, 10 * PSI, 1 * PSI)),
    ):
        assert gc.by_tables(material, size, mm, terms) is None
        assert gc.by_equation(material, size, mm, terms) is None
    assert gc.by_tables(STEEL, "1", round(2000 * FT) + 1, LOW) is None
    assert gc.by_tables("csst", "18", 3048, Terms(NATURAL, 7 * WC, 1.5 * WC)) is None
    assert gc.longest_mm("lead", "1/2", 100.0, LOW) == gc.longest_mm(STEEL, "7", 100.0, LOW) == 0
    assert gc.loss("lead", "1/2", 1000, 100.0, LOW) == gc.loss("csst", "18", 1000, 1e6, LOW) == inf
    assert not gas_pipe.is_known("csst", "1/2") and gas_pipe.is_known("csst", "18")


def test_corrugated_tubing_between_rows_and_before_them() -> None:
    """EHD 18, 402.4(15) memory: 58 cfh at 20 ft, 52 at 25, between them the power law; under 5 ft the 115 of 5 ft."""
    between = gc.by_equation("csst", "18", round(22 * FT), LOW)
    first = gc.by_equation("csst", "18", 300, LOW)
    row = gc.by_equation("csst", "18", round(20 * FT), LOW)
    assert between and first and row
    assert between.load_w / BTU_H == pytest.approx(1000 * 58 * (52 / 58) ** 0.42713, rel=1e-4)  # ln 1.1 / ln 1.25
    assert row.load_w / BTU_H == pytest.approx(58_000, rel=1e-6)
    assert first.load_w / BTU_H == pytest.approx(115_000, rel=1e-6)


def test_corrugated_tubing_at_another_drop_by_similarity() -> None:
    """1.0 in w.c. over 40 ft is 0.5 over 20: 58 cfh in EHD 18."""
    found = gc.by_equation("csst", "18", round(40 * FT), Terms(NATURAL, 7 * WC, 1.0 * WC))
    assert found and found.load_w / BTU_H == pytest.approx(58_000, rel=1e-6)


PIPES = [(m, s) for m in gas_pipe.MATERIALS for s in gas_pipe.sizes(m)]
TERMS = [LOW, PROPANE_LOW, TWO_PSI, Terms(NATURAL, 7 * WC, 1.3 * WC), Terms(PROPANE, 2 * PSI, 1 * PSI)]


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PIPES), st.sampled_from(TERMS), st.floats(0, 5e6))
def test_longest_length_is_the_last_that_passes(pipe: tuple[str, str], terms: Terms, load_w: float) -> None:
    """One millimetre more fails, by capacity as by loss."""
    longest = gc.longest_mm(*pipe, load_w, terms)
    limit = gas_equation.budget(terms.supply_pa, terms.drop_pa)
    assert 0 <= longest <= gc.UNLIMITED_MM
    if longest:
        at = gc.by_equation(*pipe, longest, terms)
        assert at is not None and at.passes(load_w)
        if pipe[0] != "csst" or longest >= 5 * FT:
            assert gc.loss(*pipe, longest, load_w, terms) <= limit * (1 + 1e-6)
    if longest < gc.UNLIMITED_MM:
        beyond = gc.by_equation(*pipe, longest + 1, terms)
        assert beyond is None or not beyond.passes(load_w)
        assert not load_w or gc.loss(*pipe, longest + 2, load_w, terms) > limit * (1 - 1e-6)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PIPES), st.sampled_from(TERMS), st.floats(1, 1e6), st.floats(1.0, 3), st.integers(1, 60_000))
def test_loss_grows_with_load_and_length(
    pipe: tuple[str, str], terms: Terms, load_w: float, factor: float, length_mm: int
) -> None:
    """Never less for more."""
    loss = gc.loss(*pipe, length_mm, load_w, terms)
    assert gc.loss(*pipe, length_mm, load_w * factor, terms) >= loss * (1 - 1e-12)
    assert gc.loss(*pipe, length_mm + 1000, load_w, terms) >= loss


def test_no_load_loses_nothing_and_runs_for_ever() -> None:
    """Also in corrugated tubing, which still ends where its table does."""
    assert gc.loss(STEEL, "1/2", 1000, 0.0, LOW) == gc.loss("csst", "18", 1000, 0.0, LOW) == 0.0
    assert gc.longest_mm(STEEL, "1/2", 0.0, LOW) == gc.UNLIMITED_MM
    assert gc.longest_mm("csst", "18", 0.0, LOW) == round(300 * FT)


def test_impossible_terms_are_refused() -> None:
    """A drop above the supply, a gravity of no fuel gas."""
    with pytest.raises(ValueError, match="drop"):
        gc.by_tables(STEEL, "1", 3048, Terms(NATURAL, 7 * WC, 8 * WC))
    with pytest.raises(ValueError, match="gravity"):
        gc.by_equation(STEEL, "1", 3048, Terms(replace(NATURAL, specific_gravity=2.2), 7 * WC, 0.5 * WC))


def test_every_table_with_a_defect_says_so() -> None:
    """What is decided to the safe side has its reason beside it."""
    notes = {t.number: t.note for t in gas_printed.tables()}
    for number in ("402.4(5)", "402.4(7)", "402.4(11)", "402.4(28)"):
        assert "Safe side" in notes[number]
    assert "EHD 37" in notes["402.4(32)"] and "EHD 37" in notes["402.4(15)"] and "EHD 37" in notes["402.4(18)"]


def test_sizes_bores_and_fittings() -> None:
    """Bores as printed (IFGC 2018, read); L/d 30 and 60 (read); 1.3 ft in corrugated tubing (memory)."""
    assert gas_pipe.sizes("pe") == ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "3", "4")
    assert gas_pipe.sizes("csst")[0] == "13" and gas_pipe.sizes("csst")[-1] == "62"
    assert gas_pipe.inside_m("copper_l", "1/2") == gas_pipe.inside_m("copper_k", "1/2") == 0.527 * 0.0254
    assert gas_pipe.flow_area_m2("copper_l", "1/2") == pytest.approx(pi / 4 * (0.545 * 0.0254) ** 2, rel=1e-12)
    assert gas_pipe.flow_area_m2("csst", "18") == pytest.approx(pi / 4 * (0.469 * 0.0254) ** 2, rel=1e-12)
    assert gas_pipe.elbow_mm("copper_k", "1/2") == 402 and gas_pipe.tee_mm("copper_k", "1/2") == 804  # 401.6, 803.1
    assert gas_pipe.elbow_mm("pe", "1") == 821  # 30 x 1.077 in = 820.7 mm
    assert gas_pipe.elbow_mm("csst", "18") == gas_pipe.tee_mm("csst", "62") == 397  # 1.3 ft = 396.2 mm


@pytest.mark.parametrize("call", [gas_pipe.inside_m, gas_pipe.elbow_mm, gas_pipe.tee_mm, gas_pipe.flow_area_m2])
def test_unknown_pipe_is_a_key_error(call: object) -> None:
    """No size, no bore; corrugated tubing has no bore for sizing."""
    assert callable(call)
    for material, size in (("lead", "1"), (STEEL, "7"), ("csst", "1/2")):
        with pytest.raises(KeyError):
            call(material, size)
    with pytest.raises(KeyError):
        gas_pipe.inside_m("csst", "18")


@pytest.mark.parametrize("book_id", catalogue.price_book_ids())
def test_optional_prices_are_in_the_books_and_dearer_by_size(book_id: str) -> None:
    """Every optional key is priced, none is required, and a larger pipe or elbow costs more."""
    book, optional = catalogue.price_book(book_id), catalogue.optional_prices()
    required = catalogue.required_prices(catalogue.heaters().values())
    assert set(book.items) == set(required) | set(optional) and not set(required) & set(optional)
    assert {"gas.renew", "gas.line_regulator", "gas.pressure_change", "gas.service_regulator"} <= set(optional)
    for key, by_length in optional.items():
        assert book[key].cents > 0 and (book[key].per is not Per.EACH) == by_length
    for material in gas_pipe.MATERIALS:
        stem = "gas." if material == STEEL else f"gas.{material}."
        for part in ("pipe", "elbow"):
            keys = [f"{stem}{s}.{part}" for s in gas_pipe.sizes(material)]
            cents = [book[k].cents for k in keys if k in book.items]
            assert all(small < large for small, large in pairwise(cents))
            assert cents or material == "copper_k" or (part == "elbow" and material in ("csst", "pe"))


def test_equation_constants_name_where_they_are_from() -> None:
    """Every constant has a section."""
    assert all(row.text("section") for row in table("gas_equation").rows)
