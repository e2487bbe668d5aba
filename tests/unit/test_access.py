"""Attics and crawl spaces: closed until every fact of the way in is given and kept."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from service.design import Verdict
from service.survey.model import Access, Passage, RoomUse
from tests.unit.clearance_site import heater
from tests.unit.place_house import WHOLE_WAY, broken, found, missing, two_rooms, verdicts

ATTIC, CRAWL = RoomUse.ATTIC, RoomUse.CRAWL_SPACE
ATTIC_RULES, CRAWL_RULES = {"AC3", "AC4", "AC5"}, {"AC7", "AC7-OPENING", "AC7-SPACE", "AC8", "AC8-OPENING", "AC9"}


def changed(**facts: object) -> Access:
    """The whole way with facts of it, or of its passage, changed."""
    of_passage = {f.name for f in fields(Passage)}
    way = replace(WHOLE_WAY.passage, **{k: v for k, v in facts.items() if k in of_passage})  # type: ignore[arg-type]
    return replace(WHOLE_WAY, passage=way, **{k: v for k, v in facts.items() if k not in of_passage})  # type: ignore[arg-type]


@pytest.mark.parametrize(("use", "rules"), [(ATTIC, ATTIC_RULES), (CRAWL, CRAWL_RULES)])
@pytest.mark.parametrize("country", ["us-2015", "us-2018", "us-2021", "ca-b149"])
def test_open_only_with_every_fact(use: RoomUse, rules: set[str], country: str) -> None:
    """Nothing stated, or nothing in what is stated: every rule of the way stays open."""
    for given in (None, Access()):
        result = found(two_rooms(use, rules=country, access=given))
        assert broken(result) == rules
        assert all(verdicts(result, rule) == {Verdict.UNKNOWN} for rule in rules)
        assert all(f.missing for f in result if f.verdict is Verdict.UNKNOWN)
    assert broken(found(two_rooms(use, rules=country, access=WHOLE_WAY))) == set()


@pytest.mark.parametrize(
    ("use", "facts", "rules"),
    [
        (ATTIC, {"width_mm": 558}, {"AC3"}),
        (ATTIC, {"height_mm": 761}, {"AC3"}),
        (ATTIC, {"floor_width_mm": 609}, {"AC3"}),
        (ATTIC, {"floor_width_mm": None}, {"AC3"}),
        (ATTIC, {"length_mm": None}, {"AC3"}),
        (ATTIC, {"length_mm": None, "height_mm": 1_829}, set()),
        (ATTIC, {"length_mm": 9_000, "height_mm": 1_828}, {"AC3"}),
        (ATTIC, {"platform_depth_mm": 761}, {"AC4"}),
        (ATTIC, {"platform_width_mm": None}, {"AC4"}),
        (ATTIC, {"opening_width_mm": 507}, {"AC5"}),
        (ATTIC, {"opening_width_mm": 762, "opening_height_mm": 508}, set()),
        (ATTIC, {"opening_height_mm": None}, {"AC5"}),
        (ATTIC, {"below_grade_mm": None}, set()),
        (CRAWL, {"width_mm": 913}, {"AC7"}),
        (CRAWL, {"height_mm": 761}, {"AC8"}),
        (CRAWL, {"height_mm": 558}, {"AC7", "AC8"}),
        (CRAWL, {"length_mm": 6_097}, {"AC7", "AC8"}),
        (CRAWL, {"length_mm": 6_097, "height_mm": 1_829}, {"AC7", "AC8"}),
        (CRAWL, {"floor_width_mm": None}, set()),
        (CRAWL, {"opening_width_mm": 558}, {"AC7-OPENING", "AC8-OPENING"}),
        (CRAWL, {"below_grade_mm": 305}, set()),
        (CRAWL, {"below_grade_mm": 306}, {"AC9"}),
        (CRAWL, {"below_grade_mm": 306, "lining_above_grade_mm": 102}, set()),
        (CRAWL, {"below_grade_mm": 306, "lining_above_grade_mm": 101}, {"AC9"}),
        (CRAWL, {"below_grade_mm": None, "lining_above_grade_mm": 102}, {"AC9"}),
        (CRAWL, {"platform_depth_mm": 761}, {"AC7-SPACE"}),
    ],
)
def test_each_fact_at_its_limit(use: RoomUse, facts: dict[str, int | None], rules: set[str]) -> None:
    """IFGC 306.3, 306.4, IRC M1305.1.3, M1305.1.4 (read) in the nearest millimetre."""
    assert broken(found(two_rooms(use, access=changed(**facts)))) == rules


def test_missing_facts_are_named_and_short_ones_fail() -> None:
    """A short width fails though the length is not known."""
    result = found(two_rooms(ATTIC, access=changed(length_mm=None, width_mm=500)))
    assert verdicts(result, "AC3") == {Verdict.FAIL, Verdict.UNKNOWN, Verdict.PASS}
    assert missing(result, "AC3") == {"access.passage.length of room here"}
    short = next(f for f in result if f.rule_id == "AC3" and f.verdict is Verdict.FAIL)
    assert (short.required_mm, short.actual_mm) == (559, 500)


def test_no_passage_where_the_opening_serves() -> None:
    """Attic only (read): platform and opening are still asked."""
    at = Access(508, 762, platform_depth_mm=762, platform_width_mm=762, removable_through_opening=True)
    assert broken(found(two_rooms(ATTIC, access=at))) == set()
    assert {"AC7", "AC8"} <= broken(found(two_rooms(CRAWL, access=at)))
    assert broken(found(two_rooms(ATTIC, access=replace(at, removable_through_opening=None)))) == {"AC3"}


def test_the_heater_passes_the_opening() -> None:
    """With its two smaller sides, one against the smaller side of the opening (AC5, read)."""
    large = heater(width_mm=550, height_mm=800, depth_mm=520)
    for opening, rules in (((520, 762), set()), ((519, 762), {"AC5"}), ((762, 520), set())):
        at = two_rooms(ATTIC, access=changed(opening_width_mm=opening[0], opening_height_mm=opening[1]))
        assert broken(found(at, large)) & {"AC5"} == rules
    long = heater(width_mm=900, height_mm=800, depth_mm=300)
    tight = two_rooms(ATTIC, access=changed(opening_width_mm=799, opening_height_mm=600))
    assert "AC5" in broken(found(tight, long))


def test_light_and_receptacle_are_advice() -> None:
    """IFGC 306.3.1 (memory)."""
    for facts, verdict in (
        ({}, Verdict.PASS),
        ({"light": None}, Verdict.ADVICE),
        ({"receptacle": False}, Verdict.ADVICE),
    ):
        assert verdicts(found(two_rooms(ATTIC, access=changed(**facts))), "AC10") == {verdict}
