"""A gas system as a tree of pipes in pressure zones: what each pipe feeds, and how far it is from its zone's root.

Every fact is worked out here from the pipes alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, auto

from service.survey.model import GasFittings
from service.trades.gas_pipe import elbow_mm, is_known, tee_mm


class New(Enum):
    """Nodes that the design adds; no survey can name them."""

    TAP = auto()
    HEATER = auto()


Node = str | New


@dataclass(frozen=True, slots=True)
class Regulator:
    """Line regulator. Pressures are gauge [Pa]; ``bought``: it comes with the design."""

    outlet_pa: float
    drop_pa: float
    bought: bool
    capacity_w: float | None = None
    loss_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class Zone:
    """Pipes at one pressure. ``ahead``: index of the zone that feeds it through ``regulator``, -1 at the delivery."""

    root: Node
    supply_pa: float
    drop_pa: float
    ahead: int = -1
    regulator: Regulator | None = None


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe as it would be. ``owner``: segment of the survey, or what the branch ends at; ``part`` in words where
    it is not the whole segment; ``size`` None: new, and the design does not say."""

    owner: str
    part: str
    start: Node
    end: Node
    material: str
    size: str | None
    length_mm: int
    elbows: int = 0
    tees: int = 0
    before_regulator: bool = False

    def length_with_mm(self, fittings: GasFittings) -> int:
        """Developed length, with the equivalent length of its fittings where they are counted [mm]."""
        if fittings is not GasFittings.COUNTED or self.size is None or not is_known(self.material, self.size):
            return self.length_mm
        allowance = self.elbows * elbow_mm(self.material, self.size) + self.tees * tee_mm(self.material, self.size)
        return self.length_mm + allowance


@dataclass(frozen=True, slots=True)
class Burner:
    """What burns gas at a node [W]; inlet limits [Pa] None where they are not known."""

    id: str
    node: Node
    input_w: float
    inlet_min_pa: float | None
    inlet_max_pa: float | None


@dataclass(frozen=True, slots=True)
class Placed:
    """A pipe in the tree: index of the pipe it continues (-1 at the delivery), and of its zone."""

    pipe: Pipe
    parent: int
    zone: int


@dataclass(frozen=True, slots=True)
class Tree:
    """Pipes that hang on the delivery, parents first; ``at``: zone of what hangs at a node."""

    pipes: tuple[Placed, ...]
    zones: tuple[Zone, ...]
    at: Mapping[Node, int]
    burners: tuple[Burner, ...]
    diversity: float | None
    fittings: GasFittings

    def branch(self) -> int | None:
        """Index of the heater's branch, None if it hangs on nothing."""
        return next((i for i, p in enumerate(self.pipes) if p.pipe.end is New.HEATER), None)

    def name(self, node: Node) -> str:
        """A node's id; the heater's where the design adds it."""
        return node if isinstance(node, str) else next((b.id for b in self.burners if b.node is node), "the tap")

    def into(self, node: Node) -> int:
        """Index of the pipe that ends at a node, -1 where none does."""
        return next((i for i, p in enumerate(self.pipes) if p.pipe.end == node), -1)

    def way(self, index: int) -> list[int]:
        """Pipes from one back to the delivery, that one first."""
        found = []
        while index >= 0:
            found.append(index)
            index = self.pipes[index].parent
        return found

    def way_in_zone(self, index: int) -> list[int]:
        """The part of ``way`` that is in the zone of its first pipe."""
        return [i for i in self.way(index) if self.pipes[i].zone == self.pipes[index].zone]

    def run_mm(self, index: int) -> int:
        """From the zone's root to the end of a pipe [mm]."""
        return sum(self.pipes[i].pipe.length_with_mm(self.fittings) for i in self.way_in_zone(index))

    def runs_through_mm(self) -> list[int]:
        """By pipe, the longest run of its zone that passes through it [mm]."""
        longest = [self.run_mm(i) for i in range(len(self.pipes))]
        for i in reversed(range(len(self.pipes))):
            parent = self.pipes[i].parent
            if parent >= 0 and self.pipes[parent].zone == self.pipes[i].zone:
                longest[parent] = max(longest[parent], longest[i])
        return longest

    def ends_run(self, index: int) -> bool:
        """Whether no pipe of the same zone continues a pipe."""
        return not any(p.parent == index and p.zone == self.pipes[index].zone for p in self.pipes)

    def drawn_w(self) -> float:
        """What all burners draw at once [W]."""
        return at_once_w([b.input_w for b in self.burners], self.diversity)

    def drawn_by_pipe_w(self) -> list[float]:
        """What each pipe carries at once; a burner whose place is not known counts on every pipe [W]."""
        fed: list[list[float]] = [[] for _ in self.pipes]
        for burner in self.burners:
            known = burner.node in self.at
            for i in self.way(self.into(burner.node)) if known else range(len(self.pipes)):
                fed[i].append(burner.input_w)
        return [at_once_w(inputs, self.diversity) for inputs in fed]

    def drawn_in_zone_w(self, zone: int) -> float:
        """What passes the regulator that feeds a zone at once [W]."""
        inputs = [b.input_w for b in self.burners if b.node not in self.at or zone in self.fed_by(self.at[b.node])]
        return at_once_w(inputs, self.diversity)

    def fed_by(self, zone: int) -> list[int]:
        """A zone and those ahead of it."""
        found = []
        while zone >= 0:
            found.append(zone)
            zone = self.zones[zone].ahead
        return found


