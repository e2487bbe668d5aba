"""Gas piping against printed tables, the codes' worked examples and an independent friction library.

Marks: read = seen in a public copy of the source; memory = known, not seen; computed = worked out
from the cited formula outside this code. ``gas_cells.csv`` holds printed cells of the low-pressure
capacity tables of IFGC 2018 402.4 (NFPA 54 has the same), natural gas in cubic feet an hour, propane
in thousands of Btu an hour, each with its own mark; rows known to be mislabelled in the copies of
402.4(28) are left out.
"""

from __future__ import annotations

import csv
from math import floor, log10
from pathlib import Path

import pytest
from fluids import Reynolds, friction_factor, isothermal_gas

from service.rules.tables import UNITS, table
from service.trades import gas

CFH, FT, INCH, WC = UNITS["cfh"], UNITS["ft"], UNITS["in"], UNITS["in w.c."]
GRAVITY = {"ng": 0.60, "lp": 1.50}  # headings of the tables, read
PROPANE_BTU_FT3 = 2488  # IFGC, propane after vaporisation, read
CELLS = list(csv.DictReader((Path(__file__).parent / "gas_cells.csv").read_text(encoding="utf-8").splitlines()))


def cfh(inside_in: float, length_ft: float, drop_in_wc: float, kind: str = "ng") -> float:
    """Capacity in the tables' units."""
    return gas.capacity_m3_s(inside_in * INCH, length_ft * FT, drop_in_wc * WC, GRAVITY[kind]) / CFH


def size_for(flow_cfh: float, length_ft: float, drop_in_wc: float) -> str:
    """Smallest size whose longest length covers ``length_ft``."""
    longest = {s: gas.max_length_mm(s, flow_cfh * CFH, drop_in_wc * WC, 0.60) for s in gas.SIZES}
    return next(size for size, length_mm in longest.items() if length_mm >= length_ft * 304.8)


@pytest.mark.parametrize("number", sorted({c["table"] for c in CELLS}))
def test_every_printed_cell_lies_within_a_thousandth_and_half_a_unit_of_its_third_figure(number: str) -> None:
    """IFGC 2018 402.4(1)-(4), (9), (20), (21), (28), (30), (35); mark per cell."""
    cells = [c for c in CELLS if c["table"] == number]
    assert len(cells) >= 30
    for c in cells:
        printed = float(c["printed"])
        found = cfh(float(c["inside_in"]), float(c["length_ft"]), float(c["drop_in_wc"]), c["gas"])
        found *= PROPANE_BTU_FT3 / 1000 if c["gas"] == "lp" else 1
        unit = 10 ** max(0, floor(log10(printed)) - 2)
        assert abs(found - printed) <= 0.001 * printed + 0.5 * unit, c


@pytest.mark.parametrize(
    ("inside_in", "length_ft", "drop", "expected", "tolerance"),
    [
        pytest.param(0.622, 10, 0.5, 172.1, 0.1, id="402.4(2) prints 172; computed"),
        pytest.param(0.824, 60, 0.5, 136.5, 0.1, id="402.4(2) prints 137; computed"),
        pytest.param(1.049, 60, 0.5, 257.2, 0.1, id="402.4(2) prints 257; computed"),
        pytest.param(1.380, 100, 0.5, 400.5, 0.1, id="A.3.4 prints 400, read; computed"),
        pytest.param(0.622, 100, 0.3, 37.56, 0.02, id="A.3.4 prints 38, read; computed"),
        pytest.param(1.049, 40, 3.0, 844.2, 0.2, id="402.4(3) prints 844, read; computed"),
        pytest.param(0.824, 10, 3.0, 949, 9.99, id="402.4(3) read"),
        pytest.param(2.067, 80, 3.0, 3440, 39.4, id="402.4(3) read"),
        pytest.param(0.622, 10, 6.0, 660, 7.1, id="402.4(4) read"),
        pytest.param(1.380, 50, 6.0, 2240, 27.4, id="402.4(4) read"),
        pytest.param(1.077, 50, 0.5, 304, 3.54, id="402.4(21) PE read"),
        pytest.param(0.860, 30, 0.3, 169, 2.19, id="402.4(20) PE read"),
        pytest.param(0.824, 30, 0.5, 198.6, 0.1, id="edge: table 199, equation 198.6; computed"),
    ],
)
def test_natural_gas_capacity(
    inside_in: float, length_ft: float, drop: float, expected: float, tolerance: float
) -> None:
    """Single check values of the annex form, natural gas of gravity 0.60 [cfh]."""
    assert cfh(inside_in, length_ft, drop) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("inside_in", "length_ft", "expected", "tolerance"),
    [
        pytest.param(0.622, 10, 290.8, 0.1, id="402.4(28) prints 291, read; computed"),
        pytest.param(0.824, 60, 230.7, 0.1, id="402.4(28) prints 231, read; computed"),
        pytest.param(1.049, 50, 479.5, 0.2, id="402.4(28) prints 480, read; computed"),
        pytest.param(0.622, 70, 101.5, 0.1, id="printed 101 at the mislabelled row 80; computed"),
        pytest.param(0.622, 80, 94.4, 0.1, id="printed 94 at the mislabelled row 100; computed"),
        pytest.param(0.824, 80, 197.4, 0.1, id="199,000 Btu/h fails where the mislabelled row passes; computed"),
        pytest.param(0.745, 30, 258, 3.08, id="402.4(30) copper K read"),
        pytest.param(1.077, 40, 580, 6.3, id="402.4(35) PE read"),
    ],
)
def test_propane_capacity(inside_in: float, length_ft: float, expected: float, tolerance: float) -> None:
    """Single check values, propane at 11 in w.c. with 0.5 in w.c. drop [1,000 Btu/h]."""
    assert cfh(inside_in, length_ft, 0.5, "lp") * PROPANE_BTU_FT3 / 1000 == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
