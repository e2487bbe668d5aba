"""Demand of a house and the heaters held against it: by hand, method by method, and what is said of it."""

from __future__ import annotations

from typing import Any

import pytest

from service.errors import InvalidRequest
from service.rules.tables import UNITS
from service.survey.model import DemandMethod
from service.usecases.hot_water_results import HotWaterReport
from tests.unit.hot_water_documents import Document, one_bath, report, request

GPM, DEG_F = UNITS["gpm"], 5 / 9
AT_ONCE = {"method": "concurrent_use", "at_once": [["shower", "lavatory"], ["lavatory", "sink"]]}


def asked_gpm(document: Document) -> float:
    """Governing demand."""
    flow = report(document).duty.demand.flow_m3_s
    assert flow is not None
    return flow / GPM


def by_method(found: HotWaterReport) -> dict[DemandMethod, float | None]:
    """Demand of every method [gpm]."""
    return {m.method: None if m.flow_m3_s is None else m.flow_m3_s / GPM for m in found.methods}


def refused(document: Document) -> set[tuple[str, str]]:
    """Pointer and code of each fault."""
    with pytest.raises(InvalidRequest) as caught:
        request(document)
    return {(f.pointer, f.code) for f in caught.value.faults}


def test_the_largest_set_that_runs_together_governs() -> None:
    """At 50 degF a draw mixed to 105 from 120 is 55/70 hot: 3.2 x 0.7857 = 2.514 and 1.2 x 0.7857 + 1.8 = 2.743."""
    found = report(one_bath(demand=AT_ONCE))
    assert asked_gpm(one_bath(demand=AT_ONCE)) == pytest.approx(1.2 * 55 / 70 + 1.8)
    assert found.duty.demand.together == ("lavatory", "sink")
    assert found.duty.rise_k / DEG_F == pytest.approx(70)


def test_three_methods_side_by_side_never_mixed() -> None:
    """Units: 1.0 + 0.5 + 1.0 = 2.5 hot, between 5.0 and 6.5 gpm on the IPC curve: 5.75. Probability: shower with sink
    3.8 or less covers 99 of 100 busy moments (enumerated in the test below)."""
    found = by_method(report(one_bath(demand=AT_ONCE)))
    assert found[DemandMethod.FIXTURE_UNITS] == pytest.approx(5.75)
    assert found[DemandMethod.PROBABILISTIC] == pytest.approx(enumerated([(0.045, 2.0), (0.02, 1.2), (0.02, 1.8)]))
    assert len(set(found.values())) == 3


def enumerated(uses: list[tuple[float, float]]) -> float:
    """Percentile of the busy moments by listing all on/off combinations."""
    moments = [(0.0, 1.0)]
    for p, q in uses:
        moments = [(f + on * q, c * (p if on else 1 - p)) for f, c in moments for on in (0, 1)]
    busy = sorted((f, c) for f, c in moments if f)
    total, reached = sum(c for _, c in busy), 0.0
    for flow, chance in busy:
        reached += chance / total
        if reached >= 0.99 - 1e-9:
            return flow
    raise AssertionError


@pytest.mark.parametrize("method", ["fixture_units", "probabilistic"])
def test_the_method_named_governs(method: str) -> None:
    """Its own figure, whatever the others say."""
    found = report(one_bath(demand={"method": method}))
    assert found.duty.demand.method.value == method
    assert found.duty.demand.flow_m3_s == next(m.flow_m3_s for m in found.methods if m.method.value == method)


def test_heaters_against_the_demand() -> None:
    """2.743 gpm at 70 degF: 120,000 x 0.82 / (499.8 x 70) = 2.813 carries it; with 10 degF colder water 2.461 does not,
    and two of it would."""
    small, large = report(one_bath(demand=AT_ONCE)).heaters
    assert small.carries and small.capacity_m3_s / GPM == pytest.approx(120_000 * 0.82 / (499.8 * 70))
    assert small.margin_m3_s is not None
    assert small.margin_m3_s / GPM == pytest.approx(2.8126 - 2.7429, abs=5e-4)
    colder, other = report(one_bath(demand=AT_ONCE, inlet_temperature=40)).heaters
    assert not colder.carries and colder.number_needed == 2
    assert large.carries and other.carries


