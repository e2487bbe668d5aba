"""Every row of the clearance and location tables of our reference notes is a record, or there is a reason why not.

The notes number what codes, listing standards and practice ask: ND non-direct and DV direct-vent terminals of the item
lists (editions 2015 and 2018), A to M the lettered table of 2021, Z the lettered figure of the listing standard, CA the
Canadian clause, OT other distances, RM rooms, GA garages, AC access, CL clearances and the rest. Sections 1 and 4.
"""

from __future__ import annotations

import csv

import pytest

from service.rules.local_layers import local_amendments
from service.rules.mounting import mounting_rules
from service.rules.rulesets import RULE_SETS, rule_set, rule_set_ids
from service.rules.tables import RULES

ITEMS = ("US15-", "US18-")


def both(*tails: str) -> tuple[str, ...]:
    """The records of the item lists of 2015 and 2018."""
    return tuple(start + tail for start in ITEMS for tail in tails)


RECORDS: dict[str, tuple[str, ...]] = {
    "ND1": both("ND1"), "ND2": both("ND2", "ND2C"), "ND3": both("ND2"), "ND4": both("ND2"), "ND5": both("ND5", "ND5D"),
    "ND6": both("ND6"), "ND7": both("ND7", "ND7R", "ND7A", "ND7P"), "ND8": both("ND8"), "ND9": both("ND9"),
    "ND10": (*both("ND10"), "US21-ND10"),
    "DV1": both("DV1"), "DV2": both("DV2"), "DV3": both("DV3"), "DV4": ("US18-DV4",),
    "DV5": (*both("ND5"), "US-DV5", "US-DV5D"),
    "A": ("US21-A", "US21-AD"), "B": ("US21-B1", "US21-B2", "US21-B3", "US21-B4", "US21-B5"), "C": ("US21-C",),
    "D": ("US21-D",), "E": ("US21-E",), "F": ("US21-F",), "G": ("US21-G",), "H": ("US21-H",),
    "I": ("US21-I1", "US21-I2"), "J": ("US21-J1", "US21-J2", "US21-J3", "US21-J4", "US21-J5"), "K": ("US21-K",),
    "L": ("US21-L", "US21-LN", "US21-LR", "US21-LP"), "M": ("US21-M",),
    "Z-A": (*both("ND5"), "CA-f", "CA-fD"), "Z-B": (*both("DV1", "DV2", "DV3", "ND2"), "CA-g1", "CA-g2", "CA-g3"),
    "Z-C": (*both("FIX"), "CA-C"), "Z-D": (*both("EAV"), "CA-D"), "Z-E": (*both("EAV"), "CA-D"),
    "Z-F": (*both("EAV"), "CA-D"), "Z-G": (*both("EAV"), "CA-D"), "Z-H": ("CA-d",), "Z-I": ("CA-e",),
    "Z-J": (*both("ND2C"), "CA-g3"), "Z-K": (*both("ND1"), "CA-c"), "Z-L": (*both("ND6"), "CA-b", "CA-a"),
    "Z-M": (*both("UND"), "CA-h"),
    "CA-a": ("CA-a",), "CA-b": ("CA-b",), "CA-c": ("CA-c",), "CA-d": ("CA-d",), "CA-e": ("CA-e",), "CA-f": ("CA-f",),
    "CA-g": ("CA-g1", "CA-g2", "CA-g3"), "CA-h": ("CA-h",),
    "British Columbia": ("CA-BC1", "CA-BC1 @ British Columbia", "CA-BC2"), "Manitoba": ("CA-d @ Manitoba",),
    "OT1": ("SNOW", "IN-SNOW", "OUT4"), "OT2": ("US-OT2", "US-OT2 @ New York City"), "OT3": ("US-OT3",),
    "OT4": ("US-OT4", "US-OT4 @ New York City"), "OT5": ("US-OT5", "US-OT5 @ New York City"), "OT6": ("US-OT6",),
    "OT7": (*both("EAV"), "US21-D", "US21-E", "CA-D"), "OT8": ("OT8",), "OT9": ("OT9", "OUT7"),
    "OT10": ("US18-ND5 @ New York City", "US21-A @ New York City"), "OT11": ("US-OT11",), "OT12": ("CA-OT12",),
    "OT13": ("US-OT13", "OT13"), "OT14": ("OT14", "IN-EX", "US21-J5", "CA-g3"), "OT15": ("OT15",),
    "RM1": ("RM1",), "RM2": ("RM2",), "RM3": ("RM3",), "RM4": ("RM4",), "RM5": ("RM5",), "RM6": ("RM6",),
    "RM7": ("RM7",), "RM8": ("RM8",), "RM9": ("RM9",), "Waterbury": ("RM1-LOCAL @ Waterbury, Connecticut",),
    "GA1": ("GA1", "GA1-CA"), "GA2": ("GA2",), "GA3": ("GA3",), "GA4": ("GA4",), "GA5": ("GA5",), "GA6": ("GA6",),
    "AC1": ("AC1", "AC1-CA"), "AC2": ("AC2",), "AC3": ("AC3",), "AC4": ("AC4",), "AC5": ("AC5",), "AC6": ("AC6",),
    "AC7": ("AC7", "AC7-OPENING", "AC7-SPACE"), "AC8": ("AC8", "AC8-OPENING"), "AC9": ("AC9",), "AC10": ("AC10",),
    "AC11": ("AC11",),
    "CL1": ("MT2", "OUT2"), "CL2": ("CL2", "OUT10", "OUT12"), "CL3": ("CL3", "OUT3"), "CL4": ("CL4",),
    "CL5": ("CL5-SLEEPING", "CL5-BEDROOM"), "CL6": ("CL6-STOREY",), "CL7": ("CL7",),
}  # fmt: skip
LEFT_OUT = {
    "Z, starred cells of the United States": "no value: the records named there say that the instructions decide",
    "Z-B over 50,000 Btu/h, United States": "older text of the figure; DV4 and row B, the stricter, are applied",
    "OT10, 350,000 Btu/h within 10 ft": "one heater is sited; how much ends near it no survey tells",
    "New York City and IRC M1804: fixed windows": "another text than the gas chapter's; its figures are advice here",
    "older B149.1: 6 ft from a regulator vent": "superseded by CA-e, whose note tells it",
}
OF_OUR_OWN = {
    "WALL": "that there is wall at all", "IN-WALL": "the same for an intake",
    "CA-IN-f": "the Canadian clause on grade, for the intake", "CA-IN-fD": "the same over decks",
    "HR1": "room to stand and work", "MT1": "the case lies on wall",
    "MT3": "room for the small pipes", "MT4": "room for the vent's rise", "WISH1": "customer", "WISH2": "customer",
    "CA-P": "private walks, where the Canadian clause is silent", "CA-SW": "door swing, where it is silent",
    "US21-ND8": "kept from the item list", "US21-ND9": "kept from the item list", "RM1-LOCAL": "local ordinances",
    "NBC-BEDROOM": "alarms in Canada", "WISH3": "customer", "OUT1": "the case lies on wall",
    "OUT5": "room for the small pipes and their way in", "OUT6": "the case as a source of ignition",
    "OUT8": "a door's leaf and the case", "OUT9": "the own lot", "OUT11": "outlets outdoors",
}  # fmt: skip
"""Records that no row of the reference asks for, with what they are for."""


