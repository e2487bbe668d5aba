"""The workshop's survey asks to be told everything: the parts agree with the design, the bill and the description."""

from __future__ import annotations

from functools import cache
from math import inf
from typing import Any

import pytest

from service.building.build import build
from service.errors import InvalidRequest
from service.explain_summary import explain_lines
from service.http.answer import placement_json
from service.http.certificate_json import sealed
from service.http.schemas import load_survey
from service.report.explained import sections
from service.report.model import Bullets, Chart, Table, Words
from service.settings import Settings
from service.siting.ground import ground_of
from service.siting.search import search
from service.siting.zones import Zones
from service.usecases.place import INSPECTOR, place
from service.usecases.sureness import sureness
from tests.contract.test_specification import misfits
from tests.once import once
from tests.scenarios.scenarios import document

Json = dict[str, Any]
EVERYTHING = {"different": 2, "trade_offs": ["waiting", "margin"], "sureness": True, "certificate": True}
SETTINGS = Settings(solver_seconds=60)


@cache
def answer() -> Json:
    """The whole answer."""
    asked = {**document("workshop_circuits"), "explain": EVERYTHING}
    found: Json = once(("everything told", asked), lambda: _told(asked))
    return found


def _told(asked: Json) -> Json:
    survey = load_survey(asked, SETTINGS)
    return sealed(placement_json(place(survey, SETTINGS), survey), asked)


def test_the_answer_fits_the_description() -> None:
    """With every part told, closed to members that nobody described."""
    assert misfits(answer(), {"$ref": "#/components/schemas/Placement"}) == []


def test_sets_and_fronts_begin_with_the_cheapest_design() -> None:
    """Their first design costs what the cheapest does; the rest cost more, as their own bills say."""
    told = answer()["explained"]
    tables = [told["different"]["designs"], *(front["designs"] for front in told["trade_offs"])]
    for rows in tables:
        assert rows[0]["cost"] == answer()["cost"]
        assert [r["cost"] for r in rows] == sorted(r["cost"] for r in rows)
        for row in rows:
            assert row["cost"] == row["design"]["cost"]["total"]
            assert row["cost"] == pytest.approx(sum(t["amount"] for t in row["by_trade"]))
            assert row["extra_cost"] == pytest.approx(row["cost"] - answer()["cost"])
    assert told["different"]["total"] == pytest.approx(sum(r["cost"] for r in told["different"]["designs"]))


def test_designs_of_the_set_differ_in_two_things() -> None:
    """Counted by hand."""
    one, other = answer()["explained"]["different"]["designs"]
    features = ("room", "way_out", "heater", "gas_pipe")
    assert sum(one[f] != other[f] for f in features) >= 2


def test_every_price_of_the_bill_has_a_range_round_itself() -> None:
    """Just the lines of the bill, each price within its own range."""
    prices = answer()["explained"]["sureness"]["prices"]
    lines = {line["key"]: line["unit_price"] for line in answer()["designs"][0]["cost"]["lines"]}
    assert {p["key"]: p["price"] for p in prices} == lines
    for price in prices:
        low, high = price["from"]["price"], price["to"]["price"]
        assert low <= price["price"]
        assert high is None or high >= price["price"]


def test_the_command_line_tells_every_part() -> None:
    """A heading for each."""
    text = "\n".join(explain_lines(answer()))
    headings = ("2 designs that differ", "Cost against waiting", "Cost against margin", "How far prices", "Missing")
    for heading in headings:
        assert heading in text
    assert "Certificate of the first design" in text
    assert "USD a foot" in text


def test_what_is_not_known_is_not_told_as_none() -> None:
    """Time that is up at once: no range and no missing answer is told as looked at."""
    survey = load_survey({**document("workshop_circuits"), "explain": {"sureness": True}}, SETTINGS)
    building = build(survey)
    ground, zones = ground_of(survey, building), Zones(building, survey)
    told = sureness(ground, zones, search(ground, zones, 1, inf), 0, INSPECTOR)
    assert not told.complete
    assert told.why
    assert not any(p.low.known and p.high.known for p in told.prices if not p.everywhere)
    assert told.idle == ()


