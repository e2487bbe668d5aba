"""Zones of vent terminals against distances computed point by point with shapely, in space."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from math import hypot
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, Facade, GradeStep
from service.clearance.model import TerminalSpec
from service.clearance.terminal import terminal_zones
from service.rules.rule import Subject
from service.rules.rulesets import SizedRule, rule_set
from service.survey.model import (
    AirInlet,
    Amendment,
    Deck,
    InletKind,
    NeighbourWall,
    Opening,
    OpeningKind,
    Regulator,
    Survey,
    UnitSystem,
    Way,
    WayKind,
)
from tests.property.depth import deep
from tests.unit.clearance_site import L_HOUSE, WALL, broken, hole, outside, spec, survey

FOUND = (
    "radial",
    "beside_below_above",
    "above_inlet_within",
    "facing",
    "column",
    "not_over",
    "above_level",
    "under_open",
)
HOLES = {
    0: (
        hole(2_000, 3_200, 900, 2_100, opening_id="w0"),
        hole(7_500, 9_700, 900, 2_100, opening_id="w1", operable=None),
        hole(4_000, 4_900, 3_500, 4_700, opening_id="w2"),
    ),
    1: (hole(600, 1_500, 1_200, 2_100, opening_id="w3"),),
    2: (hole(3_300, 4_200, -2_000, 100, opening_id="d1", kind=OpeningKind.DOOR),),
    3: (hole(500, 1_700, 900, 2_100, opening_id="w4"), hole(3_000, 4_000, 900, 2_100, opening_id="w5", operable=False)),
    5: (hole(8_000, 8_800, 3_000, 4_400, opening_id="w6"),),
}
SITE: dict[str, Any] = {
    "air_inlets": (
        AirInlet("fan", InletKind.FORCED, (10_000, 3_000), 300, 400, 700),
        AirInlet("grille", InletKind.GRAVITY, (5_000, 8_000), 200, 4_000, 4_150),
        AirInlet("burner", InletKind.COMBUSTION, (1_000, 9_000), 150, 500, 650),
        AirInlet("mast", InletKind.FORCED, (7_500, -2_000), 400, 3_000, 3_400),
    ),
    "regulators": (Regulator("low", (6_000, -250, 300), 3_000.0), Regulator("high", (9_700, 4_200, 500), None)),
    "neighbour_walls": (
        NeighbourWall(
            "next", (9_000, -2_500), (1_000, -2_500), -3_000, 6_000,
            (Opening("theirs", OpeningKind.WINDOW, (6_000, -2_500), (5_000, -2_500), 1_000, 2_200),),
        ),
    ),
    "ways": (
        Way("walk", WayKind.PUBLIC_WALKWAY, ((-2_000, 3_000), (-600, 3_000), (-600, 6_000), (-2_000, 6_000)), -2_500),
        Way("drive", WayKind.SHARED_DRIVEWAY, ((3_000, 9_300), (4_500, 9_300), (4_500, 12_000), (3_000, 12_000)), -99),
    ),
    "decks": (
        Deck("balcony", ((6_500, 4_000), (9_000, 4_000), (9_000, 5_500), (6_500, 5_500)), 3_000, 3_200, 3),
        Deck("porch", ((-1_500, 500), (0, 500), (0, 2_500), (-1_500, 2_500)), 1_000, 1_200, None),
    ),
}  # fmt: skip
KINDS = {InletKind.FORCED: "forced_inlet", InletKind.GRAVITY: "gravity_inlet", InletKind.COMBUSTION: "combustion_inlet"}


def l_house() -> Building:
    """The L-shaped house with a step in the ground before its first wall."""
    house = outside(L_HOUSE, HOLES)
    first = replace(house.facades[0], grade=(GradeStep(0, 6_000, -3_000), GradeStep(6_000, 10_000, -1_500)))
    return replace(house, facades=(first, *house.facades[1:]))


HOUSE = l_house()
# Where each inlet in a wall lies: facade and distance along it, worked out by hand from the outline.
INLETS = {"fan": (1, 3_000), "grille": (3, 4_000), "burner": (4, 4_000)}


class Judge:
    """Measures one terminal to everything, each thing as (kinds, id, plan distance, z0, z1, extra)."""

    def __init__(self, facade: int, s: int, z: int, terminal: TerminalSpec) -> None:
        self.facade, self.s, self.z, self.r = facade, s, z, terminal.radius_mm
        self.at = Point(HOUSE.facades[facade].point(s))

    def plan(self, shape: BaseGeometry) -> float:
        """Straight plan distance of the centre."""
        return float(self.at.distance(shape))

    def along(self, other: int, s0: int, s1: int) -> float:
        """Plan distance to [s0, s1] of a facade: along walls round outside corners, else straight."""
        count, own = len(HOUSE.facades), HOUSE.facades[self.facade]
        outside_corner_after = {0, 1, 3, 4, 5}  # the corner between walls 2 and 3 is an inside one
        if other == self.facade:
            return max(s0 - self.s, self.s - s1, 0)
        if other == (self.facade + 1) % count and self.facade in outside_corner_after:
            return own.length_mm - self.s + s0
        if self.facade == (other + 1) % count and other in outside_corner_after:
            return self.s + HOUSE.facades[other].length_mm - s1
        return self.plan(_stretch(HOUSE.facades[other], s0, s1))

    def things(self) -> Iterator[tuple[set[str], float, int, int, object]]:
        """Everything but ground."""
        for i, holes in HOLES.items():
            for h in holes:
                kind = (
                    "door"
                    if h.kind is OpeningKind.DOOR
                    else "window_fixed"
                    if h.operable is False
                    else "window_operable"
                )
                yield {kind}, self.along(i, h.s0, h.s1), h.z0, h.z1, None
        for n in SITE["air_inlets"]:
            where, half = INLETS.get(n.id), n.width_mm // 2
            square = box(n.at[0] - half, n.at[1] - half, n.at[0] + half, n.at[1] + half)
            d = self.along(where[0], where[1] - half, where[1] + half) if where else self.plan(square)
            yield {KINDS[n.kind]}, d, n.bottom_z_mm, n.top_z_mm, None
        for g in SITE["regulators"]:
            yield {"regulator_vent"}, self.plan(Point(g.at[:2])), g.at[2], g.at[2], g
        for w in SITE["ways"]:
            yield {w.kind.value}, self.plan(Polygon(w.outline)), w.surface_z_mm, w.surface_z_mm, None
        for deck in SITE["decks"]:
            for kind in ("deck_top", "deck_underside"):
                yield {kind}, self.plan(Polygon(deck.outline)), deck.underside_z_mm, deck.top_z_mm, deck
        for o in SITE["neighbour_walls"][0].openings:
            ahead = HOUSE.facades[self.facade].start[1] > -2_500 and self.facade in (0,)
            kinds = {"window_operable"} | ({"neighbour_opening"} if ahead else set())
            yield kinds, self.plan(LineString([o.start, o.end])), o.sill_z_mm, o.head_z_mm, None

    def breaks(self, x: SizedRule, plan: float, z0: int, z1: int, extra: object) -> bool:
        """Whether the rule is broken by a thing, as rules.rulesets words it."""
        beside, below, above = plan - self.r, z0 - (self.z + self.r), (self.z - self.r) - z1
        relation = x.rule.relation
        if relation == "radial":
            return hypot(plan, max(z0 - self.z, self.z - z1, 0)) - self.r < x.distance_mm
        if relation == "beside_below_above":
            return beside < x.beside_mm and below < x.below_mm and above < x.above_mm
        if relation == "above_inlet_within":
            return beside < x.gate_mm and above < x.distance_mm
        if relation == "facing":
            return beside < x.distance_mm and above < x.above_mm and below < x.below_mm
        if relation == "column":
            return beside < x.gate_mm and self.z + self.r > z1 and above < x.above_mm
        if relation == "not_over":
            return beside < x.gate_mm and self.z + self.r > z1
        if relation == "above_level":
            deck = isinstance(extra, Deck)
            return beside < x.gate_mm and above < x.distance_mm and not (deck and self.z + self.r <= z0)
        assert relation == "under_open" and isinstance(extra, Deck)
        closed = (extra.open_sides or 0) < 2
        return beside < x.gate_mm and self.z - self.r < z0 and (closed or below < x.distance_mm)

    def grade(self) -> int:
        """Highest ground under any part of the terminal."""
        steps = HOUSE.facades[self.facade].grade
        return max(g.z for g in steps if g.s0 < self.s + self.r and g.s1 > self.s - self.r)

    def broken(self, rules: tuple[SizedRule, ...]) -> set[str]:
        """Ids of the rules of FOUND that forbid the place."""
        return {x.rule.id for x in rules if self._is_broken(x)}

    def _is_broken(self, x: SizedRule) -> bool:
        if "grade" in x.rule.objects:
            return self.z - self.r - self.grade() < x.distance_mm
        for kinds, plan, z0, z1, extra in self.things():
            if isinstance(extra, Regulator) and not x.rule.applies_at_pressure(extra.inlet_pressure_pa):
                continue
            if kinds & set(x.rule.objects) and self.breaks(x, plan, z0, z1, extra):
                return True
        return False


def _stretch(facade: Facade, s0: int, s1: int) -> LineString:
    return LineString([facade.point(s0), facade.point(s1)])


def rules_for(at: Survey, terminal: TerminalSpec) -> tuple[SizedRule, ...]:
    """Binding rules that the judge knows."""
    found = rule_set(at.site.rule_set).sized(at.units, at.site.amendments)
    subject = Subject.INTAKE if terminal.intake else Subject.TERMINAL
    spoken = (x for x in found if x.rule.subject is subject)
    own = (x for x in spoken if x.rule.applies_to(terminal.direct, terminal.category, terminal.input_w))
    return tuple(x for x in own if x.rule.required and x.rule.relation in FOUND and x.rule.id != "SNOW")


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("set_id", ["us-2015", "us-2018", "us-2021", "ca-b149"])
@pytest.mark.parametrize(
    "terminal", [spec(True, 120_000, "IV", 60), spec(True, 199_000, "III", 80), spec(False, 199_000, "IV", 75)]
)
def test_zones_equal_measuring_each_point(set_id: str, units: UnitSystem, terminal: TerminalSpec) -> None:
    """For random terminals on all six walls the same rules are broken as by shapely's distances."""
    at = survey(set_id, units, **SITE)
    rules, zones = rules_for(at, terminal), terminal_zones(HOUSE, at, terminal)
    known, dice = {x.rule.id for x in rules}, random.Random(f"{set_id}{units}{terminal}")
    for i, facade in enumerate(HOUSE.facades):
        for _ in range(30)[: deep(30, 15)]:
            s, z = dice.randrange(0, facade.length_mm + 1), dice.randrange(-3_000, 6_500)
            found = {q.rule_id for q in zones[facade.id] if q.covers(s, z)} & known
            assert found == Judge(i, s, z, terminal).broken(rules), (facade.id, s, z)


