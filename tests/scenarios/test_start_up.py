"""Start-up sheets of the sample plans: figures against the answer's other members and against hand arithmetic."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from service.http.answer import placement_json
from service.start_up_summary import start_up_text
from tests.scenarios.scenarios import document, solved, with_designs

PLACED = with_designs()


@cache
def answered(name: str) -> dict[str, Any]:
    """A plan's answer."""
    plan = solved(name)
    return placement_json(plan.answer, plan.survey)


def step_of(name: str, step: str) -> dict[str, Any]:
    """One step of the winner's sheet."""
    steps = answered(name)["designs"][0]["start_up"]["steps"]
    found: list[dict[str, Any]] = [s for s in steps if s["id"] == step]
    assert len(found) == 1, (name, step)
    return found[0]


def reading_of(name: str, step: str, words: str) -> dict[str, Any]:
    """One reading by its name."""
    found: list[dict[str, Any]] = [r for r in step_of(name, step)["readings"] if r["name"] == words]
    assert len(found) == 1, (name, step, words)
    return found[0]


@pytest.mark.parametrize("name", PLACED)
def test_pressures_are_those_of_the_gas_system(name: str) -> None:
    """Static and with everything firing, for every appliance, with the range that the gas report holds it against."""
    design = answered(name)["designs"][0]
    inlets = {i["id"]: i for i in design["gas_system"]["inlets"]}
    own = inlets.pop(design["heater"]["id"])
    static = reading_of(name, "gas_static", "inlet pressure, nothing firing")
    firing = reading_of(name, "gas_firing", "inlet pressure, everything firing")
    assert (static["expected"], static["low"], static["high"]) == (own["static"], own["min"], own["max"])
    assert (firing["expected"], firing["low"], firing["high"]) == (own["full_fire"], own["min"], own["max"])
    assert firing["low"] <= firing["expected"] <= firing["high"]
    others = step_of(name, "gas_firing")["readings"][1:]
    assert [r["expected"] for r in others] == [i["full_fire"] for i in inlets.values()]


@pytest.mark.parametrize("name", PLACED)
def test_what_is_not_known_is_left_blank(name: str) -> None:
    """Nothing is filled in, and no figure is made up for the rating plate's."""
    sheet = answered(name)["designs"][0]["start_up"]
    assert set(sheet["header"].values()) == {None}
    assert all(s["done"] is None and all(r["found"] is None for r in s["readings"]) for s in sheet["steps"])
    plate = step_of(name, "combustion")["readings"][:-1] + [reading_of(name, "manifold", "manifold pressure")]
    assert all(r[k] is None for r in plate for k in ("expected", "low", "high"))
    assert [s["number"] for s in sheet["steps"]] == list(range(1, len(sheet["steps"]) + 1))


@pytest.mark.parametrize("name", PLACED)
def test_steps_fit_the_design(name: str) -> None:
    """Condensate, pump, room air, frost, supplier and cold fitting: as the design has them."""
    design = answered(name)["designs"][0]
    ids = {s["id"] for s in design["start_up"]["steps"]}
    works = design["gas"]
    asked = design["meter_upgrade"] or works["service_regulator"] or works["pressure_option"] is not None
    assert {"drain", "trap", "condensate_look"} <= ids if design["condensate"] else not {"drain", "trap"} & ids
    assert ("pump" in ids) == bool(design["condensate"] and design["condensate"]["pumped"])
    assert ("air" in ids) == (design["heater"]["draft"] == "room_air" and "room" in design["mount"])
    assert ("vent" in ids) == ("room" in design["mount"]) == ("flue_look" not in ids)
    assert ("supplier" in ids) == asked
    assert ("cold_fitting" in ids) == design["cold_fitting"]


@pytest.mark.parametrize("name", PLACED)
def test_no_field_of_the_texts_is_left_open(name: str) -> None:
    """Every word of the table found its value; the text can be printed in lines of a page."""
    text = start_up_text(answered(name))
    assert "{" not in text and "None" not in text
    assert max(len(line) for line in text.splitlines()) < 180


