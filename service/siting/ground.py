"""All that a search takes from the survey and does not change: sheets, ends, obstacles, heaters."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise

from service.building.model import Building
from service.building.pressure import pressure_of
from service.design import Service
from service.piping.network import Network
from service.piping.options import branch_options
from service.routing.anchors import Tied
from service.routing.ends import Anchor, AnchorLine, anchors_at, lines_along
from service.routing.obstacles import Obstacle, obstacles_of
from service.routing.planes import Planes, base_planes
from service.routing.roof import add_roof_planes
from service.routing.sheets import Sheets, sheets_of
from service.routing.sources import add_anchor_planes
from service.routing.tariff import Passage
from service.siting.air_plan import AirPlan
from service.siting.costing import Extras
from service.siting.lifts import AIR, Rules
from service.siting.needs import Need, extras_by_room, needs_of
from service.siting.power import ASSUMED
from service.siting.waiting_price import LongestWait, WaitingPrice, waiting_price
from service.survey.model import Drain, GasFittings, Point3, Receptacle, Survey, WaterLine
from service.trades.gas_pipe import elbow_mm
from service.trades.house_pressure import HousePressure
from service.trades.water_fittings import branch_fittings


@dataclass(frozen=True, slots=True)
class Ends:
    """Where one service's runs may end."""

    anchors: tuple[Anchor, ...]
    lines: tuple[AnchorLine, ...] = ()

    @property
    def every(self) -> tuple[Anchor, ...]:
        """All fixed anchors, line ends included."""
        return self.anchors + tuple(a for line in self.lines for a in (line.a, line.b))


@dataclass(frozen=True, slots=True)
class Passing:
    """What a service pays [money units] in a passage, whose hole other heaters may use as well. ``is_cut``: the passage
    is but a part of the wall or floor between two rooms."""

    service: Service
    passage: Passage
    units: int
    is_cut: bool = True


@dataclass(frozen=True, slots=True)
class Ground:
    """Unchanging input of a search. ``pressures``: by heater, what its water branches must leave; None where the survey
    does not tell enough of it. ``longest_wait``: a limit on the wait for hot water. ``lifted``: limits (``lifts``) that
    a search does without. ``passing``: holes that may be paid for together with other heaters."""

    survey: Survey
    building: Building
    sheets: Sheets
    obstacles: tuple[Obstacle, ...]
    ends: dict[Service, Ends]
    needs: tuple[Need, ...]
    left_out: tuple[str, ...]
    assumptions: tuple[str, ...]
    air: AirPlan
    waiting: WaitingPrice | None
    pressures: dict[str, HousePressure | None]
    longest_wait: LongestWait | None = None
    lifted: Rules = frozenset()
    passing: tuple[Passing, ...] = ()
    _extras: dict[tuple[str, bool], list[Extras | None]] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )
    _tied: dict[Service, Tied] = field(init=False, default_factory=dict, compare=False, repr=False)

    def extras(self, need: Need) -> list[Extras | None]:
        """What else to buy for a heater by room, None where it cannot have air; found once."""
        key = need.heater.label, need.outdoors
        if key not in self._extras:
            self._extras[key] = extras_by_room(self.air, self.survey, self.building.rooms, need)
        return self._extras[key]

    def tied(self, service: Service) -> Tied:
        """A service's ends as runs meet them, made once."""
        if service not in self._tied:
            ends = self.ends[service]
            self._tied[service] = Tied(self.sheets, ends.anchors, ends.lines)
        return self._tied[service]

    def passages(self, service: Service) -> tuple[tuple[Passage, int], ...]:
        """Passages in which a service pays something else than its price, with that [money units]."""
        return tuple((p.passage, p.units) for p in self.passing if p.service is service)

    @property
    def tees(self) -> tuple[Point3, ...]:
        """Places of the hot pipe where what a metre of it weighs may change; none where waiting is no matter."""
        prices = (self.waiting, None if self.longest_wait is None else self.longest_wait.price)
        return tuple(tee for price in prices if price is not None for tee in price.tees)

    @property
    def gas_bend_mm(self) -> int:
        """Shortest that an elbow of any gas branch counts for [mm]: one bound on length serves all sizes."""
        gas, prices = self.survey.gas, self.survey.prices
        if gas.fittings is GasFittings.ALLOWANCE:
            return 0
        return min(elbow_mm(o.material, o.size) for m in gas.branch_materials for o in branch_options(prices, m))

    @property
    def water_bend_mm(self) -> float:
        """Shortest that an elbow of any run of water counts for where pressure is reckoned, 0 elsewhere [mm]."""
        pressed = [need for need in self.needs if self.pressures.get(need.heater.id)]
        sizes = {size for need in pressed for size in (*need.hot_sizes, *need.cold_sizes)}
        return min((branch_fittings(size).elbow_mm for size in sizes), default=0)

    @property
    def oblique(self) -> bool:
        """Whether an existing pipe runs along no axis of the frame, so that only its ends can be tapped. Branches to
        other dwellings' heaters end at no node that has a place, and are not tapped."""
        nodes = {n.id: n.at for n in self.survey.gas.nodes}
        pipes = [(nodes[s.start], nodes[s.end]) for s in self.survey.gas.segments if s.end in nodes]
        pipes += [ab for w in (*self.survey.water.cold, *self.survey.water.hot) for ab in pairwise(w.points)]
        turned = [(self.building.frame.to_frame3(a), self.building.frame.to_frame3(b)) for a, b in pipes]
        return any(sum(p != q for p, q in zip(a, b, strict=True)) > 1 for a, b in turned)


