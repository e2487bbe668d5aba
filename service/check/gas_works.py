"""The gas system as a design leaves it: pressure in force, old pipe renewed, the heater's branch on it.

Nothing here is taken from the search; the tap is found again from where the drawn run ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import dist

from service.building.model import Building
from service.check.gas_tree import Burner, New, Node, Pipe, Regulator, Tree, Zone, grown
from service.check.measure import SKEW_TOLERANCE_MM
from service.check.routes import elbows_of
from service.design import Design, GasWorks, Renewal, RenewedPart, Route
from service.rules.tables import table
from service.survey.model import GasMaterial, GasSegment, GasSupply, PressureOption, Survey

WORDS = {RenewedPart.WHOLE: "", RenewedPart.BEFORE_TAP: "ahead of the tap", RenewedPart.AFTER_TAP: "beyond the tap"}
BRANCH = "for the branch"


@dataclass(frozen=True, slots=True)
class Tap:
    """Where the branch leaves: at a node of the survey, or at a new one ``cut_mm`` along a segment, measured in pipe.

    ``slack_mm``: by how much the segment's pipe differs from its straight line, so that nobody knows the place in
    pipe any closer, and a design may state it so much differently.
    """

    node: Node
    segment: GasSegment | None = None
    cut_mm: int = 0
    slack_mm: int = 0

    def parts(self, segment: GasSegment) -> dict[RenewedPart, int]:
        """Parts that a segment has, with the length of each [mm]; one of them may have none."""
        if self.segment is None or segment.id != self.segment.id:
            return {RenewedPart.WHOLE: segment.length_mm}
        return {RenewedPart.BEFORE_TAP: self.cut_mm, RenewedPart.AFTER_TAP: segment.length_mm - self.cut_mm}


@dataclass(frozen=True, slots=True)
class Remade:
    """A gas system with a design's works done."""

    tap: Tap
    option: PressureOption | None
    tree: Tree


def remade(survey: Survey, building: Building, design: Design, route: Route) -> Remade:
    """The system after the works; a branch that ends at nothing of the survey is not in its tree."""
    gas, tap, option = survey.gas, tap_of(survey, building, route), option_of(survey.gas, design.gas)
    pipes = (*(p for s in gas.segments for p in _parts(s, tap, design.gas)), _branch(tap, design, route))
    tree = grown(
        _delivery(gas, option), pipes, _regulators(survey, option, design), _burners(gas, design),
        gas.diversity, gas.fittings,
    )  # fmt: skip
    return Remade(tap, option, tree)


def option_of(gas: GasSupply, works: GasWorks) -> PressureOption | None:
    """The delivery pressure that is asked for; None where it stays or the id is not known."""
    return next((o for o in gas.pressure_options if o.id == works.pressure_option), None)


def split_option(option: str) -> tuple[str, str]:
    """Material and size behind the name of a route's option."""
    material, dot, size = option.rpartition(".")
    return (material, size) if dot else (GasMaterial.STEEL.value, option)


def joined_option(material: str, size: str) -> str:
    """Name under which pipe of a material and size is priced."""
    return size if material == GasMaterial.STEEL else f"{material}.{size}"


def own_regulator(fuel: str) -> Regulator:
    """The heater's own line regulator, set as is common practice."""
    practice = table("gas_regulators")
    return Regulator(practice.constant(fuel), practice.constant("drop"), bought=True)


def tap_of(survey: Survey, building: Building, route: Route) -> Tap:
    """Where a drawn run meets the old piping: the node if it ends there, else the segment of that name.

    What a segment has more of pipe than its straight line counts before the tap, the safe side for the branch.
    """
    end = route.pieces[-1].end
    nodes = {n.id: building.frame.to_frame3(n.at) for n in survey.gas.nodes}
    segment = next((s for s in survey.gas.segments if s.id == route.end_id), None)
    at_node = route.end_id in nodes and dist(nodes[route.end_id], end) <= SKEW_TOLERANCE_MM
    if segment is None or at_node:
        return Tap(route.end_id)
    start, finish = nodes[segment.start], nodes[segment.end]
    cut_mm = min(max(segment.length_mm - round(dist(end, finish)), 0), segment.length_mm)
    slack_mm = abs(round(dist(start, finish)) - segment.length_mm)
    return Tap(_node_at(segment, cut_mm), segment, cut_mm, slack_mm)


