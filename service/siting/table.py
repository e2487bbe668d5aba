"""What a heater costs at every hub of a stage, and the cheapest of these."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field

import numpy as np

from service.design import Service
from service.routing.lattice import Bools
from service.routing.tariff import Floats
from service.siting.costing import Extras
from service.siting.hubs import Hubs
from service.siting.needs import Need
from service.siting.offers import Offer
from service.siting.paired import Paired


@dataclass(slots=True)
class Table:
    """One heater's costs: ``fixed`` and ``total`` per hub [money units], shape (hubs,); offers by service. ``shut``
    marks the hubs that mount zones cover."""

    need: Need
    hubs: Hubs
    extras: list[Extras | None]
    fixed: Floats
    offers: dict[Service, Offer]
    meter_units: int
    services: int
    total: Floats = dataclass_field(init=False)
    shut: Bools = dataclass_field(init=False)

    def __post_init__(self) -> None:
        self.shut = np.zeros(len(self.fixed), dtype=bool)
        self.add_up()

    @property
    def paired(self) -> list[Paired]:
        """Ways of the hot run that each go with one of the cold run."""
        return [v for v in self.offers[Service.HOT].variants if isinstance(v, Paired)]

    def add_up(self) -> None:
        """Total of all hubs from the offers as they are; without all of them no hub is in question."""
        complete = len(self.offers) == self.services
        self.total = self.fixed + sum(o.cost for o in self.offers.values()) if complete else self.fixed + np.inf

    def add_at_least(self, units: float) -> None:
        """Total of all hubs if what is not offered yet costs so much, and no less."""
        self.total = self.fixed + sum(o.cost for o in self.offers.values()) + units

    def raise_total(self) -> None:
        """As ``add_up``, but hubs that are closed stay so."""
        total = self.fixed + sum(o.cost for o in self.offers.values())
        self.total = np.where(np.isfinite(self.total), total, np.inf)

    def room(self, hub: int, service: Service, most: float) -> float:
        """What a service may cost at a hub whose total is not to pass ``most``; -inf where the hub is closed."""
        total = float(self.total[hub])
        return most - (total - float(self.offers[service].cost[hub])) if np.isfinite(total) else -np.inf

    def rooms(self, service: Service, most: float) -> Floats:
        """The same at all hubs."""
        is_open = np.isfinite(self.total)
        rest = np.where(is_open, self.total, 0) - np.where(is_open, self.offers[service].cost, 0)
        return np.where(is_open, most - rest, -np.inf)

    def unlimited(self, service: Service) -> Floats:
        """Total of all hubs as if there were no limits on one service's runs, inf where mount zones shut the hub or a
        service is not offered."""
        if len(self.offers) < self.services:
            return self.fixed + np.inf
        raw = np.min([v.raw for v in self.offers[service].variants], axis=0)
        total = self.fixed + raw + sum(o.cost for s, o in self.offers.items() if s is not service)
        return np.where(self.shut, np.inf, total)

    def refresh(self, hub: int) -> None:
        """Bring the total at one hub up to date with its offers."""
        self.total[hub] = self.fixed[hub] + sum(float(o.cost[hub]) for o in self.offers.values())


def cheapest_of(tables: Iterable[Table], banned: Sequence[int]) -> tuple[Table, int] | None:
    """The table and hub of least total on surfaces not ``banned``, the first of equals; None if no hub is open."""
    best: tuple[float, Table, int] | None = None
    for table in tables:
        total = np.where(np.isin(table.hubs.surface, banned), np.inf, table.total)
        hub = int(np.argmin(total)) if len(total) else -1
        if hub >= 0 and np.isfinite(total[hub]) and (best is None or total[hub] < best[0]):
            best = (float(total[hub]), table, hub)
    return None if best is None else best[1:]


def least_of(tables: Iterable[Table], banned: Sequence[int]) -> float:
    """Least total on surfaces not ``banned`` [money units]."""
    place = cheapest_of(tables, banned)
    return np.inf if place is None else float(place[0].total[place[1]])


def least_parts(table: Table) -> dict[Service, float]:
    """Least cost of each service over all hubs [money units]. What a hot run pays for the cold one it is tied to may be
    less between hubs than at them: there it is the least of both, less that of the cold one."""
    least = {s: float(o.cost.min(initial=np.inf)) for s, o in table.offers.items()}
    cold = table.offers.get(Service.COLD)
    if cold and table.paired and np.isfinite(least[Service.COLD]):
        least[Service.HOT] = float((table.offers[Service.HOT].cost + cold.cost).min()) - least[Service.COLD]
    return least
