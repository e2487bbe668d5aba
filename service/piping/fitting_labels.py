"""Exact choice where the fittings of one pipe decide what another must be: labels from the ends to the root.

A label stands for one choice for all pipes of a subtree: what it costs, ``down_mm``, the longest way in it, and
``room_mm``. Under the branch method that is how long the way to the subtree may be, so that no pipe in it is sized by
more than its reach; under the longest-length method it is the least reach in the subtree, which the zone's longest
run must not pass. Where one label costs no less than another, is no shorter and has no more room, it is of no use:
whatever the rest of the tree is, putting the other in its place leaves the whole lawful and no dearer.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from math import inf

from service.piping.options import Option


@dataclass(frozen=True, slots=True)
class Way:
    """One option of a pipe: money units, equivalent length of its fittings, longest length that it carries over."""

    option: Option
    units: int
    fittings_mm: int
    reach_mm: int


@dataclass(frozen=True, slots=True)
class Label:
    """Choice for a subtree, or for several that hang side by side (``way`` None)."""

    units: int
    down_mm: int
    room_mm: int
    pipe: int
    way: Way | None
    below: tuple[Label, ...]


ENDLESS_MM = 10**12
NOTHING = Label(0, 0, ENDLESS_MM, -1, None, ())


def cheapest(
    parents: Sequence[int], lengths_mm: Sequence[int], ways: list[list[Way]], branch: bool, under: int | None
) -> list[Way] | None:
    """Cheapest lawful choice of a zone that costs less than ``under``; None when there is none.

    ``ways``: options of each pipe, at least one each.
    """
    short = [length + min(w.fittings_mm for w in of) for length, of in zip(lengths_mm, ways, strict=True)]
    ahead, rest = _ahead_mm(parents, short), _rest_units(parents, ways)
    limit = inf if under is None else under
    below: list[list[Label]] = [[NOTHING] for _ in range(len(parents) + 1)]
    for i in range(len(parents) - 1, -1, -1):
        found = (_with(i, lengths_mm[i], way, label, branch) for way in ways[i] for label in below[i])
        useful = _front(x for x in found if _hopeful(x, ahead[i], branch) and x.units + rest[i] < limit)
        below[parents[i]] = _front(_beside(a, b) for a, b in product(below[parents[i]], useful))
    lawful = (x for x in below[-1] if _hopeful(x, 0, branch) and x.units < limit)
    best = min(lawful, key=lambda x: x.units, default=None)
    return None if best is None else _picks(best, len(parents))


def _with(i: int, length_mm: int, way: Way, below: Label, branch: bool) -> Label:
    """A pipe on top of what hangs on it."""
    own = length_mm + way.fittings_mm
    room = min(below.room_mm, way.reach_mm - below.down_mm) - own if branch else min(below.room_mm, way.reach_mm)
    return Label(way.units + below.units, own + below.down_mm, room, i, way, (below,))


def _beside(a: Label, b: Label) -> Label:
    """Two subtrees on one node."""
    return Label(a.units + b.units, max(a.down_mm, b.down_mm), min(a.room_mm, b.room_mm), -1, None, (a, b))


def _hopeful(label: Label, ahead_mm: int, branch: bool) -> bool:
    """Whether the shortest way there might be to the subtree leaves it lawful."""
    return label.room_mm >= (ahead_mm if branch else ahead_mm + label.down_mm)


def _front(labels: Iterable[Label]) -> list[Label]:
    """Labels that no other makes useless, the cheapest first; of equal ones the first."""
    downs: list[int] = []
    rooms: list[int] = []
    kept = []
    for label in sorted(labels, key=lambda x: (x.units, x.down_mm, -x.room_mm)):
        at = bisect_right(downs, label.down_mm)
        if at and rooms[at - 1] >= label.room_mm:
            continue
        kept.append(label)
        first, last = bisect_left(downs, label.down_mm), bisect_right(rooms, label.room_mm)
        downs[first:last], rooms[first:last] = [label.down_mm], [label.room_mm]
    return kept


def _ahead_mm(parents: Sequence[int], own_mm: list[int]) -> list[int]:
    """Length between each pipe and the root [mm]."""
    ahead = [0] * len(parents)
    for i, parent in enumerate(parents):
        ahead[i] = ahead[parent] + own_mm[parent] if parent >= 0 else 0
    return ahead


def _rest_units(parents: Sequence[int], ways: list[list[Way]]) -> list[int]:
    """Least that all pipes outside the subtree of each cost [money units]."""
    least = [min(way.units for way in of) for of in ways]
    within = list(least)
    for i in range(len(parents) - 1, -1, -1):
        if parents[i] >= 0:
            within[parents[i]] += within[i]
    return [sum(least) - units for units in within]


def _picks(label: Label, count: int) -> list[Way]:
    """The way of each pipe in a label of the whole zone."""
    picks: dict[int, Way] = {}
    front = [label]
    while front:
        at = front.pop()
        front += at.below
        if at.way is not None:
            picks[at.pipe] = at.way
    return [picks[i] for i in range(count)]
