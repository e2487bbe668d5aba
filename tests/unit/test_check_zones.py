"""The checker and the zones of the clearance step, two separate codes, must agree on random sites.

Neither is the other's truth: both read the same rule tables and measure in their own way.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from service.building.build import build
from service.check.mount import mount_findings
from service.check.terminal import terminal_findings
from service.clearance.model import TerminalSpec, Zone
from service.clearance.mount import mount_zones
from service.clearance.terminal import terminal_zones
from service.design import Design, Finding, Mount, Terminal, Verdict
from service.rules.catalogue import heaters
from service.rules.rulesets import rule_set_ids
from service.survey.equipment import Draft, Heater
from service.survey.model import (
    AirInlet,
    Deck,
    InletKind,
    KeepOut,
    KeepOutKind,
    NeighbourWall,
    Opening,
    OpeningKind,
    Point2,
    Regulator,
    RoomUse,
    Site,
    Survey,
    UnitSystem,
    Way,
    WayKind,
)
from tests.unit.check_house import house, plant, site

SHAPES: tuple[tuple[Point2, ...], ...] = (
    ((0, 0), (6000, 0), (6000, 4000), (0, 4000)),
    ((0, 0), (7000, 0), (7000, 3000), (4000, 3000), (4000, 6000), (0, 6000)),
    ((0, 0), (2000, 0), (2000, 1500), (4000, 1500), (4000, 0), (6000, 0), (6000, 5000), (0, 5000)),
)
GAS_HEATERS = tuple(h for h in heaters().values() if "natural_gas" in h.fuels and h.indoors)


def around(r: Random) -> Point2:
    """A plan point near the house."""
    return r.randint(-2500, 9000), r.randint(-2500, 8000)


def box(r: Random, deep: int) -> tuple[Point2, ...]:
    """A rectangle near the house."""
    x, y = around(r)
    w, d = r.randint(300, deep), r.randint(300, deep)
    return (x, y), (x + w, y), (x + w, y + d), (x, y + d)


def plot(r: Random) -> Site:
    """A site with a few things of every kind round the house."""
    y = -r.randint(900, 4000)
    theirs = Opening("theirs", OpeningKind.WINDOW, (3000, y), (2000, y), 800, 2000, r.choice([True, False, None]))
    return site(
        rule_set=r.choice(rule_set_ids()), snow_depth_mm=r.choice([0, 0, 400]), grade_z_mm=r.randint(-900, 100),
        air_inlets=tuple(AirInlet(k.value, k, around(r), r.randint(0, 401), 900, 1300) for k in InletKind),
        regulators=(Regulator("reg", (*around(r), r.randint(-200, 2500)), r.choice([None, 5_000.0, 20_000.0])),),
        ways=tuple(Way(f"way{i}", k, box(r, 2000), r.randint(-200, 300)) for i, k in enumerate(WayKind)),
        decks=(
            Deck("deck", box(r, 3000), low := r.randint(0, 2500), low + 200, r.choice([None, 1, 2, 3])),
            Deck("eave", box(r, 900), 2500, 2700, None, True, r.choice([True, None])),
        ),
        neighbour_walls=(NeighbourWall("next", (6000, y), (0, y), -500, 5000, (theirs,)),),
    )  # fmt: skip


def random_survey(seed: int) -> Survey:
    """A room with openings, keep-outs and a plot."""
    r = Random(seed)
    outline = r.choice(SHAPES)
    openings = []
    for i, (a, b) in enumerate(zip(outline, outline[1:] + outline[:1], strict=True)):
        length = max(abs(b[0] - a[0]), abs(b[1] - a[1]))
        if length >= 2000 and r.random() < 0.8:
            s0 = r.randint(100, length - 1100)
            (x0, y0), (x1, y1) = (
                (a[0] + (b[0] - a[0]) * s // length, a[1] + (b[1] - a[1]) * s // length) for s in (s0, s0 + 900)
            )
            kind = r.choice([OpeningKind.WINDOW, OpeningKind.WINDOW, OpeningKind.DOOR])
            sill = 0 if kind is OpeningKind.DOOR else r.randint(600, 1200)
            facts = (r.choice([True, False, None]), r.choice([True, False, None]))
            openings.append(Opening(f"o{i}", kind, (x0, y0), (x1, y1), sill, 2000, *facts))
    x, y = r.randint(0, 3000), r.randint(0, 2500)
    keep = KeepOut("keep", KeepOutKind.OTHER, ((x, y), (x + 600, y), (x + 600, y + 500), (x, y + 500)), 0, 1500)
    use = r.choice([RoomUse.MECHANICAL, RoomUse.GARAGE, RoomUse.BATHROOM, RoomUse.UNKNOWN])
    at = house(rooms=(plant(outline=outline, use=use),), openings=tuple(openings), on={"keep_outs": (keep,)})
    return replace(at, site=plot(r), units=r.choice(list(UnitSystem)))


def zones_at(zones: tuple[Zone, ...], s: int, z: int) -> set[str]:
    """Rules whose zone covers a point."""
    return {zone.rule_id for zone in zones if zone.covers(s, z)}


def broken(found: tuple[Finding, ...]) -> set[str]:
    """Rules that failed or stay unknown."""
    return {f.rule_id for f in found if f.verdict in (Verdict.FAIL, Verdict.UNKNOWN)}


def draft_design(heater: Heater, mount: Mount, terminal: Terminal) -> Design:
    """A design with nothing drawn yet."""
    return Design(heater, mount, terminal, (), False, False, (), 0)


@pytest.mark.parametrize("seed", range(30))
def test_terminals(seed: int) -> None:
    r, at = Random(1000 + seed), random_survey(seed)
    home, heater = build(at), r.choice(GAS_HEATERS)
    spec = TerminalSpec(
        heater.draft is Draft.DIRECT, heater.category.value, heater.input_max_w, heater.vent.terminal_radius_mm
    )
    zones = terminal_zones(home, at, spec)
    for _ in range(25):
        facade = r.choice(home.facades)
        s, z = r.randint(0, facade.length_mm), r.randint(0, 3000)
        found = broken(terminal_findings(at, home, draft_design(heater, Mount("", 0, 0), Terminal(facade.id, s, z))))
        assert found == zones_at(zones[facade.id], s, z), (facade.id, s, z)


@pytest.mark.parametrize("seed", range(30))
def test_mounts(seed: int) -> None:
    r, at = Random(2000 + seed), random_survey(seed)
    home, heater = build(at), r.choice(GAS_HEATERS)
    zones = mount_zones(home, at, heater)
    for _ in range(25):
        face = r.choice(home.faces)
        s, z = r.randint(0, face.length_mm), r.randint(0, 2600)
        found = broken(mount_findings(at, home, draft_design(heater, Mount(face.id, s, z), Terminal("", 0, 0))))
        assert found == zones_at(zones[face.id], s, z), (face.id, s, z)
