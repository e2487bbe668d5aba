"""The house as all other dwellings' heaters leave it to one: their intakes, cases and gas, with shared works done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely import box, get_coordinates

from service.building.model import Building, Prism
from service.building.roof_model import BuiltRoofOpening
from service.check.gas_tree import at_once_w
from service.check.hung import hung_on, laid
from service.check.outside import Outside, outside_on
from service.check.routes import face_of
from service.design import MANIFOLD_DROP_MM, Design, JointDesign, Renewal, RoofTerminal, Terminal
from service.survey.divided import of_dwelling
from service.survey.equipment import Draft
from service.survey.model import (
    AirInlet,
    Dwelling,
    GasSegment,
    GasSupply,
    InletKind,
    KeepOutKind,
    LineRegulator,
    PressureOption,
    Survey,
)
from service.survey.roof import RoofOpeningKind
from service.trades.gas_pipe import is_known


@dataclass(frozen=True, slots=True)
class Left:
    """Survey and building as one dwelling's design is judged in them."""

    survey: Survey
    building: Building


def as_left(survey: Survey, building: Building, joint: JointDesign, dwelling: Dwelling) -> Left:
    """What the designs of all other dwellings leave to one. KeyError for a dwelling without a heater's node."""
    gas = _supply(survey.gas, joint, dict(joint.heaters)[dwelling.id])
    return beside(replace(of_dwelling(survey, dwelling), gas=gas), building, joint, dwelling.id)


def beside(own: Survey, building: Building, joint: JointDesign, dwelling_id: str) -> Left:
    """A survey as one dwelling has it, and the house, with what all others' heaters bring: intakes and cases."""
    others = [(name, design) for name, design in joint.designs if name != dwelling_id]
    inlets = [inlet for name, design in others for inlet in _intakes(building, name, design)]
    openings = [o for name, design in others for o in _intakes_over(building, name, design)]
    cases = [case for name, design in others for case in _cases(own, building, name, design)]
    outside = {name: case for name, design in others if (case := case_outside(own, building, design))}
    inlets += [_air_of(building, name, case) for name, case in outside.items()]
    cases += [_standing(name, case) for name, case in outside.items()]
    return Left(
        replace(own, site=replace(own.site, air_inlets=(*own.site.air_inlets, *inlets))),
        replace(
            building, keep_outs=(*building.keep_outs, *cases), roof_openings=(*building.roof_openings, *openings)
        ),
    )


def case_outside(survey: Survey, building: Building, design: Design) -> Outside | None:
    """The case of a heater outdoors with the small pipes before the wall below it; None for one in a room, or before a
    wall that the house has not."""
    facade = next((f for f in building.facades if f.id == design.mount.facade_id), None)
    if facade is None or design.heater.outdoor is None:
        return None
    case = outside_on(survey, building, design, facade, design.heater.outdoor)
    return replace(case, z0=case.z0 - MANIFOLD_DROP_MM)


