"""What the old gas piping asks for a heater at each tap, sized here once more: the staircase of lengths.

Hold every run of the heater's zone to a length: each pipe must then carry its load over it, by the capacity that the
inspector reads too, in the cheapest way that the price book has. The longer the runs may be, the more is renewed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.piping.feeds import Feed, feeds_of
from service.piping.network import Load
from service.piping.options import Option, branch_options, options_for
from service.routing.ends import Anchor
from service.survey.equipment import Heater
from service.survey.model import GasFittings, GasMethod, GasSegment, Survey
from service.trades.gas_capacity import Terms, by_equation, by_tables, longest_mm, rows_mm
from service.trades.gas_pipe import elbow_mm, is_known, tee_mm
from service.verify.ends import Charge
from service.verify.pressure import LossTree

BY_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)
BY_BRANCH = (GasMethod.BRANCH_TABLES, GasMethod.BRANCH_EQUATION)
Tap = tuple[int, int | None]
"""Pipe at whose end a branch leaves (-1: the delivery), or from whose length, so far along [mm]."""

TapStep = tuple[str, str, int, tuple[tuple[str, int, int], ...]]
"""Feed, branch, length that runs are held to [mm]; at each node money units and the run before it [mm]."""


@dataclass(frozen=True, slots=True)
class Step:
    """One branch pipe while runs are held to a length: what each anchor asks; anchors that it may not leave are not
    told. ``limit_mm`` is for the branch with fittings and all before its tap."""

    branch: Option
    held_mm: int
    bend_mm: float
    charges: tuple[Charge, ...]


class GasSteps:
    """Every way of giving a heater gas, as far as it is re-checked."""

    def __init__(self, survey: Survey, heater: Heater) -> None:
        """Find the zones that can feed the heater."""
        self.survey, self.heater, self.gas = survey, heater, survey.gas
        self.feeds = feeds_of(survey.gas, survey.site.gas, survey.prices, heater)
        self._options: dict[GasSegment, tuple[Option, ...]] = {}
        self._picked: dict[tuple[int, int, bool, int], Option | None] = {}

    def steps(self, anchors: Sequence[Anchor]) -> Iterator[Step]:
        """All steps of all feeds; of those that charge alike the longest."""
        for feed in self.feeds:
            found: dict[object, Step] = {}
            for step in self._of_feed(feed, anchors):
                found[step.branch.name, tuple((c.anchor, c.units) for c in step.charges)] = step
            yield from found.values()

    def at_nodes(self, anchors: Sequence[Anchor]) -> set[TapStep]:
        """Every step of every feed, none left out, as what it asks at the nodes that the anchors stand for."""
        found = set()
        for feed in self.feeds:
            for step in self._of_feed(feed, anchors):
                tee = self._tee(step.branch)
                at = {(anchors[c.anchor].end_id, round(c.units), round(c.behind_mm) - tee) for c in step.charges}
                found.add((_named(feed), step.branch.name, step.held_mm, tuple(sorted(at))))
        return found

    def _of_feed(self, feed: Feed, anchors: Sequence[Anchor]) -> Iterator[Step]:
        places = [_place(feed, a) for a in anchors]
        branches = [o for m in self.gas.branch_materials for o in branch_options(self.survey.prices, m)]
        if self.gas.method is GasMethod.PRESSURE:
            yield from self._by_loss(feed, places, branches)
            return
        for held in self._lengths(feed, branches):
            bigger = [o for o in branches if self._carries(o, self.heater.input_max_w, held, feed.terms)]
            asked = self._asked(feed, places, held) if bigger else []
            for o in bigger:
                charges = tuple(Charge(i, units, upstream + self._tee(o)) for i, units, upstream in asked)
                if charges:
                    yield Step(o, held, self._bend(o), charges)

    def _by_loss(self, feed: Feed, places: Sequence[Tap | None], branches: Sequence[Option]) -> Iterator[Step]:
        """One step for each branch: every anchor is charged once for each pressure that may be left there."""
        tree = LossTree(feed.network, self.heater, self._may_be, self._fittings)
        taps = {tap: tree.at(*tap, feed.zone) for tap in places if tap and _gives(feed, tap)}
        lost = {mm for found in taps.values() for mm, _ in found}
        for o in branches:
            rooms = {a: tree.branch_mm(feed.zone, o, feed.set_point is not None, a) for a in lost}
            longest = max(rooms.values(), default=0)
            charges = tuple(
                Charge(i, units + feed.units, longest - rooms[a] + self._tee(o))
                for i, tap in enumerate(places)
                for a, units in (taps.get(tap, ()) if tap else ())
                if rooms[a] > 0
            )  # fmt: skip
            if charges:
                yield Step(o, longest, self._bend(o), charges)

    def _bend(self, branch: Option) -> float:
        """Length that an elbow of a branch counts for [mm]."""
        return float(elbow_mm(branch.material, branch.size)) if self.gas.fittings is GasFittings.COUNTED else 0.0

    def _tee(self, branch: Option) -> int:
        """Length that the tee counts for by which a branch leaves [mm]."""
        return tee_mm(branch.material, branch.size) if self.gas.fittings is GasFittings.COUNTED else 0

    def _lengths(self, feed: Feed, branches: Sequence[Option]) -> list[int]:
        """Lengths at which the capacity of some pipe may change, shortest first [mm]."""
        zone = [p for p in feed.network.pipes if p.zone == feed.zone]
        options = [*branches, *(o for p in zone for o in self._may_be(p.segment))]
        if self.gas.method in BY_TABLES:
            return sorted({mm for o in options for mm in rows_mm(o.material, feed.terms)})
        both = (load for p in zone for load in (p.load, p.load.plus(self.heater.input_max_w)))
        loads = {self._drawn(load) for load in both} | {self.heater.input_max_w}
        found = {longest_mm(o.material, o.size, load, feed.terms) for o in options for load in loads if load > 0}
        return sorted(mm for mm in found if mm > 0)

    def _asked(self, feed: Feed, places: Sequence[Tap | None], held: int) -> list[tuple[int, float, int]]:
        """Anchor, money units and run from the zone's root to the tap, for every anchor that may be tapped."""
        known: dict[Tap, tuple[float, int] | None] = {}
        out = []
        for i, tap in enumerate(places):
            if tap is None or not _gives(feed, tap):
                continue
            if tap not in known:
                known[tap] = self._at(feed, tap, held)
            found = known[tap]
            if found is not None:
                out.append((i, found[0] + feed.units, found[1]))
        return out

    def _at(self, feed: Feed, tap: Tap, held: int) -> tuple[float, int] | None:
        """Works at a tap and the run before it; None where some pipe cannot be had, or a run is longer than held."""
        way = set(feed.network.way(tap[0]))
        picks, lengths = self._today(feed), None
        while True:
            runs = self._runs(feed, picks)
            asked = self._sized_by(feed, _through(feed, runs), way, held)
            if asked is None:
                return None
            grown = asked if lengths is None else [max(mm, old) for mm, old in zip(asked, lengths, strict=True)]
            if lengths is not None and (asked == lengths or grown == lengths):
                break
            chosen = [self._pick(feed, i, i in way, mm) for i, mm in enumerate(grown)]
            picks, lengths = [o for o in chosen if o is not None], grown
            if len(picks) < len(chosen):
                return None
        return self._works(feed, tap, picks, lengths, runs)

    def _works(
        self, feed: Feed, tap: Tap, picks: list[Option], lengths: list[int], runs: list[int]
    ) -> tuple[float, int] | None:
        """Money units of the pipes chosen, a tapped one in two parts, and the run before the tap."""
        pipes, (pipe, cut) = feed.network.pipes, tap
        whole = [o.units(p.segment.length_mm) for o, p in zip(picks, pipes, strict=True)]
        units = sum(whole)
        if cut is None:
            return float(units), runs[pipe] if pipe >= 0 and pipes[pipe].zone == feed.zone else 0
        own = pipes[pipe].segment.length_mm
        beyond = _through(feed, runs)[pipe] if self.gas.method in BY_BRANCH else lengths[pipe]
        after = self._pick(feed, pipe, False, beyond)
        if after is None:
            return None
        parts = picks[pipe].units(cut) + after.units(own - cut)
        return float(units - whole[pipe] + parts), runs[pipe] - own + cut

    def _sized_by(self, feed: Feed, through: list[int], way: set[int], held: int) -> list[int] | None:
        """Length that sizes each pipe; None where a run of the zone is longer than it is held to."""
        pipes = feed.network.pipes
        if self.gas.method in BY_BRANCH:
            mine = [i in way and p.zone == feed.zone for i, p in enumerate(pipes)]
            return [max(mm, held) if own else mm for mm, own in zip(through, mine, strict=True)]
        longest = [0] * len(feed.network.zones)
        for mm, p in zip(through, pipes, strict=True):
            longest[p.zone] = max(longest[p.zone], mm)
        if longest[feed.zone] > held:
            return None
        return [held if p.zone == feed.zone else longest[p.zone] for p in pipes]

    def _today(self, feed: Feed) -> list[Option]:
        """What each pipe is, or the cheapest that a new one may be."""
        return [o[0] for p in feed.network.pipes if (o := self._may_be(p.segment))]

    def _runs(self, feed: Feed, picks: list[Option]) -> list[int]:
        """Run of pipe with its fittings from its zone's root to the end of each pipe [mm]."""
        out: list[int] = []
        for p, option in zip(feed.network.pipes, picks, strict=True):
            joined = p.parent >= 0 and feed.network.pipes[p.parent].zone == p.zone
            out.append((out[p.parent] if joined else 0) + p.segment.length_mm + self._fittings(p.segment, option))
        return out

    def _fittings(self, segment: GasSegment, option: Option) -> int:
        if self.gas.fittings is not GasFittings.COUNTED or not is_known(option.material, option.size):
            return 0
        elbows, tees = segment.elbows or 0, segment.tees or 0
        return elbows * elbow_mm(option.material, option.size) + tees * tee_mm(option.material, option.size)

    def _pick(self, feed: Feed, index: int, with_heater: bool, over_mm: int) -> Option | None:
        """The cheapest that carries a pipe's load over a length."""
        key = id(feed), index, with_heater, over_mm
        if key not in self._picked:
            pipe = feed.network.pipes[index]
            zone = feed.network.zones[pipe.zone]
            terms, load = Terms(feed.network.gas, zone.supply_pa, zone.drop_pa), pipe.load
            drawn = self._drawn(load.plus(self.heater.input_max_w) if with_heater else load)
            able = (o for o in self._may_be(pipe.segment) if self._carries(o, drawn, over_mm, terms))
            self._picked[key] = next(able, None)
        return self._picked[key]

    def _may_be(self, segment: GasSegment) -> tuple[Option, ...]:
        """What a segment is, and what may take its place, by rising cost."""
        if segment not in self._options:
            self._options[segment] = options_for(segment, self.survey.prices)
        return self._options[segment]

    def _carries(self, option: Option, load_w: float, length_mm: int, terms: Terms) -> bool:
        if load_w <= 0:
            return True
        read = by_tables if self.gas.method in BY_TABLES else by_equation
        capacity = read(option.material, option.size, length_mm, terms)
        return capacity is not None and capacity.passes(load_w)

    def _drawn(self, load: Load) -> float:
        return load.drawn_w(self.gas.diversity)


