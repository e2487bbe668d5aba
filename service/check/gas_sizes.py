"""Whether every pipe of the remade gas system carries its load, by the method that the survey names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, floor, isinf

from service.check.gas_tree import New, Pipe, Tree, Zone
from service.check.gas_works import Remade
from service.check.measure import SKEW_TOLERANCE_MM
from service.check.verdicts import stated
from service.design import Finding, Route, Verdict
from service.phrases import Amount, Detail, mm, pascals, phrase, watts
from service.survey.model import GasCharacter, GasMethod, Survey
from service.trades import gas_equation
from service.trades.gas_capacity import Capacity, Terms, by_equation, by_tables, longest_mm, loss, rows_mm
from service.trades.gas_pipe import is_known

CITED = {
    GasMethod.LONGEST_TABLES: "IFGC 402.4.1, longest length method",
    GasMethod.LONGEST_EQUATION: "IFGC 402.4.1, longest length method",
    GasMethod.BRANCH_TABLES: "IFGC 402.4.2, branch length method",
    GasMethod.BRANCH_EQUATION: "IFGC 402.4.2, branch length method",
    GasMethod.PRESSURE: "IFGC 402.4 by the equation, drops added along each run",
}
HYBRID = "IFGC 402.4.3, hybrid pressure method"
LONGEST = (GasMethod.LONGEST_TABLES, GasMethod.LONGEST_EQUATION)
BY_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)
LOW_STEPS_PER_PA = 1000
"""Losses are rounded up to whole millipascals, or at high pressure to whole squares of a pascal."""


def size_findings(survey: Survey, route: Route, system: Remade, branch: int) -> tuple[Finding, ...]:
    """Findings on the branch (the pipe of that index) and on every old pipe, and on the length that the run states."""
    sizes = _by_pressure if survey.gas.method is GasMethod.PRESSURE else _by_length
    return (*sizes(survey, system.tree), _stated_length(survey, route, system, branch))


def lost(tree: Tree, index: int, drawn_w: Sequence[float], gas: GasCharacter) -> float:
    """What is lost from a zone's root to the end of a pipe [Pa, or Pa2 at high pressure] when pipes carry what is
    ``drawn_w``; infinite if not known."""
    zone = tree.zones[tree.pipes[index].zone]
    steps = [_loss_steps(tree, i, drawn_w[i], zone, gas) for i in tree.way_in_zone(index)]
    return sum(steps) / _steps_per_unit(zone)


def _by_length(survey: Survey, tree: Tree) -> Iterator[Finding]:
    """Every pipe over the length that the method sizes it by."""
    lengths, drawn = _lengths(survey.gas.method, tree), tree.drawn_by_pipe_w()
    for placed, length, load in zip(tree.pipes, lengths, drawn, strict=True):
        zone = tree.zones[placed.zone]
        open_question = _unsized(placed.pipe, load, cited(survey, tree))
        yield open_question or _carried(survey, tree, placed.pipe, zone, length, load)


def _lengths(method: GasMethod, tree: Tree) -> list[int]:
    through = tree.runs_through_mm()
    if method not in LONGEST:
        return through
    zones = [p.zone for p in tree.pipes]
    return [max(run for run, z in zip(through, zones, strict=True) if z == zone) for zone in zones]


def _carried(survey: Survey, tree: Tree, pipe: Pipe, zone: Zone, length: int, load: float) -> Finding:
    rule, cite = _rule(pipe), cited(survey, tree)
    told = phrase(f"{_named(pipe)} over ", mm(length))
    if load <= 0:
        return stated(rule, "gas", pipe.owner, True, told + " carries nothing", cite)
    capacity = _capacity(survey, pipe, zone, length)
    if capacity is None:
        return _open(pipe, told + ": its capacity is not known", f"capacity of {_what(pipe)}", cite)
    detail = phrase(told, " passes ", watts(capacity.load_w), ", carries ", watts(load))
    found = stated(rule, "gas", pipe.owner, capacity.passes(load), detail, f"{cite}; {_source(capacity)}")
    return found if found.verdict is Verdict.PASS else _too_long(found, _reach_mm(survey, pipe, zone, load), length)


def _too_long(found: Finding, reach_mm: int, length_mm: int) -> Finding:
    """A failure with the length over which the pipe would carry its load; as it is where it does so over none."""
    if reach_mm <= 0:
        return found
    told = phrase(found.detail, "; it would over ", mm(reach_mm))
    return replace(found, detail=told, required_mm=reach_mm, actual_mm=length_mm)


def _reach_mm(survey: Survey, pipe: Pipe, zone: Zone, load: float) -> int:
    """Longest over which a pipe carries a load [mm], by tables that of the last row that does; 0 for none."""
    terms, size = Terms(survey.site.gas, zone.supply_pa, zone.drop_pa), pipe.size or ""
    if survey.gas.method not in BY_TABLES:
        return longest_mm(pipe.material, size, load, terms)
    rows = [row for row in rows_mm(pipe.material, terms) if _row_passes(pipe, row, terms, load)]
    return max(rows, default=0)


def _row_passes(pipe: Pipe, row_mm: int, terms: Terms, load: float) -> bool:
    capacity = by_tables(pipe.material, pipe.size or "", row_mm, terms)
    return capacity is not None and capacity.passes(load)


def _capacity(survey: Survey, pipe: Pipe, zone: Zone, length: int) -> Capacity | None:
    method, size = survey.gas.method, pipe.size
    if size is None or not _sound(zone):
        return None
    terms = Terms(survey.site.gas, zone.supply_pa, zone.drop_pa)
    return (by_tables if method in BY_TABLES else by_equation)(pipe.material, size, length, terms)


def _sound(zone: Zone) -> bool:
    return 0 < zone.drop_pa <= zone.supply_pa


def _unsized(pipe: Pipe, load: float, cite: str) -> Finding | None:
    """A new pipe without a size is no pipe, and a branch of unknown pipe none that anybody sells."""
    if pipe.size is None:
        return _open(pipe, f"{_what(pipe)} is new and the design gives it no size", f"size of {_what(pipe)}", cite)
    if _rule(pipe) == "gas.branch" and not is_known(pipe.material, pipe.size):
        return stated("gas.branch", "gas", pipe.owner, False, f"no {_named(pipe)}", cite)
    return None


def _open(pipe: Pipe, detail: Detail, missing: str, cite: str) -> Finding:
    return Finding(_rule(pipe), Verdict.UNKNOWN, "gas", pipe.owner, detail, None, None, cite, missing)


def _rule(pipe: Pipe) -> str:
    return "gas.branch" if pipe.end is New.HEATER else "gas.segment"


def _named(pipe: Pipe) -> str:
    return f"{pipe.material} of size {pipe.size} {pipe.part}".rstrip()


def _what(pipe: Pipe) -> str:
    return "the branch" if pipe.end is New.HEATER else f"segment {pipe.owner} {pipe.part}".rstrip()


def _source(capacity: Capacity) -> str:
    return f"{capacity.source} ({capacity.known_from})"


def cited(survey: Survey, tree: Tree) -> str:
    """The method that governs, and that the system has more than one pressure if it has."""
    cite = CITED[survey.gas.method]
    return f"{cite}; {HYBRID}" if len(tree.zones) > 1 else cite


def _by_pressure(survey: Survey, tree: Tree) -> Iterator[Finding]:
    """Pipes whose loss is not known, then the sum of losses along every run."""
    drawn, cite = tree.drawn_by_pipe_w(), cited(survey, tree)
    doubtful = set()
    for i, (placed, load) in enumerate(zip(tree.pipes, drawn, strict=True)):
        found = _unsized(placed.pipe, load, cite)
        if found is None and isinf(_loss_steps(tree, i, load, tree.zones[placed.zone], survey.site.gas)):
            told = f"{_named(placed.pipe)}: what it loses is not known"
            found = _open(placed.pipe, told, f"loss of {_what(placed.pipe)}", cite)
        if found is not None:
            doubtful.add(i)
            yield found
    for i in range(len(tree.pipes)):
        if _is_judged(tree, i) and not doubtful & set(tree.way_in_zone(i)):
            yield _run(survey, tree, i, drawn)


def _is_judged(tree: Tree, index: int) -> bool:
    """Runs that end, and those to an appliance whose least pressure is known."""
    return tree.ends_run(index) or _least_asked_pa(tree, index) is not None


def _least_asked_pa(tree: Tree, index: int) -> float | None:
    """Highest of the least pressures asked at the end of a pipe, in the pipe's own zone [Pa]."""
    placed = tree.pipes[index]
    asked = [
        b.inlet_min_pa
        for b in tree.burners
        if b.node == placed.pipe.end and b.inlet_min_pa is not None and tree.at[b.node] == placed.zone
    ]
    return max(asked, default=None)


