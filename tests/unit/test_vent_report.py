"""Parts and figures of a design's vent and condensate on routes drawn by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.check.check import findings
from service.design import Design, Piece, Service, Surface
from service.http.quantities import Quantities
from service.http.vent_json import condensate_json, vent_json
from service.rules.catalogue import heaters
from service.survey.equipment import PriceBook
from service.survey.model import Point3, Survey, UnitSystem
from service.trades.vent import supports_between, vent_rule
from service.trades.vent_systems import system_of
from service.usecases.condensate_report import condensate_report
from service.usecases.vent_parts import legs_of, vent_parts
from service.usecases.vent_report import vent_report
from tests.unit.check_house import HEATER, OUT, C, W, design, house, site, vent

DRY = heaters()["nc-direct-120"]
TOP = 1200 + HEATER.height_mm
LONG: list[Point3] = [
    (1500, 0, TOP), (1500, 0, TOP + 2000), (4500, 0, TOP + 2000), (4500, 0, TOP + 2300), (4500, 0, TOP + 5000),
    (4500, 2500, TOP + 5000), (4500, 2700, TOP + 5000), (4500, 5001, TOP + 5000), (4500, 5201, TOP + 5000),
]  # fmt: skip
"""Up 2 m, 3 m along the wall, 3 m up through a floor, 2.5 m of ceiling, through a wall, 2.301 m on, outdoors."""
ON = [W, W, Surface.FLOOR_CROSSING, W, C, Surface.WALL_CROSSING, C, OUT]


def counts(at: Survey, given: Design) -> dict[str, float]:
    """How many of each item."""
    return {part.item: part.quantity for part in vent_parts(at, given)}


def drawn(heater: str = "co-direct-120") -> Design:
    """The lawful design with the long vent on some heater; only the vent is looked at."""
    at = house()
    given = design(at, changed=(vent(LONG, ON, 3),))
    return replace(given, heater=heaters()[heater])


@pytest.mark.parametrize(
    ("length", "apart", "between"),
    [(0, 1000, 0), (999, 1000, 0), (1000, 1000, 0), (1001, 1000, 0), (1002, 1000, 1), (3000, 1000, 2), (3002, 1000, 3)],
)
def test_supports_between_two_held_ends(length: int, apart: float, between: int) -> None:
    """Spacings as they fit between held ends, less one; a millimetre of rounding is no spacing."""
    assert supports_between(length, apart) == between


@pytest.mark.parametrize(("length", "apart"), [(-1, 1000.0), (1000, 0.0)])
def test_supports_of_nothing_are_refused(length: int, apart: float) -> None:
    """Negative lengths and no spacing."""
    with pytest.raises(ValueError, match="must"):
        supports_between(length, apart)


def test_legs_from_turn_to_turn() -> None:
    """Pieces on several surfaces in one direction are one leg: 2 up, 3 level, 3 up, 5.201 level. Polypropylene at 2 m
    upright and 1 m level (read): 0, 2, 1 and 5 supports between."""
    run = drawn().route(Service.VENT)
    assert run is not None
    legs = legs_of(run, system_of(HEATER.vent))
    assert [(leg.upright, leg.length_mm, leg.supports_between) for leg in legs] == [
        (True, 2000, 0), (False, 3000, 2), (True, 3000, 1), (False, 5201, 5)
    ]  # fmt: skip


def test_parts_of_a_plastic_vent() -> None:
    """13.201 m of pipe, three elbows with a support each, seven level and one upright between, one of each crossing."""
    told = counts(house(), drawn())
    name = "concentric polypropylene 60/100 mm"
    assert told[f"pipe, {name}, all of one make"] == pytest.approx(13.201)
    assert told[f"elbow of 90 degrees, {name}"] == told["support at each change of direction"] == 3
    assert told["support of level pipe, at most 1 m apart"] == 7
    assert told["support of upright pipe, at most 2 m apart"] == 1
    once = ("fire stop in an inner wall", "fire stop in a floor", "wall thimble, sealed against rain and flue gas",
            "terminal of the same make with the air intake", "bird screen, unless the terminal has one",
            "supports that let the pipe slide as it expands",
            "joints sealed as listed, gas-tight, soap-tested under pressure")  # fmt: skip
    assert {item: told[item] for item in once} == dict.fromkeys(once, 1)
    assert not any("drain tee" in item or "cold-climate" in item for item in told)


def test_parts_of_a_stainless_vent() -> None:
    """4 ft (1219 mm) apart (common practice): 2 on 3 m level and 4 on 5.201 m, 1 on 2 m and 2 on 3 m upright; the
    water of its rises runs back to a heater without a drain: a tee."""
    told = counts(house(), drawn("nc-direct-120"))
    assert told["support of level pipe, at most 1.219 m apart"] == 2 + 4
    assert told["support of upright pipe, at most 1.219 m apart"] == 1 + 2
    assert told["drain tee with a trap at the vent's low point"] == 1
    assert "supports that let the pipe slide as it expands" not in told


def test_cold_fitting_takes_the_place_of_the_tee() -> None:
    """It drains the vent; with a damper where room air is burnt."""
    dry = replace(drawn("nc-direct-120"), cold_fitting=True)
    told = counts(house(), dry)
    assert told["cold-climate fitting with an upright condensate drain"] == 1
    assert not any("drain tee" in item for item in told)
    room_air = replace(dry, heater=heaters()["nc-room-120"])
    told = counts(house(), room_air)
    assert told["cold-climate fitting with an upright condensate drain and a listed damper"] == 1
    assert told["terminal of the same make"] == 1


def test_parts_in_feet() -> None:
    """A survey in feet is answered in feet."""
    part = vent_parts(replace(house(), units=UnitSystem.US), drawn())[0]
    assert (part.per, part.quantity) == ("ft", pytest.approx(13_201 / 304.8))


def test_every_part_is_cited_and_marked() -> None:
    """No line without its rule."""
    for heater in ("co-direct-120", "nc-room-120"):
        for part in vent_parts(house(), replace(drawn(heater), cold_fitting=True)):
            assert part.citation and part.known_from in ("read", "memory", "common_practice"), part


def test_rule_without_a_row_is_a_key_error() -> None:
    """Nothing is made up."""
    with pytest.raises(KeyError):
        vent_rule("colour")


def test_report_tells_length_and_slope() -> None:
    """1 elbow of 1.5 m on 0.39 m of pipe; the level 0.2 m falls 5 mm at 20.8 mm a metre, to the heater."""
    at = house()
    given = design(at)
    report = vent_report(at, given, findings(at, build(at), given))
    pipe = HEATER.vent_rise_mm + 200
    assert (report.length.length_mm, report.length.equivalent_mm) == (pipe, pipe + 1500)
    assert (report.length.limit_mm, report.length.elbows, report.length.max_elbows) == (7500, 1, 4)
    assert sum(f.total_mm for f in report.length.fittings) == 1500
    assert (report.slope.level_mm, report.slope.drop_mm, report.slope.falls_to) == (200, 5, "heater")
    assert report.snow is None and not report.cold.needed
    assert {f.rule_id.split(".")[0] for f in report.findings} == {"vent", "freeze"}


def test_snow_is_told_with_its_rule() -> None:
    """1 m on ground at -150: the terminal's lower edge over 850, 305 asked (common practice)."""
    at = house(site=site(snow_depth_mm=1000))
    given = design(at)
    snow = vent_report(at, given, findings(at, build(at), given)).snow
    assert snow is not None
    edge = given.terminal.z_mm - HEATER.vent.terminal_radius_mm
    assert (snow.depth_mm, snow.required_mm, snow.actual_mm, snow.rule_id) == (1000, 305, edge - 850, "SNOW")


