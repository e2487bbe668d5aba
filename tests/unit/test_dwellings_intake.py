"""Dwellings as they are handed in: names of nothing, too few, too many; a survey without them stays as it is."""

from __future__ import annotations

from typing import Any

import pytest

from service.errors import InvalidRequest, LimitExceeded
from service.http.schemas import load_survey
from service.settings import Settings
from tests.unit.survey_documents import sample

Document = dict[str, Any]


def two(**first: object) -> Document:
    """The sample house with two heaters in parallel, the first with some members."""
    return {**sample(), "dwellings": [{"id": "one", **first}, {"id": "two"}]}


def faults(document: Document) -> set[tuple[str, str]]:
    """Pointers and codes of all faults."""
    with pytest.raises(InvalidRequest) as refused:
        load_survey(document, Settings())
    return {(f.pointer, f.code) for f in refused.value.faults}


def test_without_dwellings_there_are_none() -> None:
    """One heater for the house is what a survey asks for unless it says otherwise."""
    assert load_survey(sample(), Settings()).dwellings == ()


def test_what_is_left_out_may_all_be_used() -> None:
    """None stands for everything; a name is made up where none is given."""
    survey = load_survey({**sample(), "dwellings": [{}, {"rooms": ["utility"]}]}, Settings())
    first, second = survey.dwellings
    assert (first.id, first.rooms, first.gas_taps) == ("dwelling-1", None, None)
    assert (second.id, second.rooms) == ("dwelling-2", ("utility",))


@pytest.mark.parametrize("member", ["rooms", "heaters", "water_lines", "fixtures", "drains", "receptacles", "gas_taps"])
def test_names_of_nothing_are_refused(member: str) -> None:
    """With a pointer to each."""
    assert (f"#/dwellings/0/{member}/0", "unknown_reference") in faults(two(**{member: ["nowhere"]}))


def test_all_other_faults_at_once() -> None:
    """A name twice, an empty list, an id twice."""
    found = faults({**sample(), "dwellings": [{"id": "a", "rooms": ["utility", "utility"]}, {"id": "a"}]})
    assert {("#/dwellings/0/rooms/1", "duplicate_id"), ("#/dwellings/1/id", "duplicate_id")} <= found
    assert ("#/dwellings/0/rooms", "too_few") in faults(two(rooms=[]))


def test_water_lines_must_be_of_both_kinds() -> None:
    """No heater has cold water alone."""
    cold = sample()["water"]["cold"][0]["id"]
    assert faults(two(water_lines=[cold])) == {("#/dwellings/0/water_lines", "too_few")}


def test_one_dwelling_is_too_few() -> None:
    """For one heater the member is left out."""
    assert ("#/dwellings", "too_few") in faults({**sample(), "dwellings": [{"id": "one"}]})


def test_a_place_is_asked_about_for_one_of_them() -> None:
    """It must be told which, it must be there, and it hangs in no room of another; explanations are of each."""
    room = sample()["storeys"][0]["rooms"][0]
    at, other = room["outline"][0], {"id": "other", "rooms": [room["id"]]}
    named = [{"terminal": {"at": at}, "dwelling": "nobody"}, {"terminal": {"at": at}}]
    asked = {**two(), "what_about": named, "explain": {"different": 2}}
    assert faults(asked) == {("#/what_about/0/dwelling", "unknown_reference"), ("#/what_about/1/dwelling", "missing")}
    own = {"id": "one", "rooms": [sample()["storeys"][0]["rooms"][1]["id"]]}
    theirs = {"mount": {"room": room["id"], "at": at}, "dwelling": "one"}
    shut = {**two(), "dwellings": [own, other], "what_about": [theirs]}
    assert ("#/what_about/0/mount/room", "contradiction") in faults(shut)
    assert ("#/what_about/0/dwelling", "unknown_reference") in faults({**sample(), "what_about": named[:1]})


def test_one_past_the_limit() -> None:
    """Twelve are taken, thirteen not."""
    many = [{"id": f"flat-{i}"} for i in range(Settings().dwellings)]
    assert len(load_survey({**sample(), "dwellings": many}, Settings()).dwellings) == Settings().dwellings
    with pytest.raises(LimitExceeded) as refused:
        load_survey({**sample(), "dwellings": [*many, {"id": "one more"}]}, Settings())
    assert (refused.value.name, refused.value.limit) == ("dwellings", Settings().dwellings)


def test_heaters_in_parallel_are_two_and_serve_the_same() -> None:
    """A name that no other entry has, and fixtures that only one of two serves, are refused at their place."""
    assert ("#/dwellings/0/parallel", "too_few") in faults(two(parallel="plant"))
    names = [f["id"] for f in sample()["water"]["fixtures"]]
    both = [{"id": "a", "parallel": "p"}, {"id": "b", "parallel": "p", "fixtures": names[:1]}]
    assert ("#/dwellings/1/fixtures", "contradiction") in faults({**sample(), "dwellings": both})
    survey = load_survey({**sample(), "dwellings": [*both[:1], {**both[1], "fixtures": names}]}, Settings())
    assert [d.parallel for d in survey.dwellings] == ["p", "p"]
