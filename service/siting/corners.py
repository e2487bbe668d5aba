"""Corners that limits cut off about a hub: where a limit is met on a line, or two limits are met at once (lemma L3).

Between neighbouring lines and levels that no limit made, the runs from a hub go the same way, so how far each is over
its limit changes by so much for each millimetre that the heater moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil, floor

import numpy as np

from service.design import Service
from service.routing.planes import Ints, Lines
from service.siting.paired import Paired
from service.siting.table import Table
from service.siting.tracks import Path
from service.siting.variants import Variant

LEVEL = 1e-6
"""Less than this is rounding [mm], or no angle between two borders."""
Shift = tuple[int, int]
"""Along the wall's axis and up [mm]."""
EVERY_WAY: tuple[Shift, ...] = ((-1, -1), (-1, 1), (1, -1), (1, 1))


@dataclass(frozen=True, slots=True)
class Border:
    """Where a limit is met, or a side of a cell: by how much it is passed at the hub [mm], and how much more for each
    millimetre along the wall's axis and up."""

    excess: float
    along: float
    up: float

    def is_kept(self, shift: Shift) -> bool:
        """Whether it is not passed at a shift from the hub."""
        return self.excess + self.along * shift[0] + self.up * shift[1] <= LEVEL

    def meets(self, other: Border) -> tuple[float, float] | None:
        """Shift to where both are met; None if they never are, or everywhere."""
        across = self.along * other.up - self.up * other.along
        if abs(across) < LEVEL:
            return None
        x = self.up * other.excess - other.up * self.excess
        return x / across, (other.along * self.excess - self.along * other.excess) / across


def corners(table: Table, hub: int, axis: int, lines: Lines) -> set[Shift]:
    """Corners in the cells about a settled hub on a wall along an axis; ``lines`` are the coordinates and levels that
    bound the cells."""
    here, found = (int(table.hubs.c[hub]), int(table.hubs.manifold_z[hub])), set()
    for way in EVERY_WAY:
        limits = [
            border
            for service, offer in table.offers.items()
            for border in _limits(offer.chosen(hub), service, hub, axis, way)
        ]
        x, z = (_reach(values, at, w) for values, at, w in zip(lines, here, way, strict=True))
        sides = [*(Border(-s, 1, 0) for s in x), *(Border(-s, 0, 1) for s in z)]
        found |= {s for s in met(limits, sides) if x[0] <= s[0] <= x[1] and z[0] <= s[1] <= z[1]}
    return found


def _reach(lines: Ints, here: int, way: int) -> tuple[int, int]:
    """From and to where a cell reaches on one side of a place, as seen from there [mm]."""
    after = int(np.searchsorted(lines, here, side="right" if way > 0 else "left"))
    around = lines[max(after - 1, 0) : after + 1] - here
    return int(around.min(initial=0)), int(around.max(initial=0))


def met(limits: Sequence[Border], sides: Iterable[Border]) -> Iterator[Shift]:
    """Whole millimetres at which a limit is just kept on a side, or beside another limit that is."""
    for k, limit in enumerate(limits):
        for other in (*limits[k + 1 :], *sides):
            if (point := limit.meets(other)) is not None:
                for shift in product(_whole(point[0]), _whole(point[1])):
                    if limit.is_kept(shift) and other.is_kept(shift):
                        yield shift


def _whole(value: float) -> set[int]:
    return {floor(value + LEVEL), ceil(value - LEVEL)}


def _limits(variant: Variant, service: Service, hub: int, axis: int, way: Shift) -> Iterator[Border]:
    """Limits on a run from a settled hub, as they change on one side of it. A vent that goes straight out takes its
    terminal along."""
    length, run = variant.lacking(hub)
    aside = (0, 0) if service is Service.VENT else way
    along, up = (_growth(variant, variant.path(hub), a, w) for a, w in zip((axis, 2), aside, strict=True))
    if variant.plain is not None:
        yield Border(run, along, up)
    if isinstance(variant, Paired):
        cold = [_growth(variant.cold, variant.cold_path(hub), a, w) for a, w in zip((axis, 2), way, strict=True)]
        along, up = along + variant.worth * cold[0], up + variant.worth * cold[1]
    if np.isfinite(variant.length_mm[hub]):
        yield Border(length, along, up - variant.rises)


def _growth(variant: Variant, path: Path, axis: int, aside: int) -> float:
    """How much longer a run becomes for each millimetre that it begins farther along an axis: shorter if it goes that
    way first; ``aside`` if it never goes along it."""
    steps = np.diff(variant.track.field.lattice.xyz[list(path.states), axis])
    moves = steps[np.flatnonzero(steps)]
    return -float(np.sign(moves[0])) if len(moves) else float(aside)
