"""A first lawful set of designs for a joint search, near its bound if it can be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from service.building.model import Building
from service.design import Design
from service.siting.clashes import clash_of
from service.siting.dwelling_search import DwellingSearch, Gas, Held
from service.siting.neighbours import Neighbour
from service.siting.outcome import Outcome
from service.siting.shared_gas import Hung, SharedSupply, shared_supply
from service.siting.splitting import bare
from service.survey.model import Survey

SWEEPS = 1
"""How often designs found one after another are looked at again beside all others."""
Search = Callable[[int, Held, Gas], Outcome]
Order = Sequence[int]


class FirstSets:
    """Sets put together one dwelling after another."""

    def __init__(
        self, survey: Survey, building: Building, searches: Sequence[DwellingSearch], search: Search,
        keep: Callable[[list[Hung]], bool],
    ) -> None:  # fmt: skip
        """``search`` is one dwelling's search; ``keep`` puts a set up as the best and tells whether it stands."""
        self._survey, self._building, self._searches = survey, building, searches
        self._search, self._keep = search, keep

    def seek(
        self, helds: Sequence[Held], designs: Sequence[Design], gases: Sequence[Gas], alike: bool, clashing: bool
    ) -> None:
        """Look for a set near designs each of which was found by itself. Those that are in one another's way
        (``clashing``) give way in some orders; else, or where no set comes of that, each is placed beside those before
        it, then each again beside all others. ``alike``: of the dwellings it does not matter which comes first."""
        count = len(designs)
        orders = [range(count)] if alike else [range(count), range(count)[::-1]]
        gives_way = [self._giving_way(helds, designs, gases, order) for order in orders] if clashing else []
        if not any(gives_way):
            for order in orders:
                self._one_after_another(helds, order)

    def hung(self, index: int, design: Design, supply: SharedSupply) -> Hung:
        """A design with its tap on a system in which it was found."""
        room = None if design.outdoors else self._building.face(design.mount.face_id).room_id
        return Hung(self._searches[index].dwelling.id, design, supply.tap_of(self._building, design), room)

    def _giving_way(self, helds: Sequence[Held], designs: Sequence[Design], gases: Sequence[Gas], order: Order) -> bool:
        """Each as it was found by itself, but for those in the way of one before them: these are searched beside."""
        standing, hung = list(designs), dict[int, Hung]()
        for i in order:
            own: Hung | None = self.hung(i, designs[i], SharedSupply(gases[i].supply))
            if any(clash_of(self._searches, standing, k, i) for k in hung):
                own = self._beside(i, helds[i], [hung[k] for k in sorted(hung)])
            if own is None:
                return False
            hung[i], standing[i] = own, own.design
        return self._keep([hung[i] for i in sorted(hung)])

    def _one_after_another(self, helds: Sequence[Held], order: Order) -> None:
        hung: dict[int, Hung] = {}
        for i in (*order, *(tuple(order) * SWEEPS)):
            placed = self._beside(i, helds[i], [hung[k] for k in sorted(hung) if k != i])
            if placed is None:
                break
            hung[i] = placed
        if len(hung) == len(self._searches):
            self._keep([hung[i] for i in sorted(hung)])

    def _beside(self, index: int, held: Held, others: list[Hung]) -> Hung | None:
        """The cheapest design of a dwelling beside heaters that hang already, the gas system sized for all."""
        shared = shared_supply(self._survey, self._building, others)
        taps = None if held.taps is None else shared.names_of(held.taps)
        gas = Gas(replace(shared.supply, pressure_options=()), taps)
        near = tuple(Neighbour(h.dwelling, bare(h.design)) for h in others)
        found = self._search(index, replace(held, beside=(*held.beside, *near)), gas)
        return self.hung(index, found.designs[0], shared) if found.designs else None
