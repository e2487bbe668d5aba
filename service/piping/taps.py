"""What tapping the old piping at each place costs while its runs are held to a stated length.

A heater at the end of a new branch adds to the load of all pipes on the way to its tap, and its run may be the longest
of its zone. Held to a length R the size of every pipe follows, so a tap's cost is plain arithmetic: constant at a
node, linear along a pipe. Only the reaches of options can change anything, so trying every R that is one is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

from service.piping.lengths import BRANCH, TABLES, fitting_mm, reach_mm, without_end
from service.piping.network import Load, Network, Pipe
from service.piping.options import Offered, Option
from service.piping.tap_costs import Ask, Sums, TapCost, TapCosts, ask_of
from service.survey.equipment import PriceBook
from service.survey.model import GasFittings, GasMethod
from service.trades.gas_capacity import Terms

Ways = tuple[tuple[Option, int], ...]
"""Options of a pipe, the cheapest first, with the reach of each [mm]."""


@dataclass(frozen=True, slots=True)
class Carrier:
    """Where a branch may leave: the node at the end of ``pipe`` (the delivery if it is -1), or, if ``cut``, any
    point within that pipe. ``zone`` is the one whose pressure it takes."""

    pipe: int
    cut: bool
    zone: int


def carriers_of(network: Network, zone: int, ahead: bool) -> tuple[Carrier, ...]:
    """Nodes and pipes that give gas at a zone's pressure. A branch with a regulator of its own leaves a node ``ahead``
    of the line regulator there, every other one behind it."""
    nodes = [(-1, network.supply.delivery_node), *((i, p.segment.end) for i, p in enumerate(network.pipes))]
    zone_at = network.zone_ahead if ahead else network.zone_behind
    ends = [Carrier(i, False, zone) for i, n in nodes if zone_at(n) == zone]
    return (*ends, *(Carrier(i, True, zone) for i, p in enumerate(network.pipes) if p.zone == zone))


class TapTree:
    """Costs of all carriers of one network for one added input, by a length method."""

    def __init__(
        self, network: Network, prices: PriceBook, method: GasMethod, added_w: float, lifted: bool = False
    ) -> None:
        """Prepare what does not depend on where the branch leaves. ``lifted``: of each pipe the option that reaches
        farthest does so without end."""
        self.network, self.method = network, method
        terms = [Terms(network.gas, z.supply_pa, z.drop_pa) for z in network.zones]
        diversity, tables = network.supply.diversity, method in TABLES

        def ways(pipe: Pipe, found: tuple[Option, ...], load: Load) -> Ways:
            """Options of a pipe with the length over which each carries a load."""
            drawn, at = load.drawn_w(diversity), terms[pipe.zone]
            reaches = [reach_mm(o.material, o.size, drawn, at, tables) for o in found]
            return tuple(zip(found, without_end(reaches) if lifted else reaches, strict=True))

        offered = Offered(prices)
        options = [(p, offered.every(p.segment)) for p in network.pipes]
        self.ways = [(ways(p, found, p.load), ways(p, found, p.load.plus(added_w))) for p, found in options]
        self._today = [own[0][0] for own, _ in self.ways if own]
        self._costs: dict[tuple[Carrier, int], TapCost | None] = {}
        self._picks: dict[tuple[int, bool, int], Option | None] = {}
        self._columns: dict[tuple[tuple[Carrier, ...], int], TapCosts] = {}

    @cached_property
    def is_rigid(self) -> bool:
        """Whether no length depends on the sizes chosen: then no cost falls as runs are held to a longer length."""
        counted = any(p.segment.elbows or p.segment.tees for p in self.network.pipes)
        return not counted or self.network.supply.fittings is GasFittings.ALLOWANCE

    def reaches(self, zone: int) -> set[int]:
        """Lengths at which some option of a zone's pipes gives out, with the added input or without [mm]."""
        pairs = (pair for pair, p in zip(self.ways, self.network.pipes, strict=True) if p.zone == zone)
        return {reach for pair in pairs for ways in pair for _, reach in ways}

    def costs(self, carriers: tuple[Carrier, ...], held_mm: int) -> TapCosts:
        """``cost`` of carriers of one zone."""
        key = carriers, held_mm
        if key not in self._columns:
            rigid = self.is_rigid and len(self._today) == len(self.ways)
            asks = self._asks(carriers, held_mm) if rigid else [ask_of(self.cost(c, held_mm)) for c in carriers]
            self._columns[key] = TapCosts(asks)
        return self._columns[key]

    def cost(self, carrier: Carrier, held_mm: int) -> TapCost | None:
        """What the carrier asks for if runs of its zone are held to a length; None if some pipe cannot be had, or
        a run of the old piping is longer."""
        key = carrier, held_mm
        if key not in self._costs:
            can_be = len(self._today) == len(self.ways)
            self._costs[key] = self._cost(carrier, held_mm) if can_be else None
        return self._costs[key]

    def _asks(self, carriers: Sequence[Carrier], held_mm: int) -> list[Ask]:
        """All at once where no length depends on the sizes chosen: then costs add up along the ways."""
        zone, pipes = next((c.zone for c in carriers), 0), self.network.pipes
        if self.method not in BRANCH and self._longest_today.get(zone, 0) > held_mm:
            return [Ask()] * len(carriers)
        off_way, on_way = self._lengths_by_way(zone, held_mm)
        own = [self._pick(i, False, mm) for i, mm in enumerate(off_way)]
        loaded = [self._pick(i, True, mm) for i, mm in enumerate(on_way)]
        lengths = [p.segment.length_mm for p in pipes]
        sums = Sums([p.parent for p in pipes], _units(own, lengths), _units(loaded, lengths))
        return [self._ask(c, sums, own, loaded) for c in carriers]

    def _lengths_by_way(self, zone: int, held_mm: int) -> tuple[list[int], list[int]]:
        """Length that each pipe is sized by off the way to a tap, and on it."""
        pipes, through = self.network.pipes, self._through_today
        if self.method in BRANCH:
            pairs = zip(pipes, through, strict=True)
            return through, [max(run, held_mm) if p.zone == zone else run for p, run in pairs]
        longest = {**self._longest_today, zone: held_mm}
        lengths = [longest[p.zone] for p in pipes]
        return lengths, lengths

    def _ask(self, c: Carrier, sums: Sums, own: list[Option | None], loaded: list[Option | None]) -> Ask:
        runs, pipes = self._ends_today, self.network.pipes
        if not c.cut:
            joined = c.pipe >= 0 and pipes[c.pipe].zone == c.zone
            return Ask(sums.at_end(c.pipe), runs[c.pipe] if joined else 0)
        before, after, length = loaded[c.pipe], own[c.pipe], pipes[c.pipe].segment.length_mm
        if before is None or after is None:
            return Ask()
        rates = before.units_per_mm, before.units_once, after.units_per_mm, after.units_once
        return Ask(sums.within(c.pipe), runs[c.pipe] - length, length, *rates)

    def _cost(self, carrier: Carrier, held_mm: int) -> TapCost | None:
        way = set(self.network.way(carrier.pipe))
        lengths = self._lengths(self._today, carrier, way, held_mm)
        while lengths is not None:
            picks = [self._pick(i, i in way, length) for i, length in enumerate(lengths)]
            known = [p for p in picks if p is not None]
            if len(known) < len(picks):
                return None
            grown = lengths if self.is_rigid else self._lengths(known, carrier, way, held_mm)
            longest = None if grown is None else [max(a, b) for a, b in zip(grown, lengths, strict=True)]
            if longest == lengths:  # shorter fittings of what was chosen only leave room
                return self._cost_of(carrier, known, lengths)
            lengths = longest
        return None

    def _lengths(self, picks: list[Option], carrier: Carrier, way: set[int], held_mm: int) -> list[int] | None:
        """Length that each pipe is sized by; None if a run of the carrier's zone is longer than it is held to."""
        pipes = self.network.pipes
        if self.method in BRANCH:
            through = self._runs_through(picks)
            held = [i in way and p.zone == carrier.zone for i, p in enumerate(pipes)]
            return [max(run, held_mm) if h else run for run, h in zip(through, held, strict=True)]
        longest = {**self._longest(picks)}
        if longest.get(carrier.zone, 0) > held_mm:
            return None
        longest[carrier.zone] = held_mm
        return [longest[p.zone] for p in pipes]

    def _longest(self, picks: list[Option]) -> dict[int, int]:
        """Longest run of each zone that has pipes [mm]."""
        return self._longest_today if self.is_rigid else self._longest_of(self._through(picks))

    @cached_property
    def _longest_today(self) -> dict[int, int]:
        return self._longest_of(self._through_today)

    def _longest_of(self, through: list[int]) -> dict[int, int]:
        longest: dict[int, int] = {}
        for pipe, run in zip(self.network.pipes, through, strict=True):
            longest[pipe.zone] = max(longest.get(pipe.zone, 0), run)
        return longest

    def _runs_through(self, picks: list[Option]) -> list[int]:
        """Longest run of its zone that passes through each pipe [mm]."""
        return self._through_today if self.is_rigid else self._through(picks)

    @cached_property
    def _through_today(self) -> list[int]:
        return self._through(self._today)

    def _through(self, picks: list[Option]) -> list[int]:
        pipes, through = self.network.pipes, list(self._runs_to_end(picks))
        for i in range(len(pipes) - 1, -1, -1):
            parent = pipes[i].parent
            if parent >= 0 and pipes[parent].zone == pipes[i].zone:
                through[parent] = max(through[parent], through[i])
        return through

    def _runs_to_end(self, picks: list[Option]) -> list[int]:
        """Run from the zone's root to the end of each pipe [mm]."""
        return self._ends_today if self.is_rigid else self._ends(picks)

    @cached_property
    def _ends_today(self) -> list[int]:
        return self._ends(self._today)

    def _ends(self, picks: list[Option]) -> list[int]:
        runs: list[int] = []
        for pipe, pick in zip(self.network.pipes, picks, strict=True):
            joined = pipe.parent >= 0 and self.network.pipes[pipe.parent].zone == pipe.zone
            own = pipe.segment.length_mm + fitting_mm(pipe.segment, pick, self.network.supply.fittings)
            runs.append((runs[pipe.parent] if joined else 0) + own)
        return runs

    def _cost_of(self, carrier: Carrier, picks: list[Option], lengths: list[int]) -> TapCost | None:
        cut, pipes = carrier.pipe if carrier.cut else -1, self.network.pipes
        renewed = tuple((i, p) for i, p in enumerate(picks) if i != cut and not p.kept)
        units = sum(p.units(pipes[i].segment.length_mm) for i, p in renewed)
        runs = self._runs_to_end(picks)
        if cut < 0:
            joined = carrier.pipe >= 0 and pipes[carrier.pipe].zone == carrier.zone
            return TapCost(units, runs[carrier.pipe] if joined else 0, renewed)
        beyond = self._runs_through(picks)[cut] if self.method in BRANCH else lengths[cut]
        after = self._pick(cut, False, beyond)
        length = pipes[cut].segment.length_mm
        return None if after is None else TapCost(units, runs[cut] - length, renewed, picks[cut], after, length)

    def _pick(self, pipe: int, loaded: bool, length_mm: int) -> Option | None:
        """Cheapest option of a pipe that carries its load, with the added input or without, over a length."""
        key = pipe, loaded, length_mm
        if key not in self._picks:
            self._picks[key] = next((option for option, reach in self.ways[pipe][loaded] if reach >= length_mm), None)
        return self._picks[key]


def _units(picks: Sequence[Option | None], lengths_mm: Sequence[int]) -> list[float]:
    """Money units of whole pipes, inf for those that cannot be had."""
    return [inf if p is None else float(p.units(mm)) for p, mm in zip(picks, lengths_mm, strict=True)]
