"""The checker on vent systems, cold climate, frost and condensate: what is caught, and what stays advice."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.building.build import build
from service.check.condensate import condensate_findings
from service.design import Design, Finding, Part, Route, Service, Surface, Verdict
from service.rules.catalogue import heaters
from service.siting.needs import needs_of
from service.survey.equipment import Heater, PriceBook, VentMaterial
from service.survey.model import RoomUse, Survey
from tests.unit.check_house import HEATER, OUT, W, broken, design, house, judged, plant, route, routes, run, site, vent

DRY = heaters()["nc-direct-120"]
COLD_C, MILD_C = -15.1, -15.0
TOP = 1200 + HEATER.height_mm
BEND = TOP + HEATER.vent_rise_mm


def found(at: Survey, given: Design, rule_id: str) -> list[Finding]:
    """Findings of one rule."""
    return [f for f in judged(at, given) if f.rule_id == rule_id]


def verdict(at: Survey, given: Design, rule_id: str) -> Verdict | None:
    """The one verdict of a rule; None where it was not judged."""
    verdicts = [f.verdict for f in found(at, given, rule_id)]
    assert len(verdicts) <= 1
    return verdicts[0] if verdicts else None


def cold(**changes: Any) -> Survey:
    """The house in a cold climate."""
    return house(site=site(winter_design_temperature_c=COLD_C), **changes)


def fitted(at: Survey, given: Design) -> Design:
    """The design with the cold-climate fitting; its bill is of no matter here."""
    return replace(given, cold_fitting=True, given=given.given - {Part.COST})


def drained(option: str) -> Route:
    """The drain run in another pipe."""
    return replace(routes()[Service.DRAIN], option=option)


def with_heater(heater: Heater) -> tuple[Survey, Design]:
    """The lawful design with another heater of the same size."""
    at = house(heaters=(heater,))
    return at, design(at, heater=heater)


def test_cold_fitting_is_asked_for_below_the_limit_only() -> None:
    """Below -15 degC it must be there; at -15, and above, not."""
    at = cold()
    assert verdict(at, design(at), "vent.cold_fitting") is Verdict.FAIL
    assert verdict(at, fitted(at, design(at)), "vent.cold_fitting") is Verdict.PASS
    mild = house(site=site(winter_design_temperature_c=MILD_C))
    assert verdict(mild, design(mild), "vent.cold_fitting") is None


def test_bill_must_hold_the_fitting() -> None:
    """A fitting in the drawing and not in the bill is a missing line; a book without a price cannot have one."""
    at = cold()
    given = replace(design(at), cold_fitting=True)
    assert "price.lines" in broken(at, given)
    items = {k: p for k, p in at.prices.items.items() if k != "vent.cold_fitting"}
    bare = replace(at, prices=PriceBook("own", at.prices.currency, items))
    assert "price.lines" not in broken(bare, given)
    assert verdict(bare, given, "vent.cold_price") is Verdict.ADVICE


def test_room_air_asks_for_a_damper_that_the_listing_allows() -> None:
    """Only the listing knows: advice with the missing fact, none for a heater with sealed combustion."""
    at = cold()
    plain = fitted(at, design(at))
    (told,) = found(at, replace(plain, heater=heaters()["co-room-120"]), "vent.damper")
    assert told.verdict is Verdict.ADVICE and told.missing
    assert verdict(at, plain, "vent.damper") is None


def test_drain_of_the_fitting_is_told_where_the_heater_has_none() -> None:
    """A heater that does not condense has no drain run: where the fitting's water goes is neither drawn nor priced."""
    at = cold()
    plain = fitted(at, design(at))
    assert verdict(at, replace(plain, heater=DRY), "vent.cold_drain") is Verdict.ADVICE
    assert verdict(at, plain, "vent.cold_drain") is None


@pytest.mark.parametrize("material", [VentMaterial.TYPE_B, VentMaterial.GALVANISED])
def test_wrong_material_for_the_category_fails(material: VentMaterial) -> None:
    """The checker refuses it and the search leaves the heater out, telling why."""
    heater = replace(HEATER, vent=replace(HEATER.vent, material=material))
    at, given = with_heater(heater)
    assert verdict(at, given, "vent.material") is Verdict.FAIL
    needs, reasons = needs_of(at)
    assert needs == () and "Category IV" in reasons[0]


def test_plastic_table_system_does_not_serve_category_iii() -> None:
    """The catalogue's polypropylene on a heater of Category III."""
    heater = replace(DRY, vent=replace(DRY.vent, system="cc_pp_60_100"))
    at, given = with_heater(heater)
    assert verdict(at, given, "vent.material") is Verdict.FAIL