def _air_of(building: Building, name: str, case: Outside) -> AirInlet:
    """Outdoors it draws its air somewhere at its case."""
    width, low = case.s1 - case.s0, case.z0 + MANIFOLD_DROP_MM
    at = building.frame.to_survey(case.facade.point(case.s0 + width // 2))
    return AirInlet(f"intake of {name}", InletKind.COMBUSTION, at, width, low, case.z1)


def _standing(name: str, case: Outside) -> Prism:
    """A case outdoors with its pipes as a thing that stands before the wall, of no storey."""
    ring = get_coordinates(laid(case.facade, box(case.s0, -case.design.heater.depth_mm, case.s1, 0)))
    corners = tuple((round(x), round(y)) for x, y in ring.tolist()[:-1])
    return Prism(f"case of {name}", KeepOutKind.OTHER, None, corners, case.z0, case.z1)


def _intakes(building: Building, name: str, design: Design) -> Iterator[AirInlet]:
    """A direct-vent heater draws its air where its intake is, of concentric pipe that is where its exhaust is."""
    listing, end = design.heater.vent.intake, design.intake or design.terminal
    if design.heater.draft is Draft.DIRECT and not design.outdoors and isinstance(end, Terminal):
        radius = listing.terminal_radius_mm if listing else design.heater.vent.terminal_radius_mm
        at = building.frame.to_survey(building.facade(end.facade_id).point(end.s_mm))
        low, high = end.z_mm - radius, end.z_mm + radius
        yield AirInlet(f"intake of {name}", InletKind.COMBUSTION, at, 2 * radius, low, high)


def _intakes_over(building: Building, name: str, design: Design) -> Iterator[BuiltRoofOpening]:
    """Over a roof it draws its air somewhere between the roof and its opening, as wide as its terminal."""
    end, r = design.terminal, design.heater.vent.terminal_radius_mm
    plane = next((p for p in building.roof if isinstance(end, RoofTerminal) and p.id == end.roof_id), None)
    if design.heater.draft is Draft.DIRECT and isinstance(end, RoofTerminal) and plane is not None:
        (x0, x1), (y0, y1) = ((v - r, v + r) for v in (end.x_mm, end.y_mm))
        square = (x0, y0), (x1, y0), (x1, y1), (x0, y1)
        low = min(plane.height_mm(end.x_mm, end.y_mm), end.z_mm)
        kind = RoofOpeningKind.COMBUSTION_INLET
        yield BuiltRoofOpening(f"intake of {name}", kind, None, square, low, end.z_mm)


def _cases(survey: Survey, building: Building, name: str, design: Design) -> Iterator[Prism]:
    face = face_of(building, design)
    if face is not None:
        hung = hung_on(survey, building, design, face)
        ring = get_coordinates(hung.outline(hung.s0, hung.s1, 0, design.heater.depth_mm))
        corners = tuple((round(x), round(y)) for x, y in ring.tolist()[:-1])
        yield Prism(f"case of {name}", KeepOutKind.OTHER, face.storey, corners, hung.z0, hung.z1)


def _supply(gas: GasSupply, joint: JointDesign, node: str) -> GasSupply:
    """The shared system with everything but one dwelling's own branch, pipes and the supplier's things changed."""
    renewed = {r.segment_id: r for r in joint.renewals}
    drawn = at_once_w([a.input_w for a in joint.supply.appliances], gas.diversity)
    supply, passes = at_told_pressure(gas, joint, drawn), gas.service_regulator_w
    larger_meter, larger_regulator = (f"gas.{what}" in joint.keys for what in ("meter_upgrade", "service_regulator"))
    return replace(
        supply,
        segments=tuple(_renewed(s, renewed) for s in supply.segments if s.end != node),
        appliances=tuple(a for a in supply.appliances if a.node != node),
        regulators=tuple(r for r in supply.regulators if r.node != node),
        meter_capacity_w=max(gas.meter_capacity_w, drawn) if larger_meter else gas.meter_capacity_w,
        service_regulator_w=max(passes, drawn) if passes is not None and larger_regulator else passes,
        pressure_options=(),
    )


def at_told_pressure(gas: GasSupply, joint: JointDesign, drawn_w: float) -> GasSupply:
    """The shared system at the delivery pressure that the set asks for, by the survey; a regulator that comes with it
    passes what is drawn [W]."""
    option, nodes = option_in(gas, joint), {node for _, node in joint.heaters}
    own = tuple(r for r in joint.supply.regulators if r.node in nodes)
    pressure, drop = gas.pressure_pa, gas.allowable_drop_pa
    bought: tuple[LineRegulator, ...] = ()
    if option is not None:
        if option.regulated_pa is not None:
            behind = drop if option.regulated_drop_pa is None else option.regulated_drop_pa
            bought = (LineRegulator(gas.delivery_node, option.regulated_pa, behind, drawn_w),)
        pressure, drop = option.pressure_pa, option.allowable_drop_pa
    return replace(
        joint.supply, pressure_pa=pressure, allowable_drop_pa=drop, regulators=(*bought, *gas.regulators, *own)
    )


def option_in(gas: GasSupply, joint: JointDesign) -> PressureOption | None:
    """The delivery pressure that a set asks for; None where it stays or the id is not known."""
    return next((o for o in gas.pressure_options if o.id == joint.pressure_option), None)


def _renewed(segment: GasSegment, renewed: dict[str, Renewal]) -> GasSegment:
    found = renewed.get(segment.id)
    if found is None or not is_known(found.material, found.size):
        return segment
    return replace(segment, material=found.material, size=found.size)
