"""The checker takes the sizes of the published worked examples, and refuses each when it is one size smaller.

Sources: IFGC 2018 appendix A examples A.7.1 to A.7.3 and a state's mechanical code that carries NFPA 54 6.1.1; loads,
longest runs and sizes as read, lengths of single sections (which the texts leave to figures) ours where they do not
matter. The heater stands for one outlet of each example.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Design
from service.survey.model import GasMethod, GasSupply, LineRegulator, Survey
from tests.unit.check_house import site
from tests.unit.gas_house import (
    ALLOWANCE,
    BRANCH_MM,
    BTU_FT3,
    BTU_H,
    INCH_WC,
    PSI,
    burner,
    feet,
    gas_faults,
    heater_of,
    lawful,
    pipe,
    piped,
    to_west,
    told,
)

LOW = {"pressure_pa": 7 * INCH_WC, "allowable_drop_pa": 0.5 * INCH_WC, "fittings": ALLOWANCE}
Sizes = dict[str, str]


def gas_of(btu_ft3: float = 1000) -> Any:
    """Natural gas of gravity 0.60."""
    return site(heating_value_j_m3=btu_ft3 * BTU_FT3)


def built(supply: GasSupply, option: str, upstream_mm: int, kbtu_h: float, **more: Any) -> tuple[Survey, Design]:
    """The heater in the place of one outlet."""
    heater = heater_of(kbtu_h * 1000 * BTU_H, **more.pop("listed", {}))
    return lawful(supply, to_west(option, upstream_mm, counted=False), heater=heater, **more)


def smaller(sizes: Sizes, order: tuple[str, ...], name: str) -> Sizes:
    """The same with one pipe a size smaller."""
    return sizes | {name: order[order.index(sizes[name]) - 1]}


STEEL = "1/2", "3/4", "1"
A71 = {"three": "1", "one": "3/4", "two": "3/4", "a": "1/2", "b": "3/4", "c": "1/2", "branch": "3/4"}


def a71(sizes: Sizes) -> tuple[Survey, Design]:
    """IFGC 2018 A.7.1: A 35, B 75, C 35, D (the heater) 100 kBtu/h; 60 ft to A, 0.5 in w.c."""
    segments = (
        pipe("three", "meter", "n3", sizes["three"], feet(20)),
        pipe("one", "n3", "n1", sizes["one"], feet(20)),
        pipe("a", "n1", "A", sizes["a"], feet(20)),
        pipe("b", "n1", "B", sizes["b"], feet(10)),
        pipe("two", "n3", "tee", sizes["two"], feet(20)),
        pipe("c", "tee", "C", sizes["c"], feet(10)),
    )
    appliances = tuple(burner(n, k * 1000 * BTU_H) for n, k in (("A", 35), ("B", 75), ("C", 35)))
    return built(piped(segments, appliances, **LOW), sizes["branch"], feet(40), 100, site=gas_of())


def test_longest_length_example_of_the_code() -> None:
    assert gas_faults(*a71(A71)) == set()


@pytest.mark.parametrize("name", [n for n, size in A71.items() if size != "1/2"])
def test_longest_length_example_has_no_smaller_size(name: str) -> None:
    """Sections off the heater's way (1 and B) are judged like those on it."""
    rule = ("gas.branch", "tee") if name == "branch" else ("gas.segment", name)
    assert gas_faults(*a71(smaller(A71, STEEL, name))) == {rule}


def test_longest_length_example_figures() -> None:
    """Section 2 carries 135 cfh; 3/4 in over 60 ft passes 137 cfh (IFGC 2018 Table 402.4(2), memory)."""
    found = told(*a71(A71), "gas.segment", "two")
    assert str(found.detail) == (
        f"steel_sch40 of size 3/4 over {feet(60)} mm passes {137_000 * BTU_H:.0f} W, carries {135_000 * BTU_H:.0f} W"
    )
    assert "402.4.1" in found.citation and "402.4(2)" in found.citation


