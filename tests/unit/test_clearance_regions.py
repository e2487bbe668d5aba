"""Areas and rings of regions against counting points, and the clearance operation as a whole."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from service.clearance.model import Zone
from service.clearance.mount import mount_zones
from service.clearance.plane import facade_plane, half_chord, merged, near_outline
from service.clearance.regions import facade_regions, face_regions
from service.clearance.terminal import terminal_zones
from service.clearance.wall_area import outside as rest_of_plane
from service.rules.catalogue import heaters
from service.survey.model import Amendment
from service.usecases.clearances import clearances, terminal_classes
from tests.unit.building_houses import two_storey_house
from tests.unit.clearance_site import WALL, heater, inside, outside, spec, survey
from tests.unit.test_clearance_terminal import HOUSE, SITE


def test_a_lone_disc() -> None:
    """Area pi r^2, drawn a little too large and never too small."""
    facade = outside(WALL).facades[0]
    disc = Zone("F0", 6_000, 6_000, 2_000, 2_000, 1_000**2, "R", "x")
    found = facade_regions(facade, [disc])
    taken = found.total_mm2 - found.free_mm2
    assert found.total_mm2 == 12_000 * 12_000
    assert pi * 1e6 <= taken <= pi * 1e6 * 1.002
    assert found.by_rule == (("R", taken),)


def test_lengths_by_hand() -> None:
    """A wall of 12 m: one rule closes [1, 3] m at every height and [5, 6] below 4 m, another [5, 7] from 4 m up to the
    top: alone they close 2 m and none, together 3 m."""
    facade = outside(WALL).facades[0]
    z0, z1 = facade.spans[0][2], facade.spans[0][3]
    zones = [
        Zone("F0", 1_000, 3_000, z0 - 1, z1 + 1, 0, "A", "x"),
        Zone("F0", 5_000, 6_000, z0 - 1, 4_000, 0, "A", "x"),
        Zone("F0", 5_000, 7_000, 4_000, z1 + 1, 0, "B", "y"),
    ]
    found = facade_regions(facade, zones)
    assert (found.length_mm, found.free_length_mm) == (12_000, 9_000)
    assert dict(found.closed_by_rule) == {"A": 2_000, "B": 0}


@pytest.mark.parametrize("facade", range(6))
def test_drawn_free_places_are_free(facade: int) -> None:
    """No point of the drawing's free rings is forbidden; the free area agrees with counting points."""
    wall = HOUSE.facades[facade]
    zones = terminal_zones(HOUSE, survey("us-2021", **SITE), spec(False, 199_000, "IV"))[wall.id]
    found = facade_regions(wall, zones)
    grid = [(s, z) for s in range(25, wall.length_mm, 50) for z in range(-2_975, 9_000, 50)]
    free = {p for p in grid if not any(q.covers(*p) for q in zones)}
    assert found.free_mm2 == pytest.approx(len(free) * 2_500, abs=0.01 * found.total_mm2)
    drawn = _drawn(found.free_rings)
    assert drawn.area == pytest.approx(found.free_mm2, rel=1e-6)
    assert all(p in free for p in grid[::7] if drawn.contains(Point(p)))


def _drawn(rings: tuple[tuple[tuple[float, float], ...], ...]) -> BaseGeometry:
    """Rings as one area: those that lie in another ring are holes in it."""
    area: BaseGeometry = Polygon()
    for ring in rings:
        area = area.symmetric_difference(Polygon(ring))
    return area


def test_regions_of_a_wall_without_zones_and_of_a_forbidden_room() -> None:
    """All free, and nothing free."""
    room = inside(((0, 0), (4_000, 0), (4_000, 3_000), (0, 3_000)))
    assert face_regions(room.faces[0], []).free_mm2 == 4_000 * 4_000
    wishes = replace(survey("us-2018").preferences, rooms_refused=("room",))
    zones = mount_zones(room, replace(survey("us-2018"), preferences=wishes), heater())["W0"]
    found = face_regions(room.faces[0], zones)
    assert (found.free_mm2, found.free_rings, dict(found.by_rule)["WISH1"]) == (0, (), 4_000 * 4_000)


def test_the_rest_of_the_plane_is_all_but_the_boxes() -> None:
    """Every point lies in a box or in the rest, never inside both."""
    boxes = [(0, 4, 0, 3), (4, 8, 0, 6), (2, 6, 8, 9)]
    rest = rest_of_plane(boxes)
    for s2 in range(-3, 21, 2):
        for z2 in range(-3, 23, 2):
            spots = [sum(2 * a < s2 < 2 * b and 2 * c < z2 < 2 * d for a, b, c, d in x) for x in (boxes, rest)]
            assert sorted(spots) == [0, 1]


def test_half_chord_is_the_least_whole_number() -> None:
    """x^2 + off^2 >= d^2, and not for x - 1."""
    for d in range(0, 60):
        for off in range(0, 60):
            x = half_chord(d, off)
            assert x * x + off * off >= d * d
            assert not x or (x - 1) ** 2 + off * off < d * d


def test_nearness_to_an_outline_agrees_with_shapely() -> None:
    """Exact for edges along and square to the wall, also where the outline crosses the wall's line."""
    outline = (
        (1_000, -3_000),
        (6_000, -3_000),
        (6_000, -400),
        (4_000, -400),
        (4_000, 500),
        (2_000, 500),
        (2_000, -700),
        (1_000, -700),
    )
    plane = facade_plane(outside(WALL).facades[0])
    for reach in (1, 399, 400, 401, 650, 1_200):
        near = near_outline(plane, outline, reach)
        for s in range(-1_000, 9_000, 13):
            expected = Point(s, 0).distance(Polygon(outline)) < reach
            assert any(a < s < b for a, b in near) == expected, (reach, s)


def test_touching_intervals_stay_apart() -> None:
    """The place between two open intervals is free."""
    assert merged([(5, 9), (0, 3), (3, 5), (8, 10)]) == [(0, 3), (3, 5), (5, 10)]


def test_the_operation_answers_for_every_surface() -> None:
    """Every facade for every class of terminal, every wall for every heater; unknown facts are told."""
    two = tuple(heaters().values())[:2]
    site = two_storey_house()
    amended = replace(site.site, amendments=(Amendment("US21-A", 600, "town"), Amendment("XX", 1, "typo")))
    found = clearances(replace(site, heaters=two, site=amended))
    classes = terminal_classes(two)
    assert len(found.facades) == len(classes) * len(found.building.facades)
    assert len(found.walls) == len(two) * len(found.building.faces)
    assert all(0 <= r.coverage.free_mm2 <= r.coverage.total_mm2 for r in (*found.facades, *found.walls))
    assert any("openable" in a and "kitchen window" in a for a in found.assumptions)
    assert any(a.startswith("US21-A: amended to 600 mm: town") for a in found.assumptions)
    assert any(w.startswith("XX:") for w in found.warnings)


def test_same_survey_same_answer() -> None:
    """Nothing depends on chance or on the order of sets."""
    one = replace(two_storey_house(), heaters=tuple(heaters().values())[:1])
    assert repr(clearances(one)) == repr(clearances(one))
