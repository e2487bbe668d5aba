"""Feeds, branch pipes and works of the brute force's gas trade, all by trying: the whole tree is sized each time.

What a tap asks for is never worked out: the heater is hung on the tree with a branch of some length, and the whole
system is sized (``service.piping.sizing``, which CP-SAT and HiGHS judge elsewhere).
"""

from __future__ import annotations

import pickle
from dataclasses import dataclass, field
from math import inf

from service.design import GasWorks, Renewal, RenewedPart, Service
from service.piping.extended import Branch, Extended, at_pressure, with_heater
from service.piping.network import Network
from service.piping.sizing import Sizing, size
from service.rules.tables import table
from service.survey.equipment import Heater, PriceBook
from service.survey.model import (
    Appliance,
    GasFittings,
    GasMaterial,
    GasMethod,
    GasSupply,
    LineRegulator,
    PressureOption,
    Survey,
)
from service.trades.gas_capacity import Terms, by_equation, by_tables
from service.trades.gas_parts import usual_inlet_pa
from service.trades.gas_pipe import elbow_mm, sizes, tee_mm
from tests.property.brute_ends import End
from tests.property.brute_routes import Rates, rates

WIDEST = GasMaterial.STEEL.value, sizes(GasMaterial.STEEL.value)[-1]
BY_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)


@dataclass(frozen=True)
class Feed:
    """A delivery pressure, and whether the branch leaves ahead of the regulators with one of its own."""

    pressure: PressureOption | None
    supply: GasSupply
    own: tuple[float, float] | None
    units: int

    @property
    def regulators(self) -> int:
        """Line regulators to buy."""
        return (self.own is not None) + (self.pressure is not None and self.pressure.regulated_pa is not None)


@dataclass(frozen=True)
class Pipe:
    """What a branch may be: material and size, name and prices of a route of it, lengths of an elbow and a tee [mm]."""

    material: str
    size: str
    name: str
    rates: Rates
    bend_mm: int
    tee_mm: int


def feeds_of(survey: Survey, heater: Heater) -> list[Feed]:
    """Every delivery pressure that the old appliances stand, each with and without a regulator of the heater's own."""
    book, found = survey.prices, []
    practice = table("gas_regulators")
    own = practice.constant(survey.site.fuel), practice.constant("drop")
    for option in (None, *survey.gas.pressure_options):
        supply = at_pressure(survey.gas, option)
        if option is None or all(_stands(supply, a, survey.site.fuel) for a in supply.appliances):
            at_delivery = option is not None and option.regulated_pa is not None
            change = book["gas.pressure_change"].units_each if option else 0
            one = book["gas.line_regulator"].units_each
            found.append(Feed(option, supply, None, change + one * at_delivery))
            if own[0] - own[1] >= heater.gas_inlet_min_pa and own[0] <= heater.gas_inlet_max_pa:
                found.append(Feed(option, supply, own, change + one * (1 + at_delivery)))
    return found


def _stands(supply: GasSupply, appliance: Appliance, fuel: str) -> bool:
    """Whether an appliance's inlet range, or what is common, holds its pressure, and that less the permitted drop."""
    pa, drop = _leaving(supply, appliance.node)
    least, most = usual_inlet_pa(fuel)
    least = least if appliance.inlet_min_pa is None else appliance.inlet_min_pa
    most = most if appliance.inlet_max_pa is None else appliance.inlet_max_pa
    return pa <= most and pa - drop >= least


def _arriving(supply: GasSupply, node: str) -> tuple[float, float]:
    """Pressure and permitted drop of the gas that comes to a node [Pa]."""
    into = next((s for s in supply.segments if s.end == node), None)
    if into is None:
        return supply.pressure_pa, supply.allowable_drop_pa
    return _arriving(supply, into.start) if into.before_regulator else _leaving(supply, into.start)


def _leaving(supply: GasSupply, node: str) -> tuple[float, float]:
    """Pressure and permitted drop of what leaves a node in the ordinary way [Pa]."""
    here = next((r for r in supply.regulators if r.node == node), None)
    return _arriving(supply, node) if here is None else (here.outlet_pa, here.allowable_drop_pa)


