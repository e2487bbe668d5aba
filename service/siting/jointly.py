"""Several heaters at once: the cheapest designs that are lawful beside one another, proven by branch and bound.

A node holds each dwelling to a part of its designs. Its bound is the sum of what each finds there by itself, the shared
gas system split so that nothing is paid for twice (``gas_shares``). Where what was found can stand together and costs
as much, the node is done; else it is split at what stands between them: a place, a heater, a tap.
"""

from __future__ import annotations

import heapq
import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from service.building.model import Building
from service.design import Design
from service.routing.sheets import sheets_of
from service.siting.as_done import DoneWorld
from service.siting.clashes import Clash, clash_of
from service.siting.dwelling_search import DwellingSearch, Gas, Held
from service.siting.gas_shares import Tapping, shares_of
from service.siting.joint_nodes import INFEASIBLE, Bounded, JointOutcome, Node
from service.siting.neighbours import Neighbour
from service.siting.search import Outcome
from service.siting.shared_gas import Hung, SharedSupply, shared_supply
from service.siting.sleeves import paid_once, passing_of, places_of, short_of, split_by_hole
from service.siting.splitting import bare, split_by_gas, split_by_place, split_run
from service.survey.model import Survey

Key = tuple[int, Held, Gas]
SWEEPS = 1
"""How often designs found one after another are looked at again beside all others."""