def test_cr_is_the_printed_one(fuel: str) -> None:
    """IFGC 2018 402.4 (R18 p. 579, read): 0.6094 and 1.2462."""
    row = table("gas_properties").where(fuel=fuel)
    assert {"natural_gas": 0.6094, "propane": 1.2462}[fuel] == row.printed("cr")
    assert gas.cr_factor(row.printed("specific_gravity")) == pytest.approx(row.printed("cr"), abs=1e-4)


def test_cr_of_another_gravity() -> None:
    """Cr 0.6522 at gravity 0.65 and 0.012 cP (computed from the annex formula)."""
    assert gas.cr_factor(0.65) == pytest.approx(0.6522, abs=1e-4)


@pytest.mark.parametrize(
    ("inside_in", "length_ft", "flow_cfh", "kind", "drop", "tolerance"),
    [
        (0.622, 30, 199, "ng", 1.962, 0.005),
        (0.824, 30, 199, "ng", 0.502, 0.002),
        (1.049, 30, 199, "ng", 0.156, 0.001),
        (0.824, 40, 79.98, "lp", 0.254, 0.001),
        (1.049, 40, 245, "ng", 0.3048, 0.001),
        (0.824, 20, 110, "ng", 0.1118, 0.001),
    ],
)
def test_drop_of_a_given_flow(
    inside_in: float, length_ft: float, flow_cfh: float, kind: str, drop: float, tolerance: float
) -> None:
    """Drop [in w.c.] by the annex form (computed)."""
    found = gas.gradient_pa_m(inside_in * INCH, flow_cfh * CFH, GRAVITY[kind]) * length_ft * FT / WC
    assert found == pytest.approx(drop, abs=tolerance)


@pytest.mark.parametrize(("flow_cfh", "size"), [(35, "1/2"), (75, "3/4"), (110, "3/4"), (135, "3/4"), (245, "1")])
def test_longest_length_example(flow_cfh: float, size: str) -> None:
    """IFGC 2018 example A.7.1 (p. 162, read): 60 ft, 0.5 in w.c.; A, B, sections 1, 2, 3."""
    assert size_for(flow_cfh, 60, 0.5) == size


@pytest.mark.parametrize(("flow_cfh", "size"), [(32, "1/2"), (35, "1/2"), (94, "3/4"), (230, "1"), (136, "3/4")])
def test_state_example(flow_cfh: float, size: str) -> None:
    """Example of a state code to NFPA 54 6.1.1 (read; the last, D, computed): 60 ft, 0.5 in w.c."""
    assert size_for(flow_cfh, 60, 0.5) == size


@pytest.mark.parametrize(
    ("length_ft", "drop", "size"),
    [(20, 0.5, "3/4"), (30, 0.5, "1"), (80, 0.5, "1"), (100, 0.5, "1-1/4"), (40, 3.0, "1/2"), (100, 3.0, "3/4")],
)
def test_size_for_a_large_heater_alone(length_ft: float, drop: float, size: str) -> None:
    """199 cfh by length (computed); at 30 ft the printed table would still allow 3/4."""
    assert size_for(199, length_ft, drop) == size


@pytest.mark.parametrize(
    ("input_btu_h", "btu_ft3", "expected"),
    [pytest.param(150_000, 1100, 136, id="state example, read"), pytest.param(760_000, 500, 1520, id="read")],
)
def test_flow(input_btu_h: float, btu_ft3: float, expected: float) -> None:
    """Input over heating value [cfh]; the second is a handbook's demand example."""
    found = gas.flow_m3_s(input_btu_h * UNITS["Btu/h"], btu_ft3 * UNITS["Btu/ft3"]) / CFH
    assert found == pytest.approx(expected, abs=0.5)