def test_pipe_that_fails_tells_how_far_it_would_do() -> None:
    """135 cfh is more than 1/2 in passes over 20 ft (118 cfh), not over 10 ft (172 cfh; Table 402.4(2), memory)."""
    found = told(*a71(smaller(A71, STEEL, "two")), "gas.segment", "two")
    assert (found.required_mm, found.actual_mm) == (feet(10), feet(60))
    assert str(found.detail).endswith(f"it would over {feet(10)} mm")


STATE = {"three": "1", "two": "3/4", "one": "1/2", "a": "1/2", "b": "1/2", "c": "1/2", "branch": "3/4"}


def state_code(sizes: Sizes) -> tuple[Survey, Design]:
    """A state's example (read): 1,100 Btu/ft3; A 32, B 3, C 59 cfh, D (the heater) 150,000 Btu/h; 60 ft to A."""
    segments = (
        pipe("three", "meter", "tee", sizes["three"], feet(20)),
        pipe("two", "tee", "n2", sizes["two"], feet(15)),
        pipe("c", "n2", "C", sizes["c"], feet(10)),
        pipe("one", "n2", "n1", sizes["one"], feet(15)),
        pipe("b", "n1", "B", sizes["b"], feet(5)),
        pipe("a", "n1", "A", sizes["a"], feet(10)),
    )
    appliances = tuple(burner(n, cfh * 1100 * BTU_H) for n, cfh in (("A", 32), ("B", 3), ("C", 59)))
    supply = piped(segments, appliances, **(LOW | {"pressure_pa": 8 * INCH_WC}))
    return built(supply, sizes["branch"], feet(20), 150, site=gas_of(1100))


def test_state_example() -> None:
    assert gas_faults(*state_code(STATE)) == set()
    for name in ("three", "two", "branch"):
        rule = ("gas.branch", "tee") if name == "branch" else ("gas.segment", name)
        assert gas_faults(*state_code(smaller(STATE, STEEL, name))) == {rule}


COPPER = "1/4", "3/8", "1/2", "5/8", "3/4", "1"
A73 = {"a": "1", "b": "1/2", "c": "3/8", "e": "1/2", "branch": "3/8"}


def a73(sizes: Sizes, method: GasMethod = GasMethod.BRANCH_EQUATION) -> tuple[Survey, Design]:
    """IFGC 2018 A.7.3 (read): semirigid copper, 1.0 in w.c.; A 220 over 50 ft, B 75 over 30, C 30 over 50, D (the
    heater) 35 over 30, E 80 over 30 cfh. Trunk A 20 ft (memory). Type L has the bore of K, as the tables do."""
    ends = (("a", "meter", "tee", 20.0), ("b", "tee", "B", 10.0), ("c", "tee", "C", 30.0), ("e", "tee", "E", 10.0))
    segments = tuple(pipe(n, s, e, sizes[n], feet(mm), material="copper_l") for n, s, e, mm in ends)
    appliances = tuple(burner(n, k * 1000 * BTU_H) for n, k in (("B", 75), ("C", 30), ("E", 80)))
    changes = LOW | {"allowable_drop_pa": 1.0 * INCH_WC, "method": method, "branch_materials": ("copper_l",)}
    supply = piped(segments, appliances, **changes)
    return built(supply, f"copper_l.{sizes['branch']}", feet(20), 35, site=gas_of())


@pytest.mark.parametrize("name", [None, "b", "c", "e"])
def test_branch_length_example_of_the_code(name: str | None) -> None:
    sizes = smaller(A73, COPPER, name) if name else A73
    assert gas_faults(*a73(sizes)) == ({("gas.segment", name)} if name else set())


def test_branch_length_example_trunk_and_heater() -> None:
    """3/4 in passes 168 cfh over 50 ft (computed), the trunk carries 220."""
    assert gas_faults(*a73(smaller(A73, COPPER, "a"))) == {("gas.segment", "a")}
    found = told(*a73(A73), "gas.branch", "tee")
    assert f"over {feet(20) + BRANCH_MM} mm" in str(found.detail) and "402.4.2" in found.citation


