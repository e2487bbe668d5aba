"""The same tree by every method, each cost confirmed by a second, independent solver."""

from __future__ import annotations

from service.errors import CheckFailed
from service.piping.judge import judge
from service.piping.sizing import Sizing, size_trees
from service.survey.model import GasMethod
from service.usecases.gas_results import MethodReport
from service.usecases.gas_segments import action
from service.usecases.gas_system import System, total_cents

NOT_ASKED = "not asked: beside the governing method"


def method_reports(system: System) -> tuple[MethodReport, ...]:
    """All methods, the one that governs first. Raises CheckFailed where the second solver disagrees; of a finished
    design it is asked about the governing method only."""
    governing = system.supply.method
    others = [method for method in GasMethod if method is not governing]
    return tuple(_report(system, method) for method in (governing, *others))


def _report(system: System, method: GasMethod) -> MethodReport:
    governs = method is system.supply.method
    sizing = system.sizing if governs else size_trees(system.network, system.trees, method)
    sizes = tuple(
        (pipe.segment.id, sized.needed, action(pipe, sized))
        for pipe, sized in zip(system.network.pipes, sizing.pipes, strict=True)
    )
    cost = None if sizing.units is None else total_cents(system.network, sizing)
    asked = governs or not system.asked.is_design
    return MethodReport(method, governs, sizes, cost, _second_opinion(system, sizing) if asked else NOT_ASKED)


def _second_opinion(system: System, sizing: Sizing) -> str:
    found = judge(system.network, system.prices, sizing.method)
    if not found.agrees(sizing.units):
        ours = f"ours is {sizing.units}"
        raise CheckFailed(f"{sizing.method}: CP-SAT ended {found.status} at {found.units}, {ours}")
    return f"CP-SAT {found.status} {'at the same cost' if found.units is not None else 'too'}"