def test_unknown_system_is_advice_and_stays_in_the_search() -> None:
    """A system that nothing is told of: the listing decides, which is said; it is no pass and no failure."""
    heater = replace(HEATER, vent=replace(HEATER.vent, system="own"))
    at = house(heaters=(heater,))
    (told,) = found(at, replace(design(at), heater=heater), "vent.material")
    assert told.verdict is Verdict.ADVICE and told.missing == "material of vent system own"
    assert [need.heater for need in needs_of(at)[0]] == [heater]


@pytest.mark.parametrize(
    "wrong", [{"fall": 0.02}, {"falls_to_heater": False}, {"fall": 0.0, "falls_to_heater": False}]
)
def test_wrong_slope_fails(wrong: dict[str, Any]) -> None:
    """Too little, or condensate led to the terminal; and the search leaves such a heater out."""
    heater = replace(HEATER, vent=replace(HEATER.vent, **wrong))
    at, given = with_heater(heater)
    verdicts = {f.verdict for f in found(at, given, "vent.slope")}
    assert verdicts == {Verdict.FAIL}
    assert needs_of(at)[0] == ()


def test_dry_vent_with_little_fall_is_advice() -> None:
    """For Category III the listing decides how much it falls; less than 1/4 in per ft (common practice) is told."""
    at = house()
    flat = replace(DRY, vent=replace(DRY.vent, fall=0.02))
    assert verdict(at, replace(design(at), heater=flat), "vent.fall") is Verdict.ADVICE
    assert verdict(at, replace(design(at), heater=flat), "vent.slope") is Verdict.PASS
    assert verdict(at, replace(design(at), heater=DRY), "vent.fall") is None


def test_category_against_what_the_heater_is() -> None:
    """Condensing but dry, or dry but too efficient: compare with the nameplate."""
    for heater in (replace(DRY, condensing=True), replace(DRY, efficiency=0.9), replace(HEATER, condensing=False)):
        at = house(heaters=(heater,))
        assert verdict(at, replace(design(at), heater=heater), "vent.category") is Verdict.ADVICE
    at, given = with_heater(HEATER)
    assert verdict(at, given, "vent.category") is None


def test_dry_heater_with_a_long_rise_wants_a_drain_tee() -> None:
    """Water of a rise runs back to a heater that has no drain; the cold-climate fitting drains it."""
    at = house()
    tall = vent([(1500, 0, TOP), (1500, 0, BEND + 500), (1500, -200, BEND + 500)], [W, OUT], 1)
    given = replace(design(at, changed=(tall,)), heater=DRY)
    assert verdict(at, given, "vent.drain") is Verdict.ADVICE
    assert verdict(at, fitted(at, given), "vent.drain") is Verdict.PASS
    assert verdict(at, replace(given, heater=HEATER), "vent.drain") is None


@pytest.mark.parametrize(
    ("option", "connection", "co2", "co4"),
    [
        ("drain", "1/2", Verdict.PASS, Verdict.PASS),
        ("drain", "1", Verdict.FAIL, Verdict.PASS),  # row 65: connection 1 in, line 3/4 in (IFGC 307.2, read)
        ("1", "1", Verdict.PASS, Verdict.PASS),
        ("1/2", "1/2", Verdict.PASS, Verdict.FAIL),  # reduced below 3/4 in (IMC 307.2.2, read)
        ("drain", None, Verdict.ADVICE, Verdict.PASS),
        ("wide", "1/2", None, Verdict.UNKNOWN),
    ],
)
def test_size_of_the_drain(option: str, connection: str | None, co2: Verdict | None, co4: Verdict) -> None:
    """CO2 and CO4: not smaller than the connection, and 3/4 in at least; what is not known is no pass."""
    at = house()
    heater = replace(HEATER, drain_size=connection)
    given = replace(design(at, changed=(drained(option),)), heater=heater)
    assert verdict(at, given, "CO2") is co2
    assert verdict(at, given, "CO4") is co4


def test_heater_with_a_wider_connection_than_the_book_is_left_out() -> None:
    """The price book's condensate pipe is of 3/4 in."""
    at, _ = with_heater(replace(HEATER, drain_size="1"))
    needs, reasons = needs_of(at)
    assert needs == () and "condensate connection" in reasons[0]


