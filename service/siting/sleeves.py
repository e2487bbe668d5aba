"""Holes in walls and floors between rooms that runs of several heaters pass together: where, at what price, how split.

The hole is one where runs of one service of different heaters pass the same wall or floor at the same place, and in
each passage (a wall between two rooms, or the foot of a wall over a ceiling) one such hole is made for a service at
most. Until a node says more, each heater that may pass there pays its even share of it, the least that any sharing
leaves to it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.design import Design, Route, Service, Sleeve, Surface
from service.routing.sheets import FloorCrossing, Sheets, WallCrossing
from service.routing.tariff import Passage
from service.siting.costing import sleeve_keys
from service.siting.ground import Passing
from service.siting.tariffs import crossing_key
from service.survey.equipment import PriceBook
from service.survey.model import Point3

SERVICES = (Service.GAS, Service.COLD, Service.HOT, Service.DRAIN, Service.POWER)
"""A vent's hole is its own: it is sealed round one pipe."""
THROUGH = (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING)


@dataclass(frozen=True, slots=True)
class Place:
    """One service in one passage, with the heaters that may pass there, by index."""

    service: Service
    passage: Passage
    users: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Settled:
    """What a node holds a place to: no hole shared (``within`` None), or one in a part of the passage, paid once."""

    place: Place
    within: Passage | None


def places_of(sheets: Sequence[Sheets]) -> tuple[Place, ...]:
    """Where at least two of several heaters, each with the sheets of its own rooms, may pass."""
    found: dict[Passage, list[int]] = {}
    for i, own in enumerate(sheets):
        for passage in dict.fromkeys(_passages(own)):
            found.setdefault(passage, []).append(i)
    return tuple(Place(s, p, tuple(users)) for p, users in found.items() if len(users) > 1 for s in SERVICES)


def _passages(sheets: Sheets) -> Iterator[Passage]:
    yield from (_of_wall(k) for k in sheets.wall_crossings)
    yield from (_of_floor(k) for k in sheets.floor_crossings)


def _of_wall(k: WallCrossing) -> Passage:
    low, high = sorted((k.a.plane, k.b.plane))
    ends = [(c, low, z) if k.a.axis == 0 else (low, c, z) for c, z in ((k.c0, k.z0), (k.c1, k.z1))]
    return Passage(Surface.WALL_CROSSING, ends[0], ends[1], high - low)


def _of_floor(k: FloorCrossing) -> Passage:
    w, z = k.above, k.below.room.ceiling_z
    ends = [(c, w.plane, z) if w.axis == 0 else (w.plane, c, z) for c in w.span]
    return Passage(Surface.FLOOR_CROSSING, ends[0], ends[1], w.face.z0 - z)


def price_of(place: Place, prices: PriceBook) -> int:
    """What one hole costs there [money units]."""
    key = crossing_key(place.service, place.passage.surface)
    return 0 if key is None else prices[key].units_each


def paid_once(settled: Iterable[Settled], prices: PriceBook) -> int:
    """What holes that a node says are shared cost [money units]."""
    return sum(price_of(s.place, prices) for s in settled if s.within is not None)


def passing_of(
    index: int, places: Iterable[Place], settled: Iterable[Settled], prices: PriceBook
) -> tuple[Passing, ...]:
    """What one heater pays in passages that it has in common with others, at least."""
    known = {s.place: s.within for s in settled}
    found = []
    for place in (p for p in places if index in p.users):
        within = known.get(place, place.passage)
        if within is not None:
            units = 0 if place in known else price_of(place, prices) // len(place.users)
            found.append(Passing(place.service, within, units, within != place.passage))
    return tuple(found)


def holes_of(routes: Iterable[Route]) -> tuple[Sleeve, ...]:
    """The holes of some runs that could be shared."""
    return tuple(
        Sleeve(route.service, piece.surface, *sorted((piece.start, piece.end)))
        for route in routes
        if route.service in SERVICES
        for piece in route.pieces
        if piece.surface in THROUGH
    )


def shared_among(designs: Sequence[Design], places: Iterable[Place]) -> tuple[Sleeve, ...]:
    """Of each place the hole that most of some designs have in common, if two have."""
    every = [set(holes_of(d.routes)) for d in designs]
    return tuple(s for place in places if (s := _most_used(place, every)) is not None)