def _node_at(segment: GasSegment, cut_mm: int) -> Node:
    """A tap at an end of a segment is at that node."""
    if cut_mm <= 0:
        return segment.start
    return segment.end if cut_mm >= segment.length_mm else New.TAP


def _delivery(gas: GasSupply, option: PressureOption | None) -> Zone:
    if option is None:
        return Zone(gas.delivery_node, gas.pressure_pa, gas.allowable_drop_pa)
    return Zone(gas.delivery_node, option.pressure_pa, option.allowable_drop_pa)


def _regulators(survey: Survey, option: PressureOption | None, design: Design) -> Mapping[Node, Regulator]:
    """Line regulators by node: one that comes with the pressure, those there are, and the heater's own."""
    gas, found = survey.gas, dict[Node, Regulator]()
    if option is not None and option.regulated_pa is not None:
        drop = gas.allowable_drop_pa if option.regulated_drop_pa is None else option.regulated_drop_pa
        found[gas.delivery_node] = Regulator(option.regulated_pa, drop, bought=True)
    for r in gas.regulators:
        found[r.node] = Regulator(r.outlet_pa, r.allowable_drop_pa, False, r.capacity_w, r.loss_pa or 0.0)
    if design.gas.ahead_of_regulator:
        found[New.HEATER] = own_regulator(survey.site.fuel)
    return found


def _parts(segment: GasSegment, tap: Tap, works: GasWorks) -> Iterator[Pipe]:
    """A segment, or its parts before and after the tap, as renewed. Its fittings count in its first part."""
    lengths = {part: mm for part, mm in tap.parts(segment).items() if mm > 0}
    first, last = min(lengths, key=list(WORDS).index), max(lengths, key=list(WORDS).index)
    for part, mm in lengths.items():
        yield _renewed(
            Pipe(
                segment.id, WORDS[part],
                segment.start if part is first else New.TAP, segment.end if part is last else New.TAP,
                segment.material, segment.size, mm,
                (segment.elbows or 0) if part is first else 0, (segment.tees or 0) if part is first else 0,
                part is first and segment.before_regulator,
            ),
            renewal_of(segment, part, works),
        )  # fmt: skip


def renewal_of(segment: GasSegment, part: RenewedPart, works: GasWorks) -> Renewal | None:
    """What takes the place of a part of a segment, if anything does."""
    meant = (part, RenewedPart.WHOLE)
    return next((r for r in works.renewals if r.segment_id == segment.id and r.part in meant), None)


def _renewed(pipe: Pipe, renewal: Renewal | None) -> Pipe:
    return pipe if renewal is None else replace(pipe, material=renewal.material, size=renewal.size)


def _branch(tap: Tap, design: Design, route: Route) -> Pipe:
    """The heater's branch with its turns, and the tee that it leaves by."""
    material, size = split_option(route.option)
    length = sum(p.length_mm for p in route.pieces)
    return Pipe(
        route.end_id, BRANCH, tap.node, New.HEATER, material, size, length, elbows_of(route), 1,
        design.gas.ahead_of_regulator,
    )  # fmt: skip


def _burners(gas: GasSupply, design: Design) -> tuple[Burner, ...]:
    heater = design.heater
    own = Burner(heater.id, New.HEATER, heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa)
    return (*(Burner(a.id, a.node, a.input_w, a.inlet_min_pa, a.inlet_max_pa) for a in gas.appliances), own)
