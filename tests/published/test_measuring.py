"""Places below and beside an opening at once: the rectangle and the string, in zones, drawings and the checker.

No code says how to measure there; installers do both (common practice, no source: a forum's thread, read). The figures
are those of IFGC 503.8 item 2 (read in parallel texts).
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, pi

import numpy as np
import pytest

from service.check.terminal import terminal_findings
from service.clearance.assumed import assumptions
from service.clearance.model import Zone
from service.clearance.regions import facade_regions
from service.clearance.terminal import terminal_zones
from service.design import NO_MOUNT, Finding, Terminal, Verdict
from service.siting.active import critical_lines
from service.siting.terminals import covered
from service.survey.equipment import Draft
from service.survey.model import Measuring, Survey
from tests.unit.check_house import HEATER
from tests.unit.clearance_site import RADIUS, W_PER_BTU_H, broken, hole, inches, outside, spec, survey
from tests.unit.test_check_zones import draft_design

WINDOW = hole(5_000, 6_000, 2_000, 3_000)
HOUSE = outside(holes={0: (WINDOW,)})
ROOM_AIR = spec(False, 199_000)
FAN = replace(
    HEATER, draft=Draft.ROOM_AIR, input_max_w=199_000 * W_PER_BTU_H,
    vent=replace(HEATER.vent, terminal_radius_mm=RADIUS),
)  # fmt: skip


def at(measuring: Measuring) -> Survey:
    """The site, measured one way."""
    return survey("us-2018", measuring=measuring)


def zone(measuring: Measuring) -> Zone:
    """What ND2-ND4 forbid about the window."""
    (found,) = [z for z in terminal_zones(HOUSE, at(measuring), ROOM_AIR)["F0"] if z.rule_id == "US18-ND2"]
    return found


def judged(measuring: Measuring, s: int, z: int) -> Finding:
    """The checker's finding on the window."""
    found = terminal_findings(at(measuring), HOUSE, draft_design(FAN, NO_MOUNT, Terminal("F0", s, z)))
    (one,) = [f for f in found if f.rule_id == "US18-ND2"]
    return one


@pytest.mark.parametrize(
    ("aside_in", "below_in", "rectangle", "string"),
    [
        (36, 36, False, True),
        (33, 33, False, False),
        (34, 34, False, True),
        (47.9, 0, False, False),
        (48, 0, True, True),
        (0, 47.9, False, False),
        (0, 48, True, True),
        (47, 9, False, False),
        (47, 10, False, True),
    ],
)
def test_below_and_beside(aside_in: float, below_in: float, rectangle: bool, string: bool) -> None:
    """Row 11: 36 in below and 36 in beside fails the rectangle, 50.9 in on the diagonal passes the string (derived)."""
    assert string is (hypot(aside_in, below_in) >= 48)
    s, z = WINDOW.s1 + RADIUS + inches(aside_in), WINDOW.z0 - RADIUS - inches(below_in)
    if aside_in and below_in:  # the disc's nearest point lies on the line to the corner, not square off the edges
        away = hypot(inches(aside_in), inches(below_in)) + RADIUS
        share = away / hypot(aside_in, below_in)
        s, z = WINDOW.s1 + round(share * aside_in), WINDOW.z0 - round(share * below_in)
    if rectangle is False and string is True:
        assert broken(HOUSE, at(Measuring.RECTANGLE), ROOM_AIR, s, z) == {"US18-ND2"}
    assert (broken(HOUSE, at(Measuring.STRING), ROOM_AIR, s, z) == set()) is string
    assert (judged(Measuring.STRING, s, z).verdict is Verdict.PASS) is string


def test_above_the_head_the_printed_distance_stands() -> None:
    """1 ft above the head is enough, also off its side: the string forbids nothing that the rectangle allows."""
    z = WINDOW.z1 + inches(12) + RADIUS
    for measuring in Measuring:
        for s in (5_500, WINDOW.s1 + 10):
            assert broken(HOUSE, at(measuring), ROOM_AIR, s, z) == set()
            assert broken(HOUSE, at(measuring), ROOM_AIR, s, z - 1) == {"US18-ND2"}


def test_the_string_zone_is_the_rectangle_with_round_corners() -> None:
    """Exactly where the way to the window is shorter than 48 in and the rectangle forbids too."""
    box, string = zone(Measuring.RECTANGLE), zone(Measuring.STRING)
    assert string.within == (box.s0, box.s1, box.z0, box.z1)
    reach = inches(48) + RADIUS
    assert string.radius2 == reach**2
    for s in range(box.s0 - 3, box.s1 + 4, 37):
        for z in range(box.z0 - 3, box.z1 + 4, 37):
            gap2 = max(5_000 - s, s - 6_000, 0) ** 2 + max(2_000 - z, z - 3_000, 0) ** 2
            assert string.covers(s, z) is (box.covers(s, z) and gap2 < reach**2)


def test_the_search_sees_the_same_zone() -> None:
    """Arrays as single points; the box's edges are critical too."""
    string = zone(Measuring.STRING)
    s, z = (v.ravel() for v in np.meshgrid(np.arange(3_000, 8_000, 41), np.arange(500, 4_500, 43)))
    assert [string.covers(int(a), int(b)) for a, b in zip(s, z, strict=True)] == covered(string, s, z).tolist()
    assert string.within is not None
    s_lines, z_lines = critical_lines(string, (7_000, 1_500))
    assert set(string.within[:2]) <= set(s_lines) and set(string.within[2:]) <= set(z_lines)


def test_the_drawing_rounds_the_corners_too() -> None:
    """Free area grows by what four corners lose: two quarters off the square below, two cut ones above."""
    wall = HOUSE.facades[0]
    square, string = (facade_regions(wall, [zone(m)]) for m in (Measuring.RECTANGLE, Measuring.STRING))
    r, h = inches(48) + RADIUS, inches(12) + RADIUS
    below = 2 * (r * r - pi * r * r / 4)
    grid = np.arange(h) + 0.5
    above = 2 * float(np.sum(r - np.sqrt(r * r - grid * grid)))
    assert string.free_mm2 - square.free_mm2 == pytest.approx(below + above, rel=0.01)


def test_findings_and_assumptions_tell_the_reading() -> None:
    """Whichever it is; the stricter one says what the string would give."""
    s, z = WINDOW.s1 + RADIUS + inches(36), WINDOW.z0 - RADIUS - inches(36)
    strict, loose = judged(Measuring.RECTANGLE, s, z), judged(Measuring.STRING, s, z)
    assert (strict.verdict, loose.verdict) == (Verdict.FAIL, Verdict.PASS)
    assert "kept if measured straight" in str(strict.detail) and "rectangle" in str(strict.detail)
    assert "interpretation: measured with a string" in str(loose.detail)
    told = {m: [a for a in assumptions(HOUSE, at(m)) if "US18-ND2" in a] for m in Measuring}
    assert "squarely" in told[Measuring.RECTANGLE][0] and "string" in told[Measuring.STRING][0]
    assert not any("squarely" in a for a in assumptions(HOUSE, survey("ca-b149")))


def test_a_failure_is_short_by_the_least_way_out() -> None:
    """20 in beside and 11 in above: an inch upward is less than 28 in sideways."""
    found = judged(Measuring.RECTANGLE, WINDOW.s1 + RADIUS + inches(20), WINDOW.z1 + RADIUS + inches(11))
    assert (found.required_mm, found.actual_mm) == (inches(12), inches(11))