def test_dense_points_near_one_window() -> None:
    """Around a window round an outside corner every point of a fine grid is judged as by distance."""
    at, terminal = survey("ca-b149", UnitSystem.SI, **SITE), spec(True, 199_000, "IV", 60)
    rules, zones = rules_for(at, terminal), terminal_zones(HOUSE, at, terminal)["F0"]
    known = {x.rule.id for x in rules}
    for s in range(8_000, 10_001, 97):
        for z in range(0, 3_500, 83):
            found = {q.rule_id for q in zones if q.covers(s, z)} & known
            assert found == Judge(0, s, z, terminal).broken(rules), (s, z)


@pytest.mark.parametrize(("ds", "dz"), [(585, 780), (780, 585), (975, 0), (0, 975), (273, 936)])
def test_arcs_are_exact(ds: int, dz: int) -> None:
    """900 mm + radius 75 mm = 975 mm: on the arc (Pythagorean triples) lawful, a millimetre inside forbidden."""
    at = survey("ca-b149", UnitSystem.SI, air_inlets=(AirInlet("x", InletKind.GRAVITY, (6_000, 0), 0, 2_000, 2_000),))
    house, terminal = outside(WALL), spec(True, 199_000)
    assert ds * ds + dz * dz == 975 * 975
    for sx, sz in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
        assert broken(house, at, terminal, 6_000 + sx * ds, 2_000 + sz * dz) == set()
        if ds:
            assert broken(house, at, terminal, 6_000 + sx * (ds - 1), 2_000 + sz * dz) == {"CA-g3"}
        if dz:
            assert broken(house, at, terminal, 6_000 + sx * ds, 2_000 + sz * (dz - 1)) == {"CA-g3"}


