"""The search for one dwelling's heater: within its own rooms, beside heaters that hang already."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from service.building.model import Building, Face, Prism
from service.clearance.model import FAR_MM, Zone, spec_of
from service.clearance.mount import mount_rules
from service.clearance.pins import EVERYWHERE
from service.clearance.roof import rise_on
from service.design import RoofTerminal, Service, Terminal
from service.routing.ends import Anchor, AnchorLine
from service.routing.obstacles import obstacles_of
from service.routing.sheets import sheets_of
from service.siting.active import Active, hung_on, on_surface
from service.siting.air_plan import AirPlan
from service.siting.eager import hanging_surfaces
from service.siting.gas_shares import without_shared_works
from service.siting.ground import Ends, Ground, Passing, ground_of
from service.siting.least_places import LeastPlaces, least_places, with_obstacles
from service.siting.needs import Need, with_leaders
from service.siting.neighbours import Apart, Neighbour, case_of
from service.siting.own_places import OwnPlaces, everything_of, planes_of
from service.siting.roof import surfaces_of
from service.siting.search import Outcome, search
from service.siting.terminals import sides_of, terminal_key
from service.siting.zones import ByWall, Zones
from service.survey.divided import of_dwelling, passable_rooms
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import Dwelling, GasSupply, Survey

CORE = "core of the case of"
"""How the names of things begin that a case takes wherever it hangs."""
HELD = "held_elsewhere"
"""Stands for a rule in zones that hold a search to a part of the places; no design is judged by it."""
Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Region:
    """Places on one surface that a search is held to: distances and heights (on a roof plane x and y), ends included
    [mm]. ``outside``: all places but that surface."""

    surface_id: str
    s: tuple[int, int] = (-FAR_MM, FAR_MM)
    z: tuple[int, int] = (-FAR_MM, FAR_MM)
    outside: bool = False

    @property
    def is_place(self) -> bool:
        """Whether it is one place alone."""
        return self.s[0] == self.s[1] and self.z[0] == self.z[1]

    def shut(self, surface_id: str) -> Iterator[Box]:
        """Open boxes of a surface that are closed."""
        if (surface_id == self.surface_id) == self.outside:
            yield from EVERYWHERE
        elif not self.outside:
            yield -FAR_MM, self.s[0], -FAR_MM, FAR_MM
            yield self.s[1], FAR_MM, -FAR_MM, FAR_MM
            yield -FAR_MM, FAR_MM, -FAR_MM, self.z[0]
            yield -FAR_MM, FAR_MM, self.z[1], FAR_MM


@dataclass(frozen=True, slots=True)
class Held:
    """What a search for one dwelling is held to: regions of the case and of the exhaust's terminal, names of what it
    may tap, names of heaters; None: whatever the dwelling may have. ``beside``: heaters that hang already;
    ``passing``: what is paid for holes that others may use as well; ``cores``: what a case takes wherever it hangs."""

    mounts: tuple[Region, ...] = ()
    ends: tuple[Region, ...] = ()
    taps: frozenset[str] | None = None
    heaters: frozenset[str] | None = None
    beside: tuple[Neighbour, ...] = ()
    passing: tuple[Passing, ...] = ()
    cores: tuple[Prism, ...] = ()

    def takes(self, name: str) -> bool:
        """Whether a heater is among those held to."""
        return self.heaters is None or name in self.heaters


def nameless(held: Held) -> Held:
    """The same with heaters that hang already named by their order: what they are called decides nothing."""
    return replace(held, beside=tuple(replace(n, id=f"neighbour {k}") for k, n in enumerate(held.beside)))


@dataclass(frozen=True, slots=True)
class Gas:
    """The gas system that a search sees, and what may be tapped in it. ``is_bound``: the search is for a bound, so what
    is bought once for all heaters costs nothing. ``most_mm``: no run of the heater's zone may be longer [mm]."""

    supply: GasSupply
    taps: frozenset[str] | None
    is_bound: bool = False
    most_mm: float = float("inf")


