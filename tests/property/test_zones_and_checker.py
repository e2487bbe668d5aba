"""The free region and the checker agree: every rule set, both ways of measuring, points anywhere and on the limit.

Neither is the other's truth: zones and checker read the same tables and measure each in its own way. Where they differ,
a design that the search calls lawful would be refused, or lawful places lost.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isqrt
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building, Facade
from service.check.terminal import terminal_findings
from service.clearance.model import FAR_MM, TerminalSpec, Zone
from service.clearance.terminal import terminal_zones
from service.design import NO_MOUNT, Terminal, Verdict
from service.rules.rule import W_PER_BTU_H
from service.rules.rulesets import BOX, rule_set, rule_set_ids
from service.survey.equipment import Category, Draft, Heater
from service.survey.model import Amendment, LotLine, Measuring, Survey
from tests.property.depth import deep
from tests.unit.test_check_zones import GAS_HEATERS, draft_design, random_survey

POINTS = deep(2_000, 1_000)
"""Points of one way of measuring."""
AT_A_HOUSE = 125
LIMITS_AT_A_HOUSE = 12
INPUTS = (9_000, 40_000, 95_000, 150_000, 199_000)
CASES = [(rules, measuring) for rules in rule_set_ids() for measuring in Measuring]


@dataclass(frozen=True, slots=True)
class Case:
    """A house, a heater and where its terminal may not lie."""

    survey: Survey
    building: Building
    heater: Heater
    zones: dict[str, tuple[Zone, ...]]

    def broken(self, facade: Facade, s: int, z: int) -> set[str]:
        """Rules that the checker finds broken, or not known to be kept."""
        draft = draft_design(self.heater, NO_MOUNT, Terminal(facade.id, s, z))
        found = terminal_findings(self.survey, self.building, draft)
        return {f.rule_id for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}

    def forbidding(self, facade: Facade, s: int, z: int) -> set[str]:
        """Rules whose zones cover a point."""
        return {zone.rule_id for zone in self.zones[facade.id] if zone.covers(s, z)}


def case(rules: str, measuring: Measuring, seed: int, amendments: tuple[Amendment, ...] = ()) -> Case:
    """A random house with a random heater."""
    r = Random(seed)
    at = random_survey(seed)
    x = r.randint(-3000, 12_000)
    lot = LotLine("lot", (x, -4000), (x, 9000))
    site = replace(at.site, rule_set=rules, measuring=measuring, lot_lines=(lot,), amendments=amendments)
    at, heater = replace(at, site=site), r.choice(GAS_HEATERS)
    draft, category, input_w = r.choice(list(Draft)), r.choice(list(Category)), r.choice(INPUTS) * W_PER_BTU_H
    spec = TerminalSpec(draft is Draft.DIRECT, category.value, input_w, heater.vent.terminal_radius_mm)
    home = build(at)
    heater = replace(heater, input_max_w=input_w, draft=draft, category=category)
    return Case(at, home, heater, terminal_zones(home, at, spec))


def places(c: Case, r: Random, count: int) -> Iterator[tuple[Facade, int, int]]:
    """Points of random facades: half anywhere, half within a few millimetres of the edge of a zone."""
    for i in range(count):
        facade = r.choice(c.building.facades)
        low, high = heights(facade)
        s, z = r.randint(0, facade.length_mm), r.randint(low, high)
        if i % 2:
            near = [p for p in edges(r.choice(c.zones[facade.id]), r) if on(facade, *p)]
            s, z = (v + r.randint(-2, 2) for v in r.choice(near or [(s, z)]))
        yield facade, min(max(s, 0), facade.length_mm), min(max(z, low), high)


def heights(facade: Facade) -> tuple[int, int]:
    """From the foot of the facade's walls to their top."""
    return min(span[2] for span in facade.spans), max(span[3] for span in facade.spans)


def on(facade: Facade, s: int, z: int) -> bool:
    """Whether a point lies within the facade's bounds, where zones are told."""
    low, high = heights(facade)
    return 0 <= s <= facade.length_mm and low <= z <= high


def edges(zone: Zone, r: Random) -> Iterator[tuple[int, int]]:
    """Places on the limit of a zone, or the first whole millimetres beyond its arcs."""
    s0, s1, z0, z1 = zone.within or (zone.s0, zone.s1, zone.z0, zone.z1)
    if not zone.radius2 or zone.within:
        yield from _on_box(s0, s1, z0, z1, r)
    if zone.radius2:
        yield from _on_arc(zone, r)


