"""Sizes of both water branches where pressure decides them: every pair tried at every place, judged by the checker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from random import Random

import numpy as np

from service.building.model import Building
from service.check.pressure import pressure_findings
from service.design import Design, Mount, Piece, Route, Service, Surface, Terminal, Verdict
from service.survey.equipment import Heater
from service.survey.model import Fixture, Survey
from tests.property.brute_ends import End
from tests.property.brute_routes import Floats, turns
from tests.property.brute_surfaces import place
from tests.property.brute_waiting import priced_house

PSI = 6894.757293168361


def pressed_house(survey: Survey, seed: int) -> Survey:
    """A house with two to four fixtures and so little pressure that it may matter; a third price waiting too."""
    r = Random(seed + 10_000)
    made = priced_house(survey, seed)
    static = r.choice((22, 25, 28, 32, 36, 40)) * PSI
    setting = static if made.water.reducing_valve else None
    water = replace(made.water, static_pressure_pa=static, equipment_loss_pa=0.0, reducing_valve_pa=setting)
    wishes = made.preferences if r.random() < 1 / 3 else survey.preferences
    return replace(made, water=water, preferences=wishes)


def largest_is_cheapest(survey: Survey, static_pressure_pa: float) -> Survey:
    """Such a pressure is told, for one fixture; of water pipe the largest is by far the cheapest."""
    tap = Fixture("tap", "shower", 0.0001, at=survey.water.hot[0].points[0])
    water = replace(
        survey.water, fixtures=(tap,), static_pressure_pa=static_pressure_pa, equipment_loss_pa=0.0,
        reducing_valve=False, reducing_valve_pa=None,
    )  # fmt: skip
    small = {f"water.{size}.{part}" for size in ("1/2", "3/4") for part in ("pipe", "elbow")}
    dear = {key: replace(price, cents=10**6) for key, price in survey.prices.items.items() if key in small}
    return replace(survey, water=water, prices=replace(survey.prices, items={**survey.prices.items, **dear}))


def is_pressed(survey: Survey) -> bool:
    """Whether pressure is told."""
    return survey.water.static_pressure_pa is not None and survey.water.equipment_loss_pa is not None


Judge = Callable[[tuple[Piece, ...], End, str], bool]


@dataclass
class Pair:
    """Both water runs of a house; options by size, the cold run also shorter than its cheapest. ``runs`` holds the pair
    chosen at each place."""

    survey: Survey
    building: Building
    heater: Heater
    colds: list  # type: ignore[type-arg]  # of the brute force's options
    hots: list  # type: ignore[type-arg]
    runs: dict = field(default_factory=dict)  # type: ignore[type-arg]

    def best(self, place_no: int, spot):  # type: ignore[no-untyped-def]
        """The cheapest pair that leaves every fixture its pressure, None if none does."""
        if place_no not in self.runs:
            runs = [run for option in self.colds for run in option.every(place_no)]
            tried = (self._pair(cold, hot, place_no, spot) for cold in runs for hot in self.hots)
            self.runs[place_no] = min(filter(None, tried), key=lambda p: p[0].money + p[1].money, default=None)
        return self.runs[place_no]

    def _pair(self, cold, hot_option, place_no, spot):  # type: ignore[no-untyped-def]
        def holds(spot, pieces, end) -> bool:  # type: ignore[no-untyped-def]
            here = place(spot.wall.node(spot.c, spot.z))
            routes = tuple(
                Route(service, option, e.id, p or (Piece(here, here, Surface.STUB),), turns(p))
                for service, option, e, p in (
                    (Service.COLD, cold.option, cold.end, cold.pieces),
                    (Service.HOT, hot_option.name, end, pieces),
                )
            )
            bare = Design(self.heater, Mount("none", 0, 0), Terminal("none", 0, 0), routes, False, False, (), 0)
            found = pressure_findings(self.survey, self.building, bare)
            return all(f.verdict is not Verdict.FAIL for f in found)

        hot = replace(hot_option, holds=holds, _walks=hot_option._walks).run(place_no, spot)  # noqa: SLF001
        return None if hot is None else (cold, hot)


@dataclass
class PairedOffer:
    """One half of a pair, by the shape of the brute force's offers."""

    service: Service
    options: list  # type: ignore[type-arg]
    pair: Pair

    def lower(self) -> Floats:
        """Least money units at each place without limits."""
        return np.asarray(np.min([o.lower() for o in self.options], axis=0), dtype=np.float64)

    def run(self, place_no: int, spot):  # type: ignore[no-untyped-def]
        """Its half of the cheapest pair."""
        found = self.pair.best(place_no, spot)
        return found and found[0 if self.service is Service.COLD else 1]
