"""Which pipe of the gas tree a tap is on, as a customer sees it, and taps without those on some pipes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from service.building.model import Building
from service.design import Route
from service.piping.network import Network
from service.routing.anchors import moved
from service.routing.ends import Anchor, AnchorLine
from service.siting.ground import Ends, developed_mm
from service.survey.model import Survey

AT_DELIVERY = "delivery"
"""Stands for the pipe where the delivery itself is tapped."""
AT_JUNCTION_MM = 300
"""A tap so near behind a junction is on the pipe before it: two tees side by side are one place to a customer (common
practice, no source) [mm]."""
Excluded = frozenset[str]


@dataclass(slots=True)
class GasBranches:
    """Pipes of one house. Distances count from the delivery along the pipe [mm]."""

    survey: Survey
    building: Building
    network: Network = field(init=False)
    _ends: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        self.network = Network(self.survey.gas, self.survey.site.gas)
        self._ends = developed_mm(self.network)

    def of(self, route: Route) -> str:
        """Id of the surveyed segment that a gas run is tapped from, or AT_DELIVERY."""
        if (pipe := self._pipe(route.end_id)) < 0 or route.end_id in self._ends:
            return self._named(pipe, self._ends.get(route.end_id, 0))
        segment = self.network.pipes[pipe].segment
        at = next(n.at for n in self.survey.gas.nodes if n.id == segment.end)
        end, tap = self.building.frame.to_frame3(at), route.pieces[-1].end
        left = sum(abs(p - q) for p, q in zip(end, tap, strict=True))
        return self._named(pipe, max(self._ends[segment.end] - left, 0))

    def without(self, ends: Ends, excluded: Excluded) -> Ends:
        """The taps but those on some pipes."""
        kept: list[Anchor] = [a for a in ends.anchors if self._is_kept(a, excluded)]
        lines: list[AnchorLine] = []
        for line in ends.lines:
            if line.axis is None:
                kept += [a for a in (line.a, line.b) if self._is_kept(a, excluded)]
            else:
                lines += self._cut(line, excluded)
        return Ends(tuple(kept), tuple(lines))

    def _pipe(self, end_id: str) -> int:
        """Index of the pipe that an end lies on, of the one before it for a node, -1 at the delivery."""
        if end_id in self._ends:
            return self.network.into.get(end_id, -1)
        return next(i for i, p in enumerate(self.network.pipes) if p.segment.id == end_id)

    def _named(self, pipe: int, at_mm: int) -> str:
        while pipe >= 0:
            if at_mm > self._junction_mm(pipe):
                segment = self.network.pipes[pipe].segment
                return segment.part_of or segment.id
            at_mm, pipe = self._ends[self.network.pipes[pipe].segment.start], self.network.pipes[pipe].parent
        return AT_DELIVERY

    def _junction_mm(self, pipe: int) -> int:
        """How far the place of the junction before a pipe reaches."""
        return self._ends[self.network.pipes[pipe].segment.start] + AT_JUNCTION_MM

    def _is_kept(self, anchor: Anchor, excluded: Excluded) -> bool:
        return self._named(self._pipe(anchor.end_id), anchor.upstream_mm) not in excluded

    def _cut(self, line: AnchorLine, excluded: Excluded) -> Iterator[AnchorLine]:
        """The parts of a line that are kept: near the junction before it, and behind that."""
        near, far = sorted((line.a, line.b), key=lambda a: a.upstream_mm)
        border = self._junction_mm(self._pipe(line.end_id))
        keeps = self._is_kept(near, excluded), self._is_kept(far, excluded)
        if all(keeps) or near.upstream_mm > border or far.upstream_mm <= border:
            yield from [line] * any(keeps)
        elif keeps[0]:
            yield AnchorLine(line.end_id, near, _back(line, far, border))
        elif keeps[1]:
            yield AnchorLine(line.end_id, _back(line, far, border + 1), far)


def _back(line: AnchorLine, far: Anchor, at_mm: int) -> Anchor:
    """The place of a line at a distance from the delivery, found from its far end."""
    assert line.axis is not None
    near = line.b if far is line.a else line.a
    way = 1 if near.point[line.axis] > far.point[line.axis] else -1
    return moved(far, line.axis, way * (far.upstream_mm - at_mm), line.end_id, at_mm)
