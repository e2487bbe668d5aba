"""Which pressure zones may feed a heater: what line regulators pass, and whose load counts."""

from __future__ import annotations

from typing import Any

import pytest

from service.piping.feeds import Feed, feeds_of
from tests.unit.survey_documents import changed, load, sample

TWO_PSI: dict[str, Any] = {"pressure": {"value": 2, "unit": "psi"}, "allowable_drop": {"value": 1, "unit": "psi"}}


def feeds(regulator: dict[str, Any], **gas: Any) -> tuple[Feed, ...]:
    """Feeds of a 120,000 Btu/h heater in the slab house, which burns 115,000 Btu/h behind a line regulator."""
    at = {"node": "meter", "outlet_pressure": 7, **regulator}
    survey = load(changed(sample(), lambda d: d["gas"].update(**{**TWO_PSI, "regulators": [at], **gas})))
    heater = next(h for h in survey.heaters if h.id == "nc-direct-120")
    return feeds_of(survey.gas, survey.site.gas, survey.prices, heater)


def ahead(feed: Feed) -> bool:
    """Whether the heater has a line regulator of its own, ahead of the old one."""
    return feed.set_point is not None


def test_a_regulator_of_unknown_capacity_feeds_no_heater() -> None:
    """Unknown is never a pass: gas is to be had ahead of it only."""
    assert [ahead(f) for f in feeds({})] == [True]


@pytest.mark.parametrize(("capacity_btu_h", "behind"), [(235_000, True), (234_999, False)])
def test_a_regulator_passes_what_is_there_and_the_heater(capacity_btu_h: int, behind: bool) -> None:
    """115,000 and 120,000 Btu/h are 235,000."""
    assert (False in [ahead(f) for f in feeds({"capacity": capacity_btu_h})]) is behind


def test_a_heater_ahead_of_a_regulator_is_no_load_of_it() -> None:
    """Another delivery pressure asks of an old regulator no more than it feeds: 115,000 Btu/h."""
    other = {"id": "higher", "pressure": {"value": 3, "unit": "psi"}, "allowable_drop": {"value": 1, "unit": "psi"}}
    other |= {"regulated_pressure": {"value": 2, "unit": "psi"}, "regulated_drop": {"value": 0.5, "unit": "psi"}}
    regulator = {"node": "riser", "capacity": 115_000}
    taken = feeds(regulator, pressure_options=[other])
    assert any(f.pressure is not None and ahead(f) for f in taken)
    short = feeds(regulator | {"capacity": 114_999}, pressure_options=[other])
    assert not any(f.pressure is not None for f in short)
