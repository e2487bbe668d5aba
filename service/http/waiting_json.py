"""A design's wait for hot water as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import part_json
from service.http.quantities import Quantities
from service.trades.hot_limits import HotLimit
from service.trades.waiting import Wait
from service.units import Quantity, rounded_from_si
from service.usecases.waiting_results import FixtureWait, LoopReport, WaitingReport

Json = dict[str, Any]
TOLD = (Quantity.LENGTH, Quantity.FLOW, Quantity.WATER_VOLUME)
SECONDS_DECIMALS = 1


def waiting_json(report: WaitingReport, q: Quantities) -> Json:
    """The member ``waiting`` of a design."""
    return {
        "units": {**q.units(TOLD), "time": "s"},
        "mean": _seconds_or_none(report.mean_s),
        "price_of_a_second": q.money_or_none(report.price_cents),
        "weighed": q.money_or_none(report.weighed_cents),
        "fixtures": [_fixture(f, q) for f in report.fixtures],
        "recirculation": None if report.loop is None else _loop(report.loop, q),
        "assumptions": list(report.assumptions),
        "warnings": list(report.warnings),
        "citation": report.citation,
    }


def _seconds(value: float) -> float:
    return round(value, SECONDS_DECIMALS)


def _seconds_or_none(value: float | None) -> float | None:
    return None if value is None else _seconds(value)


def _fixture(f: FixtureWait, q: Quantities) -> Json:
    return {
        "fixture": f.fixture,
        "kind": f.kind,
        "count": f.count,
        "flow": rounded_from_si(Quantity.FLOW, f.flow_m3_s, q.system),
        "length": q.length(f.length_mm),
        "volume": None if f.volume_m3 is None else rounded_from_si(Quantity.WATER_VOLUME, f.volume_m3, q.system),
        "time_to_hot": None if f.wait is None else _wait(f.wait),
        "missing": f.missing,
        "lights_burner": f.lights_burner,
        "limits": [_limit(limit, q) for limit in f.limits],
    }


def _wait(wait: Wait) -> Json:
    return {
        "first_start": _seconds(wait.first),
        "cold_pipe": _seconds(wait.later),
        "cold_pipe_least": _seconds(wait.least),
        "cold_pipe_most": _seconds(wait.most),
        "repeated": {"cold_after": _seconds(wait.slug_after), "cold_for": _seconds(wait.slug)},
    }


def _limit(limit: HotLimit, q: Quantities) -> Json:
    kind = Quantity.LENGTH if limit.measures == "length" else Quantity.WATER_VOLUME
    return {
        "rule": limit.id,
        "measures": limit.measures,
        "limit": rounded_from_si(kind, limit.limit, q.system),
        "actual": rounded_from_si(kind, limit.actual, q.system),
        "kept": limit.kept,
        "applies": limit.applies,
        "citation": limit.citation,
        "known_from": limit.known_from,
        "note": limit.note,
    }


def _loop(loop: LoopReport, q: Quantities) -> Json:
    return {
        "to_fixture": loop.fixture,
        "return_length": q.length(loop.return_mm),
        "price": q.money_or_none(loop.price_cents),
        "mean_when_warm": _seconds_or_none(loop.mean_wait_s),
        "parts": [part_json(p) for p in loop.parts],
    }
