"""Rule tables: loading, refusal of faulty rows, units, amendments."""

from __future__ import annotations

from dataclasses import fields
from math import ceil

import pytest

from service.rules.mounting import TABLE as MOUNTING
from service.rules.mounting import mounting_rules, parse_mount_rule, sized_mounting
from service.rules.rule import Printed, Rule, RuleTableError, parse_rule, read_rows
from service.rules.rulesets import RULE_SETS, SizedRule, rule_set, rule_set_ids
from service.survey.model import Amendment, RoomUse, UnitSystem

W_PER_BTU_H = 1055.05585262 / 3600
SETS = ("ca-b149", "us-2015", "us-2018", "us-2021")


def row(**changes: str) -> dict[str, str]:
    """First row of a table with changes."""
    return read_rows(RULE_SETS / "us-2018.csv")[0] | changes


def sized(set_id: str, units: UnitSystem, rule_id: str, *amendments: Amendment) -> SizedRule | None:
    """One rule in millimetres, None if it is switched off."""
    return next((s for s in rule_set(set_id).sized(units, amendments) if s.rule.id == rule_id), None)


def test_a_survey_may_name_four_rule_sets() -> None:
    """Included sets cannot be named themselves."""
    assert rule_set_ids() == SETS
    for name in ("common", "us-advice", "nowhere"):
        with pytest.raises(KeyError):
            rule_set(name)


@pytest.mark.parametrize("set_id", SETS)
def test_every_rule_says_whence_it_is_known(set_id: str) -> None:
    """Citation, mark, sources and the common rules are there; records are plain data."""
    found = rule_set(set_id)
    assert {"WALL", "SNOW"} <= {r.id for r in found.rules} and found.sources
    for record in found.as_records():
        assert record["citation"] and record["mark"] in {"read", "memory", "common_practice"}
        assert record["relation"] and record["objects"]


@pytest.mark.parametrize(
    "change",
    [
        {"relation": "sideways"},
        {"objects": "chimney"},
        {"objects": ""},
        {"mark": "heard"},
        {"draft": "natural"},
        {"force": "maybe"},
        {"on_missing": "pass"},
        {"strict": "perhaps"},
        {"distance_in": ""},
        {"gate_in": ""},
        {"gate_in": "ten"},
        {"gate_si_mm": "3.5"},
        {"input_over_btu_h": "many"},
        {"section": ""},
    ],
)
def test_faulty_rows_are_refused(change: dict[str, str]) -> None:
    """A slip in a table stops the program."""
    with pytest.raises(RuleTableError):
        parse_rule(row(**change), "test")


def test_missing_column_is_refused() -> None:
    """A row without one of the columns is no rule."""
    for column in row():
        if any(column == f.name or column.startswith(f.name + "_") for f in fields(Rule)):
            with pytest.raises(RuleTableError):
                parse_rule({k: v for k, v in row().items() if k != column}, "test")


def test_faulty_mounting_rows_are_refused() -> None:
    """As for terminals."""
    good = read_rows(MOUNTING)[0]
    assert parse_mount_rule(good).id == "RM1"
    for change in ({"relation": "hang"}, {"rooms": "pantry"}, {"via": "perhaps"}, {"relation": "working_space"}):
        with pytest.raises(RuleTableError):
            parse_mount_rule(good | change)
    with pytest.raises(RuleTableError):
        parse_mount_rule({k: v for k, v in good.items() if k != "unless"})


@pytest.mark.parametrize(
    ("inch", "mm"), [(6, 153), (9, 229), (12, 305), (36, 915), (48, 1220), (84, 2134), (120, 3048)]
)
def test_inches_round_up_to_the_next_millimetre(inch: int, mm: int) -> None:
    """25.4 mm to the inch by definition; never a millimetre short."""
    assert Printed(str(inch), None).mm(False) == ceil(round(inch * 25.4, 6)) == mm


def test_strict_distances_must_be_passed() -> None:
    """More than 300 mm is 301 mm; more than 12 in (304.8) is 305 mm; more than 120 in (3048) is 3049 mm."""
    assert Printed("12", 300).mm(True, strict=True) == 301
    assert Printed("12", 300).mm(False, strict=True) == 305
    assert Printed("120", None).mm(False, strict=True) == 3049


def test_soft_si_only_in_canada_and_only_for_si_surveys() -> None:
    """CSA B149.1 prints 3 ft (900 mm); United States codes are held in inches (read)."""
    canada = [sized("ca-b149", u, "CA-g3") for u in (UnitSystem.SI, UnitSystem.US)]
    assert [s.distance_mm for s in canada if s] == [900, 915]
    states = [sized("us-2018", u, "US18-ND5") for u in (UnitSystem.SI, UnitSystem.US)]
    assert [s.distance_mm for s in states if s] == [305, 305]


