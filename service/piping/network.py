"""A gas supply as a tree of pipes in pressure zones, with the load of every pipe.

Plain bookkeeping: nothing here knows how pipe is sized.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from service.survey.model import Appliance, GasCharacter, GasSegment, GasSupply, LineRegulator


@dataclass(frozen=True, slots=True)
class Zone:
    """Pipes at one pressure: from the delivery, or from the line regulator at ``root``. Pressures are gauge [Pa]."""

    root: str
    supply_pa: float
    drop_pa: float
    regulator: LineRegulator | None = None


@dataclass(frozen=True, slots=True)
class Load:
    """Inputs that a pipe feeds [W]: their sum, and the largest of them."""

    total_w: float = 0.0
    largest_w: float = 0.0

    def plus(self, input_w: float) -> Load:
        """This load and one more appliance."""
        return Load(self.total_w + input_w, max(self.largest_w, input_w))

    def drawn_w(self, diversity: float | None) -> float:
        """What is drawn at once [W]: all of it, or the stated share, but never less than the largest."""
        return self.total_w if diversity is None else max(self.largest_w, diversity * self.total_w)


@dataclass(frozen=True, slots=True)
class Pipe:
    """One segment in the tree: ``parent`` is the index of the pipe it continues, -1 at the delivery; ``zone`` the
    index of its zone; ``is_end``: a zone's run ends with it (an outlet, a dead end or a line regulator)."""

    segment: GasSegment
    parent: int
    zone: int
    load: Load
    is_end: bool


class Network:
    """The pipes that hang on the point of delivery, parents before children, in the order of the survey.

    Raises ValueError when segments form a loop. Segments that hang on nothing are left out; an appliance whose place
    on the tree is not known counts in every pipe.
    """

    def __init__(self, supply: GasSupply, gas: GasCharacter) -> None:
        """Walk the tree from the point of delivery."""
        self.supply, self.gas = supply, gas
        self._regulators = {r.node: r for r in supply.regulators}
        self.zones: list[Zone] = [Zone(supply.delivery_node, supply.pressure_pa, supply.allowable_drop_pa)]
        self._behind: dict[str, int] = {}
        rows = list(self._walk())
        arriving = {supply.delivery_node: 0} | {segment.end: zone for segment, _, zone in rows}
        for node, zone in arriving.items():
            self._zone_behind(node, zone)  # a regulator with nothing behind it yet has its zone too
        loads = self._loads(rows)
        parents_of_same_zone = {parent for _, parent, zone in rows if parent >= 0 and rows[parent][2] == zone}
        self.pipes: tuple[Pipe, ...] = tuple(
            Pipe(segment, parent, zone, loads[i], i not in parents_of_same_zone or segment.end in self._regulators)
            for i, (segment, parent, zone) in enumerate(rows)
        )

    def _walk(self) -> Iterator[tuple[GasSegment, int, int]]:
        """Segments with parent and zone, nearest to the delivery first."""
        below: dict[str, list[GasSegment]] = {}
        for segment in self.supply.segments:
            below.setdefault(segment.start, []).append(segment)
        front: list[tuple[str, int, int]] = [(self.supply.delivery_node, -1, 0)]
        reached, count = {self.supply.delivery_node}, 0
        while front:
            node, parent, ahead = front.pop(0)
            for segment in below.get(node, ()):
                if segment.end in reached:
                    raise ValueError(f"segment {segment.id} closes a loop")
                reached.add(segment.end)
                zone = ahead if segment.before_regulator else self._zone_behind(node, ahead)
                yield segment, parent, zone
                front.append((segment.end, count, zone))
                count += 1

    def _zone_behind(self, node: str, ahead: int) -> int:
        """The zone that pipes leaving a node are in: the regulator's there, else that of the pipe before it."""
        regulator = self._regulators.get(node)
        if regulator is None:
            return ahead
        if node not in self._behind:
            self._behind[node] = len(self.zones)
            self.zones.append(Zone(node, regulator.outlet_pa, regulator.allowable_drop_pa, regulator))
        return self._behind[node]

    def _loads(self, rows: list[tuple[GasSegment, int, int]]) -> list[Load]:
        """Load of each pipe: the appliances at its end and all that its children feed."""
        at: dict[str, list[Appliance]] = {}
        for appliance in self.supply.appliances:
            at.setdefault(appliance.node, []).append(appliance)
        nodes = {self.supply.delivery_node, *(segment.end for segment, _, _ in rows)}
        loads = [Load()] * len(rows)
        for i in range(len(rows) - 1, -1, -1):
            for appliance in at.get(rows[i][0].end, ()):
                loads[i] = loads[i].plus(appliance.input_w)
            if (parent := rows[i][1]) >= 0:
                above = loads[parent]
                loads[parent] = Load(above.total_w + loads[i].total_w, max(above.largest_w, loads[i].largest_w))
        for appliance in (a for node in sorted(at.keys() - nodes) for a in at[node]):
            loads = [load.plus(appliance.input_w) for load in loads]
        return loads

    @cached_property
    def into(self) -> dict[str, int]:
        """Index of the pipe that ends at each node; the delivery has none."""
        return {pipe.segment.end: i for i, pipe in enumerate(self.pipes)}

    @property
    def connected(self) -> Load:
        """All appliances, those whose place on the tree is not known too."""
        load = Load()
        for appliance in self.supply.appliances:
            load = load.plus(appliance.input_w)
        return load

    def zone_load(self, zone: int) -> Load:
        """All that a zone feeds, what hangs on its root included; for the zone of the delivery everything."""
        root, load = self.zones[zone].root, Load()
        if zone == 0:
            return self.connected
        for pipe in self.pipes:
            if pipe.zone == zone and pipe.segment.start == root:
                load = Load(load.total_w + pipe.load.total_w, max(load.largest_w, pipe.load.largest_w))
        for appliance in self.supply.appliances:
            if appliance.node == root:
                load = load.plus(appliance.input_w)
        return load

    def way(self, index: int) -> list[int]:
        """Pipes from one back to the point of delivery, that one first; empty for -1."""
        way = []
        while index >= 0:
            way.append(index)
            index = self.pipes[index].parent
        return way

    def way_in_zone(self, index: int) -> list[int]:
        """The part of ``way`` in the zone of its first pipe."""
        return [i for i in self.way(index) if self.pipes[i].zone == self.pipes[index].zone]

    def zone_ahead(self, node: str) -> int:
        """Zone of the gas that arrives at a node (0 at the delivery)."""
        return self.pipes[self.into[node]].zone if node in self.into else 0

    def zone_behind(self, node: str) -> int:
        """Zone of a pipe that would leave a node in the ordinary way."""
        return self._zone_behind(node, self.zone_ahead(node))
