"""All that a search takes from the survey and does not change: sheets, ends, obstacles, heaters."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from service.building.model import Building
from service.design import Service
from service.routing.ends import Anchor, AnchorLine, anchor
from service.routing.obstacles import Obstacle, obstacles_of
from service.routing.sheets import Sheets, sheets_of
from service.siting.needs import Need, needs_of
from service.survey.model import Drain, Point3, Receptacle, Survey
from service.trades.gas import taps


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
class Ground:
    """Unchanging input of a search."""

    survey: Survey
    building: Building
    sheets: Sheets
    obstacles: tuple[Obstacle, ...]
    ends: dict[Service, Ends]
    needs: tuple[Need, ...]
    left_out: tuple[str, ...]
    assumptions: tuple[str, ...]

    @property
    def oblique(self) -> bool:
        """Whether an existing pipe runs along no axis of the frame, so that only its ends can be tapped."""
        lines = [line for e in self.ends.values() for line in e.lines]
        return any(line.axis is None and line.a.point != line.b.point for line in lines)


def ground_of(survey: Survey, building: Building) -> Ground:
    """Gather a search's input."""
    sheets = sheets_of(building)
    needs, left_out = needs_of(survey)
    receptacles, assumed = _receptacles(survey)
    tie = _Tie(building, sheets)
    ends = {
        Service.GAS: _gas_ends(survey, tie),
        Service.COLD: tie.polylines((w.id, w.points) for w in survey.water.cold),
        Service.HOT: tie.polylines((w.id, w.points) for w in survey.water.hot),
        Service.DRAIN: Ends(tuple(tie.point(d.id, d.at, walls_only=True) for d in _drains(survey))),
        Service.POWER: Ends(tuple(tie.point(r.id, r.at) for r in receptacles)),
    }
    return Ground(survey, building, sheets, obstacles_of(building, sheets), ends, needs, left_out, assumed)


@dataclass(frozen=True, slots=True)
class _Tie:
    building: Building
    sheets: Sheets

    def point(self, end_id: str, at: Point3, walls_only: bool = False) -> Anchor:
        return anchor(self.building, self.sheets, end_id, self.building.frame.to_frame3(at), walls_only)

    def polylines(self, lines: object) -> Ends:
        found = [
            AnchorLine(line_id, self.point(line_id, a), self.point(line_id, b))
            for line_id, points in lines  # type: ignore[attr-defined]
            for a, b in (pairwise(points) if len(points) > 1 else [(points[0], points[0])])
        ]
        return Ends((), tuple(found))


def _gas_ends(survey: Survey, tie: _Tie) -> Ends:
    """Every connected node, and every segment between two of them; lengths count from the delivery."""
    reach = taps(survey.gas, survey.site, 0.0)
    upstream = {node: tap.upstream_mm for node, tap in reach.items()}
    nodes = {n.id: n.at for n in survey.gas.nodes if n.id in upstream}

    def at(node: str) -> Anchor:
        found = tie.point(node, nodes[node])
        return Anchor(node, found.room, found.point, found.tail, found.sheet, upstream[node])

    anchors = {node: at(node) for node in sorted(nodes)}
    lines = [
        AnchorLine(s.id, anchors[s.start], anchors[s.end])
        for s in sorted(survey.gas.segments, key=lambda s: s.id)
        if s.start in anchors and s.end in anchors
    ]
    return Ends(tuple(anchors.values()), tuple(lines))


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
    return (Receptacle("assumed-panel", farthest, True),), (note,)
