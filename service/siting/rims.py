"""Where the rims of round zones cross: besides lines, the only places on an arc at which a cost can be least (L4)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np

from service.clearance.model import Zone
from service.routing.planes import Ints
from service.routing.tariff import Floats

CORNERS = ((0, 0), (0, 1), (1, 0), (1, 1))
"""Of a zone's core, around each of which its rim has a quarter of a circle."""


def crossing_lines(zones: Sequence[Zone]) -> tuple[list[int], list[int]]:
    """Distances and heights next to where rims of zones of one surface cross, as far as no third zone hides them
    [mm]."""
    s: set[int] = set()
    z: set[int] = set()
    for i, j, place in _crossings([zone for zone in zones if zone.radius2]):
        others = [zone for zone in zones if zone not in (i, j)]
        lines, levels = ((low, low + 1) for low in (int(v) for v in np.floor(place)))
        if any(not any(zone.covers(*at) for zone in others) for at in product(lines, levels)):
            s.update(lines)
            z.update(levels)
    return sorted(s), sorted(z)


def _crossings(zones: Sequence[Zone]) -> list[tuple[Zone, Zone, Floats]]:
    """Pairs of round zones whose arcs cross, and where (s, z)."""
    centre, side, radius2 = _quarters(zones)
    a, b = np.triu_indices(len(radius2), 1)
    apart = centre[b] - centre[a]
    d2 = (apart**2).sum(axis=1)
    share = (d2 + radius2[a] - radius2[b]) / (2 * np.maximum(d2, 1))
    half2 = radius2[a] / np.maximum(d2, 1) - share**2  # below nought where circles do not meet
    half = np.sqrt(np.maximum(half2, 0))
    along, across = apart * share[:, None], np.stack([-apart[:, 1], apart[:, 0]], axis=1) * half[:, None]
    meet = (d2 > 0) & (half2 >= 0)
    out = []
    for place in (centre[a] + along + across, centre[a] + along - across):
        here = meet & np.logical_and(*(((place - centre[k]) * side[k] >= 0).all(axis=1) for k in (a, b)))
        out += [(zones[a[k] // 4], zones[b[k] // 4], place[k]) for k in np.flatnonzero(here)]
    return out


def _quarters(zones: Sequence[Zone]) -> tuple[Ints, Ints, Ints]:
    """Middle, side on which the quarter lies and squared radius of the four quarters of each zone [mm]."""
    cores = np.array([((z.s0, z.s1), (z.z0, z.z1)) for z in zones], dtype=np.int64).reshape(-1, 2, 2)
    centre = np.stack([cores[:, [0, 1], corner] for corner in CORNERS], axis=1).reshape(-1, 2)
    side = np.tile(2 * np.array(CORNERS, dtype=np.int64) - 1, (len(zones), 1))
    return centre, side, np.repeat(np.array([z.radius2 for z in zones], dtype=np.int64), 4)
