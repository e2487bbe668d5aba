"""Every sample plan: the expected outcome, and what must hold of any answer, worked out apart from it.

The room and the facade expected of a plan follow from its story; the reasoning stands in the file of
``expected/``. The totals there are recorded, guard against drift, and are no truth.
"""

from __future__ import annotations

from itertools import pairwise
from math import dist

import pytest

from service.design import Piece, RoofTerminal, Service, Surface, Verdict
from service.survey.equipment import Draft
from service.usecases.check import check
from tests.scenarios.gas_by_hand import undersized
from tests.scenarios.scenarios import (
    EVERY,
    EXPECTED,
    NAMES,
    document,
    expected,
    gas_run,
    room_of,
    side_of,
    solved,
    with_designs,
)

PLACED = with_designs()
IN_ROOMS = tuple(name for name in PLACED if expected(name)["room"] != "outdoors")
HALF_A_CENT_AND_ONE = 1.5
"""Lines are rounded so that they add up: a line may be a cent off its own rounding."""


def test_every_plan_has_an_expectation_and_a_story() -> None:
    """No plan without a file of expectations, none without its one-line story after the title."""
    assert {path.stem for path in EXPECTED.glob("*.toml")} == set(EVERY)
    assert len(EVERY) >= 11
    for name in EVERY:
        title, _, story = document(name)["name"].partition(" - ")
        assert title and len(story) > 30, name
        assert expected(name)["reasoning"].strip(), name


def test_plans_speak_both_systems_and_several_rule_sets() -> None:
    """The samples show US and SI units, and at least three rule sets."""
    sites = [(document(name)["units"], document(name)["site"]["rule_set"]) for name in NAMES]
    assert {units for units, _ in sites} == {"us", "si"}
    assert len({rules for _, rules in sites}) >= 3


@pytest.mark.parametrize("name", NAMES)
def test_status(name: str) -> None:
    """Proven cheapest or proven impossible, within the time of a request."""
    plan = solved(name)
    assert plan.answer.status == plan.expected["status"]


@pytest.mark.parametrize("name", PLACED)
def test_place_follows_from_the_story(name: str) -> None:
    """Room of the heater and side of the terminal, or the plane of the roof under it, are those of the reasoning."""
    plan = solved(name)
    building, terminal = plan.answer.building, plan.design.terminal
    assert room_of(building, plan.design) == plan.expected["room"]
    if isinstance(terminal, RoofTerminal):
        assert terminal.roof_id == plan.expected["roof"]
    else:
        assert side_of(building, building.facade(terminal.facade_id)) == plan.expected["side"]


@pytest.mark.parametrize("name", PLACED)
def test_recorded_cost(name: str) -> None:
    """Recorded, guards against drift, not truth."""
    plan = solved(name)
    assert plan.design.heater.id == plan.expected["recorded"]["heater"]
    assert plan.design.total_cents == plan.expected["recorded"]["total_cents"]


@pytest.mark.parametrize("name", PLACED)
def test_checker_finds_nothing(name: str) -> None:
    """The design handed in again is lawful, and every terminal and mounting distance has its margin."""
    plan = solved(name)
    report = check(plan.survey, plan.design)
    assert [f for f in report.findings if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)] == []
    measured = [
        (f.rule_id, f.object_id, f.actual_mm - f.required_mm)
        for f in report.findings
        if f.subject in ("terminal", "mount") and f.verdict is not Verdict.ADVICE
        and f.required_mm is not None and f.actual_mm is not None
    ]  # fmt: skip
    assert measured
    assert [m for m in measured if m[2] < 0] == []


@pytest.mark.parametrize("name", PLACED)
def test_bill_can_be_redone_by_hand(name: str) -> None:
    """The total is the sum of the lines, each line is quantity times price of the plan's book."""
    plan = solved(name)
    assert plan.design.total_cents == sum(line.amount_cents for line in plan.design.lines)
    for line in plan.design.lines:
        assert abs(line.amount_cents - line.quantity * line.unit_price_cents) <= HALF_A_CENT_AND_ONE, line
        if line.trade != "heater":
            assert line.unit_price_cents == plan.survey.prices[line.key].cents


