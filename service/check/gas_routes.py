"""Rules of the code that bind the drawn gas run: what it may not pass, its shut-off, its material."""

from __future__ import annotations

from math import ceil

from service.building.model import Building
from service.check.gas_works import split_option
from service.check.place import room_place, rooms_touched, shown
from service.check.routes import face_of
from service.check.surfaces import enters
from service.check.verdicts import all_of, at_most, stated
from service.design import Design, Finding, Route, Surface
from service.survey.equipment import PortService
from service.survey.model import KeepOutKind, Survey
from service.trades.gas_parts import practice

PROHIBITED = "IFGC 404.3"
SHAFTS = (KeepOutKind.DUCT, KeepOutKind.CHIMNEY)


def run_findings(survey: Survey, building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    """Findings on the drawn run."""
    faults = _passed(building, route)
    held = "passes through no duct and no chimney"
    return (
        *all_of("gas.passage", "gas", route.end_id, faults, held, PROHIBITED),
        *_shutoff(building, design, route),
        _material(survey, route),
    )


def _passed(building: Building, route: Route) -> list[str]:
    """Shafts that the run goes through. A stub's way to old pipe is the fitter's: the drawn one is but its length."""
    return [
        f"{shown(piece)} goes through {k.kind} {k.id}"
        for k in building.keep_outs
        if k.kind in SHAFTS
        for piece in route.pieces
        if piece.surface is not Surface.STUB and enters(k.outline, k.z0, k.z1, piece)
    ]


def _shutoff(building: Building, design: Design, route: Route) -> tuple[Finding, ...]:
    """The valve sits where the run begins: in the heater's room, and within reach of its gas port."""
    face, rule = face_of(building, design), practice("shutoff_reach")
    if face is None and not design.outdoors:
        return ()
    start = route.pieces[0].start
    within = face is None or room_place(face.room_id) in rooms_touched(building, start)
    where = "outdoors" if face is None else face.room_id
    most, actual = round(rule.value * 1000), _to_port_mm(design, start[2])
    room = f"the shut-off is {'' if within else 'not '}in {where}, the heater's room"
    if face is None:
        room = "the shut-off is outdoors below the case"
    return (
        at_most("gas.shutoff", "gas", design.heater.id, most, actual, "pipe from shut-off to gas port", rule.citation),
        stated("gas.shutoff", "gas", where, within, room, rule.citation),
    )


def _to_port_mm(design: Design, z: int) -> int:
    """Pipe from the vent port's line at a height to the gas port, along and up or down the wall [mm]."""
    along, up = _gas_port(design)
    return ceil(abs(along) + abs(design.mount.bottom_z_mm + up - z))


def _gas_port(design: Design) -> tuple[int, int]:
    """The gas port from the line that the case is placed by, and its height over the underside [mm]."""
    heater = design.heater
    port = next(p for p in heater.ports if p.service is PortService.GAS)
    return heater.line_dx_mm(design.outdoors) - port.dx_mm, heater.height_mm if port.on_top else 0


def _material(survey: Survey, route: Route) -> Finding:
    material, _ = split_option(route.option)
    allowed = survey.gas.branch_materials
    detail = f"branch of {material}, the survey allows {', '.join(allowed)}"
    return stated("gas.branch_material", "gas", route.end_id, material in allowed, detail, "the survey")