class DwellingZones(Zones):
    """The zones of the house for one dwelling, with those of heaters that hang already and of what it is held to."""

    def __init__(self, base: Zones, part: Building, apart: tuple[Apart, ...], held: Held) -> None:
        """``part``: the building with the dwelling's rooms alone; ``base`` computes for the whole of it."""
        super().__init__(base.building, base.survey)
        self._base, self._part, self._apart, self._held = base, part, apart, held

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        more = [a.terminal(heater, side) for a in self._apart]
        return {
            surface: (*zones, *(z for found in more for z in found[surface]), *self._shut(self._held.ends, surface))
            for surface, zones in self._base.terminal(heater, side).items()
        }

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        rules = mount_rules(self.survey, heater) if self._apart else ()
        more = (z for a in self._apart for z in a.mount(heater, face, rules))
        return (*self._base.mount(heater, face), *more, *self._shut(self._held.mounts, face.id))

    def hang(self, need: Need, surface: int) -> tuple[Zone, ...]:
        """Zones of a case on a wall of the dwelling, or on a facade counted on after these."""
        if not need.outdoors:
            return self.mount(need.heater, self._part.faces[surface])
        facade = self._part.facades[surface - len(self._part.faces)].id
        more = (z for a in self._apart for z in a.outdoors(need.heater)[facade])
        return (*self._base.outdoors(need.heater)[facade], *more, *self._shut(self._held.mounts, facade))

    def hold(self, ground: Ground, active: Active, need: Need | None) -> None:
        """Close at the start what the search is held from; bounds of all heaters know nothing of it."""
        if need is None:
            return
        for surface, _, _ in hanging_surfaces(ground, need):
            shut = self._shut(self._held.mounts, _surface_id(ground, surface))
            active.add_mount(need.key, surface, shut, (0, 0), hung_on(ground.building, ground.sheets, surface))
        if not need.outdoors:
            self._hold_ends(ground, active, need.heater)

    def _hold_ends(self, ground: Ground, active: Active, heater: Heater) -> None:
        for i, surface in enumerate(surfaces_of(ground.building)):
            on = on_surface(ground.building, ground.sheets, i)
            for side in sides_of(heater.vent):
                shut = self._shut(self._held.ends, surface.id)
                active.add_terminal(terminal_key(heater, side), i, shut, (0, 0), on)

    @staticmethod
    def _shut(regions: tuple[Region, ...], surface_id: str) -> Iterator[Zone]:
        for region in regions:
            yield from (Zone(surface_id, *box, 0, HELD, "held") for box in region.shut(surface_id))


