"""Before a heater's first round: a try on the tables of bounds, where it costs least.

What the cheapest designs there break is cut in at once, so that the first round, whose lattice has the planes of it, is
more often than not the last. Nothing is proven here: bounds stay what they were, and a hope is no bound.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from service.deadline import look
from service.design import Service
from service.siting.active import Active
from service.siting.assemble import choice_at
from service.siting.broken import mount_broken, routes_broken, terminal_broken
from service.siting.stage import Stage
from service.siting.table import Table, cheapest_of, least_of
from service.siting.zones import Zones

REROUTES = 8
FAR = 1.1
"""So far above the bound what is broken decides little: on few lines one has to go far round it."""


@dataclass(frozen=True, slots=True)
class Rehearsals:
    """Tables of bounds of heaters on one relaxed stage, by their number; those behind others share theirs."""

    stage: Stage
    tables: Mapping[int, Table]

    def learn(self, h: int, active: Active, zones: Zones, banned: Sequence[int], most: float) -> float:
        """Cut in what designs of heater ``h`` break that cost ``most`` or less; what one may cost that breaks no more,
        inf if nothing is to be hoped for below ``most`` [money units]."""
        stage = self.stage.alone(self.tables[h], active)
        reached = _reached(stage, zones, banned, most)
        return reached if reached < most else np.inf


def _reached(stage: Stage, zones: Zones, banned: Sequence[int], most: float) -> float:
    """What the cheapest design costs that breaks no more than is cut in, or where the rehearsal ends before."""
    limit = min(most, FAR * least_of(stage.tables, banned))
    table = stage.tables[0]
    stage.ceilings = {}
    for service in table.offers:
        stage.cap(service, table.need, float(table.rooms(service, limit).max(initial=-np.inf)))
    for _ in range(REROUTES):
        place = _lawful_case(stage, zones, banned)
        if place is None or (units := float(place[0].total[place[1]])) > limit:
            return limit
        wrong = _wrong(stage, zones, *place)
        if not wrong:
            return units
        stage.reroute(wrong)
    return min(limit, least_of(stage.tables, banned))


def _lawful_case(stage: Stage, zones: Zones, banned: Sequence[int]) -> tuple[Table, int] | None:
    """The cheapest hub at which the case may hang."""
    while (place := cheapest_of(stage.tables, banned)) is not None:
        look()
        if not mount_broken(stage, zones, *place):
            return place
    return None


def _wrong(stage: Stage, zones: Zones, table: Table, hub: int) -> list[Service]:
    choice = choice_at(table, hub)
    return terminal_broken(stage, zones, choice) or routes_broken(stage, choice)
