"""A roof in a survey: what is taken for granted, and every fault in it with its place."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import Polygon

from service.building.build import build
from service.errors import InvalidRequest
from service.survey.roof import FLAT_OVER_CEILING_MM, Roof, RoofOpeningKind, RoofPlane
from service.survey.roof_checks import roof_faults
from tests.unit.check_house import house, plant
from tests.unit.survey_documents import Document, load, smallest

EAVE = {"start": [0, 0], "end": [6, 0]}
PLANE: Document = {
    "id": "main", "outline": [[0, 0], [6, 0], [6, 4], [0, 4]], "height": 2.7, "pitch": 6, "eave": EAVE,
}  # fmt: skip


def roofed(**roof: Any) -> Document:
    """The smallest survey with a roof."""
    return smallest() | {"roof": roof}


def faults(document: Document) -> set[tuple[str, str]]:
    """Place and code of each fault."""
    with pytest.raises(InvalidRequest) as caught:
        load(document)
    return {(f.pointer, f.code) for f in caught.value.faults}


def test_no_roof_no_word_of_it_but_one() -> None:
    """A survey without a roof says so and has none."""
    survey = load(smallest())
    assert survey.roof is None and build(survey).roof == ()
    assert any("no vent through the roof" in a for a in survey.assumptions)


def test_an_empty_roof_is_flat() -> None:
    """One level plane over the room, out to the outer walls (200 mm), a stated height over the ceiling."""
    survey = load(roofed())
    (plane,) = build(survey).roof
    assert plane.is_level and plane.assumed and plane.over == (survey.storeys[0].rooms[0].id,)
    assert plane.foot_z == survey.storeys[0].ceiling_z_mm + FLAT_OVER_CEILING_MM
    xs, ys = zip(*plane.outline, strict=True)
    assert (min(xs), min(ys), max(xs), max(ys)) == (-200, -200, 6200, 4200)
    assert any("taken as flat" in a for a in survey.assumptions)
    assert any("roof.openings, roof.obstructions" in w for w in survey.warnings)


def test_a_pitched_plane_rises_from_its_eave() -> None:
    """6 in 12 over 4 m: 2 m higher at the far side, half of it in the middle; walls and openings go along."""
    opening = {"kind": "skylight", "outline": [[1, 2], [2, 2], [2, 3], [1, 3]], "height": 0.1}
    survey = load(roofed(planes=[PLANE], openings=[opening], obstructions=[]))
    built = build(survey)
    (plane,) = built.roof
    assert [plane.height_mm(3000, y) for y in (0, 2000, 4000)] == [2700, 3700, 4700]
    assert plane.uphill == (0.0, 1.0) and plane.axis == 1
    (window,) = built.roof_openings
    assert (window.kind, window.operable, window.top_z) == (RoofOpeningKind.SKYLIGHT, None, 2700 + 1500 + 100)
    assert any("Skylight taken as openable" in a for a in survey.assumptions)


def test_the_eave_may_run_either_way() -> None:
    """A plane rises into its outline, whichever way its eave line is drawn."""
    turned = PLANE | {"eave": {"start": [6, 0], "end": [0, 0]}}
    built = [build(load(roofed(planes=[p]))).roof[0] for p in (PLANE, turned)]
    assert len({p.height_mm(1000, 3000) for p in built}) == 1


FAULTY: list[tuple[str, Document, set[tuple[str, str]]]] = [
    ("no eave", {k: v for k, v in PLANE.items() if k != "eave"}, {("#/roof/planes/0/eave", "missing")}),
    ("no pitch", {k: v for k, v in PLANE.items() if k != "pitch"}, {("#/roof/planes/0/pitch", "missing")}),
    ("hardly any pitch", PLANE | {"pitch": 0.01}, {("#/roof/planes/0/pitch", "out_of_range")}),
    ("eave through the middle", PLANE | {"eave": {"start": [0, 2], "end": [6, 2]}},
     {("#/roof/planes/0/eave", "eave_inside")}),
    ("eave elsewhere", PLANE | {"eave": {"start": [0, -3], "end": [6, -3]}},
     {("#/roof/planes/0/eave", "eave_outside")}),
    ("eave a point", PLANE | {"eave": {"start": [0, 0], "end": [0, 0]}}, {("#/roof/planes/0/eave/end", "no_length")}),
    ("below the ceiling", {"outline": PLANE["outline"], "height": 2.0}, {("#/roof/planes/0/height", "below_ceiling")}),
    ("crosses itself", PLANE | {"outline": [[0, 0], [6, 4], [6, 0], [0, 4]]},
     {("#/roof/planes/0/outline", "self_crossing")}),
    ("unknown field", PLANE | {"colour": "red"}, {("#/roof/planes/0/colour", "unknown_field")}),
    ("steeper than any", PLANE | {"pitch": 100}, {("#/roof/planes/0/pitch", "out_of_range")}),
]  # fmt: skip


@pytest.mark.parametrize(("plane", "expected"), [f[1:] for f in FAULTY], ids=[f[0] for f in FAULTY])
def test_faulty_planes(plane: Document, expected: set[tuple[str, str]]) -> None:
    """Each fault with its place."""
    assert faults(roofed(planes=[plane])) == expected


def test_every_fault_at_once() -> None:
    """Planes that overlap, an id twice, an opening off the roof."""
    other = PLANE | {"outline": [[3, 0], [9, 0], [9, 4], [3, 4]], "eave": {"start": [3, 0], "end": [9, 0]}}
    away = {"kind": "hatch", "outline": [[20, 0], [21, 0], [21, 1]], "height": 0}
    assert faults(roofed(planes=[PLANE, other], openings=[away])) == {
        ("#/roof/planes/1", "planes_overlap"), ("#/roof/planes/1/id", "duplicate_id"),
        ("#/roof/openings/0/outline", "outside_roof"),
    }  # fmt: skip


def test_a_plane_that_dips_below_the_ceiling_is_told() -> None:
    """Attic rooms are so; no vent goes up where the roof is lower than the ceiling."""
    survey = load(roofed(planes=[PLANE | {"height": 1.5}]))
    assert any("lies below the ceiling" in w for w in survey.warnings)


def test_planes_and_rooms_are_told_as_by_looking_at_every_pair() -> None:
    """Shapely on every pair of a row of rooms and planes across them, each pair by itself."""
    rooms = tuple(plant(id=f"r{i}", outline=box(i * 3000, 3000)) for i in range(4))
    planes = tuple(RoofPlane(f"p{i}", box(i * 2500 + 700, 2500), 2800 + 100 * i) for i in range(5))
    survey = house(rooms=rooms, roof=Roof(planes))
    low = {
        (f"#/roof/planes/{i}/height", f"{room.id!r}")
        for i, plane in enumerate(planes) for room in rooms
        if plane.eave_z_mm < room.ceiling_z_mm
        and Polygon(plane.outline).intersection(Polygon(room.outline)).area > 20 * 4000
    }  # fmt: skip
    found = {(f.pointer, word) for f in roof_faults(survey) for word in f.detail.split() if word.startswith("'r")}
    assert {(pointer, word.rstrip(",")) for pointer, word in found} == low and low


def box(x: int, width: int) -> tuple[tuple[int, int], ...]:
    """4 m deep."""
    return (x, 0), (x + width, 0), (x + width, 4000), (x, 4000)
