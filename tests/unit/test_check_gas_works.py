"""Works on the gas system: renewals, delivery pressure, line regulators; each lawful as told, refused when spoiled."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.check.prices import quantities
from service.design import Design, GasWorks, RenewedPart, Verdict
from service.survey.model import Appliance, LineRegulator, PressureOption, Survey
from tests.unit.check_house import HEATER, broken
from tests.unit.gas_house import (
    INCH_WC,
    PSI,
    burner,
    gas_faults,
    heater_of,
    lawful,
    pipe,
    piped,
    renewal,
    to_west,
    told,
)

THIN = pipe("stem", "meter", "tee", "1/2", 500)
FURNACE = burner("tee", 35_000.0)
WORKS = {("gas.works", HEATER.id)}
LINES = ("price.lines", HEATER.id), ("price.total", HEATER.id)
BEFORE, AFTER = RenewedPart.BEFORE_TAP, RenewedPart.AFTER_TAP


def renewed(*renewals: Any, stem: Any = THIN, appliance: Appliance = FURNACE) -> tuple[Survey, Design]:
    """The lawful branch on a stem that is too small for furnace and heater, with renewals."""
    return lawful(piped((stem,), (appliance,)), to_west("1", 500), GasWorks(renewals))


def spoiled(case: tuple[Survey, Design], **changes: Any) -> tuple[Survey, Design]:
    """The same design with other words on its gas works; its bill stays."""
    at, given = case
    return at, replace(given, gas=replace(given.gas, **changes))


def test_renewal_makes_the_old_pipe_carry_the_load() -> None:
    """70.2 kW is 235 cfh: 3/4 in passes 247 over 20 ft, 1/2 in 118 (IFGC 2018 Table 402.4(2), memory)."""
    assert gas_faults(*renewed()) == {("gas.segment", "stem")}
    assert broken(*renewed(renewal(THIN, "3/4"))) == set()
    assert gas_faults(*renewed(renewal(THIN, "1/2"))) == {("gas.segment", "stem")}


def test_bill_of_a_renewal() -> None:
    """Pipe by length, taking out once, access where it is behind a finish; nothing to take out where pipe is new."""
    plain, finished = (
        renewed(renewal(THIN, "1-1/4")),
        renewed(renewal(THIN, "1-1/4"), stem=replace(THIN, finished=True)),
    )
    fresh = renewed(renewal(THIN, "1-1/4"), stem=replace(THIN, size=None))
    keys = "gas.1-1/4.pipe", "gas.renew", "access.pipe.finished"
    counted = [quantities(at, build(at), given) for at, given in (plain, finished, fresh)]
    assert [[q.get(k, 0) for k in keys] for q in counted] == [[500, 1, 0], [500, 1, 500], [500, 0, 0]]
    assert all(broken(*case) == set() for case in (plain, finished, fresh))
    at, given = plain
    unbilled = replace(given, lines=tuple(x for x in given.lines if x.key != "gas.renew"))
    assert broken(at, unbilled) == {"price.lines", "price.sum"}


def test_new_pipe_needs_a_size() -> None:
    found = renewed(stem=replace(THIN, size=None))
    assert gas_faults(*found) == {("gas.segment", "stem")}
    assert told(*found, "gas.segment", "stem").verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    "changes",
    [
        {"length_mm": 499},
        {"length_mm": 501},
        {"part": BEFORE},
        {"part": AFTER},
        {"segment_id": "stern"},
        {"size": "7/8"},
        {"material": "pe", "size": "1-1/4"},
    ],
)
def test_renewal_of_what_is_not_there(changes: dict[str, Any]) -> None:
    case = renewed(renewal(THIN, "1"))
    wrong = replace(case[1].gas.renewals[0], **changes)
    assert gas_faults(*spoiled(case, renewals=(wrong,))) >= WORKS


def test_what_may_not_be_renewed() -> None:
    assert gas_faults(*renewed(renewal(THIN, "1"), stem=replace(THIN, fixed=True))) == WORKS
    twice = renewal(THIN, "1"), renewal(THIN, "3/4")
    assert gas_faults(*spoiled(renewed(twice[0]), renewals=twice)) >= WORKS
    buried = replace(THIN, material="pe", size="1/2")
    steel = replace(renewal(THIN, "1"), material="steel_sch40")
    assert gas_faults(*renewed(steel, stem=buried)) == WORKS
    assert gas_faults(*renewed(renewal(buried, "1"), stem=buried)) == set()


def tapped(*renewals: Any, appliance: Appliance = FURNACE, y: int = 1250) -> tuple[Survey, Design]:
    """The branch leaves the stem within, 250 mm from its start."""
    route = to_west("1", 1500 - y, end="stem", at=(0, y, 900))
    return lawful(piped((THIN,), (appliance,)), route, GasWorks(renewals))


def test_parts_of_a_tapped_segment() -> None:
    """Ahead of the tap both loads run, beyond it the furnace's alone (117 cfh in 1/2 in: 118 over 20 ft)."""
    assert gas_faults(*tapped()) == {("gas.segment", "stem")}
    assert gas_faults(*tapped(renewal(THIN, "3/4", BEFORE, length_mm=250))) == set()
    assert gas_faults(*tapped(renewal(THIN, "3/4", AFTER, length_mm=250))) == {("gas.segment", "stem")}
    assert gas_faults(*tapped(renewal(THIN, "3/4"))) == set()
    assert gas_faults(*tapped(renewal(THIN, "3/4", BEFORE, length_mm=251))) == set()
    assert gas_faults(*tapped(renewal(THIN, "3/4", BEFORE, length_mm=252))) == WORKS
    assert gas_faults(*tapped(renewal(THIN, "3/4", BEFORE, length_mm=100), y=1400)) == set()
    both = renewal(THIN, "1", BEFORE, length_mm=250), renewal(THIN, "3/4", AFTER, length_mm=250)
    assert gas_faults(*tapped(*both, appliance=burner("tee", 60_000.0))) == set()
    assert gas_faults(*tapped(both[0], appliance=burner("tee", 60_000.0))) == {("gas.segment", "stem")}