def _most_used(place: Place, every: Sequence[set[Sleeve]]) -> Sleeve | None:
    count = Counter(s for i in place.users for s in every[i] if is_at(s, place.service, place.passage))
    best = min(count, key=lambda s: (-count[s], s.start), default=None)
    return best if best is not None and count[best] > 1 else None


def is_at(sleeve: Sleeve, service: Service, passage: Passage) -> bool:
    """Whether a hole is one of a service in a passage."""
    length = sum(b - a for a, b in zip(sleeve.start, sleeve.end, strict=True))
    return sleeve.service is service and passage.holds(sleeve.start, sleeve.surface, length)


def as_passing(sleeve: Sleeve) -> Passing:
    """A hole that is there, and passed for nothing."""
    length = sum(b - a for a, b in zip(sleeve.start, sleeve.end, strict=True))
    return Passing(sleeve.service, Passage(sleeve.surface, sleeve.start, sleeve.start, length), 0)


def units_of(sleeves: Iterable[Sleeve], prices: PriceBook) -> int:
    """What some holes cost [money units]."""
    return sum(prices[key].units_each for key in sleeve_keys(sleeves))


def paid_together(routes: Iterable[Route], passing: Sequence[Passing]) -> tuple[tuple[Sleeve, int], ...]:
    """Holes of some routes for which something else than their price is paid, with that [money units]."""
    found = []
    for sleeve in holes_of(routes):
        units = [p.units for p in passing if is_at(sleeve, p.service, p.passage)]
        found += [(sleeve, min(units))] if units else []
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Short:
    """A place where some designs pay more than a node counts: by how much [money units], and through which holes."""

    place: Place
    units: int
    holes: tuple[Sleeve, ...]


def short_of(
    designs: Sequence[Design], places: Iterable[Place], settled: Iterable[Settled], prices: PriceBook
) -> Short | None:
    """Where a node counts the holes of some designs least of what they cost; None where it counts all of them."""
    known = {s.place: s.within for s in settled}
    every = [set(holes_of(d.routes)) for d in designs]
    found = [s for place in places if (s := _short(place, known, every, prices)).units > 0]
    return max(found, key=lambda s: s.units, default=None)


def _short(
    place: Place, known: dict[Place, Passage | None], every: Sequence[set[Sleeve]], prices: PriceBook
) -> Short:
    within, price = known.get(place, place.passage), price_of(place, prices)
    if within is None:
        return Short(place, 0, ())
    holes = [s for i in place.users for s in every[i] if is_at(s, place.service, within)]
    most = max(Counter(holes).values(), default=0)
    cost = price * (len(holes) - max(most - 1, 0))
    counted = price if place in known else len(holes) * (price // len(place.users))
    return Short(place, cost - counted, tuple(holes))


def split_by_hole(
    settled: tuple[Settled, ...], short: Short, lines: Sequence[Sequence[int]]
) -> list[tuple[Settled, ...]] | None:
    """Split a node where holes cost more than it counts: shared or not, then by where the shared one is. ``lines``:
    critical coordinates of all heaters, by axis [mm]. None where no line is left to split at."""
    known = next((s for s in settled if s.place == short.place), None)
    if known is None:
        return [(*settled, Settled(short.place, within)) for within in (None, short.place.passage)]
    rest = tuple(s for s in settled if s is not known)
    starts = sorted({s.start for s in short.holes})
    axis = next((a for a in range(3) if len({p[a] for p in starts}) > 1), None)
    if known.within is None or axis is None:
        return None
    parts = _halves(known.within, axis, sorted(p[axis] for p in starts), lines[axis])
    return [(*rest, Settled(short.place, part)) for part in parts] or None


def _halves(within: Passage, axis: int, found: Sequence[int], lines: Sequence[int]) -> list[Passage]:
    """The lines of a passage up to the middle between two places, and those beyond."""
    middle, low, high = (found[0] + found[-1]) // 2, within.low[axis], within.high[axis]
    below = [v for v in lines if low <= v <= middle]
    above = [v for v in lines if middle < v <= high]
    parts = [replace(within, high=_put(within.high, axis, below[-1]))] if below else []
    return parts + ([replace(within, low=_put(within.low, axis, above[0]))] if above else [])


def _put(at: Point3, axis: int, value: int) -> Point3:
    x, y, z = (value if i == axis else v for i, v in enumerate(at))
    return x, y, z