def test_altitude_takes_from_the_output() -> None:
    """At 5000 ft 80 % of the input is left (NFPA 54 11.1.2, memory), and a warning says so."""
    low, high = (report(one_bath(altitude=feet)) for feet in (0, 5000))
    assert high.heaters[0].capacity_m3_s / low.heaters[0].capacity_m3_s == pytest.approx(0.8)
    assert any("5000 ft" in w for w in high.warnings) and not any("less input" in w for w in low.warnings)


def test_nobody_told_who_runs_together() -> None:
    """Each fixture by itself is all that is certain: the sink's 1.8 gpm; the warning names the sum of all, 4.314."""
    found = report(one_bath())
    assert not found.duty.demand.is_told and found.duty.demand.together == ("sink",)
    said = next(w for w in found.warnings if "Nobody told" in w)
    assert "1.8 gpm" in said and "4.314 gpm" in said


def test_one_fixture_is_all_there_is() -> None:
    """Nobody need tell what runs with it; two equal ones may run together."""
    for count, warned in ((1, False), (2, True)):
        fixtures = [{"id": "sink", "kind": "kitchen_sink", "flow": 1.8, "count": count}]
        assert any("Nobody told" in w for w in report(one_bath(fixtures=fixtures)).warnings) is warned


def test_equal_fixtures_run_together_only_if_told() -> None:
    """Three showers of 2.0: alone one of them, in a set all three."""
    fixtures = [{"id": "showers", "kind": "shower", "flow": 2.0, "count": 3}]
    assert asked_gpm(one_bath(fixtures=fixtures)) == pytest.approx(2.0 * 55 / 70)
    told = one_bath(fixtures=fixtures, demand={"at_once": [["showers"]]})
    assert asked_gpm(told) == pytest.approx(6.0 * 55 / 70)


def test_temperatures_of_use() -> None:
    """A shower at 100 degF takes 50/70 hot; a machine draws hot alone unless it tells; hotter than the outlet: all hot,
    with a warning."""
    uses: list[tuple[dict[str, Any], float]] = [
        ({"kind": "shower", "flow": 2, "use_temperature": 100}, 2 * 50 / 70),
        ({"kind": "clothes_washer", "flow": 2}, 2.0),
        ({"kind": "clothes_washer", "flow": 2, "use_temperature": 85}, 2 * 35 / 70),
        ({"kind": "dishwasher", "flow": 2, "use_temperature": 140}, 2.0),
    ]
    for fixture, gpm in uses:
        assert asked_gpm(one_bath(fixtures=[{"id": "it", **fixture}])) == pytest.approx(gpm)
    hot = report(one_bath(fixtures=[{"id": "it", **uses[3][0]}]))
    assert any("hotter than the outlet of 120 degF: it" in w for w in hot.warnings)


def test_smallest_draw_at_the_warmest_inlet() -> None:
    """Water of 74.6 degF in August (correlation, 57 and 44): a lavatory of 0.6 gpm takes (105 - 74.6) / (120 - 74.6) =
    0.67 of it hot, 0.40 gpm: less than the 0.5 that start the burner, though in winter 0.47 were nearer."""
    air = {"annual_mean": 57, "warmest_month": 79, "coldest_month": 35}
    document = one_bath(fixtures=[{"id": "lav", "kind": "lavatory", "flow": 0.6}], climate=air)
    del document["inlet_temperature"]
    found = report(document)
    assert found.smallest is not None and found.smallest.hot_m3_s / GPM == pytest.approx(0.402, abs=2e-3)
    assert [h.starts for h in found.heaters] == [False, False]
    assert any("starts at 0.5 gpm" in w and "stays off" in w for w in found.warnings)


def test_the_least_fire_may_overshoot() -> None:
    """15,000 x 0.82 / (499.8 x 0.5) = 49.2 degF; with an inlet of 75 degF 45 are asked for."""
    document = one_bath(fixtures=[{"id": "bar", "kind": "bar_sink", "flow": 0.5}], inlet_temperature=75)
    found = report({**document, "heaters": ["nc-direct-120"]})
    least = found.heaters[0].least_rise_k
    assert least is not None and least / DEG_F == pytest.approx(49.2, abs=0.05)
    assert any("cycle or overshoot" in w for w in found.warnings)