HIGH = PressureOption("2psi", 2 * PSI, 1 * PSI, 7 * INCH_WC, 0.5 * INCH_WC)
MORE = PressureOption("more", 10 * INCH_WC, 3 * INCH_WC)


def offered(works: GasWorks, option: str = "1", end: str = "tee", **changes: Any) -> tuple[Survey, Design]:
    """The stem of 1 in, and two other pressures to be had."""
    stem = replace(THIN, size="1")
    supply = piped((stem,), **({"pressure_options": (HIGH, MORE)} | changes))
    at = (0, 1500, 900) if end == "meter" else (0, 1000, 900)
    return lawful(supply, to_west(option, 0 if end == "meter" else 500, end=end, at=at), works)


def test_delivery_at_2_psi_with_its_regulator() -> None:
    works = GasWorks(pressure_option="2psi", line_regulators=1)
    assert broken(*offered(works)) == set()
    at, given = offered(works)
    bought = quantities(at, build(at), given)
    assert (bought["gas.line_regulator"], bought["gas.pressure_change"]) == (1, 1)
    for n in (0, 2):
        wrong = spoiled(offered(works), line_regulators=n)
        assert ("gas.line_regulators", HEATER.id) in gas_faults(*wrong)
    unknown = gas_faults(*spoiled(offered(works), pressure_option="3psi"))
    assert unknown == {("gas.pressure_option", "3psi"), ("gas.line_regulators", HEATER.id)}


def test_branch_ahead_of_the_regulator_has_its_own() -> None:
    """From the delivery at 2 psi even 1/2 in passes more than the heater takes (402.4(5), read)."""
    works = GasWorks(pressure_option="2psi", line_regulators=2, ahead_of_regulator=True)
    assert broken(*offered(works, "1/2", "meter")) == set()
    found = told(*offered(works, "1/2", "meter"), "gas.branch", "meter")
    assert "402.4.3" in found.citation and "402.4(5)" in found.citation
    one = spoiled(offered(works, "1/2", "meter"), line_regulators=1)
    assert ("gas.line_regulators", HEATER.id) in gas_faults(*one)
    behind = GasWorks(pressure_option="2psi", line_regulators=1)
    assert broken(*offered(behind, "1", "meter")) == set()


def hybrid(
    end: str, works: GasWorks, outlet_inch: float = 7, capacity_w: float | None = 1e6
) -> tuple[Survey, Design]:
    """A survey delivered at 2 psi with a line regulator at the tee already."""
    regulator = LineRegulator("tee", outlet_inch * INCH_WC, 0.5 * INCH_WC, capacity_w)
    upstream = 500 if works.ahead_of_regulator else 0
    supply = piped((THIN,), pressure_pa=2 * PSI, allowable_drop_pa=PSI, regulators=(regulator,))
    return lawful(supply, to_west("3/4", upstream if end == "tee" else 0, end=end, at=_place(end)), works)


def _place(end: str) -> tuple[int, int, int]:
    return (0, 1500, 900) if end == "meter" else (0, 1000, 900)