class DwellingSearch:
    """Searches for one dwelling; what does not change from one to the next is kept."""

    def __init__(self, survey: Survey, building: Building, dwelling: Dwelling) -> None:
        self.dwelling, self.building = dwelling, building
        self.survey = of_dwelling(survey, dwelling)
        self.part = part_of(building, passable_rooms(survey, dwelling))
        self.zones = Zones(building, self.survey)
        self._free = without_shared_works(survey.prices)
        self._apart: dict[Neighbour, Apart] = {}
        self._own: dict[Held, OwnPlaces] = {}
        self._planes: dict[Gas, tuple[list[int], ...]] = {}
        self._least: dict[tuple[Held, Gas], LeastPlaces] = {}
        self.seen = self.ground(Held(), Gas(self.survey.gas, None))

    def found(self, held: Held, gas: Gas, deadline: float, ceiling: float = float("inf")) -> Outcome:
        """The cheapest design of those that it is held to, if one costs no more than the ceiling [money units];
        ``deadline`` is in seconds of the monotonic clock."""
        ground = self.ground(held, gas)
        return search(ground, self.zones_of(held), 1, deadline, time.monotonic, ceiling=ceiling)

    def inputs(self, held: Held) -> dict[str, float]:
        """Greatest input of each heater that the dwelling can have and is held to, by name [W]."""
        return {n.name: n.heater.input_max_w for n in self.seen.needs if held.takes(n.name)}

    def zones_of(self, held: Held) -> DwellingZones:
        """The zones that a search sees."""
        return DwellingZones(self.zones, self.part, tuple(self.apart(n) for n in held.beside), held)

    def ground(self, held: Held, gas: Gas) -> Ground:
        """What a search is given."""
        prices = self._free if gas.is_bound else self.survey.prices
        survey = replace(self.survey, gas=gas.supply, prices=prices)
        whole = ground_of(survey, self.building)
        cases = tuple(case_of(self.building, n) for n in held.beside if n.has_case)
        kept = (*self.part.keep_outs, *cases, *held.cores)
        part, sheets = replace(self.part, keep_outs=kept), sheets_of(self.part)
        needs = tuple(n for n in whole.needs if held.takes(n.name))
        open_taps = {Service.GAS: gas.taps}
        for need in needs:
            need.gas.most_mm = gas.most_mm
        return replace(
            whole,
            building=self.part,
            sheets=sheets,
            obstacles=obstacles_of(part, sheets),
            ends={s: _ends_in(whole, self.part, e, open_taps.get(s)) for s, e in whole.ends.items()},
            needs=with_leaders(needs, survey),
            air=AirPlan(survey, self.building),
            passing=held.passing,
        )

    def own_places(self, held: Held, gas: Gas) -> OwnPlaces:
        """Places critical for the one heater that a search is held to, wherever else it is held."""
        free = Held(heaters=held.heaters, beside=held.beside)
        if free not in self._own:
            (name,) = held.heaters or ("",)
            self._own[free] = OwnPlaces(self.ground(free, gas), self.zones_of(free), name)
        return self._own[free]

    def least_places(
        self, held: Held, gas: Gas, found: Outcome, most: float, wider: LeastPlaces | None = None
    ) -> LeastPlaces | None:
        """What the one heater that a search is held to costs at least at every place, ``most`` where it is dearer
        [money units], after what that search ``found``; None for several heaters, for one whose intake is placed
        besides, and outdoors. ``wider``: the same where it is held to less."""
        ground = self.ground(held, gas)
        needs = [n for n in ground.needs if n.heater.vent.intake is None and not n.outdoors]
        if len(ground.needs) != 1 or not needs or 0 not in found.actives:
            return None
        key = held, gas
        if key not in self._least or self._least[key].most < most:
            everything = everything_of(ground, self.zones_of(held), ground.needs[0])
            lazy = with_obstacles(ground, found.actives[0], ground.needs[0], CORE)
            self._least[key] = least_places(ground, lazy, everything, ground.needs[0], most, wider)
        return self._least[key]

    def end_at(self, heater: Heater, surface_id: str, s_mm: int, z_mm: int) -> Terminal | RoofTerminal:
        """The end of a heater's vent at a place of a facade, or of a roof plane over which it may end."""
        plane = next((p for p in self.building.roof if p.id == surface_id), None)
        if plane is None:
            return Terminal(surface_id, s_mm, z_mm)
        rise = rise_on(self.survey, spec_of(heater), plane) or 0
        return RoofTerminal(plane.id, s_mm, z_mm, plane.height_mm(s_mm, z_mm) + rise)

    def every_plane(self, gas: Gas) -> tuple[list[int], ...]:
        """Coordinates critical for any heater of the dwelling by itself, by axis."""
        if gas not in self._planes:
            ground, zones = self.ground(Held(), gas), self.zones_of(Held())
            found = [planes_of(ground, zones, need) for need in ground.needs]
            self._planes[gas] = tuple(sorted(set().union(*(p[axis] for p in found))) for axis in range(3))
        return self._planes[gas]

    def apart(self, neighbour: Neighbour) -> Apart:
        """Zones that a neighbour's heater makes here."""
        if neighbour not in self._apart:
            rules = mount_rules(self.survey, neighbour.design.heater)
            work = next((r for r in rules if r.rule.relation == "working_space"), None)
            self._apart[neighbour] = Apart(self.survey, self.building, neighbour, work)
        return self._apart[neighbour]


def _surface_id(ground: Ground, surface: int) -> str:
    """Wall, or facade counted on after the walls."""
    walls = ground.sheets.walls
    return walls[surface].face.id if surface < len(walls) else ground.building.facades[surface - len(walls)].id


def part_of(building: Building, rooms: Iterable[str]) -> Building:
    """The building with some of its rooms alone; its outer walls stay whole."""
    kept = frozenset(rooms)
    return replace(
        building,
        rooms=tuple(r for r in building.rooms if r.id in kept),
        faces=tuple(f for f in building.faces if f.room_id in kept),
        others_rooms=tuple(r for r in building.rooms if r.id not in kept),
    )


def _ends_in(whole: Ground, part: Building, ends: Ends, names: frozenset[str] | None) -> Ends:
    """Ends that lie in rooms of a part of the building, those of some names alone."""
    place = {r.id: i for i, r in enumerate(part.rooms)}
    rooms = [r.id for r in whole.building.rooms]

    def is_open(anchor: Anchor) -> bool:
        return rooms[anchor.room] in place and (names is None or anchor.end_id in names)

    def moved(anchor: Anchor) -> Anchor:
        return replace(anchor, room=place[rooms[anchor.room]])

    lines = (AnchorLine(line.end_id, moved(line.a), moved(line.b)) for line in ends.lines if is_open(line.a))
    return Ends(tuple(moved(a) for a in ends.anchors if is_open(a)), tuple(lines))