def pressure_at(feed: Feed, end: End) -> tuple[float, float]:
    """Pressure that a branch from an end takes, and the drop permitted there [Pa]."""
    inside = next((s for s in feed.supply.segments if s.id == end.id), None)
    if inside is not None:
        return _arriving(feed.supply, inside.end)
    return (_leaving if feed.own is None else _arriving)(feed.supply, end.id)


def _before(feed: Feed, end: End) -> int:
    """Old pipe from where a branch's pressure begins to its tap, fittings left out [mm]."""
    inside = next((s for s in feed.supply.segments if s.id == end.id), None)
    if inside is not None:
        return end.cut_mm + (0 if inside.before_regulator else _to(feed.supply, inside.start, False))
    return _to(feed.supply, end.id, feed.own is not None)


def _to(supply: GasSupply, node: str, ahead: bool) -> int:
    into = next((s for s in supply.segments if s.end == node), None)
    if into is None or (not ahead and any(r.node == node for r in supply.regulators)):
        return 0
    return into.length_mm + _to(supply, into.start, into.before_regulator)


def _regulators_stand(feed: Feed, end: End, heater: Heater) -> bool:
    """Whether each old line regulator before the heater is known to pass it too and, under another delivery pressure,
    none is known to pass less than what hangs on it."""
    supply, inside = feed.supply, next((s for s in feed.supply.segments if s.id == end.id), None)
    node, behind = (end.id, feed.own is None) if inside is None else (inside.start, not inside.before_regulator)
    before = _through(supply, node, behind)
    new = supply.delivery_node if feed.pressure and feed.pressure.regulated_pa is not None else None
    for r in (r for r in supply.regulators if r.node != new):
        inputs = _fed_by(supply, r.node) + ([heater.input_max_w] if r in before else [])
        drawn = sum(inputs) if supply.diversity is None else max(*inputs, 0.0, supply.diversity * sum(inputs))
        short = r.capacity_w is not None and drawn > r.capacity_w * (1 + 1e-9)
        if (r in before and (r.capacity_w is None or short)) or (feed.pressure is not None and short):
            return False
    return True


def _through(supply: GasSupply, node: str, behind: bool) -> list[LineRegulator]:
    """Line regulators that the gas leaving a node has come through."""
    here = [r for r in supply.regulators if r.node == node] if behind else []
    into = next((s for s in supply.segments if s.end == node), None)
    return here if into is None else here + _through(supply, into.start, not into.before_regulator)


def _fed_by(supply: GasSupply, node: str) -> list[float]:
    """Inputs of what hangs behind a line regulator's node."""
    below = [s.end for s in supply.segments if s.start == node and not s.before_regulator]
    reached = [node]
    while below:
        reached.append(below.pop())
        below += [s.end for s in supply.segments if s.start == reached[-1]]
    return [a.input_w for a in supply.appliances if a.node in reached]


def feeds_heater(feed: Feed, end: End, heater: Heater, method: GasMethod) -> bool:
    """Whether a feed's pressure at an end suits the heater, or its own regulator, and old regulators stand it."""
    if not _regulators_stand(feed, end, heater):
        return False
    pa, drop = pressure_at(feed, end)
    if feed.own is not None:
        return pa > heater.gas_inlet_max_pa and pa - drop >= table("gas_regulators").constant("least_ahead")
    least = pa if method is GasMethod.PRESSURE else pa - drop
    return least >= heater.gas_inlet_min_pa and pa <= heater.gas_inlet_max_pa


def pipes_of(book: PriceBook, supply: GasSupply) -> list[Pipe]:
    """Every size of the branch's materials that the book prices."""
    counted, found = supply.fittings is GasFittings.COUNTED, []
    for material in supply.branch_materials:
        for nominal in sizes(material):
            name = nominal if material == GasMaterial.STEEL else f"{material}.{nominal}"
            if f"gas.{name}.pipe" in book.items:
                bend, tee = (f(material, nominal) if counted else 0 for f in (elbow_mm, tee_mm))
                found.append(Pipe(material, nominal, name, rates(book, Service.GAS, name), bend, tee))
    return found


Taken = tuple[float, float, int]
"""Pressure, permitted drop, and pipe before a branch."""


