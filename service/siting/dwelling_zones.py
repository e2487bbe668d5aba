"""A house as one dwelling's heater sees it: its own rooms, beside heaters that hang already, on gas that they leave.

What a search is held to besides is told as zones, so that it sees that like rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from service.building.model import Building, Face, Prism
from service.clearance.model import FAR_MM, Zone
from service.clearance.mount import mount_rules
from service.clearance.pins import EVERYWHERE
from service.design import Service
from service.routing.ends import Anchor, AnchorLine
from service.routing.obstacles import obstacles_of
from service.routing.sheets import sheets_of
from service.siting.active import Active, hung_on, on_surface
from service.siting.air_plan import AirPlan
from service.siting.ground import Ends, Ground, Passing, ground_of, hanging_surfaces
from service.siting.lifts import AIR, Rules
from service.siting.needs import Need, with_leaders
from service.siting.neighbours import Apart, Neighbour, case_of
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key
from service.siting.zones import ByWall, Zones
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import GasSupply, Survey

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


class Share:
    """What of a house is one dwelling's: a survey as it has it, the whole house, and rooms that its runs may pass. What
    does not change from one search to the next is kept."""

    def __init__(self, survey: Survey, building: Building, rooms: frozenset[str]) -> None:
        self.survey, self.building, self.rooms = survey, building, rooms
        self.part = part_of(building, rooms)
        self.zones = Zones(building, survey)
        self._apart: dict[Neighbour, Apart] = {}

    def seen(self, held: Held, gas: Gas) -> DwellingZones:
        """The zones that a search sees."""
        return DwellingZones(self, held, gas)

    def apart(self, neighbour: Neighbour) -> Apart:
        """Zones that a neighbour's heater makes here."""
        if neighbour not in self._apart:
            rules = mount_rules(self.survey, neighbour.design.heater)
            work = next((r for r in rules if r.rule.relation == "working_space"), None)
            self._apart[neighbour] = Apart(self.survey, self.building, neighbour, work)
        return self._apart[neighbour]

    def ground(self, survey: Survey, held: Held, gas: Gas, lifted: Rules = frozenset()) -> Ground:
        """What a search takes from a survey of this house; the gas system is the survey's."""
        whole = ground_of(survey, self.building, lifted)
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
            air=AirPlan(survey, self.building, lifted >= AIR),
            passing=held.passing,
        )


class DwellingZones(Zones):
    """The zones of the house for one dwelling, with those of heaters that hang already and of what it is held to."""

    def __init__(self, share: Share, held: Held, gas: Gas) -> None:
        """Share what has been computed for the house already."""
        super().__init__(share.part, share.survey)
        self._share, self._held, self._gas = share, held, gas
        self._near = tuple(share.apart(n) for n in held.beside)

    @property
    def whole(self) -> Building:
        """The house with all of its rooms, those of other dwellings too."""
        return self._share.building

    def of(self, survey: Survey, building: Building) -> DwellingZones:
        """The zones of another survey, or another house, for the same dwelling beside the same heaters."""
        return Share(survey, building, self._share.rooms).seen(self._held, replace(self._gas, supply=survey.gas))

    def ground(self, survey: Survey, building: Building, lifted: Rules = frozenset()) -> Ground:
        """What a search takes from a survey, or a house, for the same dwelling beside the same heaters."""
        share = self._share if building is self.whole else Share(survey, building, self._share.rooms)
        return share.ground(survey, self._held, self._gas, lifted)

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        more = [a.terminal(heater, side) for a in self._near]
        return {
            surface: (*zones, *(z for found in more for z in found[surface]), *self._shut(self._held.ends, surface))
            for surface, zones in self._share.zones.terminal(heater, side).items()
        }

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        rules = mount_rules(self.survey, heater) if self._near else ()
        more = (z for a in self._near for z in a.mount(heater, face, rules))
        return (*self._share.zones.mount(heater, face), *more, *self._shut(self._held.mounts, face.id))

    def outdoors(self, heater: Heater) -> ByWall:
        """Zones of a heater's case outdoors by facade."""
        more = [a.outdoors(heater) for a in self._near]
        return {
            facade: (*zones, *(z for found in more for z in found[facade]), *self._shut(self._held.mounts, facade))
            for facade, zones in self._share.zones.outdoors(heater).items()
        }

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
