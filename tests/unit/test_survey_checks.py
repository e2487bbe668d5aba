"""Contradictions within a survey: each is refused with its code at its place, and nothing sound is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.rules import catalogue
from service.survey.checks import check_survey
from service.survey.outlines import doubled_area_mm2, tidy
from tests.unit import open_plans
from tests.unit.survey_documents import OWN_HEATER, changed, load, places, sample, smallest

Document = dict[str, Any]
S0 = "#/storeys/0"


def storey(document: Document) -> Document:
    """The one storey of the slab house."""
    found: Document = document["storeys"][0]
    return found


def outlines(document: Document, room: int, points: list[list[float]]) -> None:
    """Give a room another outline."""
    storey(document)["rooms"][room]["outline"] = points


def opening(document: Document, index: int, **values: Any) -> None:
    """Change an opening."""
    storey(document)["openings"][index].update(values)


def add_segment(document: Document, start: str, end: str) -> None:
    """One more gas pipe."""
    pipe = {"id": "new", "start": start, "end": end, "material": "steel_sch40", "size": "1/2", "length": 3}
    document["gas"]["segments"].append(pipe)


def second_storey(document: Document, floor: float) -> None:
    """A storey over the garage."""
    room = {"id": "loft", "outline": [[1, 1], [19, 1], [19, 23], [1, 23]]}
    document["storeys"].append({"id": "upper", "floor": floor, "ceiling": floor + 8, "rooms": [room], "openings": []})


def hole(start: list[float], end: list[float], **values: Any) -> Document:
    """A window."""
    return {"id": "new", "kind": "window", "from": start, "to": end, "sill": 3, "head": 6, **values}


CASES: dict[str, tuple[Callable[[Document], Any], set[tuple[str, str]]]] = {
    "bow tie": (
        lambda d: outlines(d, 0, [[0, 0], [20, 24], [20, 0], [0, 24]]),
        {(f"{S0}/rooms/0/outline", "self_crossing")},
    ),
    "spike": (
        lambda d: outlines(d, 1, [[0, 24], [10, 24], [10, 32], [10, 40], [10, 32], [0, 32]]),
        {(f"{S0}/rooms/1/outline", "self_crossing")},
    ),
    "two points": (lambda d: outlines(d, 1, [[0, 24], [10, 24]]), {(f"{S0}/rooms/1/outline", "degenerate_outline")}),
    "no points": (lambda d: outlines(d, 1, []), {(f"{S0}/rooms/1/outline", "degenerate_outline")}),
    "a line": (
        lambda d: outlines(d, 1, [[0, 24], [10, 24], [5, 24]]),
        {(f"{S0}/rooms/1/outline", "self_crossing")},
    ),
    "crossing way": (
        lambda d: d["site"]["ways"][1].update(outline=[[0, 0], [1, 1], [1, 0], [0, 1]]),
        {("#/site/ways/1/outline", "self_crossing")},
    ),
    "rooms overlap": (
        lambda d: outlines(d, 2, [[9.9, 24], [20, 24], [20, 32], [9.9, 32]]),
        {(f"{S0}/rooms/2", "rooms_overlap")},
    ),
    "storeys overlap": (lambda d: second_storey(d, 7), {("#/storeys/1/rooms/0", "storeys_overlap")}),
    "opening in the garden": (
        lambda d: storey(d)["openings"].append(hole([-10, 10], [-10, 13])),
        {(f"{S0}/openings/19", "outside_wall")},
    ),
    "opening past its wall's end": (
        lambda d: storey(d)["openings"].append(hole([54, 30], [54, 36])),
        {(f"{S0}/openings/19", "outside_wall")},
    ),
    "opening across a corner": (
        lambda d: storey(d)["openings"].append(hole([53, 0], [54, 1])),
        {(f"{S0}/openings/19", "not_along_wall")},
    ),
    "openings overlap": (
        lambda d: storey(d)["openings"].append(hole([27, 32], [30, 32])),
        {(f"{S0}/openings/19", "openings_overlap")},
    ),
    "same opening twice, on the other face": (
        lambda d: storey(d)["openings"].append(hole([25, 32.5], [29, 32.5])),
        {(f"{S0}/openings/19", "openings_overlap")},
    ),
    "head above ceiling": (lambda d: opening(d, 2, head=8.5), {(f"{S0}/openings/2/head", "above_ceiling")}),
    "head below sill": (lambda d: opening(d, 2, head=3.5), {(f"{S0}/openings/2/head", "upside_down")}),
    "opening of no width": (lambda d: opening(d, 2, to=[0, 29]), {(f"{S0}/openings/2/to", "no_length")}),
    "gas loop": (lambda d: add_segment(d, "furnace-tap", "range-tap"), {("#/gas/segments/6", "gas_loop")}),
    "double pipe": (lambda d: add_segment(d, "meter", "riser"), {("#/gas/segments/6", "gas_loop")}),
    "pipe to itself": (lambda d: add_segment(d, "riser", "riser"), {("#/gas/segments/6", "gas_loop")}),
    "node without pipe": (
        lambda d: d["gas"]["segments"].pop(5),
        {("#/gas/nodes/6", "gas_disconnected")},
    ),
    "pipe from nowhere": (
        lambda d: add_segment(d, "nowhere", "range-tap"),
        {("#/gas/segments/6/start", "unknown_node")},
    ),
    "pipe against the flow": (
        lambda d: d["gas"]["segments"][0].update(start="riser", end="meter"),
        {("#/gas/segments/0", "gas_direction")},
    ),
    "no such delivery": (
        lambda d: d["gas"].update(delivery_node="street"),
        {("#/gas/delivery_node", "unknown_node")},
    ),
    "delivery in the garden": (
        lambda d: d["gas"]["nodes"][0].update(at=[-3, 14, 2]),
        {("#/gas/delivery_node", "touches_no_wall")},
    ),
    "outlet and drain on another plot": (
        lambda d: (d["receptacles"][0].update(at=[-60, 14, 2]), d["drains"][0].update(at=[20, 200, 0])),
        {("#/receptacles/0/at", "away_from_house"), ("#/drains/0/at", "away_from_house")},
    ),
    "appliance at no node": (
        lambda d: d["gas"]["appliances"][1].update(node="sky", room="pantry"),
        {("#/gas/appliances/1/node", "unknown_node"), ("#/gas/appliances/1/room", "unknown_room")},
    ),
    "free outlet at no node": (
        lambda d: d["gas"].update(free_outlets=["old-heater-stub", "sky"]),
        {("#/gas/free_outlets/1", "unknown_node")},
    ),
    "refused room unknown": (
        lambda d: d["preferences"].update(rooms_refused=["den"], rooms_wanted=["den"]),
        {
            ("#/preferences/rooms_refused/0", "unknown_room"),
            ("#/preferences/rooms_wanted/0", "unknown_room"),
            ("#/preferences/rooms_wanted/0", "contradiction"),
        },
    ),
    "closet off no room": (
        lambda d: storey(d)["rooms"][6].update(opens_only_into="suite"),
        {(f"{S0}/rooms/6/opens_only_into", "unknown_room")},
    ),
    "asked about a room that is not there, and a place in the garden": (
        lambda d: d.update(what_about=[{"mount": {"room": "den", "at": [0, 0]}, "terminal": {"at": [-90, -90]}}]),
        {("#/what_about/0/mount/room", "unknown_room"), ("#/what_about/0/terminal/at", "not_at_a_wall")},
    ),
    "asked about the middle of a room, twice by one name": (
        lambda d: d.update(
            what_about=[
                {"id": "here", "mount": {"room": "living", "at": [4, 7]}},
                {"id": "here", "terminal": {"at": [0, 0]}},
            ]
        ),
        {("#/what_about/0/mount/at", "not_at_a_wall"), ("#/what_about/1/id", "duplicate_id")},
    ),
    "asked about nothing": (lambda d: d.update(what_about=[{}]), {("#/what_about/0/mount", "missing")}),
    "two rooms of one name": (
        lambda d: storey(d)["rooms"][4].update(id="kitchen"),
        {(f"{S0}/rooms/4/id", "duplicate_id"), ("#/preferences/rooms_refused/0", "unknown_room")},
    ),
    "hot line named as the cold one": (
        lambda d: d["water"]["hot"][0].update(id="cold-main"),
        {("#/water/hot/0/id", "duplicate_id")},
    ),
    "one heater twice": (
        lambda d: d.update(heaters=["nc-direct-120", "nc-direct-120"]),
        {("#/heaters/1/id", "duplicate_id")},
    ),
    "heater for another gas": (
        lambda d: d.update(heaters=["co-room-199-lp"]),
        {("#/heaters/0", "wrong_fuel")},
    ),
    "no heater, no water": (
        lambda d: (d.update(heaters=[]), d["water"].update(cold=[], hot=[])),
        {("#/heaters", "too_few"), ("#/water/cold", "too_few"), ("#/water/hot", "too_few")},
    ),
    "no storey, no gas": (
        lambda d: (d.update(storeys=[]), d["gas"].update(nodes=[])),
        {("#/storeys", "too_few"), ("#/gas/nodes", "too_few")},
    ),
    "no room": (lambda d: storey(d).update(rooms=[]), {(f"{S0}/rooms", "too_few")}),
    "storey upside down": (
        lambda d: storey(d).update(ceiling=-1),
        {(f"{S0}/ceiling", "upside_down")},
    ),
    "keep-out upside down": (
        lambda d: storey(d)["keep_outs"][0].update(top=4),
        {(f"{S0}/keep_outs/0/top", "upside_down")},
    ),
    "pipe without length": (
        lambda d: d["water"]["hot"][0].update(points=[[1, 1, 1], [1, 1, 1]]),
        {("#/water/hot/0/points", "no_length")},
    ),
    "lot line without length": (
        lambda d: d["site"]["lot_lines"][1].update(end=[66, -30]),
        {("#/site/lot_lines/1/end", "no_length")},
    ),
}


@pytest.mark.parametrize("name", list(CASES))
def test_contradiction_is_refused_at_its_place(name: str) -> None:
    """One change to a sound house gives the faults it must, where they belong."""
    change, expected = CASES[name]
    found = places(changed(sample(), change))
    if name == "storey upside down":
        assert expected <= found
    else:
        assert found == expected


def test_contradictions_are_told_together() -> None:
    """Faults of gas, water, rooms and openings come in one answer."""
    document = sample()
    for name in ("gas loop", "pipe without length", "rooms overlap", "head above ceiling", "opening in the garden"):
        CASES[name][0](document)
    assert {code for _, code in places(document)} == {
        "gas_loop", "no_length", "rooms_overlap", "above_ceiling", "outside_wall",
    }  # fmt: skip


SOUND: dict[str, Callable[[Document], Any]] = {
    "stacked windows": lambda d: storey(d)["openings"].append(hole([25, 32], [29, 32], sill=0.5, head=3.5)),
    "window on the outer face of a thick wall": lambda d: opening(d, 2, **{"from": [-1.2, 29], "to": [-1.2, 27]}),
    "opening across two rooms": lambda d: storey(d)["openings"].append(hole([18, 32], [22, 32])),
    "light over a door": lambda d: storey(d)["openings"].append(hole([44, 14], [46.5, 14], sill=6.8, head=8)),
    "window across the hall": lambda d: storey(d)["openings"].append(hole([50, 14], [53, 14], sill=3)),
    "storey right on the ceiling": lambda d: second_storey(d, 8),
    "sill below the floor": lambda d: opening(d, 2, sill=-1),
    "head a screed over the ceiling": lambda d: opening(d, 2, head=8.1),
    "meter on a bracket": lambda d: d["gas"]["nodes"][0].update(at=[-1.5, 14, 2]),
}


@pytest.mark.parametrize("name", list(SOUND))
def test_odd_but_sound_houses_pass(name: str) -> None:
    """What real houses show is let through without a fault."""
    assert load(changed(sample(), SOUND[name])).name


def test_hairline_overlap_is_told_and_let_pass() -> None:
    """Rooms that overlap by 15 mm give a warning, by 25 mm a fault."""
    document = smallest()
    rooms = document["storeys"][0]["rooms"]
    rooms.append({"id": "next", "outline": [[5.985, 0], [9, 0], [9, 4], [5.985, 4]]})
    assert any("overlap" in w and "next" in w for w in load(document).warnings)
    rooms[1]["outline"] = [[5.975, 0], [9, 0], [9, 4], [5.975, 4]]
    assert places(document) == {("#/storeys/0/rooms/1", "rooms_overlap")}


def surveyed() -> Document:
    """The sample, with word that no neighbour is near."""
    return changed(sample(), lambda d: d["site"].update(neighbour_walls=[]))


def test_three_repairs_are_told() -> None:
    """A closed clockwise ring with a repeated point is set right, each repair in a warning."""
    document = smallest()
    document["storeys"][0]["rooms"][0]["outline"] = [[0, 0], [0, 4], [6, 4], [6, 4], [6, 0], [0, 0]]
    survey = load(document)
    outline = survey.storeys[0].rooms[0].outline
    assert set(outline) == {(0, 0), (6000, 0), (6000, 4000), (0, 4000)}
    assert len(outline) == 4
    assert doubled_area_mm2(outline) == 2 * 6000 * 4000
    for words in ("repeats the first", "1 repeated point", "clockwise"):
        assert any(words in warning for warning in survey.warnings)


def test_a_sound_outline_is_left_alone() -> None:
    """No repair, no warning."""
    assert load(surveyed()).warnings == ()


@given(st.lists(st.tuples(st.integers(-5, 5), st.integers(-5, 5)), max_size=8).map(tuple))
def test_tidying_twice_is_tidying_once(points: tuple[tuple[int, int], ...]) -> None:
    """A tidy outline is left as it is."""
    once, _ = tidy(points)
    again, repairs = tidy(once)
    if len(once) > 1 and once[0] != once[-1]:
        assert (again, repairs) == (once, ())


def test_wall_that_follows_no_room_is_told() -> None:
    """A wall off every edge is of no use, and the answer says so."""
    document = surveyed()
    storey(document)["walls"].append({"id": "lost", "start": [70, 0], "end": [80, 0]})
    assert load(document).warnings == ("wall lost of storey ground follows no edge of a room",)


@pytest.mark.parametrize("name", open_plans.NAMES)
def test_real_houses_pass(name: str) -> None:
    """Three houses drawn by others are sound, with invented services and the catalogue."""
    heaters = tuple(h for h in catalogue.heaters().values() if "natural_gas" in h.fuels and h.indoors)
    found, warnings = check_survey(open_plans.survey(name, heaters))
    assert found == ()
    assert all("overlap" in warning or "follows no edge" in warning for warning in warnings)


def test_stairwell_through_two_storeys_is_told() -> None:
    """A room taller than its storey is let pass with a warning where it reaches into the next."""
    document = changed(sample(), lambda d: second_storey(d, 9))
    storey(document)["rooms"][0]["ceiling"] = 16
    assert any("stairwells" in warning for warning in load(document).warnings)


@pytest.mark.parametrize("service", ["vent", "gas", "cold", "hot", "drain"])
def test_heater_without_a_port(service: str) -> None:
    """A condensing heater needs all five; one that does not condense needs no drain."""
    ports = [
        {"service": s, "dx": 0.2, "on_top": s == "vent"}
        for s in ("vent", "gas", "cold", "hot", "drain")
        if s != service
    ]
    document = sample()
    document["heaters"] = [OWN_HEATER | {"ports": ports, "condensing": True, "category": "IV"}]
    assert places(document) == {("#/heaters/0/ports", "missing_port")}
    document["heaters"][0] |= {"condensing": False}
    if service == "drain":
        assert load(document).heaters[0].id == "own"


def test_heater_that_contradicts_itself() -> None:
    """Greatest below least, a port off the case, a port twice, flows that do not rise."""
    ports = [*OWN_HEATER["ports"], {"service": "gas", "dx": 5, "on_top": False}]
    document = sample()
    document["heaters"] = [OWN_HEATER | {"input_min": 160_000, "ports": ports, "pressure_loss": [[4, 6], [2, 1.5]]}]
    assert places(document) == {
        ("#/heaters/0/input_max", "upside_down"),
        ("#/heaters/0/ports/5/dx", "outside_case"),
        ("#/heaters/0/ports/1/service", "duplicate_port"),
        ("#/heaters/0/ports/5/service", "duplicate_port"),
        ("#/heaters/0/pressure_loss", "not_rising"),
    }