def test_a_first_design_that_is_proven_is_enough() -> None:
    """Cut off while it looked for alternatives: how sure the first one is can be told."""
    survey = load_survey(document("workshop_circuits"), SETTINGS)
    building = build(survey)
    ground, zones = ground_of(survey, building), Zones(building, survey)
    outcome = search(ground, zones, 1, inf)
    outcome.cut_off = True
    assert sureness(ground, zones, outcome, 60, INSPECTOR).complete


def test_nothing_asked_is_nothing_told() -> None:
    """Neither without the member nor with an empty one."""
    raw = document("workshop_circuits")
    for asked in ({}, {"explain": {}}):
        survey = load_survey({**raw, **asked}, SETTINGS)
        assert placement_json(place(survey, SETTINGS), survey)["explained"] is None


def test_faults_of_the_wishes_are_all_told_at_once() -> None:
    """Each with its pointer."""
    wrong = {"different": 9, "trade_offs": ["price"], "waiting_step": 0, "margin_step": 0, "sureness": 1, "why": True}
    with pytest.raises(InvalidRequest) as refused:
        load_survey({**document("workshop_circuits"), "explain": wrong}, SETTINGS)
    told = {fault.pointer for fault in refused.value.faults}
    assert told == {
        "#/explain/different", "#/explain/trade_offs/0", "#/explain/waiting_step", "#/explain/margin_step",
        "#/explain/sureness", "#/explain/why",
    }  # fmt: skip


def tables(name: str, told: Json) -> dict[str, Table]:
    """Tables of one section of the report, by caption."""
    (section,) = [s for s in sections(told) if s.id == name]
    return {b.caption: b for b in section.blocks if isinstance(b, Table)}


def test_the_report_sets_designs_side_by_side() -> None:
    """Costs, what each costs more, and trades are the answer's."""
    found = answer()["explained"]["different"]
    beside, trades = tables("different", answer()).values()
    assert [(r[1], r[2]) for r in beside.rows] == [
        (f"{d['cost']:,.2f}", f"+{d['extra_cost']:,.2f}") for d in found["designs"]
    ]
    assert [(r[3], r[4], r[5], r[6]) for r in beside.rows] == [
        (d["heater"], d["room"], d["way_out"], d["gas_pipe"]) for d in found["designs"]
    ]
    for row, design in zip(trades.rows, found["designs"], strict=True):
        assert row[1] == ", ".join(f"{t['trade']} {t['amount']:,.2f}" for t in design["by_trade"])


def test_the_report_names_every_front() -> None:
    """A table for each that has designs, with a picture where there are several; else its title alone."""
    (section,) = [s for s in sections(answer()) if s.id == "trade-offs"]
    fronts = answer()["explained"]["trade_offs"]
    captions = [b.caption for b in section.blocks if isinstance(b, Table)]
    titles = [b.text for b in section.blocks if isinstance(b, Words)]
    assert [c.split(",")[0] for c in captions] + [t.split(",")[0] for t in titles] == sorted(
        f"Cost against {'waiting' if f['against'] == 'waiting' else 'margin of the terminal'}" for f in fronts
    )[::-1]
    charts = [b for b in section.blocks if isinstance(b, Chart)]
    assert len(charts) == sum(len(f["designs"]) > 1 for f in fronts)
    emptied = {**answer(), "explained": {**answer()["explained"], "trade_offs": [{**fronts[0], "designs": []}]}}
    (bare,) = [s for s in sections(emptied) if s.id == "trade-offs"]
    assert [type(b) for b in bare.blocks] == [Words, Bullets]


def test_the_report_tells_every_range_of_prices() -> None:
    """The price now, both ends with what is known of them, and the unit it is for."""
    (ranges, _) = tables("sureness", answer()).values()
    told = [p for p in answer()["explained"]["sureness"]["prices"] if not p["in_every_design"]]
    assert [r[0] for r in ranges.rows] == [f"{p['description']} ({p['key']})" for p in told]
    for row, price in zip(ranges.rows, told, strict=True):
        assert row[1] == f"{price['price']:,.2f}"
        for cell, side in zip(row[2:4], ("from", "to"), strict=True):
            end = price[side]
            assert cell.startswith("any price" if end["price"] is None else f"{end['price']:,.2f}")
            assert cell.endswith("or sooner") is not end["known"]
            assert cell.endswith("and beyond") is (
                side == "to" and end["known"] and end["price"] is not None and end["next"] is None
            )
