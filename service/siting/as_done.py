"""A set of designs with all shared works done: what the gas system costs, and each design as it then stands.

Each design is searched again at its own place beside all the others as they are, on the gas system as it will be. So
lengths, air and routes are those that hold in the end; a set in which some heater cannot be so is no set.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from service.building.model import Building
from service.design import Design, GasWorks, Renewal, RenewedPart, Service, Sleeve
from service.piping.network import Network
from service.piping.options import Option
from service.piping.sizing import size
from service.siting.dwelling_search import DwellingSearch, Gas, Held, Region
from service.siting.gas_shares import shared_keys
from service.siting.ground import Passing
from service.siting.needs import hanging_name
from service.siting.neighbours import Neighbour
from service.siting.outcome import Outcome
from service.siting.shared_gas import Hung, SharedSupply, drawn_w, shared_supply
from service.siting.sleeves import Place, as_passing, holes_of, shared_among, units_of
from service.siting.terminals import place_of
from service.survey.model import GasSegment, GasSupply, Survey

Search = Callable[[int, Held, Gas], Outcome]


TIMES = 3
"""How often a set is looked at again because a gas run came out otherwise."""


@dataclass(frozen=True, slots=True)
class SharedWorks:
    """What is done once for all heaters: pipes of the shared system that are renewed, and what the supplier changes.
    ``supply`` is the system with every branch as it was found, its pipes as they are today; ``sleeves`` are holes that
    several runs pass."""

    shared: SharedSupply
    renewals: tuple[Renewal, ...]
    keys: tuple[str, ...]
    sleeves: tuple[Sleeve, ...]
    units: int

    @property
    def works(self) -> GasWorks:
        """As a design tells works."""
        return GasWorks(self.renewals)


@dataclass(frozen=True, slots=True)
class Done:
    """A lawful set: each design beside the others with the shared works done, those works, and what all of it costs
    [money units], and each design of it by itself."""

    designs: tuple[Design, ...]
    works: SharedWorks
    units: float
    each: tuple[float, ...]


class DoneWorld:
    """The house with all works done."""

    def __init__(
        self, survey: Survey, building: Building, searches: tuple[DwellingSearch, ...], places: tuple[Place, ...],
        search: Search,
    ) -> None:  # fmt: skip
        """``search`` is one dwelling's search; ``places`` are those of holes that several may share."""
        self._survey, self._building, self._searches, self._search = survey, building, searches, search
        self._places = places

    def done(self, hung: tuple[Hung, ...]) -> Done | None:
        """The set with its works done, None if pipes or heaters cannot be so. Where a run then takes another of two
        ways alike, the tree is made, and holes are shared, again with that."""
        for _ in range(TIMES):
            works = works_of(self._survey, self._building, hung, self._places)
            found = None if works is None else self._settled(hung, works)
            if found is None or self._is_as_hung(hung, found):
                return found
            hung = tuple(replace(h, design=d) for h, d in zip(hung, found.designs, strict=True))
        return None

    def _is_as_hung(self, hung: tuple[Hung, ...], found: Done) -> bool:
        alike = all(_runs(h.design) == _runs(d) for h, d in zip(hung, found.designs, strict=True))
        return alike and shared_among(found.designs, self._places) == found.works.sleeves

    def _settled(self, hung: tuple[Hung, ...], works: SharedWorks) -> Done | None:
        designs, each = [], list[float]()
        for i, own in enumerate(hung):
            passing = tuple(as_passing(s) for s in works.sleeves if s in holes_of(own.design.routes))
            found = self._search(i, self._pinned(i, own, hung, passing), self._gas(works, own.dwelling))
            if not found.designs or found.cost_units is None:
                return None
            designs.append(found.designs[0])
            each.append(found.cost_units)
        return Done(tuple(designs), works, works.units + sum(each), tuple(each))

    def _gas(self, works: SharedWorks, dwelling: str) -> Gas:
        supply = supply_for(self._survey, works, dwelling)
        own = next(s for s in works.shared.supply.segments if s.end == works.shared.heaters[dwelling])
        return Gas(supply, frozenset({own.start}))

    def _pinned(self, index: int, own: Hung, hung: tuple[Hung, ...], passing: tuple[Passing, ...]) -> Held:
        """Held to the place, the heater and the tap that were found, beside all others."""
        mount, (surface, s, z) = own.design.mount, place_of(own.design.terminal)
        hangs = mount.facade_id or mount.face_id
        at = Region(hangs, (mount.s_mm, mount.s_mm), (mount.bottom_z_mm, mount.bottom_z_mm))
        ends = () if own.design.outdoors else (Region(surface, (s, s), (z, z)),)
        name = hanging_name(own.design.heater, own.design.outdoors)
        others = tuple(Neighbour(h.dwelling, h.design) for k, h in enumerate(hung) if k != index)
        return Held((at,), ends, None, frozenset({name}), others, passing)


def works_of(
    survey: Survey, building: Building, hung: tuple[Hung, ...], places: tuple[Place, ...]
) -> SharedWorks | None:
    """The shared system sized for all heaters at once, with holes that are shared; None if no sizes carry it."""
    shared = shared_supply(survey, building, hung)
    network = Network(shared.supply, survey.site.gas)
    sizing = size(network, survey.prices, survey.gas.method)
    if sizing.units is None:
        return None
    pairs = [(p.segment, s.choice) for p, s in zip(network.pipes, sizing.pipes, strict=True)]
    renewals = tuple(_renewal(s, o) for s, o in pairs if o is not None and not o.kept)
    keys = shared_keys(survey, (h.design.heater.input_max_w for h in hung))
    sleeves = shared_among([h.design for h in hung], places)
    units = sizing.units + sum(survey.prices[key].units_each for key in keys) + units_of(sleeves, survey.prices)
    return SharedWorks(shared, tuple(sorted(renewals, key=lambda r: r.segment_id)), keys, sleeves, units)


def _renewal(segment: GasSegment, option: Option) -> Renewal:
    return Renewal(segment.id, RenewedPart.WHOLE, option.material, option.size, segment.length_mm)


def supply_for(survey: Survey, works: SharedWorks, dwelling: str) -> GasSupply:
    """The system as one dwelling's heater meets it: everything of the others there and done, its own branch not yet."""
    shared, gas = works.shared, survey.gas
    node = shared.heaters[dwelling]
    renewed = {r.segment_id: r for r in works.renewals}
    total = drawn_w(gas, (a.input_w for a in shared.supply.appliances[len(gas.appliances) :]))
    passes = gas.service_regulator_w
    return replace(
        shared.supply,
        meter_capacity_w=max(gas.meter_capacity_w, total),
        service_regulator_w=None if passes is None else max(passes, total),
        segments=tuple(_as_done(s, renewed.get(s.id)) for s in shared.supply.segments if s.end != node),
        appliances=tuple(a for a in shared.supply.appliances if a.node != node),
        regulators=tuple(r for r in shared.supply.regulators if r.node != node),
        pressure_options=(),
    )


def _as_done(segment: GasSegment, renewal: Renewal | None) -> GasSegment:
    return segment if renewal is None else replace(segment, material=renewal.material, size=renewal.size)


def _runs(design: Design) -> tuple[str, int, int] | None:
    """What the tree knows of a design's gas run."""
    route = design.route(Service.GAS)
    return None if route is None else (route.option, route.length_mm, route.elbows)