@pytest.mark.parametrize(
    ("size", "feet"), [("1/2", 1.55), ("3/4", 2.06), ("1", 2.62), ("1-1/4", 3.45), ("1-1/2", 4.02)]
)
def test_elbow(size: str, feet: float) -> None:
    """Table A.2.2 of IFGC appendix A, screwed 90 degree ell (read)."""
    assert gas.elbow_equivalent_mm(size) / 304.8 == pytest.approx(feet, abs=0.01)


def test_fitting_ratios() -> None:
    """Heading of Table A.2.2 (read): lengths are 14, 30, 67 and 60 bores, kept to 1 % by the copy."""
    ratios = {"ell45": 14, "ell90": 30, "return180": 67, "tee": 60}
    for row in table("gas_fittings").rows:
        for column, ratio in ratios.items():
            assert row.printed(column) == pytest.approx(row.printed("inside") * ratio / 12, rel=0.01)


def darcy_drop_in_wc(inside_in: float, length_ft: float, flow_cfh: float, kind: str, inlet_in_wc: float) -> float:
    """Isothermal Darcy-Weisbach with Colebrook friction, steel 0.0018 in, air 1.2255 kg/m3 at 14.73 psia."""
    atmosphere = 14.73 * UNITS["psi"]
    viscosity = {"ng": 1.2e-5, "lp": 0.8e-5}[kind]
    standard = GRAVITY[kind] * 1.2255
    bore, inlet = inside_in * INCH, atmosphere + inlet_in_wc * WC
    mass = flow_cfh * CFH * standard
    speed = mass / standard / (3.141592653589793 / 4 * bore**2)
    reynolds = Reynolds(V=speed, D=bore, rho=standard, mu=viscosity)
    friction = friction_factor(Re=reynolds, eD=0.0018 * INCH / bore)
    outlet = isothermal_gas(rho=standard * inlet / atmosphere, fd=friction, P1=inlet, L=length_ft * FT, D=bore, m=mass)
    return float((inlet - outlet) / WC)


DARCY_CASES = [
    pytest.param(0.622, 10, 172, "ng", 7, 0.507, id="steel 1/2"),
    pytest.param(0.824, 60, 137, "ng", 7, 0.523, id="steel 3/4"),
    pytest.param(1.049, 60, 257, "ng", 7, 0.493, id="steel 1"),
    pytest.param(1.380, 100, 400, "ng", 7, 0.479, id="steel 1-1/4"),
    pytest.param(2.067, 100, 1160, "ng", 7, 0.450, id="steel 2"),
    pytest.param(0.824, 60, 92.8, "lp", 11, 0.480, id="steel 3/4 propane"),
    pytest.param(1.049, 40, 199, "ng", 7, 0.210, id="steel 1, 199 cfh"),
]


@pytest.mark.parametrize(("inside_in", "length_ft", "flow_cfh", "kind", "inlet", "darcy"), DARCY_CASES)
def test_drop_agrees_with_darcy_friction(
    inside_in: float, length_ft: float, flow_cfh: float, kind: str, inlet: float, darcy: float
) -> None:
    """The code's drop lies within 15 % of physics, and within 5.5 % for natural gas in 1/2 to 1-1/4."""
    physics = darcy_drop_in_wc(inside_in, length_ft, flow_cfh, kind, inlet)
    assert physics == pytest.approx(darcy, rel=0.02)
    code = gas.gradient_pa_m(inside_in * INCH, flow_cfh * CFH, GRAVITY[kind]) * length_ft * FT / WC
    band = 0.055 if kind == "ng" and inside_in < 1.5 else 0.15
    assert physics / code == pytest.approx(1, abs=band)


def test_turbulent_capacities_drop_as_physics_says() -> None:
    """At the table's capacity for 0.5 in w.c. Darcy friction gives 0.5 within 15 % wherever the flow is turbulent."""
    ratios = []
    for size in gas.SIZES:
        inside_in = table("gas_pipe").where(material=gas.STEEL, nominal=size).printed("inside")
        for length_ft in (10, 30, 60, 100):
            flow = cfh(inside_in, length_ft, 0.5)
            reynolds = 4 * flow * CFH * 0.60 * 1.2255 / (3.141592653589793 * inside_in * INCH * 1.2e-5)
            if reynolds > 4000:
                ratios.append(darcy_drop_in_wc(inside_in, length_ft, flow, "ng", 7) / 0.5)
    assert len(ratios) >= 12
    assert ratios == pytest.approx([1] * len(ratios), abs=0.15)