@pytest.mark.parametrize("name", IN_ROOMS)
def test_vent_within_its_listing(name: str) -> None:
    """Length along the run with the allowance of each turn, taken again from the points, is within the limit."""
    design = solved(name).design
    vent = design.route(Service.VENT)
    assert vent is not None
    listing = design.heater.vent
    turns = _turns(list(vent.pieces))
    length = sum(dist(p.start, p.end) for p in vent.pieces)
    assert length + turns * listing.elbow_equivalent_mm <= listing.max_equivalent_mm + 1
    assert listing.max_elbows is None or turns <= listing.max_elbows
    assert all(b.start == a.end for a, b in pairwise(vent.pieces))


@pytest.mark.parametrize("name", PLACED)
def test_gas_reaches_every_appliance(name: str) -> None:
    """Branch and all old pipe, as renewed, carry their loads by tables and equation written down apart."""
    plan = solved(name)
    assert undersized(plan.survey, plan.design, gas_run(plan)) == []


@pytest.mark.parametrize("name", PLACED)
def test_meter_is_enlarged_only_when_the_load_asks_for_it(name: str) -> None:
    """Inputs added in the units of the document: a load equal to the meter's capacity needs no larger meter."""
    plan = solved(name)
    gas = plan.document["gas"]
    watt = 1.0 if plan.document["units"] == "si" else 1055.05585262 / 3600
    load = sum(a["input"] for a in gas["appliances"]) * (1000 if watt == 1.0 else 1)
    load += round(plan.design.heater.input_max_w / watt)
    if "meter_class" in gas:  # cubic feet an hour of gas of gravity 0.60 (ANSI B109.1, memory)
        assert plan.document["site"]["specific_gravity"] == 0.6
        heat = plan.document["site"]["heating_value"]  # Btu a cubic foot, or MJ a cubic metre
        capacity = int(gas["meter_class"]) * (0.3048**3 * heat * 1e6 / 3600 if watt == 1.0 else heat)
    else:
        capacity = gas["meter_capacity"] * (1000 if watt == 1.0 else 1)
    assert plan.design.meter_upgrade == (load > capacity)


@pytest.mark.parametrize("name", PLACED)
def test_proof_is_closed(name: str) -> None:
    """The bound is not above what is sought (the cost, with weighed waiting if it is priced) and, for a proven answer,
    not below it."""
    proof = solved(name).answer.proof
    assert proof.bound_cents is not None and proof.cost_cents is not None
    assert proof.cost_cents == solved(name).design.total_cents
    assert proof.bound_cents == proof.objective_cents == proof.cost_cents + (proof.weighed_cents or 0)
    assert proof.gap == 0


@pytest.mark.parametrize("name", IN_ROOMS)
def test_heater_is_one_of_the_plan_and_fits_its_room(name: str) -> None:
    """The heater is offered, burns the fuel, and hangs below the ceiling of a room nobody refused."""
    plan = solved(name)
    design, building = plan.design, plan.answer.building
    room = building.room(room_of(building, design))
    assert design.heater in [v for h in plan.survey.heaters for v in h.vented]
    assert plan.survey.site.fuel in design.heater.fuels
    assert room.id not in plan.survey.preferences.rooms_refused
    assert room.floor_z < design.mount.bottom_z_mm
    assert design.mount.bottom_z_mm + design.heater.height_mm < room.ceiling_z
    assert not (design.heater.draft is Draft.ROOM_AIR and room.use in ("bedroom", "bathroom", "closet"))


def _turns(pieces: list[Piece]) -> int:
    """Changes of direction, from the points alone."""
    ways = [tuple((b - a) / dist(p.start, p.end) for a, b in zip(p.start, p.end, strict=True)) for p in pieces
            if p.start != p.end]  # fmt: skip
    return sum(dist(a, b) > 0.01 for a, b in pairwise(ways))


def test_turns_are_counted() -> None:
    """The count above sees the one bend between a riser and the way out, and none in a straight run."""
    up, out = Piece((0, 0, 0), (0, 0, 500), Surface.WALL), Piece((0, 0, 500), (0, 200, 500), Surface.OUTER_WALL)
    assert _turns([up, out]) == 1
    assert _turns([up, Piece((0, 0, 500), (0, 0, 900), Surface.WALL)]) == 0