@dataclass
class Works:
    """What a branch asks of the old piping, by trying: each question is put to ``size`` once."""

    survey: Survey
    heater: Heater
    _known: dict[tuple[object, ...], int | None] = field(default_factory=dict)
    _able: dict[tuple[str, float, float, int], bool] = field(default_factory=dict)
    _least: dict[tuple[object, ...], float] = field(default_factory=dict)

    def units(self, feed: Feed, end: End, pipe: Pipe, length: int, elbows: int = 0) -> int | None:
        """Money units of all works for a branch of this length [mm]; None if it cannot be."""
        where = feed.pressure, feed.own, end.id, end.cut_mm
        key = (*where, pipe.name, length, elbows)
        if key not in self._known:
            found = self._sized(feed, end, (pipe.material, pipe.size), length, elbows, 1)[2].units
            self._known[key] = None if found is None else found + feed.units
        return self._known[key]

    def taken(self, feed: Feed, end: End) -> Taken:
        """What a branch from an end begins with: pressure and permitted drop [Pa], and the old pipe before it [mm] that
        counts by the methods that go by length."""
        by_length = self.survey.gas.method is not GasMethod.PRESSURE
        return *pressure_at(feed, end), _before(feed, end) if by_length else 0

    def fits(self, taken: Taken, pipe: Pipe, length: int) -> bool:
        """Whether a pipe of this length alone might carry the heater, from what ``taken`` says; only saves asking the
        whole tree."""
        pa, drop, before = taken
        key = pipe.name, pa, drop, length + before
        if key not in self._able:
            capacity = by_tables if self.survey.gas.method in BY_TABLES else by_equation
            found = capacity(pipe.material, pipe.size, key[-1], Terms(self.survey.site.gas, pa, drop))
            self._able[key] = found is not None and found.passes(self.heater.input_max_w)
        return self._able[key]

    def least(self, feed: Feed, end: End, length: int) -> float:
        """Money units that no branch of at least this length undercuts: those of the widest pipe, no tee counted."""
        key = feed.pressure, feed.own, end.id, end.cut_mm, length
        if key not in self._least:
            found = self._sized(feed, end, WIDEST, length, 0, 0)[2].units
            self._least[key] = inf if found is None else float(found + feed.units)
        return self._least[key]

    def _sized(
        self, feed: Feed, end: End, pipe: tuple[str, str], length: int, elbows: int, tees: int
    ) -> tuple[Extended, Network, Sizing]:
        h = self.heater
        branch = Branch(
            h.id, h.input_max_w, h.gas_inlet_min_pa, h.gas_inlet_max_pa, end.id, end.cut_mm, *pipe,
            length, elbows, tees, regulator=feed.own,
        )  # fmt: skip
        extended = with_heater(feed.supply, branch)
        network = Network(extended.supply, self.survey.site.gas)
        return extended, network, size(network, self.survey.prices, self.survey.gas.method)

    def works(self, feed: Feed, end: End, pipe: Pipe, length: int, elbows: int) -> GasWorks:
        """The works for a branch that can be."""
        extended, network, sizing = self._sized(feed, end, (pipe.material, pipe.size), length, elbows, 1)
        parts = {extended.before: RenewedPart.BEFORE_TAP, extended.after: RenewedPart.AFTER_TAP}
        renewals = []
        for laid, sized in zip(network.pipes, sizing.pipes, strict=True):
            s, choice = laid.segment, sized.choice
            if choice is not None and not choice.kept:
                part = parts.get(s.id, RenewedPart.WHOLE)
                owner = s.id if part is RenewedPart.WHOLE else end.id
                renewals.append(Renewal(owner, part, choice.material, choice.size, s.length_mm))
        named = None if feed.pressure is None else feed.pressure.id
        return GasWorks(tuple(renewals), named, feed.regulators, feed.own is not None)


_TRIED: dict[bytes, Works] = {}


def works_of(survey: Survey, heater: Heater) -> Works:
    """What is asked of one piping by all heaters that burn as much at the same pressures, whatever the grid: what was
    tried for one is known for the others."""
    site, burns = survey.site, (heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa)
    asked = pickle.dumps((survey.gas, survey.prices, site.gas, site.fuel, burns))
    return _TRIED.setdefault(asked, Works(survey, heater))
