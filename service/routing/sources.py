"""A service's ends as entries into the lattice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist
from typing import Literal

import numpy as np

from service.routing.ends import Anchor
from service.routing.house_grids import SURFACES
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Planes
from service.routing.sheets import Sheets
from service.routing.tariff import Floats, Sources, Tariff
from service.survey.model import Point3

NUMBERS = {surface: i for i, surface in enumerate(SURFACES)}
ANY_AXIS = -1
SIDES: tuple[Literal["left"], Literal["right"]] = ("left", "right")


@dataclass(frozen=True, slots=True)
class Charges:
    """What runs pay at anchors besides their way, shape (n,): anchor index and money units, inf where it is shut.
    An anchor may have several, each a choice, or none."""

    anchors: Ints
    units: Floats

    def on(self, names: Ints) -> tuple[Ints, Ints]:
        """Every pairing of an open charge with an entry of its anchor: positions of entries and of charges."""
        order = np.argsort(names, kind="stable")
        charges = np.flatnonzero(np.isfinite(self.units))
        first, last = (np.searchsorted(names[order], self.anchors[charges], side=side) for side in SIDES)
        count = last - first
        start = np.repeat(first - np.cumsum(count) + count, count)
        return order[start + np.arange(int(count.sum()))], np.repeat(charges, count)


@dataclass(frozen=True, slots=True)
class Tails:
    """What leads from each anchor's point to what it stands for: length [mm] and pieces on each surface, shape
    (anchors, surfaces), and whether a piece goes up or down, shape (anchors,)."""

    length_mm: Floats
    pieces: Floats
    up: Bools
    down: Bools

    def units(self, tariff: Tariff) -> Floats:
        """Money units but for bends, shape (anchors,); inf where the tariff closes a surface, or a piece goes the wrong
        way up or down."""
        rates = np.array([tariff.per_mm.get(s, 0) for s in SURFACES], dtype=np.float64)
        once = np.array([tariff.once.get(s, 0) for s in SURFACES], dtype=np.float64)
        missing = np.array([s not in tariff.per_mm for s in SURFACES])
        shut = self.pieces[:, missing].any(axis=1)
        if tariff.one_way:
            shut = shut | (self.down if tariff.one_way > 0 else self.up)
        return np.where(shut, np.inf, self.length_mm @ rates + self.pieces @ once)


def tails_of(anchors: Sequence[Anchor]) -> Tails:
    """The tails of some anchors."""
    length, pieces = np.zeros((2, len(anchors), len(SURFACES)))
    for i, (surface, length_mm) in ((i, part) for i, a in enumerate(anchors) for part in a.parts):
        length[i, NUMBERS[surface]] += length_mm
        pieces[i, NUMBERS[surface]] += 1
    up, down = np.array([a.ways for a in anchors], dtype=bool).reshape(-1, 2).T
    return Tails(length, pieces, up, down)


@dataclass(frozen=True, slots=True)
class Entries:
    """States from which a run may end, as columns of shape (n,): state, anchor index, and the
    length [mm] and bends behind it."""

    states: Ints
    names: Ints
    run: Floats
    bends: Ints
    tails: Tails

    def priced(self, tariff: Tariff, charges: Charges | None = None) -> Sources:
        """The entries as sources of a service that pays a tariff, named by anchor index; with ``charges`` once for
        each charge on their anchor, named by charge index."""
        tails = self.tails.units(tariff)
        rows, names, more = np.arange(len(self.names)), self.names, np.zeros(len(self.names))
        if charges is not None:
            rows, names = charges.on(self.names)
            more = charges.units[names]
        costs = np.asarray(tails[self.names[rows]] + more + self.bends[rows] * tariff.bend, dtype=np.float64)
        return Sources(self.states[rows], costs, self.run[rows], self.bends[rows], tuple(names.tolist()))


def add_anchor_planes(planes: Planes, sheets: Sheets, anchors: Iterable[Anchor]) -> None:
    """Make the places of ends critical."""
    skew = [w for w in sheets.walls if w.is_skew]
    for a in anchors:
        for axis in range(3):
            planes.add(axis, a.point[axis], f"end {a.end_id}")
            planes.add(axis, a.real[axis], f"end {a.end_id}")
        for w in skew:
            if w.face.id == a.sheet:
                planes.add_skew(w.face.id, round(dist(a.point[:2], w.face.start)), f"end {a.end_id}")


def tail_states(anchors: Iterable[Anchor]) -> list[tuple[int, Point3, int]]:
    """(room, point, axis) of the state from which each tail goes on straight."""
    return [(a.room, a.point, a.first_axis) for a in anchors if a.first_axis is not None]


def entries_of(lattice: Lattice, anchors: tuple[Anchor, ...]) -> Entries:
    """The states at all anchors: the one in line with the tail, or every state where there is no tail."""
    table = np.array([(a.room, *a.point) for a in anchors], dtype=np.int64).reshape(-1, 4)
    keys = lattice.keys.pack(*table.T)
    states = np.stack([lattice.state_ids(keys, axis) for axis in lattice.axes])
    into = np.array([ANY_AXIS if lattice.free_bends or a.first_axis is None else a.first_axis for a in anchors])
    wanted = (into == ANY_AXIS) | (into == np.array(lattice.axes)[:, None])
    k, name = np.nonzero((states >= 0) & wanted)
    run = np.array([a.run_mm for a in anchors], dtype=float)
    bends = np.array([a.elbows for a in anchors], dtype=np.int64)
    return Entries(states[k, name], name, run[name], bends[name], tails_of(anchors))