def ground_of(survey: Survey, building: Building, lifted: Rules = frozenset()) -> Ground:
    """Gather a search's input, some limits ``lifted``."""
    sheets = sheets_of(building)
    needs, left_out = needs_of(survey, lifted)
    receptacles, assumed = _receptacles(survey)
    tie = _Tie(building, sheets)
    ends = {
        Service.GAS: _gas_ends(survey, tie),
        Service.COLD: tie.polylines(survey.water.cold),
        Service.HOT: tie.polylines(survey.water.hot),
        Service.DRAIN: Ends(tuple(a for d in _drains(survey) for a in tie.points(d.id, d.at, walls_only=True))),
        Service.POWER: Ends(tuple(a for r in receptacles for a in tie.points(r.id, r.at))),
    }
    obstacles, air = obstacles_of(building, sheets), AirPlan(survey, building, lifted >= AIR)
    waiting = waiting_price(survey, building)
    pressures = {need.heater.id: pressure_of(survey, building, need.heater) for need in needs}
    return Ground(
        survey, building, sheets, obstacles, ends, needs, left_out, assumed, air, waiting, pressures, lifted=lifted
    )  # fmt: skip


def hanging_surfaces(ground: Ground, need: Need) -> Iterator[tuple[int, tuple[int, int], tuple[int, int]]]:
    """Everything that a heater may hang on, with its extent along and up [mm]."""
    walls = ground.sheets.walls
    if not need.outdoors:
        yield from ((w.index, (0, w.face.length_mm), (w.face.z0, w.face.z1)) for w in walls)
        return
    for i, facade in enumerate(ground.building.facades, len(walls)):
        heights = [z for span in facade.spans for z in span[2:]]
        yield i, (0, facade.length_mm), (min(heights), max(heights))


@dataclass(frozen=True, slots=True)
class _Tie:
    building: Building
    sheets: Sheets

    def points(self, end_id: str, at: Point3, walls_only: bool = False) -> tuple[Anchor, ...]:
        return anchors_at(self.building, self.sheets, end_id, self.building.frame.to_frame3(at), walls_only)

    def pipe(self, end_id: str, a: Point3, b: Point3) -> tuple[AnchorLine, ...]:
        to_frame = self.building.frame.to_frame3
        return lines_along(self.building, self.sheets, end_id, to_frame(a), to_frame(b))

    def polylines(self, lines: Iterable[WaterLine]) -> Ends:
        found = sorted(lines, key=lambda line: line.id)
        ends = [a for line in found for p in line.points for a in self.points(line.id, p)]
        pipes = [pipe for line in found for a, b in pairwise(line.points) for pipe in self.pipe(line.id, a, b)]
        return Ends(tuple(ends), tuple(pipes))


