"""Where nothing is lawful: the zones of a house without those of some rules, and sets of rules worth lifting.

A *violation set* holds the rules that one place for the case and one for the terminal break together. Lifting all of
them opens that pair of places; whether a design leads through it only a search can tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import compress, product

import numpy as np
from ortools.sat.python import cp_model

from service.building.model import Face
from service.clearance.model import Zone
from service.deadline import look
from service.rules.mounting import mounting_rules
from service.rules.rulesets import rule_set
from service.siting.eager import bounds_of, edge_lines
from service.siting.ground import Ground, hanging_surfaces
from service.siting.lifts import NEAR_WALL, OVER_ROOF, Rules
from service.siting.master import SEED
from service.siting.needs import Need
from service.siting.roof import surfaces_of
from service.siting.terminals import covered, sides_of
from service.siting.zones import ByWall, Zones
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeSide
from service.survey.model import Survey

Span = tuple[int, int]
BODILY = ("on_wall", "manifold", "vent_rise", "outdoors_wall", "outdoors_manifold")
"""Relations that say what must be there for a thing to hang and be piped at all."""


class LiftedZones(Zones):
    """The zones of a house but those of the rules that are lifted."""

    def __init__(self, zones: Zones, lifted: Rules) -> None:
        """Share what ``zones`` has computed already."""
        super().__init__(zones.building, zones.survey)
        self._all, self._lifted = zones, lifted - (OVER_ROOF - {NEAR_WALL})

    def terminal(self, heater: Heater, side: IntakeSide | None = None) -> ByWall:
        """Zones of a heater's terminal by facade and roof plane."""
        return {surface: self._kept(zones) for surface, zones in self._all.terminal(heater, side).items()}

    def mount(self, heater: Heater, face: Face) -> tuple[Zone, ...]:
        """Zones of a heater's case on a face."""
        return self._kept(self._all.mount(heater, face))

    def outdoors(self, heater: Heater) -> ByWall:
        """Zones of a heater's case outdoors by facade."""
        return {facade: self._kept(zones) for facade, zones in self._all.outdoors(heater).items()}

    def _kept(self, zones: Iterable[Zone]) -> tuple[Zone, ...]:
        return tuple(z for z in zones if z.rule_id not in self._lifted)


def rules_of_places(survey: Survey) -> Rules:
    """Rules of code, listing, practice and wish on where case and terminal may be. That a case or a terminal has a wall
    behind it, and its pipes their room, is left: nobody can lift that."""
    code = rule_set(survey.site.rule_set)
    every = [(r.id, r.relation) for r in code.rules] + [(r.id, r.relation) for r in mounting_rules(code.country)]
    return frozenset(name for name, relation in every if relation not in BODILY)


def violation_sets(ground: Ground, zones: Zones, liftable: Rules) -> list[Rules]:
    """Sets of rules that some pair of places breaks, the smallest first, over all heaters: of each surface those that
    hold no other. Places are the crossings of all edges of all zones; crossings of two arcs are not among them. Looks
    at the clock before each surface."""
    found: set[Rules] = set()
    for need in ground.needs:
        cases, ends = _of_cases(ground, zones, need, liftable), _of_ends(ground, zones, need, liftable)
        found |= {case | end for case, end in product(cases, ends)}
    return sorted(found, key=lambda rules: (len(rules), sorted(rules)))


def smallest_hitting(sets: Sequence[Rules]) -> Rules:
    """A smallest set of rules that has one of each set at least. ValueError if one of them is empty; RuntimeError if
    the solver does not prove its answer."""
    if not all(sets):
        raise ValueError("nothing hits an empty set")
    model, names = cp_model.CpModel(), sorted(set().union(*sets))
    taken = {name: model.new_bool_var(name) for name in names}
    for rules in sets:
        model.add_bool_or([taken[r] for r in sorted(rules)])
    model.minimize(sum(taken.values()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.catch_sigint_signal = False
    if solver.solve(model) != cp_model.OPTIMAL:
        raise RuntimeError("no smallest set was proven")
    return frozenset(name for name in names if solver.boolean_value(taken[name]))


def _of_cases(ground: Ground, zones: Zones, need: Need, liftable: Rules) -> set[Rules]:
    """What places of the case break; walls of rooms without air for it are left."""
    found: set[Rules] = set()
    for surface, along, up in hanging_surfaces(ground, need):
        if need.outdoors or _has_air(ground, need, surface):
            found |= _least(zones.hang(need, surface), along, up, liftable)
    return found


def _has_air(ground: Ground, need: Need, surface: int) -> bool:
    return ground.extras(need)[ground.sheets.walls[surface].room] is not None


def _of_ends(ground: Ground, zones: Zones, need: Need, liftable: Rules) -> set[Rules]:
    """What places of the terminal break; nothing where there is none to place."""
    if need.outdoors:
        return {frozenset()}
    found: set[Rules] = set()
    for side, surface in product(sides_of(need.heater.vent), surfaces_of(ground.building)):
        here = zones.terminal(need.heater, side)[surface.id]
        found |= _least(here, *bounds_of(surface), liftable)
    return found


def _least(zones: Sequence[Zone], along: Span, up: Span, liftable: Rules) -> set[Rules]:
    """Violation sets of one surface that hold no other, of points that no zone of another kind covers."""
    look()
    s, z = (grid.ravel() for grid in np.meshgrid(*edge_lines(zones, along, up), indexing="ij"))
    names = sorted({q.rule_id for q in zones if q.rule_id in liftable})
    broken, barred = np.zeros((len(names), len(s)), dtype=bool), np.zeros(len(s), dtype=bool)
    for zone in zones:
        at = broken[names.index(zone.rule_id)] if zone.rule_id in liftable else barred
        at |= covered(zone, s, z)
    columns = np.unique(broken[:, ~barred], axis=1).T
    found = sorted((frozenset(compress(names, column)) for column in columns), key=len)
    return {rules for i, rules in enumerate(found) if not any(less <= rules for less in found[:i])}
