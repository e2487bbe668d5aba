"""The one-room house with other gas piping: the heater's branch is drawn, the rest is known by its lengths."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from service.check.gas_works import split_option
from service.design import Design, Finding, GasWorks, Renewal, RenewedPart, Route, Service, Verdict
from service.survey.equipment import Heater
from service.survey.model import Appliance, GasFittings, GasNode, GasSegment, GasSupply, Point3, Survey
from service.trades.gas_pipe import elbow_mm, tee_mm
from tests.unit.check_house import HEATER, NO_WORKS, W, design, gas, house, judged, run, site

BTU_H, BTU_FT3, INCH_WC, PSI = 0.29307107, 37_258.9458, 249.08891, 6894.757293
"""SI of the units that the codes print in (conversion factors, memory)."""
FOOT = 304.8
WEST: Point3 = (0, 1000, 900)
BRANCH_MM = 2500
"""From the heater along two walls to the point WEST."""


def feet(length: float) -> int:
    """Whole millimetres."""
    return round(length * FOOT)


def piped(segments: tuple[GasSegment, ...], appliances: tuple[Appliance, ...] = (), **changes: Any) -> GasSupply:
    """A supply of these pipes with every node somewhere; the heater taps ``tee`` at WEST."""
    names = sorted({n for s in segments for n in (s.start, s.end)} - {"meter", "tee"})
    nodes = (*gas().nodes, *(GasNode(n, (5000, 3000, 900)) for n in names))
    return gas(nodes=nodes, segments=segments, appliances=appliances, **({"meter_capacity_w": 1e6} | changes))


def pipe(name: str, start: str, end: str, size: str | None, length_mm: int, **more: Any) -> GasSegment:
    """Schedule 40 steel."""
    return GasSegment(name, start, end, more.pop("material", "steel_sch40"), size, length_mm, **more)


def burner(node: str, input_w: float, **more: Any) -> Appliance:
    """An appliance named after its node."""
    return Appliance(node, "furnace", input_w, True, None, node, **more)


def to_west(option: str, upstream_mm: int, *, end: str = "tee", at: Point3 = WEST, counted: bool = True) -> Route:
    """The branch along the walls to a point of the west wall, one turn and a tee."""
    pieces = run([(1500, 0, 900), (0, 0, 900), at], [W, W])
    fittings = elbow_mm(*split_option(option)) + tee_mm(*split_option(option)) if counted else 0
    length = sum(p.length_mm for p in pieces)
    return Route(Service.GAS, option, end, pieces, 1, upstream_mm + length + fittings)


def heater_of(input_w: float, **changes: Any) -> Heater:
    """The heater of the house with another input."""
    return replace(HEATER, input_max_w=input_w, **changes)


def lawful(supply: GasSupply, route: Route, works: GasWorks = NO_WORKS, **more: Any) -> tuple[Survey, Design]:
    """The house with that supply, and the design with that branch."""
    at = house(gas=supply, site=more.pop("site", site()))
    return at, design(at, changed=(route,), works=works, **more)


def gas_faults(at: Survey, given: Design) -> set[tuple[str, str]]:
    """What is broken on the gas system or its bill: rule and object."""
    return {
        (f.rule_id, f.object_id)
        for f in judged(at, given)
        if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN) and f.rule_id.startswith(("gas.", "price."))
    }


def told(at: Survey, given: Design, rule: str, thing: str) -> Finding:
    """The one finding of a rule on a thing."""
    (found,) = [f for f in judged(at, given) if (f.rule_id, f.object_id) == (rule, thing)]
    return found


def renewal(segment: GasSegment, size: str, part: RenewedPart = RenewedPart.WHOLE, **more: Any) -> Renewal:
    """A segment renewed in its own material."""
    plain = Renewal(segment.id, part, segment.material, size, segment.length_mm)
    return replace(plain, **more)


ALLOWANCE = GasFittings.ALLOWANCE