def test_meter_is_clocked() -> None:
    """A cubic foot of 1,000 Btu feeds 120,000 Btu/h for 30 s and 160,000 for 22.5."""
    words = "time of 1 ft3 at the meter, full fire, nothing else on"
    assert reading_of("slab_house", "manifold", words)["expected"] == 30
    assert reading_of("snow_country_house", "manifold", words)["expected"] == 22.5


@pytest.mark.parametrize("name", PLACED)
def test_only_a_meter_is_clocked(name: str) -> None:
    """Propane comes from a tank, past no meter of a supplier (common practice, no source)."""
    step = step_of(name, "manifold")
    is_metered = document(name)["site"]["fuel"] == "natural_gas"
    assert any("at the meter" in r["name"] for r in step["readings"]) == is_metered
    assert ("clock the meter" in step["action"]) == is_metered


@pytest.mark.parametrize("name", PLACED)
def test_the_outlet_that_the_heater_uses_is_tested(name: str) -> None:
    """A new cable's own end, not the old outlet that it comes from; protection is tested only where there is some."""
    power, action = answered(name)["designs"][0]["power"], step_of(name, "power")["action"]
    where = {"cable": "at the new outlet at the heater", "cord": "at outlet ", "cord_gfci": "at outlet "}
    assert where.get(power["option"], "at the heater's own wiring box") in action
    is_protected = not power["ground_fault_protection"]["given_by"].startswith("none")
    assert ("test the ground-fault protection" in action) == is_protected


LIMITS_F = {"shower": 120, "bath_shower": 120, "bathtub": 120, "bidet": 110}
"""Hottest water of an outlet (IPC 412, 424; IRC P2708, P2713; memory); others have none."""


@pytest.mark.parametrize("name", PLACED)
def test_a_tap_has_the_limit_of_its_kind(name: str) -> None:
    """A sink has none; of a house that tells no fixture the tap may be a shower."""
    plan, readings = document(name), step_of(name, "temperature")["readings"]
    kinds = {f["id"]: f["kind"] for f in plan["water"].get("fixtures", [])}
    found = [r for r in readings if r["name"].startswith("hot water")]
    assert found
    for reading in found:
        tap = next((k for i, k in kinds.items() if f"at {i}" in reading["name"]), None if kinds else "shower")
        asked = LIMITS_F.get(tap or "")
        high = reading["high"] if reading["high"] is None or plan["units"] == "us" else reading["high"] * 1.8 + 32
        assert (high is None) if asked is None else high == pytest.approx(asked, abs=0.2), reading


@pytest.mark.parametrize("name", PLACED)
def test_licences_name_condensate_where_there_is_some(name: str) -> None:
    """Not for a heater without."""
    design = answered(name)["designs"][0]
    assert any("condensate" in s for s in design["start_up"]["licences"]) == (design["condensate"] is not None)


def test_pipe_of_two_pounds_is_tested_at_three() -> None:
    """2 psi: 1-1/2 times that is 3 psig, 20.68 kPa, as the least of the code is (IFGC 406.4, read)."""
    steps = step_of("mountain_hut", "gas_test")["readings"]
    low = [r["low"] for r in steps if r["name"].startswith("test pressure") and "UPC" not in r["name"]]
    assert low and all(p == pytest.approx(20.68, abs=0.01) for p in low)


def test_a_canadian_sheet_cites_no_foreign_section_as_its_own() -> None:
    """Sections of United States codes stand there for comparison only."""
    sheet = answered("lake_cabin")["designs"][0]["start_up"]
    cited = [s["citation"] for s in sheet["steps"]] + [r["citation"] for s in sheet["steps"] for r in s["readings"]]
    assert not [c for c in cited if c.startswith(("IFGC", "IPC", "IRC", "NEC", "UPC", "ANSI"))]


def test_nothing_to_start_up_without_a_design() -> None:
    """The text says so."""
    assert start_up_text(answered("no_lawful_place")) == "No design, no start-up sheet: infeasible."