@pytest.mark.parametrize(("drop", "holds"), [(8, True), (7, False)])
def test_slope_of_the_drain(drop: int, holds: bool) -> None:
    """700 mm at 1/8 in per ft (IFGC 2024 307.2, read) need 7.3 mm, rounded up 8."""
    at = house()
    z = 900 - drop
    points = [(1500, 0, 900), (1500, 0, z), (800, 0, z)]
    line = route(Service.DRAIN, "drain", "drain", run(points, [W, W]), 1)  # type: ignore[arg-type]
    assert (verdict(at, design(at, changed=(line,)), "CO3") is Verdict.PASS) == holds


def test_condensate_rules_on_the_lawful_design() -> None:
    """Each of CO1 to CO9 that applies is told once; the room is unfinished and nothing lies below."""
    at = house()
    told = {f.rule_id: f.verdict for f in condensate_findings(at, build(at), design(at))}
    passed = ("CO1", "CO2", "CO4", "CO6", "CO8", "CO9")
    assert told == {**dict.fromkeys(passed, Verdict.PASS), "CO5": Verdict.ADVICE}


def test_leak_in_a_finished_room_is_advice() -> None:
    """CO6 (IFGC 307.5, memory)."""
    at = house(rooms=(plant(finished=True),))
    assert verdict(at, design(at), "CO6") is Verdict.ADVICE


def test_pump_in_an_attic_stops_the_heater() -> None:
    """CO7 (IFGC 307.6, memory): advice where the pump stands out of sight, nothing elsewhere."""
    pumped = replace(routes()[Service.DRAIN], pumped=True)
    for use, expected in ((RoomUse.ATTIC, Verdict.ADVICE), (RoomUse.CRAWL_SPACE, Verdict.ADVICE),
                          (RoomUse.MECHANICAL, None)):  # fmt: skip
        at = house(rooms=(plant(use=use),))
        told = {f.rule_id: f.verdict for f in condensate_findings(at, build(at), design(at, changed=(pumped,)))}
        assert told.get("CO7") is expected


def test_drain_outdoors_is_advice() -> None:
    """CO9: nuisance (read) and frost (common practice)."""
    at = house()
    line = route(Service.DRAIN, "drain", "drain", run([(1500, 0, 900), (1500, -200, 900)], [OUT]), 0)
    assert verdict(at, design(at, changed=(line,)), "CO9") is Verdict.ADVICE


@pytest.mark.parametrize(
    ("use", "is_told", "is_unknown"),
    [
        (RoomUse.GARAGE, True, False), (RoomUse.ATTIC, True, False), (RoomUse.CRAWL_SPACE, True, False),
        (RoomUse.STORAGE, True, True), (RoomUse.UNKNOWN, True, True), (RoomUse.MECHANICAL, False, False),
    ],
)  # fmt: skip
def test_frost_in_rooms_that_are_not_heated(use: RoomUse, is_told: bool, is_unknown: bool) -> None:
    """Told for the heater and for the condensate's way; whether a store is heated is a missing fact."""
    at = house(rooms=(plant(use=use),))
    notes = found(at, design(at), "freeze.room")
    assert bool(notes) == is_told == bool(found(at, design(at), "freeze.drain"))
    assert all(f.verdict is Verdict.ADVICE and bool(f.missing) == is_unknown for f in notes)


def test_no_frost_no_notes() -> None:
    """At 0 degC nothing is said of frost."""
    at = house(rooms=(plant(use=RoomUse.GARAGE),), site=site(winter_design_temperature_c=0.0))
    assert [f for f in judged(at, design(at)) if f.rule_id.startswith("freeze.")] == []


@pytest.mark.parametrize(
    ("limit", "expected", "is_missing"),
    [(-5.0, Verdict.PASS, False), (-4.9, Verdict.ADVICE, False), (None, Verdict.ADVICE, True)],
)
def test_own_protection_of_the_heater(limit: float | None, expected: Verdict, is_missing: bool) -> None:
    """Against a winter design temperature of -5 degC; not told is no pass."""
    at = house()
    (told,) = found(at, replace(design(at), heater=replace(HEATER, freeze_limit_c=limit)), "freeze.limit")
    assert told.verdict is expected and bool(told.missing) == is_missing


def test_single_wall_through_a_floor_is_advice() -> None:
    """Single-wall connectors pass no floor (B149.1 8.18, read); a special vent by its listing."""
    at = house()
    through = vent([(1500, 0, TOP), (1500, 0, BEND), (1500, 0, BEND + 300)], [W, Surface.FLOOR_CROSSING], 0)
    room_air = heaters()["nc-room-120"]
    assert verdict(at, replace(design(at, changed=(through,)), heater=room_air), "vent.single_wall") is Verdict.ADVICE
    assert verdict(at, replace(design(at), heater=room_air), "vent.single_wall") is None
