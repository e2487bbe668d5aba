"""Several heaters at another delivery pressure: against the house that has it already, and the joint checker."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest

from service.building.build import build
from service.check.jointly import joint_findings
from service.design import JointDesign
from service.settings import Settings
from service.siting import joint_pressures
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Appliance, PressureOption, Survey
from service.usecases.place import place
from service.usecases.results import BROKEN, Placement, Status
from tests.once import placed
from tests.unit.joint_house import parallel, two_dwellings

SETTINGS = Settings(solver_seconds=60)
RAISED = PressureOption("raised", 2_500.0, 750.0)
TWO_PSI = PressureOption("2 psi", 13_790.0, 6_895.0, 1_750.0, 125.0)


def thin(renew_cents: int, *options: PressureOption) -> Survey:
    """Two dwellings on 1/2 in pipe, too thin for both at the pressure that there is."""
    survey = two_dwellings(pipe="1/2", own_taps=True)
    return priced(replace(survey, gas=replace(survey.gas, pressure_options=options)), {"gas.renew": renew_cents})


def priced(survey: Survey, cents: dict[str, int]) -> Survey:
    """The survey at other prices."""
    items = survey.prices.items
    changed = {key: replace(items[key], cents=c) for key, c in cents.items()}
    return replace(survey, prices=replace(survey.prices, items={**items, **changed}))


def cost(answer: Placement) -> int:
    """Of a proven answer [cents]."""
    assert answer.status is Status.OPTIMAL and answer.proof.cost_cents is not None
    return answer.proof.cost_cents


@pytest.mark.parametrize("renew_cents", [2_000, 20_000])
def test_the_cheaper_of_two_pressures(renew_cents: int) -> None:
    """What the house costs as it is, or with the higher pressure there already and the supplier's price added."""
    survey = thin(renew_cents, RAISED)
    plain = replace(survey, gas=replace(survey.gas, pressure_options=()))
    there = replace(plain, gas=replace(plain.gas, pressure_pa=RAISED.pressure_pa, allowable_drop_pa=750.0))
    as_it_is, raised = cost(placed(plain, SETTINGS)), cost(placed(there, SETTINGS))
    answer = placed(survey, SETTINGS)
    change = survey.prices["gas.pressure_change"].cents
    assert cost(answer) == min(as_it_is, raised + change)
    assert answer.dwellings is not None
    asked = answer.dwellings.joint.pressure_option
    assert asked == (RAISED.id if raised + change < as_it_is else None)
    assert all(d.design.gas.pressure_option is None for _, d in answer.dwellings.designs)


def test_heaters_have_regulators_of_their_own_behind_a_high_pressure() -> None:
    """Home runs at 2 psi: one regulator for the old piping, paid for once, and one for each heater in its own bill."""
    survey = parallel(("co-direct-199",), apart=1_900)
    cheap = {"gas.pressure_change": 500, "gas.line_regulator": 500}
    survey = priced(replace(survey, gas=replace(survey.gas, pressure_options=(TWO_PSI,))), cheap)
    survey = replace(survey, dwellings=tuple(replace(d, gas_taps=("meter",)) for d in survey.dwellings))
    answer = place(survey, SETTINGS)
    assert answer.status is Status.OPTIMAL and answer.dwellings is not None
    joint = answer.dwellings.joint
    assert joint.pressure_option == TWO_PSI.id and joint.keys == ("gas.pressure_change", "gas.line_regulator")
    for _, design in joint.designs:
        assert design.gas.ahead_of_regulator and design.gas.line_regulators == 1
        assert [line.quantity for line in design.lines if line.key == "gas.line_regulator"] == [1]
    gas = answer.dwellings.gas
    assert gas.lawful and gas.zones[0].supply_pa == pytest.approx(TWO_PSI.pressure_pa)
    assert any(line.startswith("Delivery pressure: asked for") for line in gas.request_to_supplier)
    assert len([line for line in gas.parts if line.item.startswith("line regulator, listed")]) == 3


def test_an_appliance_that_stands_less_closes_the_pressure() -> None:
    """Its nameplate ends below the higher pressure: the answer is that of the house as it is."""
    survey = thin(20_000, RAISED)
    stove = Appliance("stove", "range", 9_000.0, None, None, "left-tap", None, RAISED.pressure_pa - 1)
    closed = replace(survey, gas=replace(survey.gas, appliances=(stove,)))
    answer = place(closed, SETTINGS)
    assert answer.dwellings is not None and answer.dwellings.joint.pressure_option is None
    open_too = replace(stove, inlet_max_pa=RAISED.pressure_pa)
    again = place(replace(survey, gas=replace(survey.gas, appliances=(open_too,))), SETTINGS)
    assert again.dwellings is not None and again.dwellings.joint.pressure_option == RAISED.id


@cache
def found() -> tuple[Survey, JointDesign]:
    """A set that asks for the pressure."""
    survey = thin(20_000, RAISED)
    answer = placed(survey, SETTINGS).dwellings
    assert answer is not None and answer.joint.pressure_option == RAISED.id
    return survey, answer.joint


@pytest.mark.parametrize(
    ("what", "rule"),
    [("unknown", "joint.pressure_option"), ("unpaid", "joint.pressure_works"), ("as it is", "joint.pressure_works"),
     ("nameplate", "gas.appliance_inlet")],
)  # fmt: skip
def test_spoiled_sets_fail(what: str, rule: str) -> None:
    """A pressure that nobody offers, one not paid for, one not asked for, an appliance too weak for it."""
    survey, joint = found()
    supply = joint.supply
    stove = Appliance("stove", "range", 9_000.0, None, None, "left-tap", None, RAISED.pressure_pa - 1)
    spoiled = {
        "unknown": replace(joint, pressure_option="other"),
        "unpaid": replace(joint, keys=()),
        "as it is": replace(joint, pressure_option=None),
        "nameplate": replace(joint, supply=replace(supply, appliances=(stove, *supply.appliances))),
    }[what]

    def broken(told: JointDesign) -> set[str]:
        return {f.rule_id for f in joint_findings(survey, build(survey), told) if f.verdict in BROKEN}

    assert broken(joint) == set() and rule in broken(spoiled)


def test_ended_early_both_pressures_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Time that is up as soon as both have been looked at once: no set costs less than the bound, which is worth
    something, and another pressure is as much in it as the one that there is."""
    survey = thin(20_000, RAISED)
    proven = cost(placed(survey, SETTINGS))
    clock = SimpleNamespace(monotonic=lambda: float("inf"))
    monkeypatch.setattr(joint_pressures, "time", clock)
    found = joint_pressures.jointly(survey, build(survey), time.monotonic() + 60).outcome
    assert found.cut_off and found.done is None
    assert proven / 2 <= found.bound_units / MONEY_SCALE <= proven
