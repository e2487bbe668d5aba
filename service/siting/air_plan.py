"""Combustion air of every room and heater: all lawful ways that are on offer, and the cheapest of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations
from math import ceil, inf

from service.building.model import Building
from service.design import AirMethod, AirOpening, AirProvision
from service.rules.rulesets import rule_set
from service.siting.air_space import AirSpaces
from service.survey.equipment import Heater
from service.survey.model import Survey
from service.trades import air, air_ca
from service.trades.air import AirLoad

MOST_GRILLED = 2
"""Adjoining rooms that grilles are bought to, at most."""
HIGH, LOW = "high", "low"
Way = Callable[[str, Heater], Iterator[AirProvision]]
"""Makes what a room may have for a heater."""


class AirPlan:
    """What heaters that burn room air need in the rooms of one house. Direct-vent heaters need nothing."""

    def __init__(self, survey: Survey, building: Building, lifted: bool = False) -> None:
        """``lifted``: where none can be had a room does without. Raises KeyError for an unknown rule set."""
        self._lifted = lifted
        self._survey, self._prices = survey, survey.prices
        self._spaces = AirSpaces(survey, building)
        self._canada = rule_set(survey.site.rule_set).country == "ca"
        self._ways: dict[Way, tuple[AirMethod, ...]] = self._canadian_ways() if self._canada else self._other_ways()
        priced = ((way, self._least_cents(way)) for way in self._ways)
        self._by_price = sorted((pair for pair in priced if pair[1] < inf), key=lambda pair: pair[1])
        self._found: dict[tuple[str, str, str], AirProvision | None] = {}
        self._made_by: dict[tuple[Way, str, float, tuple[str, str] | None], tuple[AirProvision, ...]] = {}
        self._volumes: dict[tuple[str, AirLoad, tuple[str, ...]], tuple[AirProvision, ...]] = {}

    def _canadian_ways(self) -> dict[Way, tuple[AirMethod, ...]]:
        openings = AirMethod.ONE_OPENING, AirMethod.TWO_OPENINGS
        return {self._canadian: openings, self._mechanical: (AirMethod.MECHANICAL,)}

    def _other_ways(self) -> dict[Way, tuple[AirMethod, ...]]:
        """Ways, in the order in which they are told, with the methods of what they make."""
        return {
            self._indoor: (AirMethod.STANDARD, AirMethod.INFILTRATION),
            self._grilles: (AirMethod.GRILLES,),
            self._openings: (AirMethod.TWO_OPENINGS, AirMethod.ONE_OPENING),
            self._ducts: (AirMethod.HORIZONTAL_DUCTS, AirMethod.VERTICAL_DUCTS),
            self._mechanical: (AirMethod.MECHANICAL,),
        }

    def cheapest(self, room: str, heater: Heater) -> AirProvision | None:
        """Cheapest lawful provision at the book's prices, of two equals the simpler; None if there is none."""
        key = (room, heater.id, heater.vent.system)
        if key not in self._found:
            found = self._cheapest(room, heater)
            if found is None and self._lifted:
                found = self._plain(room, self._load(room, heater))
            self._found[key] = None if found is None else _told(found)
        return self._found[key]

    def _cheapest(self, room: str, heater: Heater) -> AirProvision | None:
        """The ways in the order of their least price, as far as one may still cost less than what is found."""
        found: list[AirProvision] = []
        for way, least in self._by_price:
            if found and self.cents(found[0]) < least:
                break
            found = sorted((*found, *self._offered(way, room, heater)), key=self._rank)[:1]
        return next(iter(found), None)

    def offers(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        """Every lawful provision that the book prices, but for grilles to more rooms than needed. The combined way is
        never among them: it costs what openings for the whole need cost."""
        return map(_told, self._priced(room, heater))

    def _priced(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        return (p for way in self._ways for p in self._offered(way, room, heater))

    def _offered(self, way: Way, room: str, heater: Heater) -> tuple[AirProvision, ...]:
        """What a way makes that the book prices. It depends on the heater's input alone, but for openings, which heed
        its vent and its free space too."""
        own = (heater.id, heater.vent.system) if way == self._openings else None
        key = way, room, heater.input_max_w, own
        if key not in self._made_by:
            self._made_by[key] = tuple(filter(self._is_priced, way(room, heater)))
        return self._made_by[key]

    def _least_cents(self, way: Way) -> float:
        """Least that a way may cost, inf if the book prices none of what it makes."""
        kinds = [AirProvision(method, (), through=("",)) for method in self._ways[way]]
        return min((self.cents(kind) for kind in kinds if self._is_priced(kind)), default=inf)

    def cents(self, provision: AirProvision) -> int:
        """Price of a provision."""
        return sum(self._prices[key].cents for key in air.price_keys(provision))

    def _rank(self, provision: AirProvision) -> tuple[int, int, tuple[str, ...]]:
        order = air.method_row(provision.method).integer("order")
        return self.cents(provision), order, provision.through

    def _is_priced(self, provision: AirProvision) -> bool:
        return all(key in self._prices.items for key in air.price_keys(provision))

    def _indoor(self, room: str, heater: Heater, bought: tuple[str, ...] = ()) -> Iterator[AirProvision]:
        """Air of the room and of those joined to it; with grilles bought, by whichever method the volume suffices."""
        if self._spaces.sealed(room):
            return
        load = self._load(room, heater, bought)
        for provision in self._counted(room, load, bought):
            if provision.counted_m3 is not None and air.enough(provision.counted_m3, provision.asked_m3 or 0.0):
                yield provision

    def _grilles(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        """Grilles to no more adjoining rooms than it takes."""
        if not self._spaces.joins(room) or not self._site_counts_indoor_air():
            return
        own = self._spaces.counted(room, self._load(room, heater).total_w)
        beside = [n for n in self._spaces.neighbours(room) if self._spaces.joins(n) and n not in own]
        for count in range(1, MOST_GRILLED + 1):
            found = [p for bought in combinations(beside, count) for p in self._grilled(room, heater, bought)]
            yield from found
            if found:
                return

    def _grilled(self, room: str, heater: Heater, bought: tuple[str, ...]) -> Iterator[AirProvision]:
        least = min(self._indoor(room, heater, bought), key=_asked, default=None)
        if least is not None:
            area = air.indoor_opening_mm2(self._load(room, heater, bought).total_w)
            made = tuple(air.opening(area, f"into {n}, {at}") for n in bought for at in (HIGH, LOW))
            yield self._made(least, AirMethod.GRILLES, made, bought)

    def _openings(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        if not self._spaces.has_outer_wall(room):
            return
        space = self._spaces.shared([room])
        load = self._spaces.load(space, heater)
        yield self._outdoors(room, load, AirMethod.TWO_OPENINGS, air.outdoor_opening_mm2(load.total_w), (HIGH, LOW))
        connectors = self._spaces.connectors_mm2(space, heater)
        if connectors is not None and has_room_for_one_opening(heater):
            area = air.one_opening_mm2(load.total_w, connectors)
            yield self._outdoors(room, load, AirMethod.ONE_OPENING, area, (HIGH,))

    def _ducts(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        load = self._load(room, heater)
        passage = self._spaces.passage(room)
        if passage is not None:
            area = air.horizontal_duct_mm2(load.total_w)
            ducts = self._outdoors(room, load, AirMethod.HORIZONTAL_DUCTS, area, (HIGH, LOW))
            yield replace(ducts, through=passage)
        if self._spaces.is_under_roof(room):
            yield self._outdoors(
                room, load, AirMethod.VERTICAL_DUCTS, air.outdoor_opening_mm2(load.total_w), (HIGH, LOW)
            )

    def _mechanical(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        passage = self._spaces.passage(room)
        if passage is None:
            return
        load = self._load(room, heater)
        supply = air.supply_m3_s(load.total_w, self._spaces.exhaust_m3_s(self._spaces.shared([room])))
        provision = self._made(self._plain(room, load), AirMethod.MECHANICAL, (), passage)
        if self._canada:
            provision = replace(provision, citation=air_ca.supply_citation())
        yield replace(provision, supply_m3_s=ceil(round(supply * 1e6, 3)) / 1e6)

    def _canadian(self, room: str, heater: Heater) -> Iterator[AirProvision]:
        """An opening to outdoors of the tables' area, or two as the book prices them."""
        if not self._spaces.has_outer_wall(room):
            return
        load = self._load(room, heater)
        found = air_ca.opening_area(load, self._survey.site.tight)
        for method, places in ((AirMethod.ONE_OPENING, ("",)), (AirMethod.TWO_OPENINGS, ("", ""))):
            yield replace(self._outdoors(room, load, method, found.area_mm2, places), citation=found.citation)

    def _outdoors(
        self, room: str, load: AirLoad, method: AirMethod, area_mm2: float, places: tuple[str, ...]
    ) -> AirProvision:
        made = tuple(air.opening(area_mm2, f"outdoors, {at}" if at else "outdoors") for at in places)
        return self._made(self._plain(room, load), method, made)

    def _plain(self, room: str, load: AirLoad) -> AirProvision:
        """What the room has by itself, told beside what is made because it lacks: the method nearest to enough."""
        found = () if self._canada or self._spaces.sealed(room) else self._counted(room, load, ())
        alone = AirProvision(AirMethod.STANDARD, (room,))
        return min(found, key=_asked, default=alone)

    def _counted(self, room: str, load: AirLoad, bought: tuple[str, ...]) -> tuple[AirProvision, ...]:
        """By each method that may be used, whichever heater makes the load."""
        key = room, load, bought
        if key not in self._volumes:
            rooms = self._spaces.counted(room, load.total_w, bought)
            volume, site = self._spaces.volume_m3(rooms), self._survey.site
            asked = air.indoor_volumes_m3(load, site.air_changes_per_h, site.tight)
            told = ((m, v, air.method_citation(m)) for m, v in asked.items() if v < inf)
            self._volumes[key] = tuple(AirProvision(m, rooms, (), (), volume, v, 0.0, cited) for m, v, cited in told)
        return self._volumes[key]

    def _made(
        self, plain: AirProvision, method: AirMethod, made: tuple[AirOpening, ...], through: tuple[str, ...] = ()
    ) -> AirProvision:
        return replace(plain, method=method, openings=made, through=through, citation=air.method_citation(method))

    def _load(self, room: str, heater: Heater, bought: tuple[str, ...] = ()) -> AirLoad:
        return self._spaces.load(self._spaces.shared([room, *bought]), heater)

    def _site_counts_indoor_air(self) -> bool:
        return bool(air.indoor_volumes_m3(AirLoad(1.0), self._survey.site.air_changes_per_h, self._survey.site.tight))


def has_room_for_one_opening(heater: Heater) -> bool:
    """Whether the listing keeps the heater's sides and front as free as a single opening asks; its back is kept off
    the wall by what is bought with the opening."""
    side, front = (air.one_opening_space_mm(part) for part in ("side", "front"))
    free = heater.clearances
    return min(free.left_mm, free.right_mm) >= side and free.front_mm >= front


def _asked(provision: AirProvision) -> float:
    return provision.asked_m3 or 0.0


def _told(provision: AirProvision) -> AirProvision:
    """Volumes to the litre, as every answer tells them."""
    counted, asked = provision.counted_m3, provision.asked_m3
    return replace(
        provision,
        counted_m3=None if counted is None else round(counted, 3),
        asked_m3=None if asked is None else round(asked, 3),
    )