def at_once_w(inputs: list[float], diversity: float | None) -> float:
    """What is drawn at once [W]: everything, or the stated share, but never less than the largest."""
    if diversity is None:
        return sum(inputs)
    return max([0.0, *inputs, diversity * sum(inputs)])


@dataclass(slots=True)
class _Growing:
    """A tree in the making."""

    below: dict[Node, list[Pipe]]
    regulators: Mapping[Node, Regulator]
    zones: list[Zone]
    at: dict[Node, int]
    pipes: list[Placed]

    def arrive(self, node: Node, zone: int) -> None:
        """Gas of a zone comes to a node, where a regulator may begin another zone."""
        regulator = self.regulators.get(node)
        if regulator is not None:
            self.zones.append(Zone(node, regulator.outlet_pa, regulator.drop_pa, zone, regulator))
        self.at[node] = zone if regulator is None else len(self.zones) - 1

    def leaving(self, node: Node, parent: int, arriving: int) -> Iterator[Placed]:
        """Pipes that leave a node; a second way to a node is no part of a tree."""
        for pipe in self.below.get(node, ()):
            if pipe.end not in self.at:
                yield Placed(pipe, parent, arriving if pipe.before_regulator else self.at[node])


def grown(
    delivery: Zone, pipes: tuple[Pipe, ...], regulators: Mapping[Node, Regulator], burners: tuple[Burner, ...],
    diversity: float | None, fittings: GasFittings,
) -> Tree:  # fmt: skip
    """The tree that grows from the point of delivery; pipes that hang on nothing are left out."""
    below: dict[Node, list[Pipe]] = {}
    for pipe in pipes:
        below.setdefault(pipe.start, []).append(pipe)
    growing = _Growing(below, regulators, [delivery], {}, [])
    growing.arrive(delivery.root, 0)
    front: list[tuple[Node, int, int]] = [(delivery.root, -1, 0)]
    for node, parent, arriving in front:
        for placed in growing.leaving(node, parent, arriving):
            growing.arrive(placed.pipe.end, placed.zone)
            growing.pipes.append(placed)
            front.append((placed.pipe.end, len(growing.pipes) - 1, placed.zone))
    return Tree(tuple(growing.pipes), tuple(growing.zones), growing.at, burners, diversity, fittings)
