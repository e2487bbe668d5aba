"""A gas system with the sizes that the governing method gives it, and the pressures that come of them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from service.piping.extended import HEATER_KIND
from service.piping.network import Network, Pipe
from service.piping.options import Option
from service.piping.sizing import Sized, Sizing, size, size_trees
from service.piping.trees import trees
from service.survey.equipment import MONEY_SCALE, PriceBook
from service.survey.model import GasCharacter, GasFittings, GasMethod, GasSupply, PressureOption, UnitSystem
from service.trades.gas_capacity import Terms, loss
from service.trades.gas_equation import ROUNDING, pressure_after
from service.trades.gas_pipe import elbow_mm, is_known, tee_mm
from service.usecases.gas_words import Words


@dataclass(frozen=True, slots=True)
class Asked:
    """What a finished design asks for besides pipe: the delivery pressure to have, None to leave it, and the nodes
    of line regulators that are bought with it; ``is_design`` tells it from a system alone."""

    pressure: PressureOption | None = None
    bought_regulators: tuple[str, ...] = ()
    is_design: bool = False


class System:
    """A supply, its tree sized by the governing method, and gauge pressures [Pa] with every appliance firing."""

    def __init__(
        self, supply: GasSupply, gas: GasCharacter, prices: PriceBook, units: UnitSystem, asked: Asked
    ) -> None:
        """Size the tree. Raises ValueError as ``Network``."""
        self.supply, self.gas, self.prices, self.asked = supply, gas, prices, asked
        self.say = Words(units)
        self.network = Network(supply, gas)
        self.trees = trees(self.network, prices)
        self.sizing: Sizing = size_trees(self.network, self.trees, supply.method)
        self.into_pa: list[float | None] = []
        self.out_pa: list[float | None] = []
        self._propagate()

    def _propagate(self) -> None:
        """Pressure at both ends of each pipe, parents first."""
        for pipe, sized in zip(self.network.pipes, self.sizing.pipes, strict=True):
            entering = self._entering(pipe)
            self.into_pa.append(entering)
            self.out_pa.append(self._leaving(pipe, sized, entering))

    def _entering(self, pipe: Pipe) -> float | None:
        arriving = self.arriving_pa(pipe.segment.start)
        ahead = self.network.zone_ahead(pipe.segment.start)
        return arriving if pipe.zone == ahead else self._regulated(pipe.zone, arriving)

    def _leaving(self, pipe: Pipe, sized: Sized, entering: float | None) -> float | None:
        if entering is None or sized.choice is None:
            return None
        zone, drawn = self.network.zones[pipe.zone], self.drawn_w(pipe)
        terms = Terms(self.gas, zone.supply_pa, zone.drop_pa)
        length = pipe.segment.length_mm + fittings_mm(pipe, sized.choice, self.supply.fittings)
        lost = loss(sized.choice.material, sized.choice.size, length, drawn, terms)
        return pressure_after(zone.supply_pa, entering, lost)

    def _regulated(self, zone: int, arriving: float | None) -> float | None:
        """What leaves a zone's line regulator: its outlet pressure, less where too little arrives."""
        regulator = self.network.zones[zone].regulator
        if arriving is None or regulator is None:
            return arriving
        left = min(regulator.outlet_pa, arriving - (regulator.loss_pa or 0.0))
        return left if left > 0 else None

    def arriving_pa(self, node: str) -> float | None:
        """Pressure of the gas that arrives at a node, ahead of any line regulator there."""
        index = self.network.into.get(node)
        if index is not None:
            return self.out_pa[index]
        return self.supply.pressure_pa if node == self.supply.delivery_node else None

    def firing_pa(self, node: str) -> float | None:
        """Pressure at a node, behind any line regulator there, with everything firing."""
        zone, arriving = self.network.zone_behind(node), self.arriving_pa(node)
        return arriving if zone == self.network.zone_ahead(node) else self._regulated(zone, arriving)

    def static_pa(self, node: str) -> float | None:
        """Pressure at a node, behind any line regulator there, without flow; None off the tree."""
        if node != self.supply.delivery_node and node not in self.network.into:
            return None
        return self._static(self.network.zone_behind(node))

    def _static(self, zone: int) -> float:
        at = self.network.zones[zone]
        if at.regulator is None:
            return at.supply_pa
        return min(at.supply_pa, self._static(self.network.zone_ahead(at.root)))

    def drawn_w(self, pipe: Pipe) -> float:
        """What a pipe carries with everything firing [W], by the stated diversity."""
        return pipe.load.drawn_w(self.supply.diversity)

    def short_today(self) -> Collection[str]:
        """Ids of old pipes of a known size that do not carry what hangs on them without the planned heater; by the
        pressure method, those that would have to be renewed for it."""
        today = without_heater(self.supply)
        network = Network(today, self.gas)
        sizing = size(network, self.prices, today.method)
        return {
            pipe.segment.id
            for pipe, sized in zip(network.pipes, sizing.pipes, strict=True)
            if pipe.segment.size is not None
            and is_known(pipe.segment.material, pipe.segment.size)
            and _is_short(pipe, sized, today)
        }


def _is_short(pipe: Pipe, sized: Sized, supply: GasSupply) -> bool:
    if supply.method is GasMethod.PRESSURE or sized.present_capacity_w is None:
        return sized.choice is None or not sized.choice.kept
    return pipe.load.drawn_w(supply.diversity) > sized.present_capacity_w * ROUNDING


def without_heater(supply: GasSupply) -> GasSupply:
    """The supply as it is today: no planned heater, and no new pipe that would feed nothing."""
    appliances = tuple(a for a in supply.appliances if a.kind != HEATER_KIND)
    fed, by_end = {a.node for a in appliances}, {s.end: s for s in supply.segments}
    for node in sorted(fed):
        while (segment := by_end.get(node)) is not None:
            fed.add(node := segment.start)
    segments = tuple(s for s in supply.segments if s.size is not None or s.end in fed)
    return replace(supply, appliances=appliances, segments=segments)


def fittings_mm(pipe: Pipe, option: Option, fittings: GasFittings) -> int:
    """Equivalent length of a pipe's counted fittings [mm]."""
    elbows, tees = pipe.segment.elbows or 0, pipe.segment.tees or 0
    if fittings is not GasFittings.COUNTED or not is_known(option.material, option.size):
        return 0
    return elbows * elbow_mm(option.material, option.size) + tees * tee_mm(option.material, option.size)


def cents(pipe: Pipe, sized: Sized) -> int | None:
    """What a pipe costs, to the nearest cent; None where it cannot be had."""
    if sized.choice is None:
        return None
    return (2 * sized.choice.units(pipe.segment.length_mm) + MONEY_SCALE) // (2 * MONEY_SCALE)


def total_cents(network: Network, sizing: Sizing) -> int | None:
    """Sum of the pipes' cents; None if one cannot be had."""
    each = [cents(pipe, sized) for pipe, sized in zip(network.pipes, sizing.pipes, strict=True)]
    known = [c for c in each if c is not None]
    return sum(known) if len(known) == len(each) else None
