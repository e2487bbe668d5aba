"""Use cases with answers built by hand on the real building, so that the HTTP layer is tested on its own."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from service.building.build import build
from service.building.model import Behind, Building, Face, Stretch
from service.clearance.model import FAR_MM, TerminalSpec, Zone
from service.design import CostLine, Design, Finding, Mount, Piece, Route, Service, Surface, Terminal, Verdict
from service.http.exchange import Operations
from service.piping.extended import Branch, with_heater
from service.settings import Settings
from service.survey.equipment import Heater
from service.survey.gas_request import GasRequest
from service.survey.model import Survey
from service.usecases.check_set import check_set
from service.usecases.condensate_report import condensate_report
from service.usecases.gas import gas_report
from service.usecases.gas_results import GasReport
from service.usecases.hot_water import hot_water_report, report_of
from service.usecases.power_report import power_report
from service.usecases.relief_report import relief_report
from service.usecases.results import (
    CheckedDesign,
    CheckReport,
    ClearanceMap,
    Coverage,
    Placement,
    Proof,
    Status,
    SurfaceRegions,
)
from service.usecases.start_up import start_up_sheet
from service.usecases.start_up_results import Subject
from service.usecases.vent_report import vent_report
from service.usecases.verify import verify
from service.usecases.waiting_report import waiting_report
from service.usecases.water_quality_report import water_quality_report

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "slab_house.json"


def sample() -> dict[str, Any]:
    """A fresh copy of a sample plan."""
    document: dict[str, Any] = json.loads(SAMPLE.read_text(encoding="utf-8"))
    return document


def outer_stretch(building: Building) -> tuple[Face, Stretch]:
    """First stretch of wall that has the outdoors behind it and room for a heater."""
    return next(
        (face, stretch)
        for face in building.faces
        for stretch in face.stretches
        if stretch.behind is Behind.OUTDOORS and stretch.s1 - stretch.s0 > 1500
    )


def made_design(survey: Survey, building: Building) -> Design:
    """A design that exercises every member of the format; whether it is lawful is not the point."""
    face, stretch = outer_stretch(building)
    heater = survey.heaters[0]
    s = (stretch.s0 + stretch.s1) // 2 + 1
    bottom = face.z0 + 1001
    x, y = face.point(s)
    top = (x, y, bottom + heater.height_mm)
    high = (x, y, bottom + heater.height_mm + 333)
    out = (x + 101, y + 57, high[2])
    vent = (Piece(top, high, Surface.STUB), Piece(high, out, Surface.OUTER_WALL))
    gas = (
        Piece((x, y, bottom - 300), (x + 7, y, bottom - 300), Surface.WALL_FINISHED),
        Piece((x + 7, y, bottom - 300), (x + 7, y + 1203, bottom - 300), Surface.WALL_CROSSING),
    )
    lines = (
        CostLine("vent", f"vent.{heater.vent.system}.pipe", "vent pipe", 3.28125, "ft", 1999, 6559),
        CostLine("gas", "gas.pipe", "gas pipe", 4.0, "ft", 850, 3400),
        CostLine("vent", "vent.elbow", "elbow", 2, "each", 4500, 9000),
    )
    return Design(
        heater=heater,
        mount=Mount(face.id, s, bottom),
        terminal=Terminal(stretch.facade_id or "", stretch.facade_s0 + s - stretch.s0, high[2]),
        routes=(
            Route(Service.VENT, heater.vent.system, "terminal", vent, 2, 4577, 12000),
            Route(Service.GAS, "3/4", "g5", gas, 1, 9144, None),
        ),
        air_openings=True,
        meter_upgrade=False,
        lines=lines,
        total_cents=18959,
    )


def cable(design: Design) -> Route:
    """A cable to a panel that no survey has, along the gas."""
    return replace(design.routes[1], service=Service.POWER, option="cable", end_id="some-panel")


FINDINGS = (
    Finding("T-far", Verdict.PASS, "terminal", "back-door", "far from the door", 1219, 4000, "invented 1"),
    Finding("T-use", Verdict.PASS, "heater", "utility", "may hang here", citation="invented 2"),
    Finding("T-near", Verdict.PASS, "terminal", "utility-window", "near the window", 305, 320, "invented 3"),
    Finding("V-most", Verdict.PASS, "vent", "nc", "shorter than allowed", 12000, 4577, "invented 4"),
)
BROKEN = (
    Finding("T-far", Verdict.PASS, "terminal", "back-door", "far from the door", 1219, 4000, "invented 1"),
    Finding("T-ask", Verdict.UNKNOWN, "terminal", "window", "opens or not", None, None, "invented 5", "operable"),
    Finding("V-most", Verdict.FAIL, "vent", "nc", "longer than allowed", 12000, 12500, "invented 4"),
)


def coverage(building: Building) -> tuple[Coverage, ...]:
    """One surface of each kind."""
    facade, wall = building.facades[0].id, building.faces[0].id
    return (
        Coverage(facade, "facade", "direct", 20_000_000, 5_000_000, (("US21-A", 10_000_000), ("US21-B", 5_000_000))),
        Coverage(wall, "wall", "nc-room-120", 0, 0, ()),
    )


def gas_of(survey: Survey, heater: Heater) -> GasReport:
    """The gas system with the heater on a short branch from the delivery."""
    branch = Branch(
        heater.id, heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa, survey.gas.delivery_node, 0,
        "steel_sch40", "1", 3000, 2, 1,
    )  # fmt: skip
    supply = with_heater(survey.gas, branch).supply
    return gas_report(GasRequest(survey.name, survey.units, supply, survey.site.gas, survey.prices))


def place(survey: Survey, settings: Settings) -> Placement:
    """A proven placement with one design."""
    building = build(survey)
    proof = Proof(18959, 18959, 0.0, "every continuous position", 3, 120, 4096, "agrees with the full grid", 7)
    design = made_design(survey, building)
    vent, condensate = vent_report(survey, design, FINDINGS), condensate_report(survey, design, FINDINGS)
    gas = gas_of(survey, design.heater)
    power = power_report(survey, building, replace(design, routes=(*design.routes, cable(design))), FINDINGS)
    facts = survey.hot_water
    hot_water = None if facts is None else report_of(facts, (design.heater,), survey.units, FINDINGS)
    water, relief = water_quality_report(survey, design, FINDINGS), relief_report(survey, design, FINDINGS)
    waits = waiting_report(survey, building, design)
    sheet = start_up_sheet(Subject(survey, building, design, gas, vent, condensate, power, relief, waits))
    checked = CheckedDesign(
        design, FINDINGS, gas, vent, condensate, power, water, relief, sheet, waits, hot_water
    )  # fmt: skip
    return Placement(
        Status.OPTIMAL, (checked,), proof, coverage(building), building,
        survey.assumptions, survey.warnings, ("Licensed people install.",),
    )  # fmt: skip


def infeasible(survey: Survey, settings: Settings) -> Placement:
    """A placement that found no lawful place."""
    found = place(survey, settings)
    nothing = replace(found.proof, cost_cents=None, bound_cents=None, gap=None)
    return replace(found, status=Status.INFEASIBLE, designs=(), proof=nothing)


def check(survey: Survey, design: Design) -> CheckReport:
    """A report with one finding of each kind."""
    return CheckReport(False, BROKEN, build(survey), survey.assumptions, survey.warnings)


def clearances(survey: Survey) -> ClearanceMap:
    """A map with a zone of each form."""
    building = build(survey)
    on_facade, on_wall = coverage(building)
    facade, wall = on_facade.surface_id, on_wall.surface_id
    ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 2000.5))
    box = Zone(facade, -FAR_MM, 500, 0, FAR_MM, 0, "US21-A", "grade")
    disc = Zone(wall, 100, 900, 0, 300, 305**2, "H-1", "duct", "open to interpretation")
    return ClearanceMap(
        building, (("direct", TerminalSpec(True, "IV", 58614.0, 75)),),
        (SurfaceRegions(facade, "facade", "direct", (box,), (ring,), on_facade),),
        (SurfaceRegions(wall, "wall", "nc-room-120", (disc,), (ring,), on_wall),),
        survey.assumptions, survey.warnings,
    )  # fmt: skip


# Sizing gas and judging a set need no stand-in: they are quick, and tests of what is answered ask for real figures.
FAKES = Operations(
    place=place, check=check, check_set=check_set, clearances=clearances, building=build, gas=gas_report,
    hot_water=hot_water_report, verify=verify,
)  # fmt: skip