def test_fitting_without_a_price_is_warned_of() -> None:
    """Needed, in the design, not in the total."""
    at = house(site=site(winter_design_temperature_c=-30.0))
    given = replace(design(at), cold_fitting=True)
    priced = vent_report(at, given, ())
    assert priced.cold.price_cents == at.prices["vent.cold_fitting"].cents and priced.warnings == ()
    items = {k: p for k, p in at.prices.items.items() if k != "vent.cold_fitting"}
    bare = vent_report(replace(at, prices=PriceBook("own", "CAD", items)), given, ())
    assert bare.cold.price_cents is None and "vent.cold_fitting" in bare.warnings[0]


def test_unknown_facts_are_warned_of() -> None:
    """Material not told: told again among the warnings, nothing of it null by accident."""
    at, heater = house(), replace(HEATER, vent=replace(HEATER.vent, system="own"))
    given = replace(design(at), heater=heater)
    report = vent_report(at, given, findings(at, build(at), given))
    assert any("material of vent system own" in w for w in report.warnings)
    told = vent_json(report, Quantities(at.units, build(at).frame, "CAD"))
    assert told["system"] == {
        "id": "own", "name": "own", "in_table": False, "material": None, "construction": None,
        "inner_diameter": None, "outer_diameter": None, "listed_to": None, "temperature_class": None,
    }  # fmt: skip


def test_no_vent_no_report() -> None:
    """A design without a vent run has nothing to tell."""
    given = replace(design(house()), routes=())
    assert vent_parts(house(), given) == ()
    with pytest.raises(ValueError, match="no vent run"):
        vent_report(house(), given, ())


@pytest.mark.parametrize(("units", "flow", "most", "unit"), [
    (UnitSystem.US, 1.2, 1.356, "gal/h"), (UnitSystem.SI, 4.542, 5.133, "L/h"),
])  # fmt: skip
def test_condensate_of_120_000_btu_an_hour(units: UnitSystem, flow: float, most: float, unit: str) -> None:
    """1 gal (3.785 L) a therm (read), 1.13 at most (computed), in the caller's units."""
    at = replace(house(), units=units)
    report = condensate_report(at, design(at), ())
    assert report is not None
    told = condensate_json(report, Quantities(units, build(at).frame, "CAD"))
    assert (told["flow"], told["flow_at_most"], told["units"]["flow"]) == (flow, most, unit)
    assert [part["item"].split(",")[0] for part in told["parts"]] == [
        "pipe 3/4 in that resists condensate", "elbow 3/4 in", "trap as the heater's instructions ask", "neutraliser"
    ]  # fmt: skip
    assert (report.level_mm, report.drop_mm) == (700, 8)


def test_condensate_of_a_pumped_run() -> None:
    """A pump is a part, and no fall is asked for."""
    at = house()
    given = design(at)
    routes = tuple(replace(r, pumped=True) if r.service is Service.DRAIN else r for r in given.routes)
    report = condensate_report(at, replace(given, routes=routes), ())
    assert report is not None and report.drop_mm is None
    assert "condensate pump with overflow switch that stops the heater" in {p.item for p in report.parts}


def test_dry_heater_has_no_condensate_member() -> None:
    """None, not an empty one."""
    assert condensate_report(house(), replace(design(house()), heater=DRY), ()) is None


def test_pieces_without_length_are_no_legs() -> None:
    """A stub of no length neither turns nor is held."""
    run = drawn().route(Service.VENT)
    assert run is not None
    end = run.pieces[-1].end
    longer = replace(run, pieces=(*run.pieces, Piece(end, end, OUT)))
    assert legs_of(longer, system_of(HEATER.vent)) == legs_of(run, system_of(HEATER.vent))
