"""The house in snow country: figures of the vent, the condensate and the bill against the story's own arithmetic."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import Any

from service.design import Part, Service
from service.http.answer import placement_json
from service.http.design_schema import load_design
from service.settings import Settings
from service.survey.equipment import PriceBook
from service.usecases.check import check
from tests.scenarios.scenarios import expected, solved, solved_by

NAME = "snow_country_house"
HAND: dict[str, Any] = expected(NAME)["by_hand"]
MM_A_FOOT = Fraction(3048, 10)


def answered() -> dict[str, Any]:
    """The winner as it is answered."""
    plan = solved(NAME)
    found: dict[str, Any] = placement_json(plan.answer, plan.survey)["designs"][0]
    return found


def test_terminal_stands_at_the_snow_line_exactly() -> None:
    """Ground -457, snow 1829, 12 in (305, common practice) and the radius of 70: the limit is met with equality."""
    design = solved(NAME).design
    assert design.terminal.z_mm == -457 + 1829 + 305 + 70 == HAND["terminal_z"]
    snow = answered()["vent_system"]["snow"]
    assert snow["rule"] == "SNOW" and snow["actual"] == snow["required"] == round(305 / 304.8, 4)


def test_heater_hangs_as_low_as_its_drain_falls() -> None:
    """1/8 in per ft (IFGC 2024 307.2, read) over 609 mm is 6.3, rounded up; the manifold is 300 mm under the case."""
    plan = solved(NAME)
    drain = plan.design.route(Service.DRAIN)
    assert drain is not None
    assert drain.pieces[0].length_mm == 609
    assert plan.design.mount.bottom_z_mm == 152 + ceil(609 / 96) + 300 == HAND["bottom"]


def test_bill_of_the_vent_by_hand() -> None:
    """Pipe, elbow, terminal, hole and cold-climate fitting."""
    plan = solved(NAME)
    lines = {line.key: line.amount_cents for line in plan.design.lines if line.trade == "vent"}
    pipe = round(HAND["vent_pipe"] / MM_A_FOOT * 2100)
    assert pipe == 6118
    assert sum(lines.values()) == pipe + 4400 + 9800 + 18500 + HAND["fitting_cents"]
    assert lines["vent.cold_fitting"] == HAND["fitting_cents"]


def test_whole_bill_by_hand() -> None:
    """Every run in millimetres times its price, and what is bought once: the total, rounded once."""
    runs = [(888, 2100), (312, 1750), (7, 1500), (311, 1050), (616, 500), (915 + 1060, 350)]
    once = [121900, 42000, 9500, 14500, 9500, 2 * 6500, 2 * 6000, 4500, 8500]
    vent_and_elbows = [4400, 9800, 18500, 14500, 1500, 900, 400]
    exact = sum(mm / MM_A_FOOT * cents for mm, cents in runs) + sum(once) + sum(vent_and_elbows)
    assert solved(NAME).design.total_cents == round(exact) == expected(NAME)["recorded"]["total_cents"]


def test_vent_told_in_full() -> None:
    """Category IV plastic, falling to the heater; 888 mm and one elbow of 1500; no support but that of the turn."""
    vent = answered()["vent_system"]
    assert (vent["category"]["category"], vent["system"]["material"]) == ("IV", "polypropylene")
    assert vent["slope"]["falls_to"] == "heater"
    assert vent["equivalent_length"]["total"] == round(HAND["equivalent"] / 304.8, 4)
    assert [leg["supports_between"] for leg in vent["legs"]] == [0, 0]
    counts = {part["item"]: part["quantity"] for part in vent["parts"]}
    assert counts["support at each change of direction"] == 1
    assert counts["wall thimble, sealed against rain and flue gas"] == 1
    assert counts["cold-climate fitting with an upright condensate drain"] == 1
    assert "drain tee with a trap at the vent's low point" not in counts  # the heater has a drain of its own


def test_condensate_of_160_000_btu_an_hour() -> None:
    """1 gal a therm (read), 1.13 at most for methane (computed); pH 3 to 5 (read); 3/4 in line (IMC 307.2.2, read)."""
    told = answered()["condensate"]
    assert told["flow"] == HAND["flow_gal_h"] and told["flow_at_most"] == HAND["flow_at_most_gal_h"]
    assert told["ph"] == {"low": 3.0, "high": 5.0}
    assert (told["line_size"], told["connection_size"], told["pumped"]) == ("3/4", "1/2", False)
    assert told["fall"] == round(1 / 96, 6)
    assert {rule["rule"] for rule in told["rules"]} == {f"CO{n}" for n in range(1, 13)}


def test_without_the_fitting_the_checker_refuses() -> None:
    """A design handed in without it, or in the form of before there was one, fails by that rule alone."""
    plan = solved(NAME)
    bare = replace(
        plan.design, cold_fitting=False, given=plan.design.given - {Part.COST}
    )
    assert {f.rule_id for f in check(plan.survey, bare).findings if f.verdict == "fail"} == {"vent.cold_fitting"}


def test_a_book_without_the_fitting_tells_that_it_is_not_priced() -> None:
    """The same design without that line, and a warning."""
    plan = solved(NAME)
    book = plan.survey.prices
    items = {key: price for key, price in book.items.items() if key != "vent.cold_fitting"}
    answer = solved_by(replace(plan.survey, prices=PriceBook(book.id, book.currency, items)))
    design = answer.designs[0].design
    assert design.cold_fitting and design.total_cents == plan.design.total_cents - HAND["fitting_cents"]
    assert any("vent.cold_fitting" in warning for warning in answer.warnings)


def test_answer_is_read_back_with_and_without_the_fitting() -> None:
    """What is answered can be checked; in the form of before, without the member, the fitting is not there."""
    plan = solved(NAME)
    told = answered()
    read = load_design(told, plan.survey, plan.answer.building, Settings())
    assert (read.cold_fitting, read.routes, read.whole) == (True, plan.design.routes, True)
    old = {k: v for k, v in told.items() if k not in ("cold_fitting", "vent_system", "condensate")}
    assert load_design(old, plan.survey, plan.answer.building, Settings()) == replace(read, cold_fitting=False)
