"""Whether another delivery pressure, asked for once for all heaters, is offered, paid for, and suits what is there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.building.model import Building
from service.check.gas_inlets import inlet_findings
from service.check.gas_works import remade
from service.check.neighbours import as_left, option_in
from service.check.verdicts import all_of, stated
from service.design import Finding, JointDesign, Service
from service.survey.model import Survey

CHANGE, REGULATOR = "gas.pressure_change", "gas.line_regulator"
SUPPLIER = "the gas supplier"


def pressure_findings(survey: Survey, building: Building, joint: JointDesign) -> Iterator[Finding]:
    """What comes with the pressure, and what arrives at old appliances and line regulators."""
    option = option_in(survey.gas, joint)
    regulated = option is not None and option.regulated_pa is not None
    needed = {CHANGE: int(joint.pressure_option is not None), REGULATOR: int(regulated)}
    odd = (f"{joint.keys.count(key)} of {key}, {n} needed" for key, n in needed.items() if joint.keys.count(key) != n)
    if joint.pressure_option is None:
        yield from all_of("joint.pressure_works", "gas", "", odd, "the pressure stays as it is", SUPPLIER)
        return
    detail = f"{joint.pressure_option} is {'' if option else 'not among what is '}offered by the supplier"
    yield stated("joint.pressure_option", "gas", joint.pressure_option, option is not None, detail, SUPPLIER)
    yield from all_of("joint.pressure_works", "gas", "", odd, "change and regulator as the pressure asks", SUPPLIER)
    if option is not None:
        yield from _arriving(survey, building, joint)


def _arriving(survey: Survey, building: Building, joint: JointDesign) -> Iterator[Finding]:
    """As the first design finds it, told as if it asked for the pressure itself: then nothing is as it was before."""
    dwellings = {d.id: d for d in survey.dwellings}
    for name, design in joint.designs[:1]:
        route, left = design.route(Service.GAS), as_left(survey, building, joint, dwellings[name])
        if route is None:
            continue
        gas, added = survey.gas, {node for _, node in joint.heaters}
        old = tuple(r for r in left.survey.gas.regulators if r in gas.regulators or r.node in added)
        before = replace(
            left.survey.gas, pressure_pa=gas.pressure_pa, allowable_drop_pa=gas.allowable_drop_pa, regulators=old,
            pressure_options=gas.pressure_options,
        )  # fmt: skip
        asking = replace(design, gas=replace(design.gas, pressure_option=joint.pressure_option))
        there = replace(left.survey, gas=before)
        yield from inlet_findings(there, asking, remade(there, left.building, asking, route))
