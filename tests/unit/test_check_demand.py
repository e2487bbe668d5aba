"""The checker on a heater's size: its own arithmetic against the trade's, and each finding by itself."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from service.check.demand import asked, demand_findings, input_w
from service.check.peak import peak_m3_s
from service.check.supply_temperature import coldest_c, warmest_c
from service.design import NO_MOUNT, NO_TERMINAL, Design, Finding, Mount, Terminal, Verdict
from service.rules.catalogue import heaters
from service.rules.tables import UNITS
from service.survey.model import Climate, DemandMethod, DemandTerms, Draw, Fixture, HotWater, Survey
from service.trades import fixtures
from service.trades.demand import demand_by
from service.trades.gas_loads import derated_w
from service.trades.inlet_temperature import inlet_of
from tests.unit.check_house import house

GPM = UNITS["gpm"]
SINK = Fixture("sink", "kitchen_sink", 2.0 * GPM, at=(0, 0, 0))


def drawn(rng: random.Random) -> HotWater:
    """An invented household."""
    kinds = [rng.choice(fixtures.kinds()) for _ in range(rng.randint(1, 8))]
    draws = tuple(
        Draw(
            id=f"f{i}",
            kind=kind,
            flow_m3_s=rng.uniform(0.2, 1.3) * GPM,
            count=rng.randint(1, 3),
            use_temperature_c=rng.choice((None, None, 38.0, 60.0)),
            flow_is_given=rng.random() < 0.6,
        )
        for i, kind in enumerate(kinds)
    )
    sets = tuple(tuple(rng.sample([d.id for d in draws], rng.randint(1, len(draws)))) for _ in range(rng.randint(0, 3)))
    terms = DemandTerms(rng.choice(list(DemandMethod)), sets, rng.choice((None, 41.0)))
    air = rng.choice((None, Climate(rng.uniform(-5, 25), rng.uniform(0, 35), rng.random() < 0.3)))
    return HotWater(draws, terms, rng.choice((None, 9.0)), air, rng.uniform(0, 3000), rng.choice((None, 55.0)))


@pytest.mark.parametrize("seed", range(60))
def test_two_ways_of_reckoning_agree(seed: int) -> None:
    """Heat against flow, Fourier transform against convolution, days against the closed form: written apart."""
    facts = drawn(random.Random(seed))
    inlet = inlet_of(facts.inlet_c, facts.climate)
    assert coldest_c(facts) == pytest.approx(inlet.coldest_c, abs=1e-9)
    assert warmest_c(facts) == pytest.approx(inlet.warmest_c, abs=1e-9)
    for method in DemandMethod:
        own = replace(facts, terms=replace(facts.terms, method=method))
        ours, theirs = asked(own, inlet.coldest_c)[0], demand_by(method, own, inlet.coldest_c).flow_m3_s
        assert (ours is None) == (theirs is None)
        assert ours is None or ours == pytest.approx(theirs, rel=1e-9)
    assert input_w(1000.0, facts.altitude_m) == pytest.approx(derated_w(1000.0, facts.altitude_m))


def test_percentile_of_many_fixtures() -> None:
    """The transform holds against the convolution up to where the normal form takes over."""
    for count in (1, 5, 20, 22, 40, 120):
        draws = (Draw("b", "bath_shower", 5.5 * GPM, count), Draw("w", "clothes_washer", 3.5 * GPM, 1))
        facts = HotWater(draws, DemandTerms(), None, None, 0.0)
        assert peak_m3_s(draws) == pytest.approx(demand_by(DemandMethod.PROBABILISTIC, facts, 10).flow_m3_s)


def found(
    name: str,
    *given: Fixture,
    terms: DemandTerms | None = None,
    rules: str = "us-2018",
    setpoint_c: float | None = None,
) -> dict[str, Finding]:
    """Findings on a heater of the catalogue, by rule."""
    at = house()
    water = replace(at.water, fixtures=given, demand=terms or DemandTerms(), setpoint_c=setpoint_c)
    water = replace(water, inlet_temperature_c=4.0)
    survey: Survey = replace(at, water=water, site=replace(at.site, rule_set=rules))
    design = Design(heaters()[name], Mount("", 0, 0), Terminal("", 0, 0), (), False, False, (), 0)
    return {f.rule_id: f for f in demand_findings(survey, design)}


def test_a_heater_too_small_fails_and_one_large_enough_passes() -> None:
    """2.5 gpm by 80.8 degF (4 degC is 39.2 degF) need 101 kBtu/h: 120 at 0.82 give 98.4, at 0.95 114."""
    sink = replace(SINK, flow_m3_s=2.5 * GPM)
    assert found("nc-direct-120", sink)["demand.capacity"].verdict is Verdict.FAIL
    assert found("co-direct-120", sink)["demand.capacity"].verdict is Verdict.PASS


def test_the_valve_counts_too() -> None:
    """8 gpm warmed by 6 K need 43 kBtu/h only, but are more than the 7 gpm that the valve of 120,000 passes."""
    many = replace(SINK, flow_m3_s=8 * GPM, use_temperature_c=60.0)
    warm = found("co-direct-199", many, setpoint_c=10.0)
    assert warm["demand.capacity"].verdict is Verdict.PASS
    assert found("co-direct-120", many, setpoint_c=10.0)["demand.capacity"].verdict is Verdict.FAIL


def test_a_demand_that_nobody_can_tell_is_unknown() -> None:
    """An unknown kind has no fixture units: never a pass."""
    tank = replace(SINK, kind="fish tank")
    finding = found("co-direct-199", tank, terms=DemandTerms(DemandMethod.FIXTURE_UNITS))["demand.capacity"]
    assert finding.verdict is Verdict.UNKNOWN and finding.missing


def test_who_runs_together_is_asked_for_until_it_is_told() -> None:
    """Advice with the fact that is missing; silent once told."""
    assert found("co-direct-199", SINK)["demand.together"].missing
    assert "demand.together" not in found("co-direct-199", SINK, terms=DemandTerms(at_once=(("sink",),)))


def test_a_draw_too_small_to_start_the_burner() -> None:
    """0.3 gpm against 0.5 (common practice): the burner stays off; 0.5 starts it."""
    assert found("co-direct-199", replace(SINK, flow_m3_s=0.3 * GPM))["demand.activation"].verdict is Verdict.ADVICE
    assert found("co-direct-199", replace(SINK, flow_m3_s=0.5 * GPM))["demand.activation"].verdict is Verdict.PASS


def test_flow_over_the_limit_of_law() -> None:
    """2.3 gpm at a kitchen faucet are over 2.2 (10 CFR 430.32(o), read) - in the United States."""
    strong = replace(SINK, flow_m3_s=2.3 * GPM)
    assert found("co-direct-199", strong)["demand.flow_limit"].object_id == "sink"
    assert "demand.flow_limit" not in found("co-direct-199", SINK)
    assert "demand.flow_limit" not in found("co-direct-199", strong, rules="ca-b149")


def test_without_fixtures_nothing_is_said() -> None:
    """Not judged."""
    assert found("co-direct-199") == {}


def test_capacity_is_no_pass_while_nobody_told_what_runs_together() -> None:
    """One draw by itself is carried; both together only by the larger flow."""
    at = house()
    heater = replace(heaters()["nc-direct-199"], input_max_w=60_000, max_flow_m3_s=3 * GPM)
    two = (SINK, replace(SINK, id="other"))
    told = replace(at.water, inlet_temperature_c=20.0, setpoint_c=49.0)
    verdicts = []
    for fixtures_, terms in ((two, DemandTerms()), (two[:1], DemandTerms()), (two, DemandTerms(at_once=(("sink",),)))):
        survey = replace(at, water=replace(told, fixtures=fixtures_, demand=terms))
        finding = demand_findings(survey, Design(heater, NO_MOUNT, NO_TERMINAL, (), False, False, (), 0))[0]
        verdicts.append((finding.verdict, bool(finding.missing)))
    assert verdicts == [(Verdict.ADVICE, True), (Verdict.PASS, False), (Verdict.PASS, False)]
