"""The water in intake, check and answer: what is taken for granted, what is advice, what is missing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.check.water_quality import water_quality_findings
from service.design import Design, Finding, Part, Verdict
from service.survey.model import Survey, WaterAnalysis, WaterItem
from service.trades.water_index import indices, sample_of, tendency
from service.trades.water_quality import setpoint_c
from service.units import Quantity, to_si
from service.usecases.water_quality_report import water_quality_report
from tests.unit.check_house import design, house
from tests.unit.survey_documents import load, places, sample, smallest

GPG = to_si(Quantity.HARDNESS, 1.0, "gpg")
FULL = WaterAnalysis(7.6, 350, 180, 160)


def watered(**facts: Any) -> Survey:
    """A house with these facts of its water."""
    plain = house()
    return replace(plain, water=replace(plain.water, **facts))


def found(at: Survey, what: Design | None = None) -> dict[str, Finding]:
    """Findings on the water by rule."""
    return {f.rule_id: f for f in water_quality_findings(at, what or design(at))}


def test_intake_reads_an_analysis() -> None:
    """In the units of the document: mg/L in both systems, calcium as CaCO3, degrees as the survey has them."""
    document = sample()
    document["water"] |= {
        "analysis": {"ph": 7.2, "tds": 300, "calcium_hardness": 140, "alkalinity": 120, "chloride": 30, "iron": 0.1,
                     "temperature": 50},
        "occupants": 3, "daily_use": 200, "setpoint": 125,
    }  # fmt: skip
    water = load(document).water
    assert water.analysis == WaterAnalysis(7.2, 300, 140, 120, 30, 0.1, pytest.approx(10.0))
    assert water.occupants == 3
    assert water.daily_use_m3_s == pytest.approx(200 * 3.785411784e-3 / 86_400)
    assert water.setpoint_c == pytest.approx((125 - 32) / 1.8)


def test_intake_tells_what_it_takes_for_granted() -> None:
    """Two bedrooms and one more (ASHRAE 62.2, memory); rooms of unknown use may be bedrooms; 120 degF."""
    slab = load(sample())
    assert slab.water.occupants == 3
    assert load(smallest()).water.occupants == 2
    told = " ".join(slab.assumptions)
    assert "taken as bedrooms and one, 3" in told and "taken as 120 degF" in told
    assert setpoint_c(slab.water) == pytest.approx(48.889, abs=1e-3)
    document = sample()
    document["water"]["analysis"] = {"ph": 7}
    assert any("all hardness is taken as calcium" in a for a in load(document).assumptions)


@pytest.mark.parametrize(
    ("change", "place", "code"),
    [
        ({"analysis": {"ph": 15}}, "#/water/analysis/ph", "out_of_range"),
        ({"analysis": {"lead": 1}}, "#/water/analysis/lead", "unknown_field"),
        ({"setpoint": 300}, "#/water/setpoint", "out_of_range"),
        ({"occupants": 2.5}, "#/water/occupants", "wrong_type"),
    ],
)
def test_intake_refuses(change: dict[str, Any], place: str, code: str) -> None:
    """With a pointer."""
    document = sample()
    document["water"] |= change
    assert (place, code) in places(document)


@pytest.mark.parametrize(
    ("facts", "verdict", "missing"),
    [
        ({}, Verdict.ADVICE, "hardness of the water"),
        ({"hardness_mg_l": 8 * GPG}, Verdict.PASS, ""),
        ({"hardness_mg_l": 8.5 * GPG}, Verdict.ADVICE, ""),
        ({"hardness_mg_l": 8.5 * GPG, "softener": True}, Verdict.ADVICE, "hardness behind the softener"),
        ({"hardness_mg_l": 2 * GPG, "softener": True}, Verdict.PASS, ""),
    ],
)
def test_hardness(facts: dict[str, Any], verdict: Verdict, missing: str) -> None:
    """8 gpg (common practice); what is not known is never a pass."""
    finding = found(watered(**facts))["water.hardness"]
    assert (finding.verdict, finding.missing) == (verdict, missing)


def test_a_softener_in_the_design_settles_hardness() -> None:
    """And a book without its price is told of."""
    at = watered(hardness_mg_l=400)
    softened = replace(design(at), water_items=(WaterItem.SOFTENER,))
    assert found(at, softened)["water.hardness"].verdict is Verdict.PASS
    items = {k: p for k, p in at.prices.items.items() if k != "water.softener"}
    bare = replace(at, prices=replace(at.prices, items=items))
    assert found(bare, softened)["water.price"].missing == "price water.softener"


def test_water_is_judged_with_the_cold_pipe_only() -> None:
    """A design given in part says nothing of what is left out."""
    at = watered(hardness_mg_l=400)
    given = replace(design(at), given=frozenset({Part.TERMINAL}))
    assert found(at, given) == {}


@pytest.mark.parametrize(
    ("analysis", "verdict"),
    [
        (FULL, Verdict.ADVICE),  # hot skin: +0.9 at 160 degF
        (replace(FULL, ph=6.9, temperature_c=10.0), Verdict.ADVICE),  # cold: 7.6 - 0.7 - 7.52 = -0.62
        (replace(FULL, ph=7.0, temperature_c=25.0), Verdict.PASS),  # from 7.27 in the cold to 6.5 at the skin
        (replace(FULL, ph=7.0), Verdict.ADVICE),  # nothing is known of the cold water
        (WaterAnalysis(ph=7.0), Verdict.ADVICE),
    ],
)
def test_scale(analysis: WaterAnalysis, verdict: Verdict) -> None:
    """pHs from the published equations: 7.524 at 10, 6.988 at 48.9, 6.853 at 60 degC (computed)."""
    assert found(watered(analysis=analysis))["water.scale"].verdict is verdict


def test_without_an_analysis_nothing_is_said_of_scale() -> None:
    """Nobody asked; the report still names what it would need."""
    assert "water.scale" not in found(watered(hardness_mg_l=100))
    at = watered(hardness_mg_l=100)
    report = water_quality_report(at, design(at), ())
    assert report.scale.missing == ("pH", "tds", "alkalinity")
    assert report.scale.tendency is None and report.scale.indices == ()


def test_calcium_not_told_is_all_of_the_hardness() -> None:
    """The worst case for scale."""
    sample_found, missing = sample_of(watered(hardness_mg_l=200, analysis=replace(FULL, calcium_mg_l=None)).water)
    assert missing == () and sample_found is not None and sample_found.calcium == 200


def test_no_index_beyond_the_formula() -> None:
    """Plummer and Busenberg's equations hold to 90 degC: the skin of a heater at 80 degC is left out."""
    whole, _ = sample_of(watered(analysis=FULL).water)
    assert whole is not None
    assert [i.place for i in indices(whole, 80.0, None)] == ["setpoint"]
    assert [i.place for i in indices(whole, 60.0, 10.0)] == [
        "cold water", "setpoint", "exchanger's skin, low", "exchanger's skin, high",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="no index"):
        tendency(())


