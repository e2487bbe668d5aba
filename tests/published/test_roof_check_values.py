"""Check values of vents over roofs put to the whole checker, each with its source and mark.

Rows 36-39 of the list of check values: roof-slope page of the IRC 2018 (read), a page quoting G2427.6.5 (read) and
IFGC 503.6.5 (memory). Height over snow: 12 in over its depth, common practice.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.check.terminal import terminal_findings
from service.design import NO_MOUNT, Finding, RoofTerminal, Verdict
from service.rules.catalogue import heaters
from service.survey.model import NeighbourWall, Survey
from service.survey.roof import Roof, RoofObstruction, RoofOpening, RoofOpeningKind, RoofPlane
from tests.unit.check_house import house, site
from tests.unit.clearance_site import feet, inches
from tests.unit.test_check_zones import draft_design

HEATER = heaters()["nc-direct-160"]
RADIUS, PIPE = HEATER.vent.terminal_radius_mm, HEATER.vent.pipe_radius_mm
BOX = (-8000, -8000), (12_000, -8000), (12_000, 8000), (-8000, 8000)
EAVE_Z = 3200


def under(pitch: float, **changes: object) -> Survey:
    """The house under one wide plane that rises north."""
    plane = RoofPlane("main", BOX, EAVE_Z, pitch, (BOX[0], BOX[1]) if pitch else None)
    roof = replace(Roof((plane,)), **{k: v for k, v in changes.items() if k in ("openings", "obstructions")})
    rest = {k: v for k, v in changes.items() if k not in ("openings", "obstructions")}
    return house(roof=roof, **rest)


def found(at: Survey, over_mm: int, x: int = 2000, y: int = 1000) -> dict[str, Finding]:
    """Findings by rule, a failure before others, with the opening so high over the highest roof round the vent."""
    pitch = at.roof.planes[0].pitch_in_12 if at.roof else 0
    level = EAVE_Z + (y - BOX[0][1] + PIPE) * pitch / 12
    terminal = RoofTerminal("roof/main", x, y, round(level + 0.499) + over_mm)
    every = terminal_findings(at, build(at), draft_design(HEATER, NO_MOUNT, terminal))
    return {f.rule_id: f for f in sorted(every, key=lambda f: f.verdict is Verdict.FAIL)}


@pytest.mark.parametrize(
    ("pitch", "over_in", "verdict"),
    [(6, 12, Verdict.PASS), (7, 14, Verdict.FAIL), (7, 15, Verdict.PASS), (12, 47, Verdict.FAIL),
     (12, 48, Verdict.PASS), (12.5, 59, Verdict.FAIL), (12.5, 60, Verdict.PASS)],
)  # fmt: skip
def test_height_by_pitch(pitch: float, over_in: int, verdict: Verdict) -> None:
    """Rows 36-38 (read)."""
    assert found(under(pitch), inches(over_in))["ROOF-PITCH"].verdict is verdict


def test_seven_feet_from_a_dormer_the_table_does_not_serve() -> None:
    """Row 39: 7 ft from an upright wall over the roof: 2 ft over roof (memory) and over all within 10 ft (memory)."""
    dormer = RoofObstruction("dormer", ((4000, 500), (6000, 500), (6000, 1500), (4000, 1500)), EAVE_Z + 3000)
    at, x = under(0, obstructions=(dormer,)), 4000 - feet(7) - RADIUS
    low = found(at, feet(2), x)
    assert (low["ROOF-WALL"].verdict, low["ROOF-WALL"].actual_mm) == (Verdict.ADVICE, feet(7))
    assert low["ROOF-PITCH"].verdict is Verdict.PASS and low["ROOF-PITCH"].required_mm == feet(2)
    assert low["ROOF-PARTS"].verdict is Verdict.FAIL
    high = found(at, 3000 + feet(2), x)
    assert high["ROOF-PARTS"].verdict is Verdict.PASS
    far = found(at, inches(12), 4000 - feet(8) - RADIUS)
    assert far["ROOF-WALL"].verdict is Verdict.PASS and "ROOF-PARTS" not in far


def test_a_wall_that_does_not_rise_over_the_roof_there_is_none() -> None:
    """A neighbour's wall lower than the roof keeps nothing away."""
    low = NeighbourWall("low", (4000, 2000), (4000, 0), 0, EAVE_Z)
    at = under(0, site=site(neighbour_walls=(low,)))
    assert "ROOF-WALL" not in found(at, inches(12), 3500)


def test_steeper_than_the_table_is_not_known() -> None:
    """Over 21 in 12 the figure ends: unknown, never a pass."""
    assert found(under(22), feet(9))["ROOF-PITCH"].verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(("over_in", "verdict"), [(35, Verdict.FAIL), (36, Verdict.PASS)])
def test_over_snow(over_in: int, verdict: Verdict) -> None:
    """24 in of snow: 12 in over it (common practice)."""
    deep = under(0, site=site(snow_depth_mm=inches(24)))
    assert found(deep, inches(over_in) + 1)["SNOW"].verdict is verdict


def test_openings_in_the_roof_count_in_plan() -> None:
    """Direct vent over 150,000 Btu/h keeps 4 ft beside a roof window that may open, however high it ends (row B4 of the
    lettered table, memory; in plan: the stricter reading); a fan's inlet 10 ft, or 3 ft over it (row K, memory)."""
    outline = ((4000, 500), (5000, 500), (5000, 1500), (4000, 1500))
    window = under(0, openings=(RoofOpening("w", RoofOpeningKind.SKYLIGHT, outline, 0, True),))
    beside = 4000 - feet(4) - RADIUS
    assert found(window, 3000, beside)["US21-B4"].verdict is Verdict.PASS
    assert found(window, 3000, beside + 1)["US21-B4"].verdict is Verdict.FAIL
    unknown = under(0, openings=(RoofOpening("w", RoofOpeningKind.SKYLIGHT, outline, 0, None),))
    assert found(unknown, 3000, beside + 1)["US21-B4"].verdict is Verdict.UNKNOWN
    fan = under(0, openings=(RoofOpening("fan", RoofOpeningKind.FORCED_INLET, outline, 200),))
    assert found(fan, 200 + feet(3), 3500)["US21-K"].verdict is Verdict.PASS
    assert found(fan, 200 + feet(3) - 1, 3500)["US21-K"].verdict is Verdict.FAIL
