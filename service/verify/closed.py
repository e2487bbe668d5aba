"""Which places of a network the named zones close, and which of those inside a round zone stand in for its rim."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Sequence
from math import isqrt

import numpy as np

from service.clearance.model import Zone
from service.verify.network import Bools, Ints

Place = tuple[int, int]
Lacks = Callable[[int, int], bool]
"""Whether the network has no line where it could: along the surface (0) or up (1), and where [mm]."""


def closed(zones: Iterable[Zone], s: Ints, z: Ints, shut: Collection[Place], lacks: Lacks) -> Bools:
    """Places on one surface that may not be used, shape (places,).

    A rectangle closes what lies in it. Of a round zone a place stays open where the rim runs between it and the next
    line of the network: the cheapest place may lie on the rim there, and is no dearer than this one bounds. ``shut``:
    places said to be closed though; that is believed where every rim about them is on the network already, in another
    zone or off the surface: where ``lacks`` has none of them.
    """
    zones = tuple(zones)
    lines = sorted(set(s.tolist())), sorted(set(z.tolist()))
    out = np.zeros(len(s), dtype=bool)
    for zone in zones:
        for i in np.flatnonzero(_near(zone, s, z) & ~out):
            place = int(s[i]), int(z[i])
            if zone.covers(*place):
                is_open = zone.radius2 and _stands_in(zone, place, lines)
                out[i] = not is_open or (place in shut and not _lacks_rim(zones, zone, place, lacks))
    return out


def is_edge_open(zones: Iterable[Zone], axis: int, value: int, first: int, last: int) -> bool:
    """Whether a design may lie on a line at a distance (axis 0) or a height (1), between two places of it: if anywhere,
    then also at one of these or where a zone ends."""
    chords = [chord for zone in zones if (chord := _chord(zone, axis, value))]
    ends = {first, last, *(end for chord in chords for end in chord if first <= end <= last)}
    return any(not any(low < end < high for low, high in chords) for end in ends)


def _chord(zone: Zone, axis: int, value: int) -> Place | None:
    """Between which places a line lies in a zone."""
    along, up = (zone.s0, zone.s1), (zone.z0, zone.z1)
    across, own = (along, up) if axis == 0 else (up, along)
    half = _half(zone.radius2, max(across[0] - value, value - across[1], 0))
    if half == 0 and (zone.radius2 or not across[0] < value < across[1]):
        return None
    if zone.within is None:
        return own[0] - half, own[1] + half
    s, z = zone.within[:2], zone.within[2:]
    box, ends = (s, z) if axis == 0 else (z, s)
    return (max(own[0] - half, ends[0]), min(own[1] + half, ends[1])) if box[0] < value < box[1] else None


def _lacks_rim(zones: Iterable[Zone], zone: Zone, place: Place, lacks: Lacks) -> bool:
    """Whether the rim on a line through a place, along or up, is not on the network though it could be, in no zone."""
    s, z = place
    along, up = _rims(zone, place)
    rims = [(0, v, (v, z)) for v in along] + [(1, v, (s, v)) for v in up]
    return any(lacks(axis, v) and not any(other.covers(*at) for other in zones) for axis, v, at in rims)


def _near(zone: Zone, s: Ints, z: Ints) -> Bools:
    """A box that holds the zone."""
    r = isqrt(zone.radius2) + 1 if zone.radius2 else 0
    return np.asarray((s > zone.s0 - r) & (s < zone.s1 + r) & (z > zone.z0 - r) & (z < zone.z1 + r))


def _rims(zone: Zone, place: Place) -> tuple[tuple[int, int], tuple[int, int]]:
    """First whole places beyond the rim on the lines through a place: left and right, down and up [mm]."""
    s, z = place
    along = _half(zone.radius2, max(zone.z0 - z, z - zone.z1, 0))
    up = _half(zone.radius2, max(zone.s0 - s, s - zone.s1, 0))
    return (zone.s0 - along, zone.s1 + along), (zone.z0 - up, zone.z1 + up)


def _half(radius2: int, gap: int) -> int:
    """Half a chord, rounded up."""
    rest = radius2 - gap * gap
    return isqrt(rest - 1) + 1 if rest > 0 else 0


def _stands_in(zone: Zone, place: Place, lines: tuple[Sequence[int], Sequence[int]]) -> bool:
    """Whether in any direction the rim is passed before the next line."""
    for at, rim, own in zip(place, _rims(zone, place), lines, strict=True):
        after, before = bisect_right(own, at), bisect_right(own, at - 1) - 1
        if (after < len(own) and own[after] > rim[1]) or (before >= 0 and own[before] < rim[0]):
            return True
    return False

