"""Heaters in parallel that share a demand: by the heat of it, reckoned by hand, and by how many are asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.check.demand import demand_findings
from service.design import Finding, Verdict
from service.rules.catalogue import heaters
from service.rules.tables import UNITS
from service.settings import Settings
from service.survey.divided import of_dwelling
from service.survey.model import DemandTerms, Fixture, Survey
from service.usecases.place import place
from service.usecases.results import Status
from tests.unit.joint_house import parallel

SETTINGS = Settings(solver_seconds=60)
HEATER = heaters()["co-direct-120"]
COLD_F, HOT_F = 50.0, 120.0
ONE_GPM = HEATER.input_max_w * HEATER.efficiency / 0.29307107 / (8.33 * 60 * (HOT_F - COLD_F))
"""What one heater warms from 50 to 120 degF by 8.33 Btu/(gal degF): about 3 gpm [gpm]."""


def asking(gpm: float, joined: bool = True) -> Survey:
    """The house with two heaters and one hot draw of so much; the water comes in at 50 degF."""
    survey, name = parallel(apart=600), "plant" if joined else None
    draw = Fixture("bath", "other", gpm * UNITS["gpm"], at=(100, 100, 600))
    water = replace(
        survey.water, fixtures=(draw,), demand=DemandTerms(at_once=(("bath",),)), setpoint_c=(HOT_F - 32) / 1.8,
        inlet_temperature_c=(COLD_F - 32) / 1.8,
    )  # fmt: skip
    return replace(survey, water=water, dwellings=tuple(replace(d, parallel=name) for d in survey.dwellings))


@pytest.mark.usefixtures("no_ways_out")
@pytest.mark.parametrize(
    ("share", "joined", "status"),
    [(0.98, False, Status.OPTIMAL), (1.02, False, Status.INFEASIBLE), (1.02, True, Status.OPTIMAL),
     (1.98, True, Status.OPTIMAL), (2.02, True, Status.INFEASIBLE)],
)  # fmt: skip
def test_two_carry_twice_as_much_where_they_are_joined(share: float, joined: bool, status: Status) -> None:
    """Against what one warms by the definition of the unit of heat, 2 % to either side."""
    answer = place(asking(share * ONE_GPM, joined), SETTINGS)
    assert answer.status is status
    if answer.dwellings is not None:
        capacity = [f for _, d in answer.dwellings.designs for f in d.findings if f.rule_id == "demand.capacity"]
        assert [f.verdict for f in capacity] == [Verdict.PASS] * 2


def judged(survey: Survey, rule: str) -> Finding:
    """What the checker finds of the first dwelling's heater."""
    answer = place(replace(survey, dwellings=()), SETTINGS)
    own = of_dwelling(survey, survey.dwellings[0])
    design = answer.designs[0].design
    return next(f for f in demand_findings(own, design) if f.rule_id == rule)


def test_checker_reckons_an_even_part() -> None:
    """By itself, at what one carries: the part of two, and of three, of which a third is more than one warms or not."""
    survey = asking(0.9 * ONE_GPM)
    third = replace(survey.dwellings[0], id="three")
    for factor, count, verdict in ((2.02, 2, Verdict.FAIL), (2.02, 3, Verdict.PASS), (3.02, 3, Verdict.FAIL)):
        dwellings = (*survey.dwellings, third)[:count]
        (draw,) = survey.water.fixtures
        more = replace(draw, flow_m3_s=factor * ONE_GPM * UNITS["gpm"])
        asked = replace(survey, dwellings=dwellings, water=replace(survey.water, fixtures=(more,)))
        own = of_dwelling(asked, dwellings[0])
        design = place(replace(survey, dwellings=()), SETTINGS).designs[0].design
        (found,) = (f for f in demand_findings(own, design) if f.rule_id == "demand.capacity")
        assert found.verdict is verdict


def test_a_small_draw_parts_and_may_start_neither() -> None:
    """One and a half times the flow that starts the fire: enough for one heater, too little for each of two."""
    small = 1.5 * HEATER.activation_flow_m3_s / UNITS["gpm"]
    assert judged(asking(small, joined=False), "demand.activation").verdict is Verdict.PASS
    assert judged(asking(small), "demand.activation").verdict is Verdict.ADVICE
