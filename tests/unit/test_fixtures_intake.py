"""Hot-water fixtures of a survey: known kinds, flows that are left out, equal ones counted."""

from __future__ import annotations

import pytest

from service.rules.tables import UNITS
from service.trades import fixtures
from tests.unit.survey_documents import Document, load, places, smallest

GPM = UNITS["gpm"]


def with_fixture(**told: object) -> Document:
    """The smallest survey in US units with one fixture."""
    document = smallest()
    document["units"] = "us"
    document["water"]["fixtures"] = [{"at": [1, 1, 1], **told}]
    return document


@pytest.mark.parametrize(
    ("kind", "gpm"),
    [
        ("shower", 2.5),  # 10 CFR 430.32(p), IRC Table P2903.2 (read)
        ("lavatory", 2.2),  # 10 CFR 430.32(o), IRC Table P2903.2 (read)
        ("kitchen_sink", 2.2),  # the same (read)
        ("bathtub", 4.0),  # IPC 604.3 (read)
        ("dishwasher", 2.75),  # IPC 604.3 (read)
        ("laundry_sink", 4.0),  # IPC 604.3 (read)
        ("clothes_washer", 4.0),  # NSPC 10.14.2 (read)
        ("bidet", 2.0),  # UPC Table M 102.1 (memory)
    ],
)
def test_a_flow_left_out_is_that_of_law_or_code_and_is_told(kind: str, gpm: float) -> None:
    """The default comes from the table, and an assumption says so with the fixture's name."""
    survey = load(with_fixture(id="it", kind=kind))
    assert survey.water.fixtures[0].flow_m3_s / GPM == pytest.approx(gpm)
    said = next(a for a in survey.assumptions if a.startswith("Flow of "))
    assert f"{gpm:g} gpm" in said and said.endswith(": it.")


def test_a_given_flow_beats_the_table() -> None:
    """Nothing is assumed of it, and one fixture stands for itself."""
    survey = load(with_fixture(kind="shower", flow=1.75))
    fixture = survey.water.fixtures[0]
    assert (fixture.id, fixture.count, fixture.use_temperature_c) == ("fixture-1", 1, None)
    assert fixture.flow_m3_s / GPM == pytest.approx(1.75)
    assert not any(a.startswith("Flow of ") for a in survey.assumptions)


def test_equal_fixtures_may_be_counted_and_used_at_a_temperature() -> None:
    """100 degF is 37.8 degC."""
    fixture = load(with_fixture(kind="shower", count=3, use_temperature=100)).water.fixtures[0]
    assert fixture.count == 3
    assert fixture.use_temperature_c == pytest.approx(37.78, abs=0.01)


def test_an_unknown_kind_needs_its_flow() -> None:
    """It is taken with a flow, and refused without one at the place where the flow belongs."""
    assert load(with_fixture(kind="fish tank", flow=1)).water.fixtures[0].kind == "fish tank"
    assert ("#/water/fixtures/0/flow", "missing") in places(with_fixture(kind="fish tank"))


@pytest.mark.parametrize("count", [0, 101, 1.5])
def test_a_count_is_whole_and_within_reason(count: float) -> None:
    """At least one, at most a hundred."""
    assert [place for place, _ in places(with_fixture(kind="shower", count=count))] == ["#/water/fixtures/0/count"]


def test_what_is_mixed_with_cold() -> None:
    """Common practice: bathers mix, machines and sinks may draw hot alone, of an unknown kind nothing is known."""
    assert [k for k in fixtures.kinds() if fixtures.is_mixed(k)] == [
        "shower", "bathtub", "bath_shower", "lavatory", "bidet"
    ]  # fmt: skip
    assert not fixtures.is_mixed("fish tank")


def test_every_kind_has_the_flow_that_its_row_names() -> None:
    """Each default stands in the table of flows, with citation and mark."""
    for kind in fixtures.kinds():
        usual = fixtures.default_flow(kind)
        assert usual in fixtures.flow_figures(kind) and usual.citation and usual.known_from in ("read", "memory")


def test_limits_of_law_and_label() -> None:
    """D.C. 12-F604 (read), California Title 20 (read): lower than the federal limit."""
    by_basis = {f.basis: f.flow_m3_s / GPM for f in fixtures.flow_figures("shower")}
    assert by_basis["dc_limit"] == pytest.approx(2.0) and by_basis["california_limit"] == pytest.approx(1.8)
    assert by_basis[fixtures.FEDERAL] == pytest.approx(2.5)