def test_months_follow_the_climate() -> None:
    """Twelve with a climate, none where a measured inlet beats it; months given one by one are worth their mean and
    swing."""
    air = {"annual_mean": 44, "warmest_month": 73, "coldest_month": 15}
    document = one_bath(climate=air, demand=AT_ONCE)
    assert report(document).months == ()
    del document["inlet_temperature"]
    found = report(document)
    assert [m.month for m in found.months] == list(range(1, 13))
    assert found.duty.inlet.month == 2
    monthly = [15, 20, 32, 44, 56, 68, 73, 68, 56, 44, 32, 20]  # mean 44, swing 58
    again = report({**document, "climate": {"monthly_air_temperatures": monthly}})
    assert again.duty.inlet.coldest_c == pytest.approx(found.duty.inlet.coldest_c)
    south = report({**document, "climate": {**air, "south_of_equator": True}})
    assert south.duty.inlet.month == 8


def test_a_method_that_cannot_tell_says_what_it_misses() -> None:
    """Unknown kinds have neither units nor chances; a flow above the method's greatest is not taken (memory), 7.6 L/min
    for 2.0 gpm is."""
    odd = report(one_bath(fixtures=[{"id": "tank", "kind": "fish tank", "flow": 1}]))
    missing = {m.method: m.missing for m in odd.methods}
    assert missing[DemandMethod.CONCURRENT_USE] == ""
    assert all("tank" in missing[m] for m in (DemandMethod.FIXTURE_UNITS, DemandMethod.PROBABILISTIC))
    strong = report(one_bath(fixtures=[{"id": "s", "kind": "shower", "flow": 2.4}]))
    assert by_method(strong)[DemandMethod.PROBABILISTIC] is None
    label = report(one_bath(fixtures=[{"id": "s", "kind": "shower", "flow": {"value": 7.6, "unit": "L/min"}}]))
    assert by_method(label)[DemandMethod.PROBABILISTIC] == pytest.approx(2.0)


def test_a_flow_left_out_is_the_methods_own() -> None:
    """By concurrent use the limit of law, 2.5 gpm; by the probabilistic method its 2.0."""
    found = by_method(report(one_bath(fixtures=[{"id": "s", "kind": "shower"}])))
    assert found[DemandMethod.CONCURRENT_USE] == pytest.approx(2.5 * 55 / 70)
    assert found[DemandMethod.PROBABILISTIC] == pytest.approx(2.0)


REFUSED: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"demand": {"method": "concurrent_use"}}, {("#/demand/at_once", "missing")}),
    ({"demand": {"method": "fixture_units", "at_once": [["sink"]]}}, {("#/demand/at_once", "contradiction")}),
    ({"demand": {"at_once": [["sink", "bath"]]}}, {("#/demand/at_once/0/1", "unknown_reference")}),
    ({"demand": {"at_once": [["sink", "sink"]]}}, {("#/demand/at_once/0/1", "duplicate")}),
    ({"demand": {"at_once": [[]]}}, {("#/demand/at_once/0", "too_few")}),
    ({"setpoint": 100, "inlet_temperature": 101}, {("#/setpoint", "contradiction")}),
    ({"fixtures": []}, {("#/fixtures", "too_few")}),
    ({"fixtures": [{"id": "a", "kind": "bidet"}] * 2}, {("#/fixtures/1/id", "duplicate_id")}),
    (
        {"fixtures": [{"id": "a", "kind": "pond", "flow": 1}], "demand": {"method": "probabilistic"}},
        {("#/fixtures", "unknown_demand")},
    ),
    ({"climate": {"annual_mean": 50}}, {(f"#/climate/{k}", "missing") for k in ("warmest_month", "coldest_month")}),
    (
        {"climate": {"annual_mean": 50, "warmest_month": 40, "coldest_month": 30}},
        {("#/climate/annual_mean", "contradiction")},
    ),
    ({"climate": {"monthly_air_temperatures": [50] * 11}}, {("#/climate/monthly_air_temperatures", "wrong_count")}),
    (
        {"climate": {"monthly_air_temperatures": [50] * 12, "annual_mean": 50}},
        {("#/climate/annual_mean", "contradiction")},
    ),
]


@pytest.mark.parametrize(("members", "faults"), REFUSED)
def test_contradictions_are_refused_at_their_place(members: dict[str, Any], faults: set[tuple[str, str]]) -> None:
    """Every fault with its pointer."""
    assert refused(one_bath(**members)) == faults