def test_an_old_line_regulator_at_the_tap() -> None:
    """Behind it there are 7 in w.c.; ahead of it 2 psi, which the heater takes only through a regulator of its own."""
    own = GasWorks(line_regulators=1, ahead_of_regulator=True)
    assert broken(*hybrid("tee", GasWorks())) == set()
    assert broken(*hybrid("tee", own)) == set()
    assert broken(*hybrid("meter", own)) == set()
    assert gas_faults(*hybrid("meter", GasWorks())) == {("gas.inlet_high", HEATER.id)}
    assert gas_faults(*hybrid("tee", GasWorks(), 11)) == {("gas.inlet_high", HEATER.id)}


def test_an_old_line_regulator_that_nobody_read() -> None:
    """A heater behind it is no pass; ahead of it, what it passes is no concern of the heater."""
    assert broken(*hybrid("tee", GasWorks(), capacity_w=None)) == {"gas.regulator_capacity"}
    assert told(*hybrid("tee", GasWorks(), capacity_w=None), "gas.regulator_capacity", "tee").missing
    ahead = GasWorks(line_regulators=1, ahead_of_regulator=True)
    assert broken(*hybrid("tee", ahead, capacity_w=None)) == set()


def test_own_regulator_must_have_pressure_and_suit_the_heater() -> None:
    """Set to 7 in w.c. with 0.5 in w.c. behind it; 0.5 psi must be left ahead of it (common practice, no source)."""
    own = GasWorks(line_regulators=1, ahead_of_regulator=True)
    for left, faults in ((0.51, set()), (0.49, {("gas.regulator_inlet", HEATER.id)})):
        supply = piped((replace(THIN, size="1"),), pressure_pa=(1 + left) * PSI, allowable_drop_pa=PSI)
        assert gas_faults(*lawful(supply, to_west("1", 500), own)) == faults
    choosy = heater_of(HEATER.input_max_w, gas_inlet_min_pa=6.6 * INCH_WC)
    supply = piped((replace(THIN, size="1"),), pressure_pa=2 * PSI, allowable_drop_pa=PSI)
    assert gas_faults(*lawful(supply, to_west("1", 500), own, heater=choosy)) == {("gas.inlet_low", HEATER.id)}


@pytest.mark.parametrize(
    ("limits", "pressure_inch", "faults"),
    [
        ({}, 10.5, False),
        ({}, 10.6, True),
        ({"inlet_max_pa": 10 * INCH_WC}, 10.0, False),
        ({"inlet_max_pa": 10 * INCH_WC}, 10.1, True),
        ({"inlet_max_pa": 12 * INCH_WC}, 10.6, False),
        ({"inlet_min_pa": 9.5 * INCH_WC}, 10.0, False),
        ({"inlet_min_pa": 9.6 * INCH_WC}, 10.0, True),
    ],
)
def test_other_pressure_must_suit_the_old_appliances(
    limits: dict[str, float], pressure_inch: float, faults: bool
) -> None:
    """Without a nameplate 10.5 in w.c. is the most for natural gas (common practice)."""
    option = PressureOption("more", pressure_inch * INCH_WC, 0.5 * INCH_WC)
    supply = piped((replace(THIN, size="1"),), (burner("tee", 1000.0, **limits),), pressure_options=(option,))
    heater = heater_of(HEATER.input_max_w, gas_inlet_max_pa=14 * INCH_WC)
    case = lawful(supply, to_west("1", 500), GasWorks(pressure_option="more"), heater=heater)
    assert gas_faults(*case) == ({("gas.appliance_inlet", "tee")} if faults else set())


def test_higher_pressure_makes_old_pipe_enough() -> None:
    """10 in w.c. with 3.0 in w.c. drop: 1/2 in passes 312 cfh over 20 ft (402.4(3), read), the load is 235."""
    supply = piped((THIN,), (FURNACE,), pressure_options=(MORE,))
    assert gas_faults(*lawful(supply, to_west("1", 500), GasWorks(pressure_option="more"))) == set()


def test_pressure_above_what_is_built_indoors_is_told() -> None:
    """5 psi is the most in a building, with exceptions (IFGC 402.6, memory): advice."""
    ten = PressureOption("10psi", 10 * PSI, PSI, 7 * INCH_WC)
    works = GasWorks(pressure_option="10psi", line_regulators=1)
    at, given = offered(works, pressure_options=(ten,))
    assert "gas.indoor_pressure" in broken(at, given, Verdict.ADVICE)
    assert "gas.indoor_pressure" not in broken(*offered(GasWorks()), Verdict.ADVICE)
