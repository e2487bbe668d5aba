"""What pressure arrives: at line regulators, at the heater, and at the old appliances."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from service.check.gas_sizes import lost
from service.check.gas_tree import Burner, New, Node, Regulator, Tree
from service.check.gas_works import Remade
from service.design import Design, Finding, Verdict
from service.phrases import Detail, pascals, phrase, watts
from service.rules.tables import table
from service.survey.model import GasMethod, Survey
from service.trades.gas_equation import ROUNDING, pressure_after
from service.trades.gas_parts import practice, usual_inlet_pa

PRACTICE = "common practice, listed instructions"
HYBRID = "IFGC 402.4.3, hybrid pressure method"
SLACK_PA = 1e-6
"""Two pressures that are one may differ by the last bits."""


def inlet_findings(survey: Survey, design: Design, system: Remade) -> tuple[Finding, ...]:
    """Findings on the pressure at the heater, at each old appliance, and on each line regulator."""
    tree = system.tree
    old = [b for b in tree.burners if b.node is not New.HEATER]
    regulators = [(i, zone.regulator) for i, zone in enumerate(tree.zones) if zone.regulator is not None]
    return (
        *_heater(survey, design, tree),
        *_indoors(tree),
        *(f for b in old for f in _appliance(survey, system, b)),
        *(f for i, regulator in regulators for f in _regulator(survey, system, i, regulator)),
    )


def _indoors(tree: Tree) -> Iterator[Finding]:
    """Pressure that the code permits in a building only with exceptions is told."""
    rule = practice("indoor_pressure_most")
    for zone in tree.zones:
        if zone.supply_pa > rule.value + SLACK_PA:
            here, most = pascals(zone.supply_pa), pascals(rule.value)
            detail = phrase(here, f" from {tree.name(zone.root)} on, ", most, " is the most indoors")
            yield _limit("gas.indoor_pressure", tree.name(zone.root), False, detail, Verdict.ADVICE, rule.citation)


def _heater(survey: Survey, design: Design, tree: Tree) -> tuple[Finding, ...]:
    """Static pressure at most, pressure at full fire at least what the listing asks."""
    heater, static = design.heater, tree.zones[tree.at[New.HEATER]].supply_pa
    left = _left_pa(survey, tree, New.HEATER)
    return (
        _low("gas.inlet_low", heater.id, left, heater.gas_inlet_min_pa, Verdict.FAIL),
        _high("gas.inlet_high", heater.id, static, heater.gas_inlet_max_pa, Verdict.FAIL),
    )


def _appliance(survey: Survey, system: Remade, burner: Burner) -> Iterator[Finding]:
    """An old appliance against its limits. Without other pressure no design can change what it has had."""
    rule, tree, changed = "gas.appliance_inlet", system.tree, system.option is not None
    if burner.node not in tree.at:
        if changed:
            yield _open(rule, burner.id, "nobody knows where on the piping it is", f"place of {burner.id}")
        return
    broken, usual = Verdict.FAIL if changed else Verdict.ADVICE, usual_inlet_pa(survey.site.fuel)
    left, static = _left_pa(survey, tree, burner.node), tree.zones[tree.at[burner.node]].supply_pa
    if burner.inlet_min_pa is not None:
        yield _low(rule, burner.id, left, burner.inlet_min_pa, broken)
    elif changed:
        yield _low(rule, burner.id, left, usual[0], Verdict.ADVICE, "commonly ")
    if burner.inlet_max_pa is not None:
        yield _high(rule, burner.id, static, burner.inlet_max_pa, broken)
    elif changed:
        yield _high(rule, burner.id, static, usual[1], broken, "commonly ")


def _low(rule: str, owner: str, left: float | None, least: float, broken: Verdict, how: str = "") -> Finding:
    if left is None:
        return _open(rule, owner, "what is lost on the way is not known", f"loss on the way to {owner}")
    detail = phrase(pascals(left), " left at full fire, ", pascals(least), f" {how}asked")
    return _limit(rule, owner, left >= least - SLACK_PA, detail, broken)


def _high(rule: str, owner: str, static: float, most: float, broken: Verdict, how: str = "") -> Finding:
    detail = phrase(pascals(static), " supplied, ", pascals(most), f" {how}allowed")
    return _limit(rule, owner, static <= most + SLACK_PA, detail, broken)


def _limit(rule: str, owner: str, holds: bool, detail: Detail, broken: Verdict, cite: str = PRACTICE) -> Finding:
    return Finding(rule, Verdict.PASS if holds else broken, "gas", owner, detail, citation=cite)


def _open(rule: str, owner: str, detail: str, missing: str) -> Finding:
    return Finding(rule, Verdict.UNKNOWN, "gas", owner, detail, citation=PRACTICE, missing=missing)


def _left_pa(survey: Survey, tree: Tree, node: Node) -> float | None:
    """Pressure at what hangs on a node when all fires [Pa], None if it is not known. Behind a regulator of its own
    the heater has what that is set to, less the drop permitted behind it."""
    zone = tree.zones[tree.at[node]]
    if zone.root is New.HEATER:
        return zone.supply_pa - zone.drop_pa
    return _arriving_pa(survey, tree, tree.at[node], -1 if zone.root == node else tree.into(node))


def _arriving_pa(survey: Survey, tree: Tree, zone_index: int, pipe: int) -> float | None:
    """Pressure in a zone, at the end of a pipe (-1: at its root), when all fires [Pa]: by the losses on the way if
    the method adds them, else the supply less what may be lost. None if it is not known, 0 where none is left."""
    zone = tree.zones[zone_index]
    if survey.gas.method is not GasMethod.PRESSURE:
        return zone.supply_pa - zone.drop_pa
    found = lost(tree, pipe, tree.drawn_by_pipe_w(), survey.site.gas) if pipe >= 0 else 0.0
    return None if isinf(found) else pressure_after(zone.supply_pa, zone.supply_pa, found) or 0.0


def _regulator(survey: Survey, system: Remade, index: int, regulator: Regulator) -> Iterator[Finding]:
    """Whether a regulator has pressure enough ahead of it, and passes what is drawn behind it. What the design
    neither brings nor burdens is told as advice."""
    tree, zone = system.tree, system.tree.zones[index]
    burdened = index in tree.fed_by(tree.at[New.HEATER])
    broken = Verdict.FAIL if regulator.bought or burdened or system.option else Verdict.ADVICE
    yield _pressure_ahead(survey, tree, index, regulator, broken)
    rule, name, drawn = "gas.regulator_capacity", tree.name(zone.root), tree.drawn_in_zone_w(index)
    if regulator.capacity_w is not None:
        detail = phrase(watts(drawn), " drawn behind it, ", watts(regulator.capacity_w), " passed")
        yield _limit(rule, name, drawn <= regulator.capacity_w * ROUNDING, detail, broken, HYBRID)
    elif burdened and not regulator.bought:
        detail, missing = phrase(watts(drawn), " drawn behind it"), f"capacity of the line regulator at {name}"
        yield Finding(rule, Verdict.UNKNOWN, "gas", name, detail, citation=HYBRID, missing=missing)


def _pressure_ahead(survey: Survey, tree: Tree, index: int, regulator: Regulator, broken: Verdict) -> Finding:
    zone = tree.zones[index]
    ahead, name, rule = tree.zones[zone.ahead], tree.name(zone.root), "gas.regulator_inlet"
    at_root = ahead.root == zone.root
    left = ahead.supply_pa if at_root else _arriving_pa(survey, tree, zone.ahead, tree.into(zone.root))
    if left is None:
        return _open(rule, name, "what is lost on the way is not known", f"loss on the way to {name}")
    asked = regulator.outlet_pa + regulator.loss_pa
    if zone.root is New.HEATER:
        asked = max(asked, table("gas_regulators").constant("least_ahead"))
    need = phrase(pascals(asked), " asked; set to ", pascals(regulator.outlet_pa))
    detail = phrase(pascals(left), " left ahead of it at full fire, ", need)
    return _limit(rule, name, left >= asked - SLACK_PA, detail, broken, HYBRID)
