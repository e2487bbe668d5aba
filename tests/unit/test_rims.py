"""Where rims of round zones cross, as the search and the re-check tell it, each by itself, against Shapely's shapes."""

from __future__ import annotations

from math import floor
from random import Random

import pytest
import shapely

from service.clearance.model import Zone
from service.siting.rims import crossing_lines
from service.verify.rims import crossings

FINE = 4000
"""Pieces of a quarter of a circle: off by less than a ten-thousandth of a millimetre for a radius of a metre."""
OFF_MM = 0.01


def _zone(r: Random) -> Zone:
    s, z, radius = r.randint(0, 1500), r.randint(0, 1500), r.randint(200, 1000)
    return Zone("F1", s, s + r.randint(0, 600), z, z + r.randint(0, 600), radius * radius, "rule", f"{s} {z}")


def _rim(zone: Zone) -> shapely.Geometry:
    return shapely.box(zone.s0, zone.z0, zone.s1, zone.z1).buffer(zone.radius2**0.5, quad_segs=FINE).exterior


def _on_arc(zone: Zone, s: float, z: float) -> bool:
    return not zone.s0 <= s <= zone.s1 and not zone.z0 <= z <= zone.z1


def _beside(value: float) -> set[int]:
    return {floor(value), floor(value) + 1}


@pytest.mark.parametrize("seed", range(20))
def test_both_know_every_crossing_of_two_arcs_and_no_other(seed: int) -> None:
    """Rims cross on straight parts, too, but these are lines that are critical already."""
    r = Random(seed)
    a, b = _zone(r), _zone(r)
    found = shapely.get_coordinates(_rim(a).intersection(_rim(b))).tolist()
    places = [at for at in found if _on_arc(a, *at) and _on_arc(b, *at)]
    assert all(abs(v - round(v)) > OFF_MM for at in places for v in at), "too near a whole number to be told apart"
    lines = [{v for at in places for v in _beside(at[axis])} for axis in (0, 1)]
    assert [set(values) for values in crossing_lines([a, b])] == lines
    assert [{v for k, v in crossings([a, b]) if k == axis} for axis in (0, 1)] == lines


def test_what_a_third_zone_hides_is_no_crossing() -> None:
    """Two windows' zones cross above and between them; a keep-out over one of these places leaves the other."""
    a, b = (Zone("F1", s, s, 0, 0, 1000**2, "rule", str(s)) for s in (0, 1300))
    third = Zone("F1", 500, 800, 500, 1000, 0, "rule", "keep-out")
    open_lines = crossing_lines([a, b])
    assert 650 in open_lines[0] and open_lines[1] == [-760, -759, 759, 760]
    assert max(crossing_lines([a, b, third])[1]) < 0
    assert max(v for axis, v in crossings([a, b, third]) if axis) < 0


def test_circles_apart_within_one_another_or_about_one_middle_do_not_cross() -> None:
    """No place, and no fault of arithmetic."""
    at = Zone("F1", 0, 0, 0, 0, 500**2, "rule", "a")
    for other in ((5000, 500), (100, 100), (0, 500), (0, 400)):
        zones = [at, Zone("F1", other[0], other[0], 0, 0, other[1] ** 2, "rule", "b")]
        assert crossing_lines(zones) == ([], [])
        assert list(crossings(zones)) == []
