"""Power of a finished design: load, circuit, voltage drop, protection, disconnect, and every outlet of the survey."""

from __future__ import annotations

from math import dist

from service.building.model import Building, BuiltRoom
from service.design import MANIFOLD_DROP_MM, Design, Finding, Route, Service
from service.rules.rulesets import rule_set
from service.survey.equipment import PortService
from service.survey.model import Point3, Receptacle, Survey
from service.trades.circuits import (
    Load,
    breaker_disconnects,
    carried,
    continuous_limit_a,
    drop_share,
    drop_v,
    fit_of,
    load_of,
    longest_mm,
    new_breaker_a,
    present_w,
    shared_limit_a,
    wire_for,
)
from service.trades.electrical_code import (
    OutletPlace,
    cited,
    edition_of,
    ground_fault,
    ground_fault_outdoors,
    mark_of,
    near_water,
)
from service.trades.power_options import CORDS, PROTECTED, WIRED, PowerOption
from service.usecases.power_results import (
    CircuitReport,
    Disconnect,
    DropReport,
    EndReport,
    PowerReport,
    Protection,
)


def power_report(survey: Survey, building: Building, design: Design, found: tuple[Finding, ...]) -> PowerReport:
    """Power of a whole design with the checker's findings on it."""
    run, load = design.route(Service.POWER), load_of(design.heater)
    assert run is not None  # a whole design has power
    end = next((r for r in survey.receptacles if r.id == run.end_id), Receptacle(run.end_id, (0, 0, 0), True))
    circuit = _circuit(survey, load, end)
    return PowerReport(
        country=rule_set(survey.site.rule_set).country,
        load=load,
        voltage_known=design.heater.voltage_v is not None,
        option=run.option,
        end_id=run.end_id,
        circuit=circuit,
        drop=_drop(load, run, end, circuit),
        protection=_protection(survey, building, design, run, end),
        disconnect=_disconnect(survey, load, run),
        cord_mm=design.heater.cord_length_mm,
        cord_used_mm=_cord_used(design, run),
        ends=tuple(_end(survey, building, design, load, r) for r in sorted(survey.receptacles, key=lambda r: r.id)),
        findings=tuple(f for f in found if f.rule_id.startswith("power.")),
    )


def _circuit(survey: Survey, load: Load, end: Receptacle) -> CircuitReport:
    country = rule_set(survey.site.rule_set).country
    fit = fit_of(carried(load, end, country))
    if end.is_panel:
        breaker = new_breaker_a(load)
        limit = None if breaker is None else continuous_limit_a(breaker)
        wire = None if breaker is None else wire_for(breaker)
        return CircuitReport(True, breaker, wire, 0.0, load.most_a, limit, None, fit)
    known, (least, most) = end.circuit, present_w(end.circuit)
    present = least if least == most else None
    after = None if present is None else present / load.voltage_v + load.most_a
    limit = None if known.breaker_a is None else continuous_limit_a(known.breaker_a)
    return CircuitReport(False, known.breaker_a, known.wire, present, after, limit, _half(end, country), fit)


def _half(end: Receptacle, country: str) -> float | None:
    """Limit on what is fastened in place [A]; None where there is none or the breaker is not known."""
    breaker = end.circuit.breaker_a
    if breaker is None or end.circuit.dedicated:
        return None
    limit = shared_limit_a(breaker, country)
    return limit if limit < breaker else None


def _drop(load: Load, run: Route, end: Receptacle, circuit: CircuitReport) -> DropReport:
    """New cable of the circuit's own wire; where that is not told, as its breaker asks, else the least of all."""
    asked = None if circuit.breaker_a is None else wire_for(circuit.breaker_a)
    wire = circuit.wire or asked or str(wire_for(0))
    new, old = 0 if run.option in CORDS else run.length_mm, 0 if end.is_panel else end.circuit.wire_length_mm
    lost = drop_v(load.most_a, wire, new + (old or 0))
    longest = longest_mm(load.most_a, wire, load.voltage_v)
    return DropReport(wire, circuit.wire is not None, new, old, lost, lost / load.voltage_v, drop_share(), longest)


def _protection(survey: Survey, building: Building, design: Design, run: Route, end: Receptacle) -> Protection:
    edition = edition_of(survey.site)
    rule = ground_fault_outdoors(edition, run.option in WIRED)
    if not design.outdoors:
        room = building.room(building.face(design.mount.face_id).room_id)
        rule = ground_fault(edition, _place(survey, building, room, port_of(design, building)))
    if run.option == PowerOption.CORD_GFCI:
        given = "the outlet, which is renewed"
    elif run.option == PowerOption.CORD:
        given = "the outlet as it is" if end.gfci else "none"
    elif run.option in PROTECTED:
        given = "the circuit's breaker"
    else:
        given = "the new outlet" if run.option == PowerOption.CABLE else "none: the heater is wired in"
    return Protection(edition, rule, given)


def _place(survey: Survey, building: Building, room: BuiltRoom, at: Point3) -> OutletPlace:
    near = near_water(dist(building.frame.to_frame3(f.at), at) for f in survey.water.fixtures)
    below = any(room.floor_z < step.z for facade in building.facades for step in facade.grade)
    return OutletPlace(room.use, room.finished, below, near)


def _disconnect(survey: Survey, load: Load, run: Route) -> Disconnect:
    country = rule_set(survey.site.rule_set).country
    by = "plug and outlet, within reach"
    if run.option in WIRED:
        by = "the circuit's breaker" if breaker_disconnects(load) else "a switch in sight of the heater"
    return Disconnect(by, cited("power.disconnect", country), mark_of("power.disconnect"))


def _cord_used(design: Design, run: Route) -> int | None:
    if run.option not in CORDS:
        return None
    return run.length_mm + MANIFOLD_DROP_MM + design.heater.power_reach_mm


def port_of(design: Design, building: Building) -> Point3:
    """Where the cord leaves the case, on the wall; the line of vent or flue where the port's place is not known."""
    mount, line = design.mount, design.heater.line_dx_mm(design.outdoors)
    right = next((p.dx_mm for p in design.heater.ports if p.service is PortService.POWER), line) - line
    if design.outdoors:
        return *building.facade(mount.facade_id).point(mount.s_mm + right), mount.bottom_z_mm
    return *building.face(mount.face_id).point(mount.s_mm - right), mount.bottom_z_mm


def _end(survey: Survey, building: Building, design: Design, load: Load, at: Receptacle) -> EndReport:
    judgements = carried(load, at, rule_set(survey.site.rule_set).country)
    gap = round(dist(port_of(design, building), building.frame.to_frame3(at.at)))
    run = design.route(Service.POWER)
    chosen = run is not None and run.end_id == at.id
    within = not at.is_panel and not design.outdoors and gap <= design.heater.cord_length_mm
    return EndReport(at.id, at.is_panel, chosen, gap, within, fit_of(judgements), judgements)
