"""What taps of old gas piping cost where losses along runs decide sizes: from the zone's root on, choice by choice.

Every pipe on the way tries every option with the heater's load too; what hangs beside it takes the cheapest that the
loss so far leaves room for, asked for again and again and remembered. Losses are rounded up to whole milli-pascals, or
thousands of Pa2 at high pressure, as the sizes of a design are reckoned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil, floor, inf

from service.piping.network import Network, Pipe
from service.piping.options import Option
from service.survey.equipment import Heater
from service.survey.model import GasSegment
from service.trades.gas_capacity import Terms, loss
from service.trades.gas_equation import budget, is_high

LOW_PA, HIGH_PA2 = 1e-3, 1e3
PROBE_MM = 1_000_000
LAST_BIT_MM = 1e-6
Lost = tuple[int, float]
"""Whole units lost from the zone's root to a place, and money units of all pipes chosen for it."""


@dataclass
class LossTree:
    """One network with a heater's input on the way to a tap. ``options`` says what a segment may be, ``fittings`` what
    its fittings add to its length [mm]."""

    network: Network
    heater: Heater
    options: Callable[[GasSegment], tuple[Option, ...]]
    fittings: Callable[[GasSegment, Option], int]
    _hanging: dict[tuple[int, int, bool], float] = field(default_factory=dict)

    def at(self, pipe: int, cut_mm: int | None, zone: int) -> tuple[Lost, ...]:
        """What a tap may have lost and cost, each that costs less than all with no more loss; none where no choice
        keeps every run. ``pipe`` ends at the tap, or is cut ``cut_mm`` along (None: not)."""
        way = [i for i in reversed(self.network.way(pipe)) if self.network.pipes[i].zone == zone]
        ahead = sum(self._zone_alone(z, set(self.network.way(pipe))) for z in self._zones if z != zone)
        reached = self._beside([(0, 0.0)], zone, -1, set(way))
        for i in way[:-1] if cut_mm is not None else way:
            reached = self._beside(self._along(reached, i, None), zone, i, set(way))
        if cut_mm is not None:
            reached = self._cut(self._along(reached, way[-1], cut_mm), way[-1], cut_mm)
        return tuple((lost, units + ahead) for lost, units in reached if units + ahead < inf)

    def branch_mm(self, zone: int, branch: Option, own: bool, lost: int) -> int:
        """Longest branch with its fittings after what is lost before it [mm]; ``own``: with a regulator of its own."""
        terms, most = self._terms(zone), self._most(zone)
        if not own:
            supply_pa = self.network.zones[zone].supply_pa
            most = min(most, self._worth(zone, supply_pa - self.heater.gas_inlet_min_pa))
        whole = loss(branch.material, branch.size, PROBE_MM, self.heater.input_max_w, terms) / self._unit(zone)
        return floor((most - lost) * (PROBE_MM / whole) - LAST_BIT_MM)

    @cached_property
    def _zones(self) -> tuple[int, ...]:
        return tuple(sorted({p.zone for p in self.network.pipes}))

    def _terms(self, zone: int) -> Terms:
        z = self.network.zones[zone]
        return Terms(self.network.gas, z.supply_pa, z.drop_pa)

    def _unit(self, zone: int) -> float:
        return HIGH_PA2 if is_high(self.network.zones[zone].supply_pa) else LOW_PA

    def _worth(self, zone: int, drop_pa: float) -> int:
        """Whole units that a drop is worth; less than none where there is none to lose."""
        if drop_pa <= 0:
            return 0 if drop_pa == 0 else -1
        return floor(budget(self.network.zones[zone].supply_pa, drop_pa) / self._unit(zone))

    def _most(self, zone: int) -> int:
        return self._worth(zone, self.network.zones[zone].drop_pa)

    @cached_property
    def _most_at(self) -> list[int]:
        """Most that may be lost to the end of each pipe: its zone's, or what an appliance there leaves."""
        regulated = {r.node for r in self.network.supply.regulators}
        asked = [a for a in self.network.supply.appliances if a.inlet_min_pa is not None and a.node not in regulated]
        out = []
        for p in self.network.pipes:
            supply_pa = self.network.zones[p.zone].supply_pa
            inlets = [a.inlet_min_pa for a in asked if a.node == p.segment.end and a.inlet_min_pa is not None]
            out.append(min([self._most(p.zone), *(self._worth(p.zone, supply_pa - pa) for pa in inlets)]))
        return out

    def _children(self, zone: int, index: int) -> list[int]:
        pipes = self.network.pipes
        if index >= 0:
            return [i for i, p in enumerate(pipes) if p.parent == index and p.zone == zone]
        return [i for i, p in enumerate(pipes) if p.zone == zone and (p.parent < 0 or pipes[p.parent].zone != zone)]

    def _choices(self, pipe: Pipe, length_mm: int, loaded: bool, whole: bool) -> Iterator[Lost]:
        """Loss and price of each option of a pipe, or of a part of it; fittings count in the first part."""
        load = pipe.load.plus(self.heater.input_max_w) if loaded else pipe.load
        drawn = load.drawn_w(self.network.supply.diversity)
        every = self.options(pipe.segment)
        for o in every if drawn > 0 else every[:1]:
            run = length_mm + (self.fittings(pipe.segment, o) if whole else 0)
            lost = 0.0
            if drawn > 0 and run > 0:
                lost = loss(o.material, o.size, run, drawn, self._terms(pipe.zone)) / self._unit(pipe.zone)
            if lost < inf:
                yield ceil(lost), float(o.units(length_mm))

    def _zone_alone(self, zone: int, way: set[int]) -> float:
        """Least cost of a zone that is not the tap's; pipes on the way carry the heater too."""
        return sum(self._hang(i, 0, way) for i in self._children(zone, -1))

    def _hang(self, index: int, lost: int, way: set[int]) -> float:
        """Least cost of a pipe and all below it in its zone after a loss; infinite where it cannot be."""
        key = index, lost, index in way
        if way or key not in self._hanging:
            pipe = self.network.pipes[index]
            least = inf
            for own, units in self._choices(pipe, pipe.segment.length_mm, index in way, True):
                if units < least and lost + own <= self._most_at[index]:
                    below = sum(self._hang(i, lost + own, way) for i in self._children(pipe.zone, index))
                    least = min(least, units + below)
            if way:
                return least
            self._hanging[key] = least
        return self._hanging[key]

    def _along(self, reached: list[Lost], index: int, cut_mm: int | None) -> list[Lost]:
        """Every choice so far with every option of the next pipe on the way."""
        pipe = self.network.pipes[index]
        length = pipe.segment.length_mm if cut_mm is None else cut_mm
        most = self._most(pipe.zone)
        own = list(self._choices(pipe, length, True, True))
        return _useful((a + b, u + v) for a, u in reached for b, v in own if a + b <= most)

    def _beside(self, reached: list[Lost], zone: int, index: int, way: set[int]) -> list[Lost]:
        """Every choice so far with the least that hangs beside the way at a pipe's end."""
        off = [i for i in self._children(zone, index) if i not in way]
        most = self._most_at[index] if index >= 0 else self._most(zone)
        return _useful((a, u + sum(self._hang(i, a, set()) for i in off)) for a, u in reached if a <= most)

    def _cut(self, reached: list[Lost], index: int, cut_mm: int) -> list[Lost]:
        """Every choice so far with the least of the rest of a cut pipe and of what hangs on that."""
        pipe = self.network.pipes[index]
        rest = list(self._choices(pipe, pipe.segment.length_mm - cut_mm, False, False))
        below = self._children(pipe.zone, index)
        most = self._most_at[index]

        def beyond(lost: int) -> float:
            able = ((b, v) for b, v in rest if lost + b <= most)
            return min((v + sum(self._hang(i, lost + b, set()) for i in below) for b, v in able), default=inf)

        return _useful((a, u + beyond(a)) for a, u in reached)


def _useful(reached: Iterable[Lost]) -> list[Lost]:
    """Those that cost less than all with no more loss."""
    out: list[Lost] = []
    for lost, units in sorted(reached):
        if units < (out[-1][1] if out else inf):
            out.append((lost, units))
    return out
