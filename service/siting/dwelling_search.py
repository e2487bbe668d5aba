"""The search for one dwelling's heater: within its own rooms, beside heaters that hang already."""

from __future__ import annotations

import time
from dataclasses import replace

from service.building.model import Building
from service.clearance.model import spec_of
from service.clearance.roof import rise_on
from service.design import RoofTerminal, Terminal
from service.siting.dwelling_zones import Gas as Gas
from service.siting.dwelling_zones import Held as Held
from service.siting.dwelling_zones import Region as Region
from service.siting.dwelling_zones import Share
from service.siting.dwelling_zones import nameless as nameless
from service.siting.gas_shares import without_shared_works
from service.siting.ground import Ground
from service.siting.least_places import LeastPlaces, least_places, with_obstacles
from service.siting.neighbours import Apart, Neighbour
from service.siting.outcome import Outcome
from service.siting.own_places import OwnPlaces, everything_of, planes_of
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.divided import of_dwelling, passable_rooms
from service.survey.equipment import Heater
from service.survey.model import Dwelling, Survey

CORE = "core of the case of"
"""How the names of things begin that a case takes wherever it hangs."""


class DwellingSearch:
    """Searches for one dwelling; what does not change from one to the next is kept."""

    def __init__(self, survey: Survey, building: Building, dwelling: Dwelling) -> None:
        self.dwelling, self.building = dwelling, building
        self.survey = of_dwelling(survey, dwelling)
        self.share = Share(self.survey, building, passable_rooms(survey, dwelling))
        self.part = self.share.part
        self._free = without_shared_works(survey.prices)
        self._own: dict[Held, OwnPlaces] = {}
        self._planes: dict[Gas, tuple[list[int], ...]] = {}
        self._least: dict[tuple[Held, Gas], LeastPlaces] = {}
        self.seen = self.ground(Held(), Gas(self.survey.gas, None))

    def found(self, held: Held, gas: Gas, deadline: float, ceiling: float = float("inf")) -> Outcome:
        """The cheapest design of those that it is held to, if one costs no more than the ceiling [money units];
        ``deadline`` is in seconds of the monotonic clock."""
        ground = self.ground(held, gas)
        return search(ground, self.zones_of(held), 1, deadline, time.monotonic, ceiling=ceiling)

    def inputs(self, held: Held) -> dict[str, float]:
        """Greatest input of each heater that the dwelling can have and is held to, by name [W]."""
        return {n.name: n.heater.input_max_w for n in self.seen.needs if held.takes(n.name)}

    def zones_of(self, held: Held) -> Zones:
        """The zones that a search sees."""
        return self.share.seen(held, Gas(self.survey.gas, None))

    def ground(self, held: Held, gas: Gas) -> Ground:
        """What a search is given."""
        prices = self._free if gas.is_bound else self.survey.prices
        return self.share.ground(replace(self.survey, gas=gas.supply, prices=prices), held, gas)

    def own_places(self, held: Held, gas: Gas) -> OwnPlaces:
        """Places critical for the one heater that a search is held to, wherever else it is held."""
        free = Held(heaters=held.heaters, beside=held.beside)
        if free not in self._own:
            (name,) = held.heaters or ("",)
            self._own[free] = OwnPlaces(self.ground(free, gas), self.zones_of(free), name)
        return self._own[free]

    def least_places(
        self, held: Held, gas: Gas, found: Outcome, most: float, wider: LeastPlaces | None = None
    ) -> LeastPlaces | None:
        """What the one heater that a search is held to costs at least at every place, ``most`` where it is dearer
        [money units], after what that search ``found``; None for several heaters, for one whose intake is placed
        besides, and outdoors. ``wider``: the same where it is held to less."""
        ground = self.ground(held, gas)
        needs = [n for n in ground.needs if n.heater.vent.intake is None and not n.outdoors]
        if len(ground.needs) != 1 or not needs or 0 not in found.actives:
            return None
        key = held, gas
        if key not in self._least or self._least[key].most < most:
            everything = everything_of(ground, self.zones_of(held), ground.needs[0])
            lazy = with_obstacles(ground, found.actives[0], ground.needs[0], CORE)
            self._least[key] = least_places(ground, lazy, everything, ground.needs[0], most, wider)
        return self._least[key]

    def end_at(self, heater: Heater, surface_id: str, s_mm: int, z_mm: int) -> Terminal | RoofTerminal:
        """The end of a heater's vent at a place of a facade, or of a roof plane over which it may end."""
        plane = next((p for p in self.building.roof if p.id == surface_id), None)
        if plane is None:
            return Terminal(surface_id, s_mm, z_mm)
        rise = rise_on(self.survey, spec_of(heater), plane) or 0
        return RoofTerminal(plane.id, s_mm, z_mm, plane.height_mm(s_mm, z_mm) + rise)

    def every_plane(self, gas: Gas) -> tuple[list[int], ...]:
        """Coordinates critical for any heater of the dwelling by itself, by axis."""
        if gas not in self._planes:
            ground, zones = self.ground(Held(), gas), self.zones_of(Held())
            found = [planes_of(ground, zones, need) for need in ground.needs]
            self._planes[gas] = tuple(sorted(set().union(*(p[axis] for p in found))) for axis in range(3))
        return self._planes[gas]

    def apart(self, neighbour: Neighbour) -> Apart:
        """Zones that a neighbour's heater makes here."""
        return self.share.apart(neighbour)
