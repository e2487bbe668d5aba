"""Limits on a start-up sheet against published figures. Source and mark stand beside each check."""

from __future__ import annotations

import pytest

from service.trades.start_up import customer_points, limit_of, pressure_tests, step_rules

PSI = 6894.757
INCH = 249.0889
EVERY = (
    "expansion", "mixing", "condensing", "pumped", "room_air", "cold_fitting", "freezing", "supplier", "hardness",
    "hardness_unknown", "vented", "outdoors",
)  # fmt: skip


@pytest.mark.parametrize(("working_psi", "test_psi"), [(0.25, 3), (2.5, 3.75), (5, 7.5)])
def test_pressure_of_the_test(working_psi: float, test_psi: float) -> None:
    """1-1/2 times the working pressure and at least 3 psig, 10 min for a house, a gauge of at most five times as
    much (IFGC 406.4 / IRC G2417.4, 2021: a page that prints the values, read); 7 in w.c. are 0.25 psi."""
    test = pressure_tests("us", working_psi * PSI, 10)[0]
    assert test.governs and test.minutes == 10
    assert test.least_pa / PSI == pytest.approx(test_psi, rel=1e-6)
    assert test.gauge_most_pa == pytest.approx(5 * test.least_pa)


def test_plumbing_code_asks_for_more() -> None:
    """UPC: 10 psig, 15 min (read); told beside the code that governs."""
    governs, other = pressure_tests("us", 7 * INCH, 10)
    assert (governs.governs, other.governs) == (True, False)
    assert (round(other.least_pa / PSI, 3), other.minutes) == (10, 15)


def test_canadian_test() -> None:
    """CSA B149.1: 15 psig up to 2 psi, 15 min up to 200 ft of pipe, 60 beyond (memory); above 2 psi we hold no row."""
    short, long = (pressure_tests("ca", 7 * INCH, metres)[0] for metres in (60.9, 61.0))
    assert (round(short.least_pa / PSI, 3), short.minutes, long.minutes) == (15, 15, 60)
    assert pressure_tests("ca", 2.01 * PSI, 10) == ()


def test_limits() -> None:
    """80 psi of water (UPC 608.2, read), 120 degF at tub and shower (IPC 412.3, memory), 3.5 in w.c. (read)."""
    assert limit_of("static_water_most").value == pytest.approx(80 * PSI)
    assert limit_of("tap_most_c").value * 1.8 + 32 == pytest.approx(120)
    assert limit_of("manifold_plain").value == pytest.approx(3.5 * INCH, rel=1e-5)


BEFORE_FIRING = (
    "vent", "gas_test", "gas_on", "gas_purge", "gas_static", "water_fill", "water_run", "screen", "trap", "relief",
    "power", "alarms", "air", "pump", "cold_fitting", "supplier", "permit", "isolate",
)  # fmt: skip
"""All that must be done before gas comes to the burner: no firing before the leak test, none without water."""


def before(step: str) -> set[str]:
    """All steps that must come before one."""
    rules = {r.id: r for r in step_rules(EVERY)}
    found: set[str] = set()
    todo = [step]
    while todo:
        for earlier in rules[todo.pop()].after:
            if earlier not in found:
                found.add(earlier)
                todo.append(earlier)
    return found


def test_no_firing_before_all_is_safe() -> None:
    """Test, leak check, purge, water without air, vent, trap, alarms: by the steps' own order and by their place."""
    assert set(BEFORE_FIRING) <= before("first_fire")
    ids = [r.id for r in step_rules(EVERY)]
    assert all(ids.index(step) < ids.index("first_fire") for step in BEFORE_FIRING)


@pytest.mark.parametrize(
    ("earlier", "later"),
    [
        ("vent", "hang"),  # vent before heater
        ("water_flush", "water_join"), ("water_fill", "water_run"), ("water_run", "screen"),
        ("gas_pipe", "gas_test"), ("gas_test", "gas_join"), ("gas_join", "gas_on"), ("gas_on", "gas_purge"),
        ("gas_purge", "gas_static"), ("gas_static", "gas_firing"), ("gas_firing", "combustion"),
        ("first_fire", "temperature"), ("mixing", "temperature"), ("outdoors", "first_fire"),
        ("water_fill", "power"), ("inspection", "hand_over"),
    ],
)  # fmt: skip
def test_order(earlier: str, later: str) -> None:
    """One thing after the other (common practice; 406.4 to 406.7 for the gas, read)."""
    assert earlier in before(later)


@pytest.mark.parametrize("facts", [(), EVERY, ("condensing",), ("room_air", "freezing"), ("supplier", "pumped")])
def test_every_step_stands_after_those_it_waits_for(facts: tuple[str, ...]) -> None:
    """The list can be followed from top to bottom, and waits for nothing that the design has not."""
    seen: list[str] = []
    for rule in step_rules(facts):
        assert set(rule.after) <= set(seen), rule.id
        seen.append(rule.id)
    assert len(seen) == len(set(seen))


def test_steps_of_condensate_come_with_condensate_only() -> None:
    """No trap is primed where none is."""
    plain, wet = ({r.id for r in step_rules(f)} for f in ((), ("condensing",)))
    assert wet - plain == {"drain", "trap", "condensate_look"}
    assert {p.id for p in customer_points(("condensing",))} - {p.id for p in customer_points(())} == {"neutraliser"}