def test_longest_length_asks_more_of_the_same_branches() -> None:
    """Over 50 ft 1/2 in passes 68 cfh and 3/8 in 33 (computed): B, D and E are too small by the other method."""
    found = gas_faults(*a73(A73, GasMethod.LONGEST_EQUATION))
    assert found == {("gas.segment", "b"), ("gas.segment", "e"), ("gas.branch", "tee")}


EHDS = "13", "15", "18"
A72 = {"a": "18", "b": "13", "d": "13", "branch": "13"}


def a72(sizes: Sizes, loss_inch: float = 4) -> tuple[Survey, Design]:
    """IFGC 2018 A.7.2 (read): 100 ft at 2 psi with 1 psi drop to a line regulator that loses 4 in w.c., behind it 3 in
    w.c. drop and each branch by its own length: furnace 60, heater 30, dryer 20 cfh. The text sets the regulator to 10
    or 13 in w.c.; 10 here."""
    segments = tuple(
        pipe(name, start, end, sizes[name], feet(mm), material="csst")
        for name, start, end, mm in (("a", "meter", "tee", 100), ("b", "tee", "B", 15), ("d", "tee", "D", 25))
    )
    appliances = burner("B", 60_000 * BTU_H), burner("D", 20_000 * BTU_H)
    regulator = LineRegulator("tee", 10 * INCH_WC, 3 * INCH_WC, 110_000 * BTU_H, loss_inch * INCH_WC)
    changes = {"pressure_pa": 2 * PSI, "allowable_drop_pa": PSI, "regulators": (regulator,), "fittings": ALLOWANCE}
    own_length = {"method": GasMethod.BRANCH_TABLES, "branch_materials": ("csst",)}
    supply = piped(segments, appliances, **changes, **own_length)
    return built(supply, f"csst.{sizes['branch']}", 0, 30, site=gas_of())


def test_hybrid_example_of_the_code() -> None:
    """EHD 18 passes 189 cfh over 100 ft at 2 psi (read); one smaller on hand is 13."""
    assert gas_faults(*a72(A72)) == set()
    assert gas_faults(*a72(A72 | {"a": "13"})) == {("gas.segment", "a")}
    found = told(*a72(A72), "gas.segment", "a")
    assert f"passes {189_000 * BTU_H:.0f} W, carries {110_000 * BTU_H:.0f} W" in str(found.detail)
    assert "402.4.3" in found.citation


def test_regulator_that_cannot_hold_its_outlet_is_told() -> None:
    """2 psi less 1 psi is 27.7 in w.c.: enough for 10 and a loss of 17, not of 18."""
    assert gas_faults(*a72(A72, 17)) == set()
    assert gas_faults(*a72(A72, 18)) == {("gas.regulator_inlet", "tee")}


def test_regulator_that_passes_too_little_is_told() -> None:
    at, given = a72(A72)
    regulator = replace(at.gas.regulators[0], capacity_w=109_000 * BTU_H)
    small = replace(at, gas=replace(at.gas, regulators=(regulator,)))
    assert gas_faults(small, given) == {("gas.regulator_capacity", "tee")}


def test_drops_along_a_run_add_up() -> None:
    """1 in over 40 ft at 245 cfh loses 0.3048, 3/4 in over 20 ft at 110 cfh 0.1118 in w.c. (annex form)."""
    segments = pipe("stem", "meter", "tee", "1", feet(40)), pipe("run", "tee", "end", "3/4", feet(20))
    changes = LOW | {"method": GasMethod.PRESSURE}
    supply = piped(segments, (burner("end", 110_000 * BTU_H),), **changes)
    at, given = built(supply, "1", feet(40), 135, site=gas_of())
    assert gas_faults(at, given) == set()
    lost = float(str(told(at, given, "gas.pressure_run", "end").detail).split()[0])
    assert lost / INCH_WC == pytest.approx(0.4166, abs=1e-3)
