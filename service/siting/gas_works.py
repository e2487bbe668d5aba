"""What a chosen tap does to the old gas piping, and the whole system as the design would leave it."""

from __future__ import annotations

from dataclasses import replace

from service.building.model import Building
from service.design import Design, GasWorks, Renewal, RenewedPart, Route, Service
from service.piping.extended import Branch, Extended, at_pressure, with_heater
from service.piping.feeds import set_point_of
from service.piping.lengths import fitting_mm
from service.piping.network import Network
from service.piping.options import Option, split_name
from service.piping.sizing import size
from service.siting.gas_plan import Place, Tapping
from service.survey.equipment import Heater
from service.survey.model import GasSegment, GasSupply, Point3, Survey


def works_at(tapping: Tapping, charge: int, heater: Heater, route: Route, survey: Survey) -> tuple[GasWorks, int]:
    """What a charge of a tapping stands for, and the run from the zone's root to the tap [mm]; the supplier's service
    regulator is not the tap's doing."""
    feed, place = tapping.feed, tapping.places[tapping.anchor_of(charge)]
    assert place is not None
    pressure = None if feed.pressure is None else feed.pressure.id
    works = GasWorks((), pressure, feed.regulators, feed.set_point is not None)
    renewals, upstream = _by_length(tapping, charge), round(float(tapping.upstream[charge]))
    if tapping.tree is None:
        renewals, upstream = _by_pressure(survey, heater, route, works, place, tapping)
    return replace(works, renewals=tuple(sorted(renewals, key=lambda r: (r.segment_id, r.part)))), upstream


def _by_length(tapping: Tapping, charge: int) -> list[Renewal]:
    """As the tapping found them; nothing where it did not look."""
    place, tree = tapping.places[tapping.anchor_of(charge)], tapping.tree
    cost = None if place is None or tree is None else tree.cost(place.carrier, tapping.held_mm)
    if place is None or cost is None:
        return []
    pipes = tapping.feed.network.pipes
    asked = [(pipes[i].segment, RenewedPart.WHOLE, o, pipes[i].segment.length_mm) for i, o in cost.renewed]
    if place.carrier.cut:
        cut = pipes[place.carrier.pipe].segment
        asked += [(cut, RenewedPart.BEFORE_TAP, o, place.cut_mm) for o in (cost.before,) if o]
        asked += [(cut, RenewedPart.AFTER_TAP, o, cost.length_mm - place.cut_mm) for o in (cost.after,) if o]
    return [_renewal(segment, part, o, mm) for segment, part, o, mm in asked if not o.kept and mm]


def _by_pressure(
    survey: Survey, heater: Heater, route: Route, works: GasWorks, place: Place, tapping: Tapping
) -> tuple[list[Renewal], int]:
    """As the cheapest sizes of the whole system with this branch are, and the run before the tap with its fittings."""
    supply = _under(survey.gas, works)
    extended = with_heater(supply, _branch(survey, heater, route, works, _cut_mm(tapping.feed.network, place, route)))
    network = Network(extended.supply, survey.site.gas)
    sizing = size(network, survey.prices, survey.gas.method, _lifted(extended, tapping))
    parts = {extended.before: RenewedPart.BEFORE_TAP, extended.after: RenewedPart.AFTER_TAP}
    named = {s.id: s for s in supply.segments}
    chosen = [(p.segment, s.choice) for p, s in zip(network.pipes, sizing.pipes, strict=True)]
    renewals = [
        _renewal(named.get(s.id) or named[route.end_id], parts.get(s.id, RenewedPart.WHOLE), o, s.length_mm)
        for s, o in chosen
        if o is not None and not o.kept
    ]
    way = network.way_in_zone(network.into[extended.node])[1:]
    run = [(*chosen[i], chosen[i][0].length_mm) for i in way]
    return renewals, sum(mm + fitting_mm(s, o, supply.fittings) for s, o, mm in run if o is not None)


def _cut_mm(network: Network, place: Place, route: Route) -> int:
    """How far along the tapped segment a place is, all of it at the node that ends it [mm]."""
    if place.carrier.cut or place.carrier.pipe < 0:
        return place.cut_mm
    segment = network.pipes[place.carrier.pipe].segment
    return segment.length_mm if segment.id == route.end_id else place.cut_mm


def _lifted(extended: Extended, tapping: Tapping) -> list[str]:
    """Segments that may lose nothing: where that is lifted, all old ones and such a branch."""
    every = [s.id for s in extended.supply.segments if s.id != extended.branch or tapping.branch.lossless]
    return every if tapping.lifted else []


def _renewal(segment: GasSegment, part: RenewedPart, option: Option, length_mm: int) -> Renewal:
    return Renewal(segment.id, part, option.material, option.size, length_mm)


def extended_of(survey: Survey, building: Building, design: Design) -> Extended:
    """The gas system with the design's branch and delivery pressure, its old pipe as it is.

    Raises KeyError when the run ends at nothing known, StopIteration for an unknown delivery pressure.
    """
    route = design.route(Service.GAS)
    assert route is not None
    branch = _branch(survey, design.heater, route, design.gas, tap_mm(survey, building, route))
    return with_heater(_under(survey.gas, design.gas), branch)


def tap_mm(survey: Survey, building: Building, route: Route) -> int:
    """How far along the tapped segment the branch leaves, in pipe from its start [mm]; 0 at a node. A segment's
    surplus length counts before the tap."""
    segment = next((s for s in survey.gas.segments if s.id == route.end_id), None)
    if segment is None or any(n.id == route.end_id for n in survey.gas.nodes):
        return 0
    end: Point3 = building.frame.to_frame3(next(n.at for n in survey.gas.nodes if n.id == segment.end))
    left = sum(abs(a - b) for a, b in zip(route.pieces[-1].end, end, strict=True))
    return min(max(segment.length_mm - left, 0), segment.length_mm)


def _under(supply: GasSupply, works: GasWorks) -> GasSupply:
    named = works.pressure_option
    return at_pressure(supply, None if named is None else next(o for o in supply.pressure_options if o.id == named))


def _branch(survey: Survey, heater: Heater, route: Route, works: GasWorks, cut_mm: int) -> Branch:
    material, nominal = split_name(route.option)
    return Branch(
        heater.id, heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa, route.end_id, cut_mm,
        material, nominal, route.length_mm, route.elbows, 1,
        regulator=set_point_of(survey.site.gas, heater) if works.ahead_of_regulator else None,
    )  # fmt: skip