@pytest.mark.parametrize("end", [10_000, 50_000, 150_000])
def test_the_end_of_a_band_belongs_to_the_lower_band(end: int) -> None:
    """Bands are (over, up to], also after the way through watts."""
    bands = [r for r in rule_set("us-2018").rules if r.id.startswith("US18-DV")]
    at = [r.id for r in bands if r.applies_to(True, "IV", end * W_PER_BTU_H)]
    past = [r.id for r in bands if r.applies_to(True, "IV", (end + 1) * W_PER_BTU_H)]
    assert len(at) == len(past) == 1 and at < past


def test_every_input_and_draft_has_one_window_rule() -> None:
    """No gap and no overlap between the bands of any rule set."""
    for set_id in SETS:
        for direct in (True, False):
            for btu_h in (1, 10_000, 10_001, 99_000, 100_000, 100_001, 150_001, 199_900, 500_000):
                rules = rule_set(set_id).rules
                own = [
                    r
                    for r in rules
                    if "window_operable" in r.objects and r.applies_to(direct, "III", btu_h * W_PER_BTU_H)
                ]
                assert len(own) == 1, (set_id, direct, btu_h)


def test_unknown_pressure_falls_under_every_band() -> None:
    """An unknown fact meets a condition."""
    bands = [r for r in rule_set("us-2021").rules if r.id in ("US21-I1", "US21-I2")]
    assert [r.applies_at_pressure(None) for r in bands] == [True, True]
    assert [r.applies_at_pressure(2 * 6894.757293168) for r in bands] == [True, False]


def test_amendments_change_or_drop_a_rule() -> None:
    """With the note kept; a rectangle takes the distance on every side; others are passed over."""
    stricter = sized("us-2018", UnitSystem.US, "US18-DV3", Amendment("US18-DV3", 900, "local"))
    assert stricter and (stricter.distance_mm, stricter.amended) == (900, "local")
    assert sized("us-2018", UnitSystem.US, "US18-DV3", Amendment("US18-DV3", None, "local")) is None
    box = sized("us-2018", UnitSystem.US, "US18-ND2", Amendment("US18-ND2", 1500, "local"))
    assert box and (box.beside_mm, box.below_mm, box.above_mm) == (1500, 1500, 1500)
    plain = sized("us-2018", UnitSystem.US, "US18-DV3", Amendment("GA1", 900, "local"))
    assert plain and (plain.distance_mm, plain.amended) == (305, "")


def test_mounting_rules_by_country_and_amendment() -> None:
    """Garage height 18 in (read); 450 mm where Canada speaks SI (memory)."""
    ids = {country: {r.id for r in mounting_rules(country)} for country in ("us", "ca")}
    assert {"RM1", "GA1", "AC1"} <= ids["us"] and {"RM7", "GA1-CA", "AC1-CA"} <= ids["ca"]
    sizes = {s.rule.id: s.distance_mm for s in sized_mounting("us", UnitSystem.SI)}
    assert (sizes["GA1"], sizes["AC1"]) == (458, 762)
    soft = {s.rule.id: s.distance_mm for s in sized_mounting("ca", UnitSystem.SI)}
    assert soft["GA1-CA"] == 450
    changed = sized_mounting("us", UnitSystem.US, (Amendment("GA1", None, "x"), Amendment("AC1", 900, "y")))
    assert "GA1" not in {s.rule.id for s in changed}
    assert next(s for s in changed if s.rule.id == "AC1").distance_mm == 900


def test_a_room_of_unknown_use_is_any_room_a_rule_forbids() -> None:
    """But not a stair, an attic or a crawl space: those are told apart by anyone."""
    rules = {r.id: r for r in mounting_rules("us")}
    assert rules["RM1"].applies_in(RoomUse.UNKNOWN)
    assert rules["GA1"].applies_in(RoomUse.UNKNOWN)
    assert not any(rules[x].applies_in(RoomUse.UNKNOWN) for x in ("RM9", "AC3", "AC7"))
    assert rules["RM1"].applies_in(RoomUse.HALL, [RoomUse.HALL, RoomUse.BEDROOM])
    assert not rules["GA1"].applies_in(RoomUse.HALL, [RoomUse.GARAGE])
    assert rules["GA2"].applies_in(RoomUse.HALL, [RoomUse.GARAGE])
