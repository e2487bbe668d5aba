"""Vent terminals as the ends of the vent's run: every lattice point on an outer wall."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from service.building.model import Behind, Building, Facade, Stretch
from service.clearance.model import Zone
from service.design import Piece, RoofTerminal, Surface, Terminal
from service.routing.columns import Columns, Cuts, between
from service.routing.lattice import Bools, Lattice
from service.routing.planes import Ints, Lines, distinct
from service.routing.roof import roof_columns
from service.routing.sheets import FIRST_SKEW_AXIS, Sheets, WallSheet
from service.routing.tariff import Floats, Sources, Tariff
from service.siting.active import TerminalKey
from service.siting.roof import Ends, surface_of
from service.survey.equipment import Heater, VentListing
from service.survey.intake_listing import IntakeSide


@dataclass(frozen=True, slots=True)
class Outlets:
    """Places where a vent can leave the house as columns, shape (n,): state, wall, coordinate, facade place, turn.

    ``depth`` is the way through the wall [mm]; ``turn`` is 1 where the state's axis is not square to it. ``facade``
    counts on into the roof planes: there ``s`` and ``z`` are x and y, ``wall`` is -1 - room and ``depth`` the way up to
    the roof.
    """

    state: Ints
    wall: Ints
    c: Ints
    facade: Ints
    s: Ints
    z: Ints
    depth: Ints
    turn: Ints

    def at(self, places: Container[tuple[int, int, int]]) -> set[int]:
        """Indices of the outlets at some places: facade, distance and height."""
        every = zip(self.facade.tolist(), self.s.tolist(), self.z.tolist(), strict=True)
        return {i for i, place in enumerate(every) if place in places}


NO_OUTLETS = Outlets(*(np.zeros(0, dtype=np.int64) for _ in range(8)))


def outlets_of(building: Building, sheets: Sheets, cuts: Cuts, lattice: Lattice) -> Outlets:
    """All states from which a vent can leave the house square to its wall, or straight up through the roof."""
    index = {f.id: i for i, f in enumerate(building.facades)}
    met = set(distinct(lattice.arcs.sheet).tolist())
    places = [
        _on_stretch(w, t, index[t.facade_id], building.facades[index[t.facade_id]], cuts)
        for w in sheets.walls
        if w.index in met
        for t in w.face.stretches
        if t.behind is Behind.OUTDOORS and t.facade_id is not None
    ]
    columns = [*([_at_states(lattice, places)] if places else []), *roof_columns(building, sheets, lattice)]
    if not columns:
        return NO_OUTLETS
    return Outlets(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def _on_stretch(w: WallSheet, t: Stretch, facade_index: int, facade: Facade, cuts: Cuts) -> list[Ints]:
    """Node, wall, coordinate, facade, distance, height and depth of the places on a stretch, and of its wall the axis
    along it and the one square to it, -1 if it is skew."""
    columns = cuts.columns(w)
    through = _through(t, facade, columns)
    on, zs = _cut_stretch(w, t, through, cuts)
    k, z = np.repeat(on, len(zs)), np.tile(zs, len(on))
    node = cuts.keys.pack(w.room, columns.x[k], columns.y[k], z)
    depth = np.rint(np.hypot(*through.T)).astype(np.int64)[k]  # from the face to the facade's plane
    facts = w.index, facade_index, w.axis, -1 if w.is_skew else w.normal_axis
    wall, number, along, square = (np.full(len(k), n) for n in facts)
    return [node, wall, columns.c[k], number, t.facade_s0 + columns.s[k] - t.s0, z, depth, along, square]


def _at_states(lattice: Lattice, places: list[list[Ints]]) -> list[Ints]:
    """Columns of ``Outlets`` at all states of the places of stretches; those of a stretch stay together."""
    node, *facts, along, square = (np.concatenate(column) for column in zip(*places, strict=True))
    stretch = np.repeat(np.arange(len(places)), [len(p[0]) for p in places])
    rows = []
    for axis in lattice.axes:
        state = lattice.state_ids(node, axis)
        has = np.flatnonzero((state >= 0) & ((axis < FIRST_SKEW_AXIS) | (along == axis)))
        turn = (square[has] != axis).astype(np.int64)
        rows.append([stretch[has], state[has], *(column[has] for column in facts), turn])
    of, *columns = (np.concatenate(column) for column in zip(*rows, strict=True))
    order = np.argsort(of, kind="stable")
    return [column[order] for column in columns]


def _cut_stretch(w: WallSheet, t: Stretch, through: Ints, cuts: Cuts) -> tuple[Ints, Ints]:
    """Numbers of the uprights of a stretch at which a vent can go out, and its heights; ``through`` as ``_through``."""
    columns, heights = cuts.columns(w), cuts.coordinates[2]
    on = np.flatnonzero((columns.s >= t.s0) & (columns.s <= t.s1) & _goes_square(w, through))
    return on, between(heights, w.face.z0, w.face.z1)


def lines_of(building: Building, sheets: Sheets, cuts: Cuts, outlets: Outlets, facade: int) -> Lines:
    """Lines of a whole facade, of whatever part of it the outlets are; of a roof plane those of its outlets."""
    if facade >= len(building.facades):
        here = outlets.facade == facade
        return distinct(outlets.s[here]), distinct(outlets.z[here])
    along, up = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
    before = building.facades[facade]
    for w, t in ((wall, t) for wall in sheets.walls for t in wall.face.stretches if t.facade_id == before.id):
        on, zs = _cut_stretch(w, t, _through(t, before, cuts.columns(w)), cuts)
        along.append(t.facade_s0 + cuts.columns(w).s[on] - t.s0)
        up.append(zs if len(on) else zs[:0])
    return distinct(np.concatenate(along)), distinct(np.concatenate(up))


def _goes_square(w: WallSheet, through: Ints) -> Bools:
    """Whether the way through is square to the wall at each upright, to the rounding of its points if skew: not where
    the outside runs at another angle."""
    along = np.subtract(w.face.end, w.face.start) / w.face.length_mm
    return np.asarray(np.abs(through @ along) <= (1 if w.is_skew else 0))


def _through(t: Stretch, facade: Facade, columns: Columns) -> Ints:
    """From the face to the facade at each upright of a wall, shape (n, 2) [mm]; points as ``Facade.point`` rounds."""
    share = (t.facade_s0 + columns.s - t.s0)[:, None] / facade.length_mm
    out = np.rint(facade.start + share * np.subtract(facade.end, facade.start)).astype(np.int64)
    return np.asarray(out - np.stack([columns.x, columns.y], axis=1))


def lawful(
    outlets: Outlets, zones: Mapping[int, Iterable[Zone]], shut: list[int], lines: Callable[[int], Lines]
) -> Bools:
    """Which outlets may be used: in none of the zones (by index of facade or roof plane) and not ``shut``.

    An outlet inside a round zone stays open as long as the arc passes between it and the next of the ``lines`` of its
    surface: the place on the arc itself, which no plane marks yet, may be the best.
    """
    free = np.ones(len(outlets.state), dtype=bool)
    free[shut] = False
    for facade, group in sorted(zones.items()):
        here = np.flatnonzero(outlets.facade == facade)
        if len(here):
            free[here] &= ~closed_by(group, outlets.s[here], outlets.z[here], lines(facade))
    return free


def closed_by(zones: Iterable[Zone], s: Ints, z: Ints, lines: Lines) -> Bools:
    """Which places of a lattice zones forbid, but for those that stand in for places on an arc."""
    closed = np.zeros(len(s), dtype=bool)
    for zone in zones:
        inside = covered(zone, s, z)
        if zone.radius2 and inside.any():
            inside[inside] = ~_beside_arc(zone, s[inside], z[inside], lines)
        closed |= inside
    return closed


def _beside_arc(zone: Zone, s: Ints, z: Ints, lines: Lines) -> Bools:
    """Whether the arc is crossed strictly before the next line of the lattice, in any direction."""
    ds = np.maximum(np.maximum(zone.s0 - s, s - zone.s1), 0)
    dz = np.maximum(np.maximum(zone.z0 - z, z - zone.z1), 0)
    up = np.ceil(np.sqrt(zone.radius2 - ds * ds)).astype(np.int64)
    along = np.ceil(np.sqrt(zone.radius2 - dz * dz)).astype(np.int64)
    return np.asarray(
        _skips(lines[1], z, zone.z1 + up) | _skips(-lines[1][::-1], -z, up - zone.z0)
        | _skips(lines[0], s, zone.s1 + along) | _skips(-lines[0][::-1], -s, along - zone.s0)
    )  # fmt: skip


def _skips(lines: Ints, at: Ints, crossing: Ints) -> Bools:
    """Whether the next line after ``at`` lies beyond the crossing."""
    after = np.searchsorted(lines, at, side="right")
    following = np.append(lines, np.iinfo(np.int64).min)[after]
    return np.asarray(following > crossing)


def covered(zone: Zone, s: Ints, z: Ints) -> Bools:
    """``Zone.covers`` for arrays."""
    if zone.within is not None:
        return covered(replace(zone, within=None), s, z) & covered(_cut(zone, *zone.within), s, z)
    if not zone.radius2:
        return np.asarray((s > zone.s0) & (s < zone.s1) & (z > zone.z0) & (z < zone.z1))
    ds = np.maximum(np.maximum(zone.s0 - s, s - zone.s1), 0)
    dz = np.maximum(np.maximum(zone.z0 - z, z - zone.z1), 0)
    return np.asarray(ds * ds + dz * dz < zone.radius2)


def _cut(zone: Zone, s0: int, s1: int, z0: int, z1: int) -> Zone:
    """The open box to which a zone is cut, as a zone."""
    return replace(zone, s0=s0, s1=s1, z0=z0, z1=z1, radius2=0, within=None)


def vent_sources(outlets: Outlets, free: Bools, tariff: Tariff, ends: Ends, jogs: Floats) -> Sources:
    """The free outlets as sources; names are outlet indices. Those on planes that ``ends`` does not offer are left.
    ``jogs``: what an intake costs besides along each wall, shape (walls,) [money units]."""
    rise = ends.rise_at(outlets.facade)
    keep = np.flatnonzero(free & (rise >= 0))
    depth, turn = (outlets.depth + rise)[keep], outlets.turn[keep]
    wall, roof = _charged(tariff, Surface.OUTER_WALL, ends.wall), _charged(tariff, Surface.ROOF, ends.roof)
    over = outlets.wall[keep] < 0
    cost = np.where(over, roof[0] * depth + roof[1], wall[0] * depth + wall[1]) + tariff.bend * turn
    cost = cost + np.where(over, 0, jogs[np.maximum(outlets.wall[keep], 0)])
    return Sources(outlets.state[keep], cost.astype(float), depth.astype(float), turn, tuple(keep.tolist()))


def _charged(tariff: Tariff, surface: Surface, units: int) -> tuple[int, int]:
    """Units a millimetre and once of leaving by a surface, the terminal included."""
    return tariff.per_mm.get(surface, 0), tariff.once.get(surface, 0) + units


def terminal_at(
    building: Building, sheets: Sheets, outlets: Outlets, outlet: int, ends: Ends
) -> tuple[Terminal | RoofTerminal, Piece]:
    """The terminal of an outlet and the piece that leads through the wall or the roof to it."""
    if outlets.wall[outlet] < 0:
        return _roof_terminal_at(building, sheets, outlets, outlet, ends)
    w = sheets.walls[int(outlets.wall[outlet])]
    facade = building.facades[int(outlets.facade[outlet])]
    c, z = int(outlets.c[outlet]), int(outlets.z[outlet])
    terminal = Terminal(facade.id, int(outlets.s[outlet]), z)
    outside = (*facade.point(terminal.s_mm), z)
    return terminal, Piece((*w.point(c), z), outside, Surface.OUTER_WALL)


def _roof_terminal_at(
    building: Building, sheets: Sheets, outlets: Outlets, outlet: int, ends: Ends
) -> tuple[RoofTerminal, Piece]:
    index, x, y = (int(column[outlet]) for column in (outlets.facade, outlets.s, outlets.z))
    plane, ceiling = surface_of(building, index), sheets.ceilings[-1 - int(outlets.wall[outlet])].room.ceiling_z
    z = ceiling + int(outlets.depth[outlet] + ends.rise_at(outlets.facade)[outlet])
    return RoofTerminal(plane.id, x, y, z), Piece((x, y, ceiling), (x, y, z), Surface.ROOF)


def place_of(end: Terminal | RoofTerminal) -> tuple[str, int, int]:
    """Facade with distance and height, or roof plane with x and y [mm]."""
    if isinstance(end, RoofTerminal):
        return end.roof_id, end.x_mm, end.y_mm
    return end.facade_id, end.s_mm, end.z_mm


def sides_of(listing: VentListing) -> tuple[IntakeSide | None, ...]:
    """Sides that an intake may be on, in the listing's order; None stands for a vent that has none to place."""
    return (None,) if listing.intake is None else listing.intake.sides


def intake_at(terminal: Terminal | RoofTerminal, listing: VentListing, side: IntakeSide | None) -> Terminal | None:
    """The intake's terminal beside the exhaust's, at the listing's distance; None where there is none to place."""
    if listing.intake is None or side is None or isinstance(terminal, RoofTerminal):
        return None
    ds, dz = listing.intake.shift_mm(side)
    return Terminal(terminal.facade_id, terminal.s_mm + ds, terminal.z_mm + dz)


def terminal_key(heater: Heater, side: IntakeSide | None = None) -> TerminalKey:
    """Heaters with equal keys end in like terminals, with the intake on the same side."""
    listing = heater.vent
    own = (heater.draft.value, heater.category.value, heater.input_max_w, listing.terminal_radius_mm)
    return own if side is None else (*own, listing.intake, listing.bundle_radius_mm, side)
