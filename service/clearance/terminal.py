"""Where on the facades the centre of a vent terminal may not lie, by rule and object."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.building.model import Building, Facade
from service.clearance.corners import Turn, corner_things, turns
from service.clearance.model import TerminalSpec, Zone
from service.clearance.objects import Thing, in_roof, things
from service.clearance.plane import Extent, extent, facade_plane
from service.clearance.relations import Sight, Wall, zones_of
from service.clearance.wall_area import wall_zones
from service.rules.outdoors import listed_openings
from service.rules.rule import Subject
from service.rules.rulesets import SizedRule, rule_set
from service.survey.model import Survey

_ON_WALL = "on_wall"


class Surroundings:
    """What stands around a house, whatever terminal it is held against."""

    def __init__(self, building: Building, survey: Survey) -> None:
        """Gather it once for all terminals."""
        self.things = (*things(building, survey), *in_roof(building))
        self.turned = turns(building)
        self.corners = {facade.id: tuple(corner_things(building, facade)) for facade in building.facades}


Heeded = tuple[SizedRule, list[int]]
"""A rule, and which of the things around the house it speaks of."""


def terminal_zones(
    building: Building, survey: Survey, spec: TerminalSpec, around: Surroundings | None = None
) -> dict[str, tuple[Zone, ...]]:
    """Forbidden zones of a terminal's centre, for every facade id [mm]. ``around``: the house's, gathered before.

    Required rules of the survey's rule set only, with its amendments. KeyError for an unknown rule set,
    ValueError unless the terminal's radius is positive.
    """
    if spec.radius_mm <= 0:
        raise ValueError("a terminal has a radius")
    near = around or Surroundings(building, survey)
    rules = [(s, [i for i, t in enumerate(near.things) if _concerns(s, t)]) for s in binding_on(survey, spec)]
    return {
        facade.id: tuple(_near(facade, _facade_zones(facade, survey, spec, rules, near))) for facade in building.facades
    }


def binding_on(survey: Survey, spec: TerminalSpec) -> tuple[SizedRule, ...]:
    """Required rules that speak of a terminal, flue outlet or intake, what its listing asks included."""
    site = survey.site
    sized = rule_set(site.rule_set).sized(survey.units, site.amendments, site.measuring, site.spare_mm)
    kind = Subject.INTAKE if spec.intake else Subject.TERMINAL
    facts = (spec.direct, spec.category, spec.input_w)
    required = (s for s in (*sized, *listed_openings(spec.openings_mm)) if s.rule.required)
    return tuple(s for s in required if s.rule.subject is kind and s.rule.applies_to(*facts))


def _facade_zones(
    facade: Facade, survey: Survey, spec: TerminalSpec, rules: Sequence[Heeded], around: Surroundings
) -> Iterator[Zone]:
    wall = Wall(facade, facade_plane(facade), spec.radius_mm, spec.off_wall_mm)
    at_wall = (*_ground(facade, survey.site.snow_depth_mm), *around.corners[facade.id])
    own, far = ([_sight(wall, t, around.turned) for t in found] for found in (at_wall, around.things))
    for sized, heeded in rules:
        if sized.rule.relation == _ON_WALL:
            yield from wall_zones(facade, spec.radius_mm, sized.rule.id)
            continue
        for sight in (*(s for s in own if _concerns(sized, s.thing)), *(far[i] for i in heeded)):
            yield from zones_of(wall, sized, sight)


def _ground(facade: Facade, snow_mm: int) -> Iterator[Thing]:
    """Finished ground of the facade, and the snow on it, step by step."""
    for step in facade.grade:
        yield Thing("grade", frozenset({"grade"}), (), step.z, step.z, facade.id, step.s0, step.s1)
        if snow_mm:
            yield Thing("grade", frozenset({"snow"}), (), step.z, step.z + snow_mm, facade.id, step.s0, step.s1)


def _concerns(sized: SizedRule, thing: Thing) -> bool:
    named = not thing.kinds.isdisjoint(sized.rule.objects)
    return named and ("regulator_vent" not in thing.kinds or sized.rule.applies_at_pressure(thing.pressure_pa))


def _sight(wall: Wall, thing: Thing, round_corner: dict[tuple[str, str], Turn]) -> Sight:
    if thing.facade_id == wall.facade.id:
        return Sight(thing, Extent(thing.s0, thing.s1, 0, False), True)
    turn = round_corner.get((wall.facade.id, thing.facade_id or ""))
    if turn and min(turn.away * (thing.s0 - turn.corner), turn.away * (thing.s1 - turn.corner)) >= 0:
        return Sight(thing, Extent(thing.s0 + turn.shift, thing.s1 + turn.shift, 0, False), False)
    return Sight(thing, extent(wall.plane, thing.points, wall.off_wall_mm), False)


def _near(facade: Facade, zones: Iterator[Zone]) -> Iterator[Zone]:
    """Zones that reach the facade's walls at all, each once."""
    if not facade.spans:
        return
    z0, z1 = min(x[2] for x in facade.spans), max(x[3] for x in facade.spans)
    for zone in dict.fromkeys(zones):
        reach = int(zone.radius2**0.5) + 1
        across = zone.s0 - reach < facade.length_mm and zone.s1 + reach > 0
        if across and zone.z0 - reach < z1 and zone.z1 + reach > z0:
            yield zone
