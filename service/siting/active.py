"""What a search has found to matter: planes, obstacles and zones cut into the lattice so far."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import isqrt

from service.building.model import Building
from service.building.roof_model import RoofPlane
from service.clearance.model import Zone
from service.design import MANIFOLD_DROP_MM, Service
from service.routing.obstacles import Obstacle
from service.routing.planes import Planes
from service.routing.sheets import Sheets, WallSheet
from service.siting.rims import crossing_lines

TerminalKey = tuple[object, ...]
"""Heaters with equal keys have the same terminal zones on every facade."""
MountKey = tuple[str, bool]
"""Heater, and whether it hangs outdoors."""
Place = tuple[int, int]
"""Along a surface and up it [mm]."""
AddPlane = Callable[[Planes, int, str], bool]
"""Puts one line or level of a surface in [mm], with its reason; False if it was in or lies off the surface."""


@dataclass(slots=True)
class Active:
    """Growing state of a lazy search. Obstacles are kept by pipe radius [mm]; ``shut`` are places (surface, s, z)
    within arcs that are cut in already where they cross the lines through them, by kind of terminal; ``shut_hubs``
    places of a case likewise, by key and surface. ``mount`` is by surface: a wall, or a facade counted on after the
    walls. ``tight``: how many planes the limits on each service made critical, at hubs that came up by themselves and
    at those that bounds hide; None stands for limits on several."""

    planes: Planes
    obstacles: dict[int, list[Obstacle]] = field(default_factory=dict)
    terminal: dict[TerminalKey, dict[int, list[Zone]]] = field(default_factory=dict)
    mount: dict[MountKey, dict[int, list[Zone]]] = field(default_factory=dict)
    tight: Counter[tuple[Service | None, bool]] = field(default_factory=Counter)
    shut: dict[TerminalKey, set[tuple[int, int, int]]] = field(default_factory=dict)
    shut_hubs: set[tuple[MountKey, int, int, int]] = field(default_factory=set)

    def add_obstacle(self, radius_mm: int, obstacle: Obstacle, sheets: Sheets) -> bool:
        """Cut an obstacle in for pipes of one radius; False if it was in."""
        known = self.obstacles.setdefault(radius_mm, [])
        grown = obstacle.grown(radius_mm)
        if grown in known:
            return False
        known.append(grown)
        grown.add_planes(self.planes, sheets)
        return True

    def add_mount(self, key: MountKey, surface: int, zones: Iterable[Zone], at: Place, on: OnMount) -> bool:
        """Cut zones of a case in, with the lines that matter near ``at``; False if all was in."""
        return self._cut(self.mount.setdefault(key, {}), surface, tuple(zones), at, on.add_line, on.add_hub)

    def add_terminal(self, key: TerminalKey, surface: int, zones: Iterable[Zone], at: Place, on: OnSurface) -> bool:
        """Cut zones of a facade or roof in, with the lines that matter near ``at``; False if all was in."""
        return self._cut(self.terminal.setdefault(key, {}), surface, tuple(zones), at, on.add_line, on.add_height)

    def _cut(
        self, by_surface: dict[int, list[Zone]], surface: int, zones: tuple[Zone, ...], at: Place,
        add_line: AddPlane, add_level: AddPlane,
    ) -> bool:  # fmt: skip
        known = by_surface.setdefault(surface, []) if zones else []
        new = [zone for zone in zones if zone not in known]
        known += new
        added = bool(new)
        if any(zone.radius2 for zone in new):
            for add, lines in zip((add_line, add_level), crossing_lines(known), strict=True):
                for line in lines:
                    added |= add(self.planes, line, "rims cross")
        for zone in zones:
            for add, lines in zip((add_line, add_level), open_lines(zone, at, known), strict=True):
                for line in lines:
                    added |= add(self.planes, line, zone.rule_id)
        return added


def critical_lines(zone: Zone, at: Place) -> tuple[list[int], list[int]]:
    """Distances and heights that a zone makes critical: its extremes, and its arc where it cuts
    the two lines through ``at`` (elsewhere on an arc no cheapest design can lie, lemma L4)."""
    r = isqrt(max(zone.radius2 - 1, 0)) + 1 if zone.radius2 else 0
    s_lines, z_lines = [zone.s0 - r, zone.s1 + r], [zone.z0 - r, zone.z1 + r]
    if zone.within is not None:
        s_lines += zone.within[:2]
        z_lines += zone.within[2:]
    if zone.radius2:
        s, z = at
        up = _reach(zone.radius2, max(zone.s0 - s, s - zone.s1, 0))
        along = _reach(zone.radius2, max(zone.z0 - z, z - zone.z1, 0))
        s_lines += [zone.s0 - along, zone.s1 + along]
        z_lines += [zone.z0 - up, zone.z1 + up]
    return s_lines, z_lines


def open_lines(zone: Zone, at: Place, among: Sequence[Zone]) -> tuple[list[int], list[int]]:
    """``critical_lines`` but for those on which all that the zone reaches is in others ``among``: an edge that is
    hidden decides nothing, and stays hidden when more are cut in."""
    r = _reach(zone.radius2, 0)
    spans = (zone.z0 - r, zone.z1 + r), (zone.s0 - r, zone.s1 + r)
    found = zip(critical_lines(zone, at), spans, strict=True)
    s, z = ([line for line in lines if _is_open(among, k, line, *span)] for k, (lines, span) in enumerate(found))
    return s, z


def _is_open(zones: Iterable[Zone], axis: int, line: int, at: int, last: int) -> bool:
    """Whether some place of a line across an axis is in no zone, of those between two."""
    hidden = [part for zone in zones if (part := _hidden(zone, axis, line)) is not None]
    while at <= last:
        ends = [end for begin, end in hidden if begin < at < end]
        if not ends:
            return True
        at = max(ends)
    return False


def _hidden(zone: Zone, axis: int, line: int) -> tuple[int, int] | None:
    """Between which places of a line across an axis a zone lies, None if it does not meet it."""
    turn = -1 if axis else 1
    across, (begin, end) = ((zone.s0, zone.s1), (zone.z0, zone.z1))[::turn]
    half = _reach(zone.radius2, max(across[0] - line, line - across[1], 0))
    if not half and (zone.radius2 or not across[0] < line < across[1]):
        return None
    if zone.within is None:
        return begin - half, end + half
    box, (low, high) = (zone.within[:2], zone.within[2:])[::turn]
    return (max(begin - half, low), min(end + half, high)) if box[0] < line < box[1] else None


def _reach(radius2: int, gap: int) -> int:
    """Least whole distance that clears the arc at a gap along the other axis [mm]."""
    rest = radius2 - gap * gap
    return isqrt(rest - 1) + 1 if rest > 0 else 0


@dataclass(frozen=True, slots=True)
class OnFacade:
    """Translates a facade's (s, z) into planes of the lattice."""

    building: Building
    sheets: Sheets
    facade: int

    def add_line(self, planes: Planes, s: int, reason: str) -> bool:
        """Put an upright line of the facade in; False if it was in or lies beyond the wall."""
        facade = self.building.facades[self.facade]
        if facade.axis is not None:
            a, b = facade.start[facade.axis], facade.end[facade.axis]
            c = a + s if b > a else a - s
            return min(a, b) <= c <= max(a, b) and planes.add(facade.axis, c, reason)
        stretches = [(w, t) for w in self.sheets.walls for t in w.face.stretches if t.facade_id == facade.id]
        added = [add_line(planes, w, t.s0 + s - t.facade_s0, reason) for w, t in stretches]
        return any(added)

    def add_height(self, planes: Planes, z: int, reason: str) -> bool:
        """Put a level of the facade in; False if it was in or lies off the wall."""
        return self._holds(z) and planes.add(2, z, reason)

    def add_hub(self, planes: Planes, bottom_z: int, reason: str) -> bool:
        """Put the manifold height that belongs to a case's bottom in; False if it was in or lies off the wall."""
        height = bottom_z - MANIFOLD_DROP_MM
        return self._holds(height) and planes.add_hub(height, reason)

    def _holds(self, z: int) -> bool:
        return any(z0 <= z <= z1 for _, _, z0, z1 in self.building.facades[self.facade].spans)