@pytest.mark.parametrize(("field", "value", "rule"), [
    ("iron_mg_l", 0.4, "water.iron"), ("chloride_mg_l", 300, "water.chloride"), ("ph", 6.0, "water.ph"),
    ("tds_mg_l", 800, "water.tds"),
])  # fmt: skip
def test_what_water_should_not_hold(field: str, value: float, rule: str) -> None:
    """40 CFR 143.3 (memory): advice, never a failure; what is kept passes, what is not told is not mentioned."""
    assert found(watered(analysis=WaterAnalysis(**{field: value})))[rule].verdict is Verdict.ADVICE
    inside = WaterAnalysis(ph=7.0, tds_mg_l=400, chloride_mg_l=10, iron_mg_l=0.1)
    assert found(watered(analysis=inside))[rule].verdict is Verdict.PASS
    assert rule not in found(watered(analysis=WaterAnalysis()))


def test_sodium_note_follows_the_hardness() -> None:
    """20 mg/L for a diet poor in salt (EPA, memory) are added at 2.54 gpg (7.864 mg/L each, computed)."""
    for gpg, words in ((2.5, "advised to keep to"), (2.6, "drink unsoftened water")):
        at = watered(hardness_mg_l=gpg * GPG)
        assert words in water_quality_report(at, design(at), ()).softener.notes[0]
