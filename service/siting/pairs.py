"""Two heaters in one another's way: what both cost at least for each place at which one of them may stand.

For a place of the one, the other costs at least what its own table leaves outside the zones that the first makes
there. So all places whose sum reaches the best set are passed over without a search, ties along a wall among them.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.building.model import Prism
from service.clearance.model import Zone
from service.clearance.mount import mount_rules
from service.design import Design, Mount
from service.siting.dwelling_search import CORE, DwellingSearch, Gas, Held, Region
from service.siting.least_places import ByPlace, LeastPlaces
from service.siting.neighbour_ends import TURNED_SLACK_MM
from service.siting.neighbours import Neighbour, box_before
from service.siting.outcome import Outcome

BELOW = 0.5
"""Costs are whole money units: what is not lower by this is not lower."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that one of two heaters may stand at, and what both cost at least if it does, and that one alone [money
    units]. ``nearness``: how few places near it were last told together with it."""

    units: float
    own_units: float
    surface_id: str
    s_mm: int
    z_mm: int
    nearness: int = 0

    @property
    def place(self) -> tuple[str, int, int]:
        """Surface, distance and height."""
        return self.surface_id, self.s_mm, self.z_mm


@dataclass(frozen=True, slots=True)
class Party:
    """One of two heaters in one another's way: its search, what that is held to, the gas that it sees, what it found,
    and what its designs cost at least [money units]. ``wider``: its table where it is held to less."""

    search: DwellingSearch
    held: Held
    gas: Gas
    found: Outcome
    units: float
    wider: LeastPlaces | None = None

    @property
    def design(self) -> Design:
        """The design found."""
        return self.found.designs[0]

    def least_places(self, most: float) -> LeastPlaces | None:
        """What it costs at every place, dearer ones than ``most`` counted with that [money units]."""
        return self.search.least_places(self.held, self.gas, self.found, most, self.wider)


def spots_of(stands: Party, gives: Party, ends: bool, most: float) -> Iterator[Spot] | None:
    """Places of the terminal (``ends``), or of the case, of the one that stands at which both may cost less than
    ``most`` [money units] together, the least first. None where there is no table for one of them. What the other costs
    beside a place is not asked before the place could be the next: it is no less than the other's least anywhere, so
    whoever needs the first alone does not wait for all of them."""
    own, theirs = stands.least_places(most - gives.units), gives.least_places(most - stands.units)
    if own is None or theirs is None:
        return None
    least = theirs.of(ends)
    every = least_beyond(least, "")
    found = (
        Spot(units + every, units, name, s, z)
        for name, grid in own.of(ends).items()
        for s, z, units in grid.own_places(most - every - BELOW)
    )
    return _by_least(found, least, ZonesAlong(stands, gives, ends), most - BELOW)


def _by_least(spots: Iterable[Spot], theirs: ByPlace, zones: ZonesAlong, most: float) -> Iterator[Spot]:
    """Places told at their least, as they come by what both cost, those alike by place."""
    waiting = [(spot.units, False, spot.place, spot) for spot in spots]
    heapq.heapify(waiting)
    while waiting:
        _, is_told, place, spot = heapq.heappop(waiting)
        if is_told:
            yield spot
            continue
        told = replace(spot, units=max(spot.units, spot.own_units + least_beside(theirs, zones, spot)))
        if told.units <= most:
            heapq.heappush(waiting, (told.units, True, place, told))


def sharpened(spots: Iterable[Spot], stands: Party, gives: Party, most: float) -> tuple[Spot, ...]:
    """Places of a case near one another, with what the two cost where the other's runs may not pass what the case takes
    at all of them, and their terminals are kept apart as well."""
    group = tuple(spots)
    stands, gives = (replace(a, wider=a.least_places(most - b.units)) for a, b in ((stands, gives), (gives, stands)))
    near, beside = _near(stands, group), _past(gives, stands, group)
    theirs = beside.least_places(most - stands.units)
    ends = spots_of(near, beside, True, most)
    if theirs is None or ends is None:
        return group
    nearest = next(ends, None)
    apart = most if nearest is None else nearest.units
    zones, least = ZonesAlong(stands, gives, False), theirs.of(False)
    beyond = [spot.own_units + least_beside(least, zones, spot) for spot in group]
    return tuple(replace(spot, units=max(spot.units, apart, u)) for spot, u in zip(group, beyond, strict=True))


def _near(party: Party, spots: Sequence[Spot]) -> Party:
    """One held to the wall of some places of its case, and the box round them."""
    (surface,), s, z = {p.surface_id for p in spots}, [p.s_mm for p in spots], [p.z_mm for p in spots]
    box = Region(surface, (min(s), max(s)), (min(z), max(z)))
    return replace(party, held=replace(party.held, mounts=(*party.held.mounts, box)))


def _past(party: Party, stands: Party, spots: Sequence[Spot]) -> Party:
    """One whose runs may not pass what the case of the other takes at all of some places."""
    core = _core(stands, spots)
    return party if core is None else replace(party, held=replace(party.held, cores=(*party.held.cores, core)))


def _core(stands: Party, spots: Sequence[Spot]) -> Prism | None:
    """What the case takes wherever on one wall it hangs of some places; None if that is nothing."""
    (surface,), s, z = {p.surface_id for p in spots}, [p.s_mm for p in spots], [p.z_mm for p in spots]
    heater = stands.design.heater
    left, right = min(s) + heater.vent_dx_mm, max(s) + heater.vent_dx_mm - heater.width_mm
    face, low, high = stands.search.building.face(surface), max(z), min(z) + heater.height_mm
    if right >= left or low >= high:
        return None
    return box_before(f"{CORE} {stands.search.dwelling.id}", face, (right, left), (0, heater.depth_mm), (low, high))


def in_order(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """The least first, those alike by place."""
    return tuple(sorted(spots, key=lambda p: (p.units, p.place)))


def least_beside(theirs: ByPlace, zones: ZonesAlong, spot: Spot) -> float:
    """What the one that gives way costs at least while the other stands at a place."""
    others = least_beyond(theirs, spot.surface_id)
    if spot.surface_id not in theirs:
        return others
    return min(theirs[spot.surface_id].least(zones.at(*spot.place)), others)


def least_beyond(theirs: ByPlace, surface_id: str) -> float:
    """The least on all surfaces but one."""
    return min((g.least_units for name, g in theirs.items() if name != surface_id), default=float("inf"))


def put_at(party: Party, surface_id: str, s_mm: int, z_mm: int, ends: bool) -> Design:
    """Its design as far as a place of its terminal, or of its case, settles it."""
    bare = replace(party.design, routes=(), lines=(), total_cents=0, weighed_cents=None, sleeves=())
    if ends:
        return replace(bare, terminal=party.search.end_at(bare.heater, surface_id, s_mm, z_mm))
    return replace(bare, mount=Mount(surface_id, s_mm, z_mm))


class ZonesAlong:
    """Zones that one heater makes for another, by the place that it stands at: made once for each height of a surface,
    for along it they go with it."""

    def __init__(self, stands: Party, gives: Party, ends: bool) -> None:
        self._stands, self._gives, self._ends = stands, gives, ends
        self._slack = TURNED_SLACK_MM if stands.search.building.frame.angle_rad else 0
        self._known: dict[tuple[str, int], tuple[int, tuple[Zone, ...]]] = {}

    def at(self, surface_id: str, s_mm: int, z_mm: int) -> tuple[Zone, ...]:
        """Those on the surface itself."""
        key = surface_id, z_mm
        if key not in self._known:
            self._known[key] = s_mm, self._made(surface_id, s_mm, z_mm)
        at, zones = self._known[key]
        return tuple(_along(zone, s_mm - at, self._slack) for zone in zones)

    def _made(self, surface_id: str, s_mm: int, z_mm: int) -> tuple[Zone, ...]:
        design = put_at(self._stands, surface_id, s_mm, z_mm, self._ends)
        near = Neighbour(self._stands.search.dwelling.id, design, not self._ends, self._ends, False)
        search, heater = self._gives.search, self._gives.design.heater
        apart = search.apart(near)
        if self._ends:
            return tuple(apart.terminal(heater, None)[surface_id])
        return apart.mount(heater, search.building.face(surface_id), mount_rules(search.survey, heater))


def _along(zone: Zone, shift: int, slack: int) -> Zone:
    """A zone as it is farther along its surface, in a house askew narrower by what places are rounded."""
    s0, s1 = zone.s0 + slack, zone.s1 - slack
    middle = (zone.s0 + zone.s1) // 2
    s0, s1 = (middle, middle) if s0 > s1 else (s0, s1)
    within = zone.within and (zone.within[0] + shift + slack, zone.within[1] + shift - slack, *zone.within[2:])
    return replace(zone, s0=s0 + shift, s1=s1 + shift, within=within)