def _named(feed: Feed) -> str:
    """A feed in words."""
    named = feed.pressure.id if feed.pressure else "as delivered"
    return f"{named}, from {feed.network.zones[feed.zone].root}" + (", own regulator" if feed.set_point else "")


def _place(feed: Feed, anchor: Anchor) -> Tap | None:
    """Where on the tree an anchor is, by its name and the pipe before it."""
    network = feed.network
    ends = {network.supply.delivery_node: -1, **{p.segment.end: i for i, p in enumerate(network.pipes)}}
    if anchor.end_id in ends:
        return ends[anchor.end_id], None
    index = next(i for i, p in enumerate(network.pipes) if p.segment.id == anchor.end_id)
    pipe = network.pipes[index]
    before = sum(network.pipes[i].segment.length_mm for i in network.way(pipe.parent))
    cut = anchor.upstream_mm - before
    if cut <= 0:
        return pipe.parent, None
    return (index, cut) if cut < pipe.segment.length_mm else (index, None)


def _gives(feed: Feed, tap: Tap) -> bool:
    """Whether gas at the feed's pressure is to be had at a tap."""
    network, (pipe, cut) = feed.network, tap
    if cut is not None:
        return network.pipes[pipe].zone == feed.zone
    node = network.pipes[pipe].segment.end if pipe >= 0 else network.supply.delivery_node
    zone_at = network.zone_ahead if feed.set_point is not None else network.zone_behind
    return zone_at(node) == feed.zone


def _through(feed: Feed, runs: list[int]) -> list[int]:
    """Longest run of its zone that goes through each pipe [mm]."""
    through, pipes = list(runs), feed.network.pipes
    for i in reversed(range(len(pipes))):
        parent = pipes[i].parent
        if parent >= 0 and pipes[parent].zone == pipes[i].zone:
            through[parent] = max(through[parent], through[i])
    return through
