"""Water pressure in a placement: what binds, what is only told, and when a larger branch or nothing is the answer."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from service.design import Design, Service, Verdict
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.check import check
from service.usecases.place import place
from service.usecases.results import Placement
from tests.scenarios.scenarios import document

PSI = 6894.757293168361


def plan(**water: Any) -> Survey:
    """The bungalow with far baths, no price on waiting, and other facts of its water."""
    raw = document("far_bath_bungalow")
    raw["preferences"] = {"rooms_wanted": ["utility"]}
    raw["water"] = {**raw["water"], **water}
    return load_survey(raw, Settings())


@cache
def placed(static: float, equipment: float | None = None, material: str = "copper_l") -> Placement:
    """Its answer at a static pressure [psi]."""
    told = {} if equipment is None else {"equipment_loss": equipment}
    return place(plan(static_pressure=static, branch_material=material, **told), Settings())


def sizes(answer: Placement) -> tuple[str, str]:
    """Cold and hot branch of the cheapest design."""
    routes = [answer.designs[0].design.route(s) for s in (Service.COLD, Service.HOT)]
    assert routes[0] is not None and routes[1] is not None
    return routes[0].option, routes[1].option


def verdicts(survey: Survey, design: Design) -> list[Verdict]:
    """What the checker says of the pressure."""
    return [f.verdict for f in check(survey, design).findings if f.rule_id == "water.pressure"]


def test_without_all_facts_pressure_is_advice() -> None:
    """The meter's loss is not told: the residual is open, sizes are those by velocity, what is missing is named."""
    answer = placed(60)
    design = answer.designs[0]
    assert verdicts(plan(static_pressure=60), design.design) == [Verdict.ADVICE]
    assert design.pressure is not None and design.pressure.worst is None
    assert design.pressure.missing == ("loss of meter, softener and the like",)


def test_with_all_facts_it_is_judged() -> None:
    """Steps and rise add up to what is left at the worst fixture; the checker finds the same to spare."""
    answer = placed(60, 4.0)
    report = answer.designs[0].pressure
    assert report is not None and report.supply_pa == pytest.approx(56 * PSI)
    worst = next(f for f in report.fixtures if f.fixture == report.worst)
    assert report.supply_pa - sum(s.loss_pa for s in report.steps) == pytest.approx(worst.residual_pa)
    assert min(f.residual_pa - f.least_pa for f in report.fixtures) == pytest.approx(worst.residual_pa - worst.least_pa)
    found = next(f for f in answer.designs[0].findings if f.rule_id == "water.pressure")
    assert found.verdict is Verdict.PASS and found.object_id == report.worst
    assert f"{(worst.residual_pa - worst.least_pa) / 1000:.1f} kPa" in str(found.detail)


def spare_pa(answer: Placement) -> float:
    """What is left over at the worst fixture."""
    report = answer.designs[0].pressure
    assert report is not None
    return min(f.residual_pa - f.least_pa for f in report.fixtures)


def test_pressure_is_kept_where_it_costs_more() -> None:
    """Just less static pressure than the cheapest branches by velocity need: they fail, a dearer pair keeps it."""
    plain = placed(60, 4.0)
    short = 60 - spare_pa(plain) / PSI - 0.3
    answer, old = placed(short, 4.0), plain.designs[0].design
    assert spare_pa(answer) >= 0 and answer.designs[0].design.total_cents > old.total_cents
    assert verdicts(plan(static_pressure=short, equipment_loss=4.0), old) == [Verdict.FAIL]


@pytest.mark.usefixtures("no_ways_out")
def test_too_little_for_any_size() -> None:
    """At 25 psi no pipe would do: the heater is left out, and why."""
    answer = placed(25, 4.0)
    assert answer.status == "infeasible" and not answer.designs
    assert any("lack" in text and "pressure" in text for text in answer.warnings)


def test_above_the_limit_a_valve_is_asked_for() -> None:
    """95 psi: advice, two parts, and what lies behind it is reckoned at the valve's usual setting."""
    answer = placed(95, 4.0)
    report, found = answer.designs[0].pressure, answer.designs[0].findings
    assert report is not None and report.valve_needed and len(report.parts) == 2
    assert report.supply_pa == pytest.approx(46 * PSI)
    assert [f.verdict for f in found if f.rule_id == "water.valve"] == [Verdict.ADVICE]


@pytest.mark.parametrize("material", ["pex", "cpvc", "copper_m"])
def test_branches_of_other_material(material: str) -> None:
    """Runs, prices and velocity are those of the material."""
    answer = placed(60, None, material)
    assert all(size.startswith(f"{material}.") for size in sizes(answer))
    keys = {line.key for line in answer.designs[0].design.lines}
    assert {f"water.{size}.pipe" for size in sizes(answer)} <= keys
