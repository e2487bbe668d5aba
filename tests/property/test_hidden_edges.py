"""Which lines of a zone matter, by the search's rule and by the re-check's, against every millimetre one by one."""

from __future__ import annotations

from random import Random

import pytest

from service.clearance.model import Zone
from service.siting.active import critical_lines, open_lines
from service.verify.closed import is_edge_open

FAR_MM = 60


def zone_of(r: Random) -> Zone:
    """A small zone: a box, one with round corners, or such a one cut to a box."""
    (s0, s1), (z0, z1) = (sorted(r.sample(range(FAR_MM), 2)) for _ in range(2))
    round_by, box = r.choice((0, 0, r.randint(1, 15))), None
    if round_by and r.random() < 0.4:
        ends = [sorted(r.sample(range(-10, FAR_MM + 10), 2)) for _ in range(2)]
        box = (ends[0][0], ends[0][1], ends[1][0], ends[1][1])
    return Zone("wall", s0, s1, z0, z1, round_by**2, "rule", "thing", within=box)


@pytest.mark.parametrize("seed", range(150))
def test_a_line_matters_where_a_place_on_it_is_free(seed: int) -> None:
    """Zones are few enough that many edges are hidden and many are not."""
    r = Random(seed)
    zones = [zone_of(r) for _ in range(r.randint(1, 6))]
    at = r.randrange(FAR_MM), r.randrange(FAR_MM)
    for zone in zones:
        reach = round(zone.radius2**0.5)
        spans = (zone.z0 - reach, zone.z1 + reach), (zone.s0 - reach, zone.s1 + reach)
        kept = open_lines(zone, at, zones)
        for axis, (lines, (first, last)) in enumerate(zip(critical_lines(zone, at), spans, strict=True)):
            free = [v for v in lines if any(_is_free(zones, axis, v, w) for w in range(first, last + 1))]
            assert kept[axis] == free
            assert [v for v in lines if is_edge_open(zones, axis, v, first, last)] == free


def _is_free(zones: list[Zone], axis: int, across: int, along: int) -> bool:
    return not any(z.covers(*((across, along) if axis == 0 else (along, across))) for z in zones)