def known() -> set[str]:
    """Ids of all records: terminal rules, mounting rules, alarms, local amendments with their place."""
    sets = [rule_set(name) for name in rule_set_ids()]
    found = {r.id for s in sets for r in s.rules}
    found |= {r.id for country in ("us", "ca") for r in mounting_rules(country)}
    found |= {f"{a.rule_id} @ {a.layer}" for s in sets for a in local_amendments(s)}
    with (RULES / "tables" / "alarms.csv").open(encoding="utf-8", newline="") as rows:
        return found | {row["id"] for row in csv.DictReader(rows)}


@pytest.mark.parametrize("row", sorted(RECORDS))
def test_every_row_of_the_reference_has_its_record(row: str) -> None:
    """Nothing that the notes hold is lost."""
    assert set(RECORDS[row]) <= known() and RECORDS[row]


def test_the_notes_rows_are_numbered_without_gap() -> None:
    """The list above itself leaves none out."""
    for head, last in (("ND", 10), ("DV", 5), ("OT", 15), ("RM", 9), ("GA", 6), ("AC", 11), ("CL", 7)):
        assert [f"{head}{i}" for i in range(1, last + 1) if f"{head}{i}" not in RECORDS] == []
    assert [x for x in "ABCDEFGHIJKLM" if x not in RECORDS or f"Z-{x}" not in RECORDS] == []
    assert [x for x in "abcdefgh" if f"CA-{x}" not in RECORDS] == []
    assert all(LEFT_OUT.values())


def test_every_record_comes_from_the_reference_or_says_what_it_is_for() -> None:
    """No rule without an origin."""
    named = {r.split(" @ ")[0] for records in RECORDS.values() for r in records}
    plain = {r for r in known() if " @ " not in r}
    assert plain - named - set(OF_OUR_OWN) == set()
    assert set(OF_OUR_OWN) <= plain


@pytest.mark.parametrize("name", sorted(p.stem for p in RULE_SETS.glob("*.csv")))
def test_every_row_has_standard_section_and_mark(name: str) -> None:
    """A dash stands for common practice alone, or for a section that the copy does not name."""
    with (RULE_SETS / f"{name}.csv").open(encoding="utf-8", newline="") as rows:
        for row in csv.DictReader(rows):
            assert row["mark"] in {"read", "memory", "common_practice"}
            assert row["standard"] != "-" or row["mark"] == "common_practice", row["id"]
