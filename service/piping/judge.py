"""CP-SAT as a second, independent judge of the sizes of a gas tree.

The model is written down from the rules of the methods, with one yes-or-no for each option of each pipe: every pipe is
of one of its options; the cost is least; and

* length methods: every run's length, fittings of the chosen options included, is at most the length that sizes the
  pipes on it (one for the whole zone, or one for each pipe), and that is at most what each chosen option carries its
  load over;
* pressure method: what the chosen options of a run lose is at most what may be lost on it.

It shares the options, the load of each pipe and the formulas of the trade with the search, and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, isfinite

from ortools.sat.python import cp_model

from service.piping.network import Network, Pipe, Zone
from service.piping.options import Offered, Option
from service.survey.equipment import PriceBook
from service.survey.model import GasFittings, GasMethod
from service.trades.gas_capacity import Terms, by_equation, by_rows, longest_mm, loss, rows_mm
from service.trades.gas_equation import ROUNDING, budget, is_high
from service.trades.gas_pipe import elbow_mm, is_known, tee_mm

SEED = 1
DETERMINISTIC_TIME = 20.0
FARTHEST_MM = 10**8
"""Longer than any run: what carries nothing may be so long."""
BY_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)
LONGEST = (GasMethod.LONGEST_TABLES, GasMethod.LONGEST_EQUATION)


@dataclass(frozen=True, slots=True)
class Judgement:
    """Status name of the solver, and the least cost it proved [money units], None where there is none."""

    status: str
    units: int | None

    def agrees(self, units: int | None) -> bool:
        """Whether the solver proved the same cost, or that there is none."""
        proven = "INFEASIBLE" if units is None else "OPTIMAL"
        return self.status == proven and self.units == units


def judge(network: Network, prices: PriceBook, method: GasMethod) -> Judgement:
    """Least cost of a lawful set of sizes, found by CP-SAT from the rules of the method alone."""
    case = _Case(network, prices)
    if method is GasMethod.PRESSURE:
        case.hold_losses()
    else:
        case.hold_lengths(method)
    case.model.minimize(case.cost())
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = DETERMINISTIC_TIME
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(case.model)
    proven = status == cp_model.OPTIMAL
    return Judgement(solver.status_name(status), round(solver.objective_value) if proven else None)


class _Case:
    """The model of one network."""

    def __init__(self, network: Network, prices: PriceBook) -> None:
        """One option for each pipe; what carries nothing stays as it is, or is of the cheapest."""
        self.network, self.model = network, cp_model.CpModel()
        self.terms = [Terms(network.gas, z.supply_pa, z.drop_pa) for z in network.zones]
        self.loads = [p.load.drawn_w(network.supply.diversity) for p in network.pipes]
        self.picks: list[list[tuple[Option, cp_model.IntVar]]] = []
        offered = Offered(prices)
        for pipe, load in zip(network.pipes, self.loads, strict=True):
            self.picks.append([(o, self.model.new_bool_var("")) for o in offered.of(pipe.segment, load)])
            self.model.add_exactly_one(picked for _, picked in self.picks[-1])

    def cost(self) -> cp_model.LinearExpr:
        """Money units of all that is renewed or new."""
        units = [
            option.units(pipe.segment.length_mm)
            for pipe, picks in zip(self.network.pipes, self.picks, strict=True)
            for option, _ in picks
        ]
        return cp_model.LinearExpr.weighted_sum([picked for picks in self.picks for _, picked in picks], units)

    def hold_lengths(self, method: GasMethod) -> None:
        """Every pipe carries its load over the length that sizes it."""
        pipes, by_zone = self.network.pipes, method in LONGEST
        zones = [self.model.new_int_var(0, FARTHEST_MM, "") for _ in self.network.zones]
        sizing = [zones[p.zone] if by_zone else self.model.new_int_var(0, FARTHEST_MM, "") for p in pipes]
        for i, picks in enumerate(self.picks):
            reaches = [self._reach(i, option, method) for option, _ in picks]
            self.model.add(sizing[i] <= cp_model.LinearExpr.weighted_sum([picked for _, picked in picks], reaches))
        lengths = [self._length(i) for i in range(len(pipes))]
        for run in self._runs():
            length = cp_model.LinearExpr.sum([lengths[i] for i in run])
            for i in run[:1] if by_zone else run:
                self.model.add(length <= sizing[i])

    def hold_losses(self) -> None:
        """Every run loses no more than it may, and every appliance is left its pressure."""
        for run in self._runs():
            zone = self.network.zones[self.network.pipes[run[0]].zone]
            self.model.add(self._loss(run) <= _whole(zone, zone.drop_pa))
        regulated = [r.node for r in self.network.supply.regulators]
        for appliance in self.network.supply.appliances:
            if appliance.inlet_min_pa is None or appliance.node in regulated:
                continue
            for i, pipe in enumerate(self.network.pipes):
                if pipe.segment.end == appliance.node:
                    zone = self.network.zones[pipe.zone]
                    left = _whole(zone, zone.supply_pa - appliance.inlet_min_pa)
                    self.model.add(self._loss(self.network.way_in_zone(i)) <= left)

    def _runs(self) -> Iterator[list[int]]:
        """The pipes of each run of each zone."""
        return (self.network.way_in_zone(i) for i, pipe in enumerate(self.network.pipes) if pipe.is_end)

    def _length(self, i: int) -> cp_model.LinearExpr | int:
        """Length of a pipe with the fittings of the option picked [mm]."""
        pipe, picks = self.network.pipes[i], self.picks[i]
        if self.network.supply.fittings is not GasFittings.COUNTED:
            return pipe.segment.length_mm
        lengths = [pipe.segment.length_mm + _fittings_mm(pipe, option) for option, _ in picks]
        return cp_model.LinearExpr.weighted_sum([picked for _, picked in picks], lengths)

    def _loss(self, run: list[int]) -> cp_model.LinearExpr:
        """Whole units that a run loses; an option whose loss is not known is closed."""
        terms = []
        for i in run:
            for option, picked in self.picks[i]:
                lost = self._option_loss(i, option)
                if isfinite(lost):
                    terms.append(ceil(lost) * picked)
                else:
                    self.model.add(picked == 0)
        return cp_model.LinearExpr.sum(terms)

    def _option_loss(self, i: int, option: Option) -> float:
        """What one option of a pipe loses [units of ``_unit``], infinite where it is not known."""
        pipe, load = self.network.pipes[i], self.loads[i]
        if load == 0:
            return 0.0
        counted = self.network.supply.fittings is GasFittings.COUNTED
        length = pipe.segment.length_mm + (_fittings_mm(pipe, option) if counted else 0)
        lost = loss(option.material, option.size, length, load, self.terms[pipe.zone])
        return lost / _unit(self.network.zones[pipe.zone])

    def _reach(self, i: int, option: Option, method: GasMethod) -> int:
        """Longest length over which an option of a pipe carries its load [mm], -1 for none."""
        load, terms = self.loads[i], self.terms[self.network.pipes[i].zone]
        if load == 0:
            return FARTHEST_MM
        if method in BY_TABLES:
            rows = zip(rows_mm(option.material, terms), by_rows(option.material, option.size, terms), strict=False)
            return max((mm for mm, found in rows if found and found.load_w * ROUNDING >= load), default=-1)
        reach = longest_mm(option.material, option.size, load, terms)
        known = by_equation(option.material, option.size, reach, terms)
        return reach if known and known.load_w * ROUNDING >= load else -1


def _fittings_mm(pipe: Pipe, option: Option) -> int:
    """Equivalent length of the fittings that were counted [mm]."""
    elbows, tees = pipe.segment.elbows or 0, pipe.segment.tees or 0
    if not is_known(option.material, option.size):
        return 0
    return elbows * elbow_mm(option.material, option.size) + tees * tee_mm(option.material, option.size)


def _unit(zone: Zone) -> float:
    """A milli-pascal, or at high pressure a thousand Pa2."""
    return 1e3 if is_high(zone.supply_pa) else 1e-3


def _whole(zone: Zone, drop_pa: float) -> int:
    """Whole units that a drop is worth; less than none where the supply is below what must be left."""
    if drop_pa <= 0:
        return floor(drop_pa)
    return floor(budget(zone.supply_pa, drop_pa) / _unit(zone))
