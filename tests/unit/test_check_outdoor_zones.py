"""Checker and zones, two separate codes, on random plots: where a case hung outdoors may be, and its flue outlet."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.outdoors import outdoor_findings
from service.check.terminal import terminal_findings
from service.clearance.model import Zone
from service.clearance.outdoors import outdoor_zones
from service.design import Mount, Terminal
from service.rules.catalogue import heaters
from service.survey.equipment import Draft, FlueOutlet, Heater
from service.survey.model import LotLine, Preferences, Survey
from tests.property.depth import deep
from tests.unit.test_check_zones import around, broken, draft_design, random_survey, zones_at

HOUSES, POINTS = min(deep(60, 40), 60), 40
LISTED = heaters()["nc-outdoor-160"]


def listed(r: Random) -> Heater:
    """The catalogue's heater with an outlet anywhere on its front, other rules for it, other space round the case."""
    assert LISTED.outdoor is not None
    flue = FlueOutlet(r.randint(0, 410), r.randint(0, 610), r.choice([40, 90]), r.choice(list(Draft)))
    free = replace(LISTED.outdoor.clearances, left_mm=r.choice([0, 150, 301]), right_mm=r.choice([0, 76]))
    least = r.choice([-10.0, -10.0, -10.0, 5.0, None])
    own = replace(
        LISTED.outdoor, flue=flue, clearances=free, openings_mm=r.choice([0, 1500]), min_temperature_c=least
    )
    return replace(LISTED, outdoor=own, outdoor_listed=r.random() < 0.97)


def random_plot(r: Random, seed: int) -> Survey:
    """A house with things round it, lot lines too, where it does not freeze hard."""
    at = random_survey(3000 + seed)
    lines = tuple(LotLine(f"lot{i}", around(r), around(r)) for i in range(2)) + (LotLine("rear", (0, -9), (6000, -9)),)
    plot = replace(
        at.site, lot_lines=lines[r.choice([0, 2, 3]) :], winter_design_temperature_c=-4.0,
        flood_elevation_mm=r.choice([None, None, 700]),
    )  # fmt: skip
    return replace(at, site=plot, preferences=Preferences(outdoors=r.random() < 0.97))


def judged(at: Survey, home: Building, heater: Heater, facade: str, s: int, bottom: int) -> set[str]:
    """Rules that the checker finds broken or open there."""
    assert heater.outdoor is not None
    mount, flue = Mount("", s, bottom, facade), Terminal(facade, s, bottom + heater.outdoor.flue.up_mm)
    design = draft_design(heater, mount, flue)
    return broken((*outdoor_findings(at, home, design), *terminal_findings(at, home, design)))


def places(r: Random, home: Building, zones: dict[str, tuple[Zone, ...]]) -> list[tuple[str, int, int]]:
    """Places anywhere and at the very edges of zones."""
    found = []
    for _ in range(POINTS):
        facade = r.choice(home.facades)
        own = zones[facade.id]
        edges = [e + d for q in own for e in (q.s0, q.s1) for d in (-1, 0, 1) if 0 <= e + d <= facade.length_mm]
        levels = [e + d for q in own for e in (q.z0, q.z1) for d in (-1, 0, 1) if -900 <= e + d <= 3500]
        s = r.choice([r.randint(0, facade.length_mm), r.choice(edges or [0])])
        z = r.choice([r.randint(-300, 2400), r.choice(levels or [0])])
        found.append((facade.id, s, z))
    return found


@pytest.mark.parametrize("seed", range(HOUSES))
def test_a_place_is_free_of_zones_if_and_only_if_the_checker_passes_it(seed: int) -> None:
    """Rule by rule, for every rule set, things round the house known or not; limits themselves included."""
    r = Random(9000 + seed)
    at, heater = random_plot(r, seed), listed(r)
    home = build(at)
    zones = outdoor_zones(home, at, heater)
    assert heater.outdoor is not None
    for facade, s, z in places(r, home, zones):
        heights = [h for span in home.facade(facade).spans for h in span[2:]]
        if not min(heights) <= z + heater.outdoor.flue.up_mm <= max(heights):
            continue  # of a terminal off the wall the zones say no more than that
        assert judged(at, home, heater, facade, s, z) == zones_at(zones[facade], s, z), (facade, s, z)


def test_the_random_plots_put_every_rule_to_the_test() -> None:
    """Every rule that can close a place closes some; some places are free of all."""
    closing: Counter[str] = Counter()
    free = 0
    for seed in range(60):
        r = Random(9000 + seed)
        at, heater = random_plot(r, seed), listed(r)
        home = build(at)
        for facade, zones in outdoor_zones(home, at, heater).items():
            closing.update({z.rule_id for z in zones})
            length = home.facade(facade).length_mm
            free += any(not zones_at(zones, s, z) for s in range(0, length, 300) for z in range(400, 1500, 100))
    rules = {f"OUT{i}" for i in range(1, 11)} | {"CL2", "CL4", "WISH3", "LIST-OUT", "WALL", "SNOW"}
    assert rules <= set(closing) and closing.keys() & {"AC1", "AC1-CA"}
    assert free