def test_arcs_are_exact_off_the_plane() -> None:
    """A regulator 273 mm off the wall leaves 936 of 975 mm on it."""
    at = survey("ca-b149", UnitSystem.SI, regulators=(Regulator("g", (6_000, -273, 2_000)),))
    house, terminal = outside(WALL), spec(True, 199_000)
    assert broken(house, at, terminal, 6_000 + 936, 2_000) == set()
    assert broken(house, at, terminal, 6_000 + 935, 2_000) >= {"CA-e"}
    assert broken(house, at, terminal, 6_000, 2_000 - 936) == set()
    assert broken(house, at, terminal, 6_000, 2_000 - 935) == {"CA-e"}


def test_the_terminal_stays_on_its_wall() -> None:
    """The whole disc lies on wall and over no opening; corners of an opening are rounded off."""
    pane = hole(5_000, 6_000, 2_000, 3_000, operable=False)
    house, at, terminal = outside(WALL, {0: (pane,)}), survey("ca-b149"), spec(True, 199_000, radius=100)
    assert broken(house, at, terminal, 99, 5_000) == {"WALL"}
    assert broken(house, at, terminal, 100, 5_000) == set()
    assert broken(house, at, terminal, 6_060, 3_080) == set()
    assert broken(house, at, terminal, 6_060, 3_079) == {"WALL"}
    assert broken(house, at, terminal, 6_000, 8_901) == {"WALL"}


