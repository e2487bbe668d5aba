"""Check values of local layers, told as amendments that a survey takes over; each with its source and mark."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.clearance.assumed import assumptions, warnings
from service.rules.local_layers import local_amendments
from service.rules.rulesets import rule_set, rule_set_ids
from service.survey.equipment import Draft
from service.survey.model import Amendment, Figure, LotLine, Regulator, RoomUse, Survey
from tests.unit.clearance_site import (
    L_HOUSE,
    RADIUS,
    broken,
    feet,
    heater,
    inches,
    inside,
    outside,
    refused,
    spec,
    survey,
)

BLANK = outside()
REGULATOR = Regulator("regulator", (5_000, 0, 0), None)
OUTLINE = ((0, 0), (4_000, 0), (4_000, 3_000), (0, 3_000))


def taken_over(rules: str, layer: str) -> tuple[Amendment, ...]:
    """The rows of a layer as a survey would say them."""
    return tuple(a.amendment() for a in local_amendments(rule_set(rules)) if a.layer == layer)


def at(rules: str, layer: str, **site: object) -> Survey:
    """A survey under a rule set with a layer."""
    return survey(rules, amendments=taken_over(rules, layer), **site)


@pytest.mark.parametrize("layer", [False, True])
def test_manitoba_has_no_upper_end_over_a_regulator(layer: bool) -> None:
    """Row 33: 2 ft off the line and 16 ft above it passes CSA B149.1 8.14.8 d (read); Manitoba fails it (read in a
    summary): condensate drips and freezes at any height."""
    tall = outside(top=30_000)
    site = survey("ca-b149", regulators=(REGULATOR,))
    if layer:
        site = at("ca-b149", "Manitoba", regulators=(REGULATOR,))
    for above in (feet(16), feet(80)):
        s, z = 5_000 + RADIUS + feet(2), above + RADIUS
        assert broken(tall, site, spec(True, 199_000), s, z) == ({"CA-d"} if layer else set())
    assert broken(tall, site, spec(True, 199_000), 5_000 + RADIUS + feet(3), feet(16)) == set()


@pytest.mark.parametrize(("rules", "grade"), [("us-2015", "US15-ND5"), ("us-2018", "US18-ND5"), ("us-2021", "US21-A")])
def test_new_york_city_asks_36_in_over_grade(rules: str, grade: str) -> None:
    """OT10: bottom of an integral vent 36 in above grade (read)."""
    site, direct = at(rules, "New York City"), spec(True, 120_000)
    z = -3_000 + inches(36) + RADIUS
    assert broken(BLANK, site, direct, 3_000, z) == set()
    assert broken(BLANK, site, direct, 3_000, z - 1) == {grade}
    assert broken(BLANK, survey(rules), direct, 3_000, z - 1) == set()


def test_new_york_city_makes_advice_binding() -> None:
    """OT2, OT4, OT5: lot line 4 ft, inside corner and gas meter 3 ft (read); elsewhere only advice."""
    line = LotLine("lot", (2_000, -9_000), (2_000, 9_000))
    lot = {"lot_lines": (line,)}
    place, low = (2_000 + RADIUS + feet(4) - 1, 2_000), spec(True, 120_000)
    assert broken(BLANK, at("us-2018", "New York City", **lot), low, *place) == {"US-OT2"}
    assert broken(BLANK, at("us-2018", "New York City", **lot), low, place[0] + 1, 2_000) == set()
    assert broken(BLANK, survey("us-2018", **lot), low, *place) == set()
    corner, house = (5_000 - RADIUS - feet(3) + 1, 2_000), outside(L_HOUSE)
    assert broken(house, at("us-2018", "New York City"), low, *corner, "F2") == {"US-OT4"}
    meter = {"regulators": (replace(REGULATOR, at=(8_000, 0, 0)),)}
    beside = 8_000 - RADIUS - feet(3) + 1
    assert broken(BLANK, at("us-2018", "New York City", **meter), low, beside, 4_000) == {"US-OT5"}


def test_waterbury_forbids_what_the_code_allows() -> None:
    """Row 42: direct vent in a bedroom closet is allowed by the code, not in Waterbury, Connecticut (read)."""
    closet = inside(OUTLINE, RoomUse.CLOSET, only_into=RoomUse.BEDROOM)
    direct = heater(Draft.DIRECT)
    assert refused(closet, survey("us-2018"), direct, 2_000, 1_000) == set()
    assert refused(closet, at("us-2018", "Waterbury, Connecticut"), direct, 2_000, 1_000) == {"RM1-LOCAL"}


@pytest.mark.parametrize("rules", rule_set_ids())
def test_every_row_changes_its_rule_and_is_echoed(rules: str) -> None:
    """No row is idle; each is told under the assumptions, and none warns."""
    rows = local_amendments(rule_set(rules))
    assert rows and {a.mark for a in rows} <= {"read", "memory", "common_practice"}
    site = survey(rules, amendments=tuple(a.amendment() for a in rows))
    assert not any("amendment" in w for w in warnings(BLANK, site))
    told = assumptions(BLANK, site)
    assert all(any(s.startswith(a.rule_id) and a.layer in s for s in told) for a in rows)


def test_an_amendment_may_name_the_figure() -> None:
    """Only that figure changes, of terminal rules; what the rule has not is left out, with a warning."""
    only = Amendment("US18-ND2", 600, "local", Figure.ABOVE)
    (box,) = [s for s in rule_set("us-2018").sized(survey("us-2018").units, (only,)) if s.rule.id == "US18-ND2"]
    assert (box.beside_mm, box.below_mm, box.above_mm, box.amended) == (1220, 1220, 600, "local")
    both = (only, Amendment("US18-ND2", 700, "more", Figure.BESIDE))
    (box,) = [s for s in rule_set("us-2018").sized(survey("us-2018").units, both) if s.rule.id == "US18-ND2"]
    assert (box.beside_mm, box.below_mm, box.above_mm) == (700, 1220, 600)
    idle = (Amendment("US18-ND5", 1, "x", Figure.BELOW), Amendment("US18-ND10", None, "x", enforce=True))
    plain, changed = (rule_set("us-2018").sized(survey("us-2018").units, a) for a in ((), idle))
    assert plain == changed
    (told,) = [w for w in warnings(BLANK, survey("us-2018", amendments=idle)) if "amendment" in w]
    assert told.startswith("US18-ND10, US18-ND5: ")
