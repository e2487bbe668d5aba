"""Random gas systems with price books (all invented), and the rules of sizing written a second time, plainly.

Nothing here uses ``service.piping`` but the list of options: the tree is walked anew, loads are added up anew, and an
assignment of options is lawful if the method's own words say so of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, floor, inf
from random import Random

from service.piping.options import Option, option_name, options_for
from service.rules.tables import UNITS
from service.survey.equipment import Per, Price, PriceBook
from service.survey.model import (
    Appliance,
    GasCharacter,
    GasFittings,
    GasMaterial,
    GasMethod,
    GasNode,
    GasSegment,
    GasSupply,
    LineRegulator,
)
from service.trades.gas_capacity import Terms, by_equation, by_tables, loss
from service.trades.gas_equation import budget, is_high
from service.trades.gas_pipe import elbow_mm, is_known, sizes, tee_mm

WC, PSI, BTU_H, BTU_FT3 = UNITS["in w.c."], UNITS["psi"], UNITS["Btu/h"], UNITS["Btu/ft3"]
NATURAL = GasCharacter("natural_gas", 1000 * BTU_FT3, 0.60)
PROPANE = GasCharacter("propane", 2488 * BTU_FT3, 1.50)
METHODS = tuple(GasMethod)
LONGEST = (GasMethod.LONGEST_TABLES, GasMethod.LONGEST_EQUATION)
BY_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)
STEEL = GasMaterial.STEEL.value
SIZES = {
    GasMaterial.STEEL.value: ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2"),
    GasMaterial.COPPER_L.value: ("3/8", "1/2", "5/8", "3/4", "1", "1-1/4"),
    GasMaterial.COPPER_K.value: ("1/2", "3/4", "1"),
    GasMaterial.CSST.value: ("13", "18", "19", "23", "30", "37", "46"),
    GasMaterial.PE.value: ("1/2", "3/4", "1", "1-1/4", "2"),
}


@dataclass(frozen=True, slots=True)
class Case:
    """One system to be sized."""

    supply: GasSupply
    gas: GasCharacter
    prices: PriceBook
    method: GasMethod


def random_case(seed: int, most_pipes: int = 12, most_sizes: int = 7) -> Case:
    """A system of at most so many pipes, each material in at most so many sizes; methods take turns."""
    rng = Random(seed)
    method = METHODS[seed % len(METHODS)]
    gas = rng.choice((NATURAL, NATURAL, PROPANE, replace(NATURAL, specific_gravity=0.65)))
    return Case(_supply(rng, most_pipes, method), gas, _prices(rng, most_sizes), method)


def crowded_case(seed: int, most_pipes: int = 14, most_sizes: int = 7) -> Case:
    """A system with more fittings than pipe, all counted: sizes then decide lengths, and lengths sizes."""
    case, rng = random_case(seed, most_pipes, most_sizes), Random(seed)
    segments = tuple(
        replace(s, elbows=rng.choice((0, 6, 12, 20)), length_mm=s.length_mm // 3 + 1) for s in case.supply.segments
    )
    return replace(case, supply=replace(case.supply, segments=segments, fittings=GasFittings.COUNTED))


def book(cents: dict[str, int], per: Per = Per.FOOT) -> PriceBook:
    """Price book of one test: what ends in ``pipe`` or ``finished`` is a length's price, the rest an item's."""
    lengths = ("pipe", "finished")
    return PriceBook("test", "USD", {
        key: Price(key, "gas", key, value, per if key.endswith(lengths) else Per.EACH) for key, value in cents.items()
    })  # fmt: skip


def rising_prices(names: dict[str, Sequence[str]]) -> PriceBook:
    """Price book that holds some sizes of some materials, dearer as they get larger."""
    cents = {
        f"gas.{option_name(material, size)}.pipe": 500 + 300 * i
        for material, of in names.items()
        for i, size in enumerate(of)
    }
    return book({**cents, "gas.renew": 9000, "access.pipe.finished": 800})


def _prices(rng: Random, most_sizes: int) -> PriceBook:
    cents: dict[str, int] = {"access.pipe.finished": rng.randint(300, 1500)}
    if rng.random() < 0.95:
        cents["gas.renew"] = rng.randint(1000, 20000)
    for material, of in SIZES.items():
        price = rng.randint(400, 1400)
        for size in of[:most_sizes]:
            cents[f"gas.{option_name(material, size)}.pipe"] = price
            price += rng.randint(-40, 900)
    return book(cents, rng.choice((Per.FOOT, Per.METRE)))


def _supply(rng: Random, most_pipes: int, method: GasMethod) -> GasSupply:
    count = rng.randint(min(3, most_pipes), most_pipes)
    hybrid = rng.random() < 0.3
    nodes = [f"n{i}" for i in range(count + 1)]
    starts = [nodes[rng.randint(max(0, i - 4), i)] for i in range(count)]
    regulators = tuple(_regulator(rng, node) for node in rng.sample(nodes[:-1], min(2, count)) if hybrid)
    at = {r.node for r in regulators}
    segments = tuple(_segment(rng, f"s{i}", starts[i], nodes[i + 1], at) for i in range(count))
    leaves = [n for n in nodes[1:] if n not in starts]
    fed = [n for n in nodes[1:] if rng.random() < (0.85 if n in leaves else 0.15)]
    return GasSupply(
        delivery_node="n0",
        pressure_pa=2 * PSI if hybrid else rng.choice((7.0, 8.0, 11.0)) * WC,
        meter_capacity_w=300_000 * BTU_H,
        allowable_drop_pa=1 * PSI if hybrid else rng.choice((0.3, 0.5, 0.5, 1.0, 3.0)) * WC,
        nodes=tuple(GasNode(n, (0, 0, 0)) for n in nodes),
        segments=segments,
        appliances=tuple(_appliance(rng, n) for n in fed),
        method=method,
        fittings=GasFittings.COUNTED if rng.random() < 0.75 else GasFittings.ALLOWANCE,
        diversity=rng.choice((None, None, None, 0.7)),
        regulators=regulators,
    )


def _regulator(rng: Random, node: str) -> LineRegulator:
    return LineRegulator(node, rng.choice((7.0, 8.0, 11.0)) * WC, rng.choice((0.5, 1.0, 3.0)) * WC)


def _segment(rng: Random, name: str, start: str, end: str, regulators: set[str]) -> GasSegment:
    material = rng.choices([*SIZES, "lead"], [8, 3, 1, 3, 1, 0.2])[0]
    size = rng.choice(sizes(material)[:7] or ("1/2",)) if rng.random() < 0.7 or material == "lead" else None
    return GasSegment(
        name, start, end, material, size, rng.randint(300, 9000),
        elbows=rng.choice((None, 0, 1, 2, 4, 8)),
        tees=rng.choice((None, 0, 0, 1)),
        finished=rng.random() < 0.3,
        fixed=size is not None and rng.random() < 0.04,
        before_regulator=start in regulators and rng.random() < 0.3,
    )  # fmt: skip


def _appliance(rng: Random, node: str) -> Appliance:
    inlet = rng.choices((None, 3.5, 5.0, 6.8, 7.2), (8, 2, 2, 2, 0.5))[0]
    watts = rng.choice((20_000, 35_000, 40_000, 65_000, 100_000, 199_000)) * BTU_H
    return Appliance(f"at {node}", "other", watts, None, None, node, None if inlet is None else inlet * WC)


@dataclass(frozen=True, slots=True)
class Line:
    """One pipe as the rules see it: what it draws, and the pipes from its zone's root to it, itself last.

    ``left_pa`` is the greatest drop that appliances at its end leave to the way there."""

    segment: GasSegment
    load_w: float
    zone: str
    terms: Terms
    way: tuple[int, ...]
    left_pa: float


class Rules:
    """What the methods say of one case."""

    def __init__(self, case: Case) -> None:
        """Walk the tree."""
        self.case, self.lines = case, []
        self._walk(case.supply.delivery_node, (), "", case.supply.pressure_pa, case.supply.allowable_drop_pa)
        self.options = [options_for(line.segment, case.prices)[: None if line.load_w > 0 else 1] for line in self.lines]

    lines: list[Line]

    def _walk(self, node: str, way: tuple[int, ...], zone: str, supply_pa: float, drop_pa: float) -> None:
        """Depth first, each pipe before what hangs on it."""
        supply = self.case.supply
        regulator = next((r for r in supply.regulators if r.node == node), None)
        for segment in (s for s in supply.segments if s.start == node):
            at = (way, zone, supply_pa, drop_pa)
            if regulator is not None and not segment.before_regulator:
                at = ((), f"behind {node}", regulator.outlet_pa, regulator.allowable_drop_pa)
            mine = (*at[0], len(self.lines))
            fed = list(self._fed(segment.end))
            load = sum(a.input_w for a in fed)
            if supply.diversity is not None and fed:
                load = max(supply.diversity * load, max(a.input_w for a in fed))
            self.lines.append(
                Line(segment, load, at[1], Terms(self.case.gas, *at[2:]), mine, self._left_pa(segment.end, at[2]))
            )
            self._walk(segment.end, mine, *at[1:])

    def _fed(self, node: str) -> Iterator[Appliance]:
        yield from (a for a in self.case.supply.appliances if a.node == node)
        for segment in self.case.supply.segments:
            if segment.start == node:
                yield from self._fed(segment.end)

    def _left_pa(self, node: str, supply_pa: float) -> float:
        """An appliance on the node of a regulator sees the regulator's pressure."""
        if any(r.node == node for r in self.case.supply.regulators):
            return inf
        inlets = [a.inlet_min_pa for a in self.case.supply.appliances if a.node == node]
        return min((supply_pa - pa for pa in inlets if pa is not None), default=inf)

    def own_mm(self, i: int, option: Option) -> int:
        """Length of a pipe with its fittings [mm]."""
        segment = self.lines[i].segment
        if self.case.supply.fittings is GasFittings.ALLOWANCE or not is_known(option.material, option.size):
            return segment.length_mm
        elbow, tee = elbow_mm(option.material, option.size), tee_mm(option.material, option.size)
        return segment.length_mm + elbow * (segment.elbows or 0) + tee * (segment.tees or 0)

    def carries(self, i: int, option: Option, length_mm: int) -> bool:
        """Whether an option carries a pipe's load over a length."""
        load, terms = self.lines[i].load_w, self.lines[i].terms
        capacity_of = by_tables if self.case.method in BY_TABLES else by_equation
        capacity = capacity_of(option.material, option.size, length_mm, terms)
        return load == 0 or (capacity is not None and capacity.load_w * (1 + 1e-9) >= load)

    def reach_mm(self, i: int, option: Option, most_mm: int = 10_000_000) -> int:
        """Longest whole length over which an option carries a pipe's load, by halving; -1 for none [mm]."""
        low, high = -1, most_mm + 1
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.carries(i, option, middle) else (low, middle)
        return low

    def lost(self, i: int, option: Option) -> float:
        """What an option loses [whole milli-pascals, or whole thousands of Pa2 at high pressure]."""
        line = self.lines[i]
        if line.load_w == 0:
            return 0
        lost = loss(option.material, option.size, self.own_mm(i, option), line.load_w, line.terms)
        return inf if lost == inf else ceil(lost / self._unit(i))

    def may_lose(self, i: int) -> float:
        """What the way to the end of a pipe may lose [units as ``lost``]."""
        terms = self.lines[i].terms
        drop = min(terms.drop_pa, self.lines[i].left_pa)
        return floor(budget(terms.supply_pa, drop) / self._unit(i)) if drop > 0 else min(0, floor(drop))

    def _unit(self, i: int) -> float:
        return 1e3 if is_high(self.lines[i].terms.supply_pa) else 1e-3

    def units(self, picks: Sequence[Option]) -> int:
        """What an assignment costs [money units]."""
        return sum(pick.units(line.segment.length_mm) for pick, line in zip(picks, self.lines, strict=True))

    def is_lawful(self, picks: Sequence[Option]) -> bool:
        """Whether the method permits an assignment."""
        if self.case.method is GasMethod.PRESSURE:
            lost = [self.lost(i, pick) for i, pick in enumerate(picks)]
            return all(sum(lost[j] for j in line.way) <= self.may_lose(i) for i, line in enumerate(self.lines))
        lengths = self.lengths_mm(picks)
        return all(self.carries(i, pick, lengths[i]) for i, pick in enumerate(picks))

    def lengths_mm(self, picks: Sequence[Option]) -> list[int]:
        """Length that each pipe is sized by."""
        own = [self.own_mm(i, pick) for i, pick in enumerate(picks)]
        runs = [sum(own[j] for j in line.way) for line in self.lines]
        if self.case.method in LONGEST:
            zones = [line.zone for line in self.lines]
            return [max(run for run, z in zip(runs, zones, strict=True) if z == zone) for zone in zones]
        return [max(runs[k] for k in self.ways_through[i]) for i in range(len(runs))]

    @cached_property
    def ways_through(self) -> list[list[int]]:
        """By pipe, the pipes whose way leads through it."""
        return [[k for k, line in enumerate(self.lines) if i in line.way] for i in range(len(self.lines))]