def _on_box(s0: int, s1: int, z0: int, z1: int, r: Random) -> Iterator[tuple[int, int]]:
    s, z = _between(s0, s1, r), _between(z0, z1, r)
    yield from ((v, z) for v in (s0, s1) if abs(v) < FAR_MM)
    yield from ((s, v) for v in (z0, z1) if abs(v) < FAR_MM)


def _between(low: int, high: int, r: Random) -> int:
    low, high = max(low, -5000), min(high, 12_000)
    return r.randint(low, high) if low <= high else low


def _on_arc(zone: Zone, r: Random) -> Iterator[tuple[int, int]]:
    """Along the rounded corners and straight sides: a gap along the wall and the height that clears it."""
    ds = r.randint(0, isqrt(zone.radius2))
    dz = isqrt(zone.radius2 - ds * ds - 1) + 1 if zone.radius2 > ds * ds else 0
    for s in (zone.s0 - ds, zone.s1 + ds):
        yield from ((s, z) for z in (zone.z0 - dz, zone.z1 + dz) if abs(s) < FAR_MM > abs(z))


def agree(rules: str, measuring: Measuring, points: int) -> tuple[int, int]:
    """How many points are free and how many not; AssertionError where zones and checker differ."""
    free = 0
    for seed in range(points // AT_A_HOUSE):
        c = case(rules, measuring, seed)
        for facade, s, z in places(c, Random(seed), AT_A_HOUSE):
            found = c.broken(facade, s, z)
            assert found == c.forbidding(facade, s, z), (seed, facade.id, s, z)
            free += not found
    return free, points - free


@pytest.mark.slow
@pytest.mark.parametrize(("rules", "measuring"), CASES)
def test_points_of_every_rule_set(rules: str, measuring: Measuring) -> None:
    """A point inside the free region passes the checker and one outside fails, rule by rule."""
    free, forbidden = agree(rules, measuring, POINTS)
    assert min(free, forbidden) > POINTS / 20


@pytest.mark.parametrize("rules", rule_set_ids())
def test_advice_made_binding(rules: str) -> None:
    """Any advice that measures something may be enforced by an amendment: zones and checker follow alike."""
    advisory = [r.id for r in rule_set(rules).rules if not r.required]
    binding = tuple(Amendment(rule, None, "for the test", enforce=True) for rule in advisory)
    broken: set[str] = set()
    for seed in range(8):
        c = case(rules, Measuring.RECTANGLE, 900 + seed, binding)
        for facade, s, z in places(c, Random(seed), 60):
            found = c.broken(facade, s, z)
            assert found == c.forbidding(facade, s, z), (seed, facade.id, s, z)
            broken |= found
    assert broken & set(advisory)


@pytest.mark.parametrize(("rules", "measuring"), CASES)
def test_the_limit_itself_passes(rules: str, measuring: Measuring) -> None:
    """On the edge of a zone its rule is kept, unless a zone of the same rule but another thing reaches there."""
    judged: set[str] = set()
    for seed in range(20)[: deep(20, 10)]:
        c, r = case(rules, measuring, 500 + seed), Random(seed)
        every = [(f, zone) for f in c.building.facades for zone in c.zones[f.id]]
        for facade, zone in r.sample(every, LIMITS_AT_A_HOUSE):
            for s, z in edges(zone, r):
                assert not zone.covers(s, z)
                if on(facade, s, z) and zone.rule_id not in c.forbidding(facade, s, z):
                    assert zone.rule_id not in c.broken(facade, s, z), (seed, facade.id, zone, s, z)
                    judged.add(zone.rule_id)
    assert len(judged) >= 8


@pytest.mark.parametrize("rules", ["us-2015", "us-2018", "us-2021"])
def test_the_string_frees_corners_and_forbids_nothing_more(rules: str) -> None:
    """Every place that the rectangle allows is lawful with the string; some more are, of the open rules only."""
    boxes = {r.id for r in rule_set(rules).rules if r.relation == BOX}
    freed = 0
    for seed in range(40)[: deep(40, 20)]:
        square, string = case(rules, Measuring.RECTANGLE, seed), case(rules, Measuring.STRING, seed)
        for facade, s, z in places(square, Random(seed), 200):
            strict, loose = square.forbidding(facade, s, z), string.forbidding(facade, s, z)
            assert loose <= strict and strict - loose <= boxes
            freed += strict != loose
    assert freed > 20
