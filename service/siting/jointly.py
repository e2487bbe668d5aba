"""Several heaters at once: the cheapest designs that are lawful beside one another, proven by branch and bound.

A node holds each dwelling to a part of its designs. Its bound is the sum of what each finds there by itself, the shared
gas system split so that nothing is paid for twice (``gas_shares``). Where what was found can stand together and costs
as much, the node is done; else it is split at what stands between them: a place, a heater, a tap.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations

from service.building.model import Building
from service.deadline import OutOfTime, ending_when, seconds_left
from service.design import Design
from service.routing.sheets import sheets_of
from service.siting.as_done import DoneWorld, SharedWorks, works_of
from service.siting.asked import search_of
from service.siting.clashes import Clash, clashes_of
from service.siting.dwelling_search import Gas, Held, nameless
from service.siting.first_sets import FirstSets
from service.siting.gas_shares import Tapping, shares_of
from service.siting.joint_nodes import INFEASIBLE, Bounded, JointOutcome, Node, OpenNodes, Why, least_in, whole
from service.siting.outcome import Outcome
from service.siting.pairs import Party
from service.siting.shared_air import MUCH, more_air, room_of, split_by_wall
from service.siting.shared_gas import Hung, SharedSupply
from service.siting.sleeves import paid_once, passing_of, places_of, short_of, split_by_hole, units_of
from service.siting.splitting import split_by_gas, split_by_heater, split_run
from service.siting.standing import Standing
from service.siting.twins import Twins
from service.siting.ways_of_gas import split_by_way
from service.survey.model import Question, Survey

Key = tuple[int, Held, Gas]
"""A search: which dwelling, what it is held to and what of the gas system it pays for."""


class Jointly:
    """The search for all dwellings of a survey, a node at a time. Sets of ``ceiling`` [money units] or more, which
    whoever drives it may lower, are of no use."""

    def __init__(self, survey: Survey, building: Building, deadline: float, question: Question | None = None) -> None:
        """``deadline`` in seconds of the monotonic clock; ``question``: a place that one of them is held to."""
        self.survey, self.building, self.deadline, self.ceiling = survey, building, deadline, INFEASIBLE
        self.searches = tuple(search_of(survey, building, d, question) for d in survey.dwellings)
        self.places = places_of([sheets_of(s.part) for s in self.searches])
        self.outcome = JointOutcome()
        self.world = DoneWorld(survey, building, self.searches, self.places, self._search)
        self.first = FirstSets(survey, building, self.searches, self._search, self._keep)
        self.twins, self.standing = Twins(survey.dwellings, question), Standing()
        self._known: dict[Key, Outcome] = {}
        self._capped: dict[Key, float] = {}
        self._offered: set[tuple[Design, ...]] = set()
        self._queue = OpenNodes()

    def begin(self) -> None:
        """Bound all sets together."""
        root = whole([s.dwelling for s in self.searches])
        self._queue.put(self._bounded(root).units, root)
        self.outcome.without = self._without(root)

    @property
    def bound_units(self) -> float:
        """What no set that is of use undercuts [money units]."""
        return min(self._most, self._queue.stuck, self._queue.least)

    @property
    def is_open(self) -> bool:
        """Whether the least bound is below the best set of designs and can be raised."""
        return self._queue.least < min(self._most, self._queue.stuck)

    def step(self) -> None:
        """Work on a node, mostly that of the least bound; one that time ends is kept as it was."""
        least, node = self._queue.next(self._most)
        try:
            with ending_when(lambda: not seconds_left(self.deadline)):
                self._step(least, node)
        except OutOfTime:
            self._queue.put(least, node)

    def _step(self, least: float, node: Node) -> None:
        children = self._worked(node)
        least = max(least, self._bounded(node).units)
        if children is None:
            self._queue.stick(least, self._why_stuck(node))
        for child in children or ():
            self._put(child, least)

    def ended(self) -> JointOutcome:
        """What was found, and proven of it."""
        out = self.outcome
        out.cut_off |= self.is_open
        out.bound_units, out.unsettled = self.bound_units, self._queue.reasons(self._most)
        return out

    def _put(self, child: Node, least: float) -> None:
        """Keep a child whose sets cost ``least`` at the least as long as it may be of use; what can stand is put up."""
        found = self._bounded(child, self._most)
        if len(found.designs) == len(self.searches) and not self._clashes(found.designs):
            self._offer(child, found.designs)
        if max(found.units, least) < self._most:
            self._queue.put(max(found.units, least), child)

    @property
    def _most(self) -> float:
        """From here on no set is of use [money units]."""
        return min(self.outcome.cost_units, self.ceiling)

    def _without(self, root: Node) -> tuple[str, ...]:
        """Dwellings that have no lawful design by themselves."""
        gases = [gas for gas, _ in self._gases(root)]
        found = [self._search(i, self._held(root, i), gas) for i, gas in enumerate(gases)]
        pairs = zip(self.searches, found, strict=False)
        return tuple(s.dwelling.id for s, o in pairs if not o.designs and not o.cut_off)

    def _worked(self, node: Node) -> Iterable[Node] | None:
        """Children of a node; none of them where it is done, None where it cannot be split any more."""
        self.outcome.nodes += 1
        bounded = self._bounded(node)
        if len(bounded.designs) < len(self.searches):
            return None if bounded.units < INFEASIBLE else ()
        clashes = self._clashes(bounded.designs)
        if not clashes:
            self._offer(node, bounded.designs)
        self.outcome.in_the_way |= bool(clashes)
        if self.outcome.nodes == 1 and self.outcome.cost_units > bounded.units:
            gases, alike = [gas for gas, _ in self._gases(node)], self.twins.all_alike(node)
            self.first.seek(node.helds, bounded.designs, gases, alike, bool(clashes))
        if self.outcome.cost_units <= bounded.units:
            return ()
        if clashes:
            return self._shared_first(node, bounded) or self._by_place(node, clashes)
        if more_air(self.searches, node.helds, bounded.designs):
            return self._by_air(node, bounded.designs)
        if short := short_of(bounded.designs, self.places, node.settled, self.survey.prices):
            parts = split_by_hole(node.settled, short, self._lines(node))
            return None if parts is None else [replace(node, settled=settled) for settled in parts]
        if at := split_run(self.survey, bounded.designs, node.runs, self._reaches(node)):
            return [replace(node, runs=(node.runs[0], at)), replace(node, runs=(at, node.runs[1]))]
        return self._by_gas(node, bounded.designs, self._works(node, bounded.designs))

    def _why_stuck(self, node: Node) -> str:
        """Why a node cannot be split any more; nothing where its searches were cut off."""
        designs = self._bounded(node).designs
        if len(designs) < len(self.searches):
            return ""
        if self._clashes(designs):
            return Why.PLACES
        return Why.HOLES if short_of(designs, self.places, node.settled, self.survey.prices) else Why.GAS

    def _shared_first(self, node: Node, bounded: Bounded) -> list[Node] | None:
        """Split at gas or air though heaters are in one another's way: where no sizes carry all of them as tapped, or
        where what both cost more than was counted is ``MUCH`` of what a set may cost more."""
        designs, once = bounded.designs, sum(once for _, once in self._gases(node))
        works = self._works(node, designs)
        if works is None:
            return self._by_gas(node, designs, works)
        gas = works.units - units_of(works.sleeves, self.survey.prices) - once
        if gas + more_air(self.searches, node.helds, designs) < MUCH * (self._most - bounded.units):
            return None
        return self._by_air(node, designs) or (self._by_gas(node, designs, works) if gas > 0 else None)

    def _by_air(self, node: Node, designs: tuple[Design, ...]) -> list[Node] | None:
        return self.twins.unmirrored(node, split_by_wall(self.searches, node.helds, designs))

    def _by_gas(self, node: Node, designs: tuple[Design, ...], works: SharedWorks | None) -> list[Node] | None:
        gases = [gas for gas, _ in self._gases(node)]
        found = split_by_way(self.survey, node.helds, self._all_hung(node, designs), works)
        found = found or split_by_gas(self.survey, self.building, self.searches, node.helds, designs, gases)
        return self.twins.unmirrored(node, found)

    def _works(self, node: Node, designs: tuple[Design, ...]) -> SharedWorks | None:
        return works_of(self.survey, self.building, self._all_hung(node, designs), self.places)

    def _by_place(self, node: Node, clashes: tuple[Clash, ...]) -> list[Node] | None:
        """One of two heaters in one another's way stands where its own lines put it; which one, both ways are tried."""
        pair = (clashes[0].first, clashes[0].second)
        if found := split_by_heater(self.searches, node.helds, self._bounded(node).designs, pair):
            return self.twins.unmirrored(node, found)
        stands = next((w for a, b, w in node.stands if (a, b) == pair), None)
        if stands is None:
            either = pair[:1] if self.twins.are_alike(node, *pair) else pair
            return [replace(node, stands=(*node.stands, (*pair, who))) for who in either]
        who = (stands, sum(pair) - stands)
        parties = self._party(node, who[0]), self._party(node, who[1])
        rest = self._summed(node) - sum(p.units for p in parties)
        return self.standing.split(node, clashes, who, parties, rest, self._most)

    def _party(self, node: Node, index: int) -> Party:
        key = self._keys(node)[index]
        found = self._known[key]
        return Party(self.searches[key[0]], key[1], key[2], found, least_in(found))

    def _bounded(self, node: Node, most: float = INFEASIBLE) -> Bounded:
        """Bound of a node; one that reaches ``most`` [money units] is not looked at any closer."""
        units, keys = self._summed(node), self._keys(node)
        for i, key in enumerate(keys):
            if max(units, node.floor) >= most:
                return Bounded(max(units, node.floor), ())
            if key not in self._known:
                units += least_in(self._search(i, *key[1:], most - units), most - units)
        units = max(units, node.floor)
        return Bounded(units, () if units >= most else self._found(keys))

    def _summed(self, node: Node) -> float:
        """What is known of a node's cost at least: what is paid once, and of all searches that have been made."""
        shares = self._gases(node)
        units = sum(once for _, once in shares) if shares else INFEASIBLE
        units += paid_once(node.settled, self.survey.prices)
        return units + sum(least_in(self._known[key]) for key in self._keys(node) if key in self._known)

    def _keys(self, node: Node) -> list[Key]:
        return [self._key(i, self._held(node, i), gas) for i, (gas, _) in enumerate(self._gases(node))]

    def _key(self, index: int, held: Held, gas: Gas) -> Key:
        """What a search depends on: dwellings that are alike have theirs in common."""
        return self.twins.first_of(index), nameless(held), gas

    def _held(self, node: Node, index: int) -> Held:
        """What a dwelling is held to, with what it pays at least for holes that others may use."""
        passing = passing_of(index, self.places, node.settled, self.survey.prices)
        return replace(node.helds[index], passing=passing)

    def _lines(self, node: Node) -> tuple[list[int], ...]:
        """Critical coordinates of all dwellings' heaters, by axis."""
        gases = [gas for gas, _ in self._gases(node)]
        found = [s.every_plane(gas) for s, gas in zip(self.searches, gases, strict=True)]
        return tuple(sorted(set().union(*(lines[axis] for lines in found))) for axis in range(3))

    def _found(self, keys: list[Key]) -> tuple[Design, ...]:
        return tuple(design for key in keys for design in self._known[key].designs[:1])

    def _gases(self, node: Node) -> list[tuple[Gas, float]]:
        """The gas system as each dwelling sees it, and what is paid once, told with the first; empty: it cannot be."""
        tappings = self._tappings(node)
        if tappings is None:
            return []
        shares = shares_of(self.survey, tappings, node.runs[0])
        if shares.units is None:
            return []
        once = [float(shares.units), *(0.0 for _ in tappings[1:])]
        gases = [Gas(s, t.taps, True, node.runs[1]) for s, t in zip(shares.supplies, tappings, strict=True)]
        return list(zip(gases, once, strict=True))

    def _reaches(self, node: Node) -> tuple[int, ...]:
        tappings = self._tappings(node)
        return () if tappings is None else shares_of(self.survey, tappings, node.runs[0]).reaches

    def _tappings(self, node: Node) -> list[Tapping] | None:
        """What each may tap and burns at least; None if a dwelling has no heater left."""
        found = []
        for search, held in zip(self.searches, node.helds, strict=True):
            inputs = search.inputs(held).values()
            if not inputs:
                return None
            found.append(Tapping(held.taps, min(inputs), room_of(search, held)))
        return found

    def _search(self, index: int, held: Held, gas: Gas, ceiling: float = INFEASIBLE) -> Outcome:
        """One dwelling's search, each once; one that finds nothing below a ceiling may be asked again for more."""
        key = self._key(index, held, gas)
        if key in self._known:
            return self._known[key]
        if ceiling > self._capped.get(key, 0.0):
            found = self.searches[key[0]].found(*key[1:], self.deadline, ceiling)
            self.outcome.note(found, gas.is_bound)
            if found.designs or found.cut_off or ceiling == INFEASIBLE:
                self._known[key] = found
                return found
            self._capped[key] = ceiling
        return Outcome()

    def _clashes(self, designs: tuple[Design, ...]) -> tuple[Clash, ...]:
        """How the first two heaters that are in one another's way are that."""
        pairs = combinations(range(len(designs)), 2)
        every = (tuple(clashes_of(self.searches, designs, i, k)) for i, k in pairs)
        return next(filter(None, every), ())

    def _offer(self, node: Node, designs: tuple[Design, ...]) -> None:
        """Put a set of designs up as the best, if it is, once all of it stands with the works done. Each set once."""
        if designs in self._offered:
            return
        self._offered.add(designs)
        self._keep(list(self._all_hung(node, designs)))

    def _all_hung(self, node: Node, designs: tuple[Design, ...]) -> tuple[Hung, ...]:
        supplies = [SharedSupply(gas.supply) for gas, _ in self._gases(node)]
        return tuple(self.first.hung(i, d, supplies[i]) for i, d in enumerate(designs))

    def _keep(self, hung: list[Hung]) -> bool:
        done = self.world.done(tuple(hung))
        if done is not None and done.units < self.outcome.cost_units:
            self.outcome.done = done
        return done is not None
