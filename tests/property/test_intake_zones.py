"""Zones of an intake's terminal and the checker agree: every rule set, points anywhere and on the limit.

As `test_zones_and_checker` does for the exhaust: neither is the other's truth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.terminal import place_findings
from service.clearance.model import TerminalSpec, Zone
from service.clearance.terminal import terminal_zones
from service.design import NO_MOUNT, NO_TERMINAL, Terminal, Verdict
from service.rules.rule import Subject
from service.rules.rulesets import rule_set, rule_set_ids
from service.survey.equipment import Draft, Heater
from service.survey.intake_listing import IntakeListing, IntakeSide, LengthBasis
from service.survey.model import Amendment, Survey
from tests.property.depth import deep
from tests.property.test_zones_and_checker import Case, places
from tests.unit.test_check_zones import GAS_HEATERS, draft_design, random_survey

HOUSES, AT_A_HOUSE = min(deep(10, 6), 10), 125


@dataclass(frozen=True, slots=True)
class IntakeCase:
    """A house, a twin-pipe heater, and where its intake may not lie."""

    survey: Survey
    building: Building
    heater: Heater
    zones: dict[str, tuple[Zone, ...]]

    def broken(self, facade_id: str, s: int, z: int) -> set[str]:
        """Rules that the checker finds broken, or not known to be kept."""
        bare = draft_design(self.heater, NO_MOUNT, NO_TERMINAL)
        design = replace(bare, intake=Terminal(facade_id, s, z))
        found = place_findings(self.survey, self.building, design, Subject.INTAKE)
        assert {f.subject for f in found} == {Subject.INTAKE}
        return {f.rule_id for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}


def case(rules: str, seed: int) -> IntakeCase:
    """A random house with a random heater; advice on intakes is made binding, as local layers may."""
    r = Random(seed)
    at = random_survey(seed)
    advisory = [x.id for x in rule_set(rules).rules if x.subject is Subject.INTAKE and not x.required]
    binding = tuple(Amendment(rule, None, "for the test", enforce=True) for rule in advisory)
    at = replace(at, site=replace(at.site, rule_set=rules, amendments=binding))
    heater, radius = r.choice(GAS_HEATERS), r.randint(40, 120)
    intake = IntakeListing(radius // 2, radius, 300, (IntakeSide.LEFT,), LengthBasis.COMBINED)
    heater = replace(heater, draft=Draft.DIRECT, vent=replace(heater.vent, intake=intake), vents=())
    spec = TerminalSpec(True, heater.category.value, heater.input_max_w, radius, intake=True)
    home = build(at)
    return IntakeCase(at, home, heater, terminal_zones(home, at, spec))


def forbidding(zones: Iterable[Zone], s: int, z: int) -> set[str]:
    """Rules whose zones cover a point."""
    return {zone.rule_id for zone in zones if zone.covers(s, z)}


@pytest.mark.parametrize("rules", rule_set_ids())
def test_points_anywhere_and_near_limits(rules: str) -> None:
    """A point inside the free region passes the checker and one outside fails, rule by rule."""
    free, broken = 0, set()
    for seed in range(HOUSES):
        c = case(rules, 7700 + seed)
        as_case = Case(c.survey, c.building, c.heater, c.zones)
        for facade, s, z in places(as_case, Random(seed), AT_A_HOUSE):
            found = c.broken(facade.id, s, z)
            assert found == forbidding(c.zones[facade.id], s, z), (seed, facade.id, s, z)
            free += not found
            broken |= found
    assert free > HOUSES * AT_A_HOUSE / 20
    assert {"IN-WALL", "IN-SNOW"} <= broken and len(broken) >= 4