class Jointly:
    """The search for all dwellings of a survey."""

    def __init__(self, survey: Survey, building: Building, deadline: float, ceiling: float = INFEASIBLE) -> None:
        """``building`` is that of the survey without its roof; ``deadline`` in seconds of the monotonic clock. Sets of
        ``ceiling`` [money units] or more are of no use."""
        self.survey, self.building, self.deadline, self.ceiling = survey, building, deadline, ceiling
        self.searches = tuple(DwellingSearch(survey, building, d) for d in survey.dwellings)
        self.places = places_of([sheets_of(s.part) for s in self.searches])
        self.outcome = JointOutcome()
        self.world = DoneWorld(survey, building, self.searches, self.places, self._search)
        self._known: dict[Key, Outcome] = {}
        self._capped: dict[Key, float] = {}

    def run(self) -> JointOutcome:
        """Work on the node of the least bound until no bound is below the best set of designs."""
        out, tie = self.outcome, 0
        root = Node(tuple(Held(taps=_names(s.dwelling.gas_taps)) for s in self.searches))
        queue = [(self._bounded(root).units, tie, root)]
        out.without = self._without(root)
        settled = INFEASIBLE
        while queue and queue[0][0] < min(self._most, settled):
            if time.monotonic() >= self.deadline:
                out.cut_off = True
                break
            _, _, node = heapq.heappop(queue)
            children = self._worked(node)
            if children is None:
                settled = min(settled, self._bounded(node).units)
                continue
            for child in children:
                tie += 1
                bound = max(self._bounded(child, self._most).units, self._bounded(node).units)
                if bound < self._most:
                    heapq.heappush(queue, (bound, tie, child))
        open_nodes = [q[0] for q in queue[:1]]
        out.bound_units = min(self._most, settled, *open_nodes)
        out.unsettled = settled < self._most
        return out

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
        clash = self._clash(node, bounded.designs)
        if clash is None:
            self._offer(node, bounded.designs)
        else:
            self.outcome.in_the_way = True
        if self.outcome.nodes == 1 and self.outcome.cost_units > bounded.units:
            self._first_set(node, bounded.designs, clash is not None)
        if self.outcome.cost_units <= bounded.units:
            return ()
        if clash is not None:
            return self._by_place(node, clash)
        if short := short_of(bounded.designs, self.places, node.settled, self.survey.prices):
            parts = split_by_hole(node.settled, short, self._lines(node))
            return None if parts is None else [replace(node, settled=settled) for settled in parts]
        if at := split_run(self.survey, bounded.designs, node.runs, self._reaches(node)):
            return [replace(node, runs=(node.runs[0], at)), replace(node, runs=(at, node.runs[1]))]
        gases = [gas for gas, _ in self._gases(node)]
        found = split_by_gas(self.survey, self.building, self.searches, node.helds, bounded.designs, gases)
        return None if found is None else [replace(node, helds=helds) for helds in found]

    def _by_place(self, node: Node, clash: Clash) -> list[Node] | None:
        """One of two heaters in one another's way stands where its own lines put it; which one, both ways are tried."""
        pair = (clash.first, clash.second)
        stands = next((w for a, b, w in node.stands if (a, b) == pair), None)
        if stands is None:
            return [replace(node, stands=(*node.stands, (*pair, who))) for who in pair]
        gas = self._gases(node)[stands][0]
        helds = split_by_place(self.searches, node.helds, self._bounded(node).designs, clash, stands, gas)
        return None if helds is None else [replace(node, helds=h) for h in helds]

    def _bounded(self, node: Node, most: float = INFEASIBLE) -> Bounded:
        """Bound of a node; one that reaches ``most`` [money units] is not looked at any closer."""
        shares = self._gases(node)
        keys = [(i, self._held(node, i), gas) for i, (gas, _) in enumerate(shares)]
        units = sum(once for _, once in shares) if shares else INFEASIBLE
        units += paid_once(node.settled, self.survey.prices)
        units += sum(_least(self._known[key]) for key in keys if key in self._known)
        for key in keys:
            if units >= most:
                return Bounded(units, ())
            if key not in self._known:
                units += _least(self._search(*key, most - units), most - units)
        return Bounded(units, () if units >= most else self._found(keys))

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
            found.append(Tapping(held.taps, min(inputs)))
        return found

    def _search(self, index: int, held: Held, gas: Gas, ceiling: float = INFEASIBLE) -> Outcome:
        """One dwelling's search, each once; one that finds nothing below a ceiling may be asked again for more."""
        key = index, held, gas
        if key in self._known:
            return self._known[key]
        if ceiling > self._capped.get(key, 0.0):
            found = self.searches[index].found(held, gas, self.deadline, ceiling)
            self._note(found, gas)
            if found.designs or found.cut_off or ceiling == INFEASIBLE:
                self._known[key] = found
                return found
            self._capped[key] = ceiling
        return Outcome()

    def _note(self, found: Outcome, gas: Gas) -> None:
        """Add up what the searches did."""
        out = self.outcome
        out.rounds += found.rounds
        out.limited |= found.limited and gas.is_bound
        out.planes, out.states = max(out.planes, found.planes), max(out.states, found.states)
        out.cut_off |= found.cut_off

    def _clash(self, node: Node, designs: tuple[Design, ...]) -> Clash | None:
        """The first two heaters that are in one another's way."""
        for i, k in combinations(range(len(designs)), 2):
            if clash := clash_of(self.searches, designs, i, k):
                return clash
        return None

    def _offer(self, node: Node, designs: tuple[Design, ...]) -> None:
        """Put a set of designs up as the best, if it is, once all of it stands with the works done."""
        gases = [gas for gas, _ in self._gases(node)]
        supplies = [SharedSupply(gas.supply) for gas in gases]
        hung = [self._hung(i, d, supplies[i]) for i, d in enumerate(designs)]
        self._keep(hung)

    def _keep(self, hung: list[Hung]) -> None:
        done = self.world.done(tuple(hung))
        if done is not None and done.units < self.outcome.cost_units:
            self.outcome.done = done

    def _hung(self, index: int, design: Design, supply: SharedSupply) -> Hung:
        room = self.building.face(design.mount.face_id).room_id
        dwelling = self.searches[index].dwelling.id
        return Hung(dwelling, design, supply.tap_of(self.building, design), room)

    def _first_set(self, node: Node, designs: tuple[Design, ...], clashing: bool) -> None:
        """A first lawful set, near the bound if it can be."""
        if clashing:
            for order in (range(len(designs)), range(len(designs))[::-1]):
                self._giving_way(node, designs, order)
        if not clashing or self.outcome.done is None:
            self._one_after_another(node)

    def _giving_way(self, node: Node, designs: tuple[Design, ...], order: Sequence[int]) -> None:
        """Each as it was found by itself, but for those in the way of one before them: these are searched beside."""
        gases, standing = [gas for gas, _ in self._gases(node)], list(designs)
        hung: dict[int, Hung] = {}
        for i in order:
            own: Hung | None = self._hung(i, designs[i], SharedSupply(gases[i].supply))
            if any(clash_of(self.searches, standing, k, i) for k in hung):
                own = self._beside(i, node.helds[i], [hung[k] for k in sorted(hung)])
            if own is None:
                return
            hung[i], standing[i] = own, own.design
        self._keep([hung[i] for i in sorted(hung)])

    def _one_after_another(self, node: Node) -> None:
        """A first lawful set: each placed beside those before it, then each again beside all others."""
        count = len(self.searches)
        for order in (range(count), range(count)[::-1]):
            hung: dict[int, Hung] = {}
            for i in (*order, *(tuple(order) * SWEEPS)):
                placed = self._beside(i, node.helds[i], [hung[k] for k in sorted(hung) if k != i])
                if placed is None:
                    break
                hung[i] = placed
            if len(hung) == count:
                self._keep([hung[i] for i in range(count)])

    def _beside(self, index: int, held: Held, others: list[Hung]) -> Hung | None:
        """The cheapest design of a dwelling beside heaters that hang already, the gas system sized for all."""
        shared = shared_supply(self.survey, self.building, others)
        taps = None if held.taps is None else shared.names_of(held.taps)
        gas = Gas(replace(shared.supply, pressure_options=()), taps)
        near = tuple(Neighbour(h.dwelling, bare(h.design)) for h in others)
        found = self._search(index, replace(held, beside=(*held.beside, *near)), gas)
        return self._hung(index, found.designs[0], shared) if found.designs else None


def _least(found: Outcome, ceiling: float = INFEASIBLE) -> float:
    """What a search proves that a dwelling costs at least [money units], the ceiling where nothing lawful is below."""
    if not found.designs:
        return min(found.bound_units, ceiling) if found.cut_off else ceiling
    return found.bound_units if found.cut_off else found.cost_units or 0.0


def _names(ids: tuple[str, ...] | None) -> frozenset[str] | None:
    return None if ids is None else frozenset(ids)