@dataclass(frozen=True, slots=True)
class OnWall:
    """Translates a wall face's (s, z) into planes of the lattice."""

    wall: WallSheet

    def add_line(self, planes: Planes, s: int, reason: str) -> bool:
        """Put an upright line of the face in; False if it was in or lies beyond it."""
        return add_line(planes, self.wall, s, reason)

    def add_hub(self, planes: Planes, bottom_z: int, reason: str) -> bool:
        """Put the manifold height that belongs to a case's bottom in; False if it was in or lies off the face."""
        height = bottom_z - MANIFOLD_DROP_MM
        return self.wall.face.z0 <= height <= self.wall.face.z1 and planes.add_hub(height, reason)


OnMount = OnWall | OnFacade


def hung_on(building: Building, sheets: Sheets, surface: int) -> OnMount:
    """What a case hangs on: a wall, or a facade counted on after the walls."""
    walls = len(sheets.walls)
    return OnWall(sheets.walls[surface]) if surface < walls else OnFacade(building, sheets, surface - walls)


@dataclass(frozen=True, slots=True)
class OnRoof:
    """Translates a roof plane's (x, y) into planes of the lattice."""

    plane: RoofPlane

    def add_line(self, planes: Planes, s: int, reason: str) -> bool:
        """Put a plane square to x in; False if it was in or lies beyond the roof."""
        return self._add(planes, 0, s, reason)

    def add_height(self, planes: Planes, z: int, reason: str) -> bool:
        """Put a plane square to y in; False if it was in or lies beyond the roof."""
        return self._add(planes, 1, z, reason)

    def _add(self, planes: Planes, axis: int, value: int, reason: str) -> bool:
        along = [p[axis] for p in self.plane.outline]
        return min(along) <= value <= max(along) and planes.add(axis, value, reason)


OnSurface = OnFacade | OnRoof


def on_surface(building: Building, sheets: Sheets, index: int) -> OnSurface:
    """Translator for the facade or, counted on, the roof plane of an index."""
    count = len(building.facades)
    return OnFacade(building, sheets, index) if index < count else OnRoof(building.roof[index - count])


def add_line(planes: Planes, wall: WallSheet, s: int, reason: str) -> bool:
    """Put the upright line at distance ``s`` of a face in, if it is on the face."""
    if not 0 <= s <= wall.face.length_mm:
        return False
    if wall.is_skew:
        return planes.add_skew(wall.face.id, s, reason)
    return planes.add(wall.axis, wall.coordinate(s), reason)


def zones_over(zones: Iterable[Zone], s: int, z: int) -> list[Zone]:
    """Zones that forbid a point."""
    return [zone for zone in zones if zone.covers(s, z)]
