"""Where the rims of round zones cross, told anew, one pair of circles after the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from math import floor, hypot, sqrt

from service.clearance.model import Zone

Circle = tuple[float, float, float]
"""Middle and radius [mm]."""
NEAR_MM = 2.0
"""So near another zone a crossing may be hidden by it, once in whole millimetres."""
WHOLE_MM = 1e-6


def crossings(zones: Sequence[Zone]) -> Iterator[tuple[int, int]]:
    """Axis and value of the lines next to places where two rims cross that no third zone hides [mm]."""
    for a, b in combinations([zone for zone in zones if zone.radius2], 2):
        for place in _meeting(a, b):
            if all(_gap(zone, place) > NEAR_MM for zone in zones if zone not in (a, b)):
                yield from ((axis, value) for axis in (0, 1) for value in _beside(place[axis]))


def _beside(value: float) -> set[int]:
    """Whole numbers about a value; of one that is all but whole, that alone."""
    near = round(value)
    return {near} if abs(value - near) < WHOLE_MM else {floor(value), floor(value) + 1}


def _meeting(a: Zone, b: Zone) -> Iterator[tuple[float, float]]:
    """Where circles round the corners of two zones meet, on the quarter of each that is its rim."""
    for (i, one), (j, other) in product(enumerate(_circles(a)), enumerate(_circles(b))):
        yield from (p for p in _common(one, other) if _is_rim(one, i, p) and _is_rim(other, j, p))


def _circles(zone: Zone) -> list[Circle]:
    return [(s, z, sqrt(zone.radius2)) for s in (zone.s0, zone.s1) for z in (zone.z0, zone.z1)]


def _is_rim(circle: Circle, corner: int, at: tuple[float, float]) -> bool:
    sides = zip(at, circle[:2], divmod(corner, 2), strict=True)
    return all(v >= middle if is_far else v <= middle for v, middle, is_far in sides)


def _common(one: Circle, other: Circle) -> Iterator[tuple[float, float]]:
    """The two places that circles have in common, if they have."""
    (x, y, r), (u, v, q) = one, other
    d = hypot(u - x, v - y)
    if not 0 < d <= r + q or d < abs(r - q):
        return
    e = (d * d + r * r - q * q) / (2 * d)
    h = sqrt(max(r * r - e * e, 0.0))
    for side in (h, -h):
        yield x + (e * (u - x) - side * (v - y)) / d, y + (e * (v - y) + side * (u - x)) / d


def _gap(zone: Zone, at: tuple[float, float]) -> float:
    """Distance from a zone, below nought within it; from the parts of one that is cut off, at least that [mm]."""
    s, z = at
    out = max(zone.s0 - s, s - zone.s1), max(zone.z0 - z, z - zone.z1)
    far = hypot(max(out[0], 0), max(out[1], 0)) - sqrt(zone.radius2) if zone.radius2 else max(out)
    if zone.within is None:
        return far
    s0, s1, z0, z1 = zone.within
    return max(far, s0 - s, s - s1, z0 - z, z - z1)