def _run(survey: Survey, tree: Tree, index: int, drawn: Sequence[float]) -> Finding:
    placed = tree.pipes[index]
    zone, asked = tree.zones[placed.zone], _least_asked_pa(tree, index)
    drop = zone.drop_pa if asked is None else min(zone.drop_pa, zone.supply_pa - asked)
    loses, may = lost(tree, index, drawn, survey.site.gas), _permitted(zone, drop)
    lose, most = (_told_loss(zone, value) for value in (loses, may))
    detail = phrase(lose, f" lost from {tree.name(zone.root)} on, ", most, " may be")
    return stated("gas.pressure_run", "gas", tree.name(placed.pipe.end), loses <= may, detail, cited(survey, tree))


def _told_loss(zone: Zone, loss: float) -> Amount | str:
    return f"{loss:.3f} Pa2" if gas_equation.is_high(zone.supply_pa) else pascals(loss, 3)


def _permitted(zone: Zone, drop_pa: float) -> float:
    """What a run may lose, in whole steps [Pa, or Pa2 at high pressure]; negative where nothing would be left."""
    if drop_pa <= 0 or not _sound(zone):
        return min(drop_pa, 0.0)
    steps = _steps_per_unit(zone)
    return floor(gas_equation.budget(zone.supply_pa, drop_pa) * steps * gas_equation.ROUNDING) / steps


def _loss_steps(tree: Tree, index: int, load: float, zone: Zone, gas: GasCharacter) -> float:
    """Loss of one pipe rounded up to whole steps, infinite if not known."""
    pipe = tree.pipes[index].pipe
    if load <= 0:
        return 0.0
    if pipe.size is None or not _sound(zone):
        return float("inf")
    terms = Terms(gas, zone.supply_pa, zone.drop_pa)
    found = loss(pipe.material, pipe.size, pipe.length_with_mm(tree.fittings), load, terms)
    return found if isinf(found) else float(ceil(found * _steps_per_unit(zone)))


def _steps_per_unit(zone: Zone) -> int:
    return 1 if gas_equation.is_high(zone.supply_pa) else LOW_STEPS_PER_PA


def _stated_length(survey: Survey, route: Route, system: Remade, branch: int) -> Finding:
    told, computed = route.equivalent_mm, system.tree.run_mm(branch)
    holds = told is None or abs(told - computed) <= SKEW_TOLERANCE_MM + system.tap.slack_mm
    detail = phrase("nothing" if told is None else mm(told), " stated, ", mm(computed), " computed")
    return stated("gas.stated", "gas", route.end_id, holds, detail, CITED[survey.gas.method])