def test_no_unfolding_where_a_wall_is_lower_at_the_corner() -> None:
    """Where one wall does not reach the corner at its whole height the straight distance counts."""
    low = outside(L_HOUSE)
    cut = replace(low.facades[1], spans=((0, 1_000, -3_000, 2_900), (1_000, 4_000, -3_000, 9_000)))
    stepped = replace(low, facades=(low.facades[0], cut, *low.facades[2:]))
    at = survey(
        "ca-b149", UnitSystem.SI, air_inlets=(AirInlet("x", InletKind.FORCED, (10_000, 1_200), 0, 2_000, 2_000),)
    )
    terminal, s = spec(True, 199_000), 10_000 - 1_000
    assert broken(low, at, terminal, s, 2_000) == set()
    assert broken(stepped, at, terminal, s, 2_000) == {"CA-c"}


def test_a_skew_way_is_never_taken_farther_than_it_is() -> None:
    """A walkway at 45 degrees: whatever lies nearer than the gate is forbidden, and little more."""
    outline = ((4_000, -2_000), (5_000, -3_000), (9_000, 1_000), (8_000, 2_000))
    at = survey("us-2018", ways=(Way("walk", WayKind.PUBLIC_WALKWAY, outline, -2_500),))
    house, terminal, gate = outside(WALL), spec(True, 120_000), 1_016 + 75
    for s in range(3_000, 12_000, 50):
        near = Point(s, 0).distance(Polygon(outline))
        found = "US18-ND6" in broken(house, at, terminal, s, -1_000)
        assert found or near >= gate
        assert not found or near < 2 * gate


def test_unknown_rule_set_and_radius_are_refused() -> None:
    """Nothing is assumed silently."""
    with pytest.raises(KeyError):
        terminal_zones(HOUSE, survey("us-1900"), spec(True, 120_000))
    with pytest.raises(ValueError, match="radius"):
        terminal_zones(HOUSE, survey("us-2018"), spec(True, 120_000, radius=0))


IDS = {
    s: [x.id for x in rule_set(s).rules if x.required and x.relation in FOUND]
    for s in ("us-2018", "us-2021", "ca-b149")
}


@settings(max_examples=60, deadline=None)
@given(
    set_id=st.sampled_from(sorted(IDS)),
    pick=st.integers(0, 100),
    distances=st.tuples(st.integers(0, 4_000), st.integers(0, 4_000)),
    facade=st.integers(0, 5),
    place=st.tuples(st.floats(0, 1), st.integers(-3_000, 6_500)),
    direct=st.booleans(),
)
def test_a_larger_distance_never_frees_a_place(
    set_id: str, pick: int, distances: tuple[int, int], facade: int, place: tuple[float, int], direct: bool
) -> None:
    """What a rule forbids with a distance it forbids with any larger one."""
    rule = IDS[set_id][pick % len(IDS[set_id])]
    s = round(place[0] * HOUSE.facades[facade].length_mm)
    terminal = spec(direct, 199_000, "IV")
    found = [
        broken(
            HOUSE, survey(set_id, **SITE, amendments=(Amendment(rule, d, "x"),)), terminal, s, place[1], f"F{facade}"
        )
        for d in sorted(distances)
    ]
    assert found[0] <= found[1]


@settings(max_examples=30, deadline=None)
@given(
    radius=st.integers(1, 200),
    more=st.integers(1, 200),
    facade=st.integers(0, 5),
    place=st.tuples(st.floats(0, 1), st.integers(-3_000, 6_500)),
)
def test_a_larger_terminal_never_gains_a_place(radius: int, more: int, facade: int, place: tuple[float, int]) -> None:
    """What is forbidden for a terminal is forbidden for a larger one."""
    at, s = survey("us-2021", **SITE), round(place[0] * HOUSE.facades[facade].length_mm)
    small, large = (
        broken(HOUSE, at, spec(False, 199_000, "IV", r), s, place[1], f"F{facade}") for r in (radius, radius + more)
    )
    assert small <= large