def _gas_ends(survey: Survey, tie: _Tie) -> Ends:
    """Every connected node, and every segment between two of them; lengths count from the delivery."""
    upstream = developed_mm(Network(survey.gas, survey.site.gas))
    nodes = {n.id: n.at for n in survey.gas.nodes if n.id in upstream}
    anchors = [replace(a, upstream_mm=upstream[n]) for n in sorted(nodes) for a in tie.points(n, nodes[n])]
    segments = [s for s in sorted(survey.gas.segments, key=lambda s: s.id) if s.start in nodes and s.end in nodes]
    lines = [
        _measured(line, nodes[s.end], upstream[s.end], tie.building)
        for s in segments
        for line in tie.pipe(s.id, nodes[s.start], nodes[s.end])
    ]
    return Ends(tuple(anchors), tuple(lines))


def developed_mm(network: Network) -> dict[str, int]:
    """Length of pipe from the delivery to each node [mm]."""
    lengths = {network.supply.delivery_node: 0}
    for pipe in network.pipes:
        lengths[pipe.segment.end] = lengths[pipe.segment.start] + pipe.segment.length_mm
    return lengths


def _measured(line: AnchorLine, end: Point3, upstream_mm: int, building: Building) -> AnchorLine:
    """Lengths from the delivery at both ends of a line; a segment's surplus length counts before the tap."""
    x, y, z = building.frame.to_frame3(end)

    def at(a: Anchor) -> Anchor:
        left = abs(a.real[0] - x) + abs(a.real[1] - y) + abs(a.real[2] - z)
        return replace(a, upstream_mm=max(upstream_mm - left, 0))

    return AnchorLine(line.end_id, at(line.a), at(line.b))


def _drains(survey: Survey) -> tuple[Drain, ...]:
    return tuple(sorted(survey.drains, key=lambda d: d.id))


def _receptacles(survey: Survey) -> tuple[tuple[Receptacle, ...], tuple[str, ...]]:
    """Outlets and panels, or the worst place for one where the survey is silent."""
    if survey.receptacles:
        return tuple(sorted(survey.receptacles, key=lambda r: r.id)), ()
    x, y, z = next(n.at for n in survey.gas.nodes if n.id == survey.gas.delivery_node)
    corners = [(*p, r.floor_z_mm) for s in survey.storeys for r in s.rooms for p in r.outline]
    farthest = max(corners, key=lambda c: (abs(c[0] - x) + abs(c[1] - y) + abs(c[2] - z), c))
    note = "No outlet or panel is given: power is taken from the corner of the house farthest from the gas entry."
    return (replace(ASSUMED, at=farthest),), (note,)


def first_planes(ground: Ground, needs: Iterable[Need] = (), extra: Iterable[tuple[int, int]] = ()) -> Planes:
    """Planes of the sheets, of every end and of what stands in the way of these heaters' vents to the roof; ``extra``
    ones by axis and coordinate [mm]."""
    planes = base_planes(ground.sheets)
    for service in sorted(ground.ends):
        add_anchor_planes(planes, ground.sheets, ground.ends[service].every)
    for axis, value in (place for tee in ground.tees for place in enumerate(tee)):
        planes.add(axis, value, "supply of a fixture")
    for axis, value in extra:
        planes.add(axis, value, "asked for")
    for passing in (p for p in ground.passing if p.is_cut):
        for axis, value in (end for box in (passing.passage.low, passing.passage.high) for end in enumerate(box)):
            planes.add(axis, value, "shared hole")
    add_roof_planes(planes, ground.building, (need.heater.vent.pipe_radius_mm for need in needs))
    return planes
