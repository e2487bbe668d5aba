"""What every need costs at least on every wall and facade, as the rounds of a search raise it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from service.design import Service
from service.routing.tariff import Floats
from service.siting.needs import Need
from service.siting.stage import LARGE
from service.siting.table import Table


class Bounds:
    """Least cost of each need on each surface, shape (needs, surfaces) [money units].

    What is known of a need before its vent's limits are looked at holds for those behind it too.
    """

    def __init__(self, needs: Sequence[Need], surfaces: int) -> None:
        self.least: Floats = np.full((len(needs), surfaces), -np.inf)
        self._with = [[i, *(k for k, n in enumerate(needs) if n.behind == i)] for i in range(len(needs))]

    def keep(self, need: int, table: Table, known: float) -> None:
        """Least totals by surface of a table whose vents are not settled yet; dearer routes than ``known`` were not
        looked at."""
        self._raise(self._with[need], table, table.total, known)

    def keep_behind(self, need: int, table: Table, known: float) -> None:
        """The same of a table that is settled and broke nothing, for the needs behind: its vents' limits aside."""
        if Service.VENT in table.offers and self._with[need][1:]:
            self._raise(self._with[need][1:], table, table.unlimited(Service.VENT), known)

    def open(self, banned: Sequence[int]) -> Floats:
        """Least bound of each need over the surfaces not banned, shape (needs,)."""
        bounds = self.least.copy()
        bounds[:, banned] = np.inf
        return np.asarray(bounds.min(axis=1, initial=np.inf))

    def within(self, need: int, most: float) -> list[int]:
        """Surfaces on which a need may cost no more than ``most``, or anything, if that is infinite."""
        return [int(w) for w in np.flatnonzero(self.least[need] <= min(most, LARGE))]

    def _raise(self, needs: Iterable[int], table: Table, total: Floats, known: float) -> None:
        least = np.full(self.least.shape[1], known)
        np.minimum.at(least, table.hubs.surface, total)
        for i in needs:
            self.least[i] = np.maximum(self.least[i], least)
