"""The duplex on a well: what its water and its setpoint ask for, and what others would. By hand in its reasoning."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest

from service.http.answer import placement_json
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import WaterItem
from service.usecases.check import check
from tests.scenarios.scenarios import Solved, expected, solved, solved_by

NAME = "hard_water_duplex"
HAND = expected(NAME)["water"]
RELIEF = expected(NAME)["relief"]


def told(plan: Solved) -> dict[str, Any]:
    """The first design as it is answered."""
    design: dict[str, Any] = placement_json(plan.answer, plan.survey)["designs"][0]
    return design


def changed(**water: Any) -> Solved:
    """The plan with other water, solved again; a member of None is left out. No softener is wished for."""
    document = deepcopy(solved(NAME).document)
    document["water"] = {k: v for k, v in {**document["water"], **water}.items() if v is not None}
    del document["preferences"]["water_items"]
    survey = load_survey(document, Settings())
    return Solved(NAME, document, survey, solved_by(survey), {})


def test_softener_is_sized_as_by_hand() -> None:
    """Sizing sheets (read; the allowance for iron common practice)."""
    softener = told(solved(NAME))["water_quality"]["softener"]
    size = softener["size"]
    assert softener["advised"] and softener["bought"] and not softener["present"]
    assert size["load_a_day"] == HAND["grains_a_day"]
    assert size["capacity"] == HAND["grains_a_week"]
    assert size["nominal_size"] == HAND["nominal"]
    assert size["capacity_with_reserve"] == HAND["with_reserve"]


def test_water_lays_down_scale_when_it_is_hot() -> None:
    """The short form by hand; the full form is within 0.25 of it (the two are known to differ by no more)."""
    scale = told(solved(NAME))["water_quality"]["scale"]
    at_setpoint = next(i for i in scale["indices"] if i["place"] == "setpoint")
    assert at_setpoint["temperature"] == 130
    assert at_setpoint["langelier_short_form"] == pytest.approx(HAND["langelier_short"], abs=1e-3)
    assert at_setpoint["langelier"] == pytest.approx(HAND["langelier_short"], abs=0.25)
    by_place = [i["langelier"] for i in scale["indices"]]
    assert by_place == sorted(by_place), "calcite is less soluble in hotter water"
    assert scale["tendency"] == "scaling"


def test_iron_is_advised_against_and_chloride_is_not() -> None:
    """1.5 mg/L of iron where 40 CFR 143.3 (memory) has 0.3; 38 of chloride where it has 250."""
    limits = {x["substance"]: x["kept"] for x in told(solved(NAME))["water_quality"]["limits"]}
    assert limits == {"ph": True, "chloride": True, "iron": False, "tds": True}


def test_the_softener_is_in_the_total_and_the_checker_counts_it() -> None:
    """Taken out of the design, its line has nothing in the drawing; put into the soft house's, its line is missing."""
    plan = solved(NAME)
    assert plan.design.water_items == (WaterItem.SOFTENER, WaterItem.MIXING_VALVE)
    line = next(x for x in plan.design.lines if x.key == "water.softener")
    assert line.amount_cents == HAND["softener_cents"]
    soft = changed(hardness=3, softener=False, analysis=None)
    assert plan.design.total_cents - soft.design.total_cents == HAND["softener_cents"]
    assert soft.design.mount == plan.design.mount
    bare = check(plan.survey, replace(plan.design, water_items=()))
    assert "price.lines" in {f.rule_id for f in bare.findings if f.verdict == "fail"}
    extra = check(soft.survey, replace(soft.design, water_items=(WaterItem.SOFTENER, WaterItem.MIXING_VALVE)))
    assert "price.lines" in {f.rule_id for f in extra.findings if f.verdict == "fail"}


def test_a_setpoint_that_scalds_buys_a_mixing_valve() -> None:
    """130 degF burns in 30 s (public scald tables, read); at 120 degF, which a bath may get, it is spared."""
    plan, mild = solved(NAME), changed(setpoint=120)
    scald = told(plan)["relief_and_scald"]["scald"]
    assert scald["burns_adult"] == {"seconds": RELIEF["burns_s"], "relation": "about"}
    assert [(o["id"], o["setpoint_is_over"]) for o in scald["outlets"]] == [("bath-shower", True)]
    assert mild.design.water_items == ()
    assert plan.design.total_cents - mild.design.total_cents == RELIEF["mixing_cents"] + HAND["softener_cents"]
    without = check(plan.survey, replace(plan.design, water_items=(WaterItem.SOFTENER,)))
    assert "scald.setpoint" in {f.rule_id for f in without.findings if f.verdict == "fail"}


def test_a_closed_system_without_a_tank_buys_one() -> None:
    """The well's check valve closes it; were its pressure tank no expansion tank, one is bought and counted."""
    plan, bare = changed(), changed(expansion_tank=False)
    assert bare.design.water_items == (WaterItem.EXPANSION_TANK, WaterItem.MIXING_VALVE)
    assert bare.design.total_cents - plan.design.total_cents == RELIEF["tank_cents"]
    without = check(bare.survey, replace(bare.design, water_items=(WaterItem.MIXING_VALVE,)))
    assert {"relief.expansion", "price.lines"} <= {f.rule_id for f in without.findings if f.verdict == "fail"}


def test_the_old_relief_pipe_is_judged_rule_by_rule() -> None:
    """IPC 2018 504.6 (read): at most 6 in above the rim, no thread; of its material nothing is known."""
    relief = told(solved(NAME))["relief_and_scald"]
    rules = {r["rule"]: r["kept"] for r in relief["discharge"]}
    assert [r for r, kept in rules.items() if kept is False] == RELIEF["broken"]
    assert [r for r, kept in rules.items() if kept is None] == RELIEF["unknown"]
    finding = next(f for f in relief["findings"] if f["rule"] == "relief.discharge")
    assert finding["verdict"] == "advice" and "lay it anew" in finding["detail"]


def test_soft_water_asks_for_nothing() -> None:
    """3 gpg: no softener, descaled once a year, no advice on the water - but service valves all the same."""
    quality = told(changed(hardness=3, analysis=None))["water_quality"]
    assert not quality["softener"]["advised"] and quality["descaling"]["months"] == 12
    assert [f for f in quality["findings"] if f["verdict"] != "pass"] == []
    assert [p["item"] for p in quality["parts"]] == [
        "service valve with flush port, cold side", "service valve with flush port, hot side",
    ]  # fmt: skip
    assert all(p["in_total"] and p["price_key"] == "water.connection" for p in quality["parts"])


def test_hard_water_without_the_wish_is_advice_with_a_price() -> None:
    """The softener's price is told and is not in the total."""
    plan = changed()
    quality = told(plan)["water_quality"]
    advised = {f["rule"] for f in quality["findings"] if f["verdict"] == "advice"}
    assert "water.hardness" in advised and not quality["softener"]["bought"]
    softener = next(p for p in quality["parts"] if p["price_key"] == "water.softener")
    assert (softener["price"], softener["in_total"]) == (HAND["softener_cents"] / 100, False)


def test_water_that_nobody_tested_is_taken_as_the_hardest() -> None:
    """Every 3 months, no size, no class, and the fact that is missing is named."""
    quality = told(changed(hardness=None, analysis=None))["water_quality"]
    assert quality["descaling"]["months"] == 3
    assert quality["hardness"]["class"] is None and quality["softener"]["size"] is None
    finding = next(f for f in quality["findings"] if f["rule"] == "water.hardness")
    assert (finding["verdict"], finding["missing"]) == ("advice", "hardness of the water")
