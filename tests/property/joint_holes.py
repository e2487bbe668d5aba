"""Pairs of heaters in one house whose water runs may pass one hole: every pair of places on a grid, every hole of it.

The grid, its shortest walks and the checker are those of the brute force for one heater; what is added is a way through
a given hole for nothing, its price paid once for both.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from service.building.build import build
from service.check.check import findings
from service.check.jointly import joint_findings
from service.design import Design, JointDesign, Piece, Service, Sleeve, Surface
from service.survey.divided import of_dwelling
from service.survey.model import Survey
from tests.property.brute_ends import End
from tests.property.brute_force import Line, Places, broken, units_of
from tests.property.brute_offers import Offer, Option
from tests.property.brute_routes import Floats, Goal, Walks, Weights, turns
from tests.property.brute_surfaces import Arc, Node, place
from tests.property.joint_brute import apart_from, with_things_of

WATER = (Service.COLD, Service.HOT)
MOST_TRIED = 400


@dataclass(frozen=True)
class Way:
    """Runs of one heater's service to all places through one hole, which costs nothing here."""

    hole: tuple[Piece, Sleeve]
    walks: Walks
    least: Floats


class Heater:
    """One of the two heaters at every place of the grid."""

    def __init__(self, survey: Survey, index: int, also: tuple[Line, ...]) -> None:
        self.survey = of_dwelling(apart_from(survey, index), survey.dwellings[index])
        self.places = Places(self.survey, build(survey), self.survey.heaters[0], also)
        arcs = self.places._arcs()
        self.holes, self.arcs = _holes(arcs), len(arcs)
        own = set(survey.dwellings[index].rooms or ())
        rooms = self.places.building.rooms
        fixed = [self.places._fixed(s) if rooms[s.wall.room].id in own else None for s in self.places.spots]
        rest = [o.lower() for o in self.places.offers if o.service not in WATER]
        self.least: Floats = np.array([np.inf if f is None else f for f in fixed]) + np.sum(rest, axis=0)
        self.water = {s: self._option(s) for s in WATER}
        self.known: dict[int, Design | None] = {}

    def _option(self, service: Service) -> Option:
        (offer,) = (o for o in self.places.offers if o.service is service)
        assert isinstance(offer, Offer)
        (option,) = offer.options
        return option

    def through(self, service: Service, arc: Arc) -> Way:
        """Runs from all places through one hole."""
        option, far = self.water[service], self.water[service].walks(0.0)
        mesh = far.mesh
        near, beyond = sorted((arc.a, arc.b), key=lambda n: self.places.building.rooms[n[0]].id)
        pieces, goal = far.run(mesh.state(beyond, arc.axis))
        piece = Piece(place(near), place(beyond), Surface.WALL_CROSSING)
        tail = (piece, *pieces)
        cost = int(far.cost[mesh.state(beyond, arc.axis)]) + option.rates.each_mm(piece.surface) * piece.length_mm
        end = Goal(mesh.state(near, arc.axis), cost, 0.0, turns(tail), End(goal.end.id, near, tail, goal.end.sheet))
        is_open = np.ones(self.arcs, dtype=bool)
        is_open[[n for n, _ in self.holes[arc.a, arc.b]]] = False
        walks = Walks(mesh, is_open, [end], Weights(option.rates))
        sleeve = Sleeve(service, piece.surface, *sorted((piece.start, piece.end)))
        return Way((piece, sleeve), walks, walks.cost[option.starts].min(axis=1))

    def design(self, i: int, ways: Iterable[Way]) -> Design | None:
        """The design at a place, its water through given holes; None if it is not lawful by itself."""
        if i not in self.known:
            spot = self.places.spots[i]
            hangs = not self.places._may_not_hang(spot) and self.places._ends_lawful([i])
            found = self.places._lawful(i) if hangs else None
            self.known[i] = None if found is None else found[1]
        design = self.known[i]
        for way in ways if design is not None else ():
            option = self.water[way.hole[1].service]
            state = min(option.starts[i], key=lambda s: (way.walks.cost[s], s))
            pieces, goal = way.walks.run(int(state))
            assert design is not None
            old = design.route(way.hole[1].service)
            assert old is not None
            new = replace(old, pieces=pieces, elbows=turns(pieces), end_id=goal.end.id)
            routes = tuple(new if r is old else r for r in design.routes)
            design = replace(design, routes=routes, sleeves=(*design.sleeves, way.hole[1]))
        return design


def cheapest_pair(survey: Survey, also: tuple[Line, ...] = ()) -> int | None:
    """Money units of the cheapest lawful pair found; None if none is among those tried."""
    first, second = (Heater(survey, i, also) for i in (0, 1))
    total = first.least[:, None] + second.least[None, :]
    chosen: dict[Service, list[tuple[Way, Way]]] = {}
    which: dict[Service, np.ndarray] = {}
    for service in WATER:
        apart = _alone(first, service)[:, None] + _alone(second, service)[None, :]
        best, at = apart, np.full(apart.shape, -1)
        chosen[service] = []
        for arc in (a for same in first.holes.values() for _, a in same):
            pair = first.through(service, arc), second.through(service, arc)
            once = first.water[service].rates.once[Surface.WALL_CROSSING]
            cost = pair[0].least[:, None] + pair[1].least[None, :] + once
            at = np.where(cost < best, len(chosen[service]), at)
            best = np.minimum(cost, best)
            chosen[service].append(pair)
        total, which[service] = total + best, at
    for flat in np.argsort(total, axis=None, kind="stable")[:MOST_TRIED].tolist():
        i, k = divmod(flat, total.shape[1])
        if not np.isfinite(total[i, k]):
            return None
        ways = [chosen[s][int(which[s][i, k])] for s in WATER if which[s][i, k] >= 0]
        one, two = first.design(i, [a for a, _ in ways]), second.design(k, [b for _, b in ways])
        if one is not None and two is not None and _is_lawful(survey, (first, second), (one, two)):
            shared = sum(first.water[b.hole[1].service].rates.once[Surface.WALL_CROSSING] for _, b in ways)
            return shared + sum(units_of(h.survey, h.places.building, d) for h, d in ((first, one), (second, two)))
    return None


def _alone(heater: Heater, service: Service) -> Floats:
    return heater.water[service].lower()


def _holes(arcs: Iterable[Arc]) -> dict[tuple[Node, Node], list[tuple[int, Arc]]]:
    """Arcs through an inner wall by their ends, each with its number."""
    found: dict[tuple[Node, Node], list[tuple[int, Arc]]] = {}
    for n, arc in enumerate(arcs):
        if arc.surface is Surface.WALL_CROSSING:
            found.setdefault((arc.a, arc.b), []).append((n, arc))
    return found


def _is_lawful(survey: Survey, heaters: tuple[Heater, Heater], pair: tuple[Design, Design]) -> bool:
    """Whether the checker passes each beside the other, and both together."""
    for own, other, beside in ((0, 1, pair[1]), (1, 0, pair[0])):
        there = with_things_of(heaters[own].survey, heaters[other].survey, beside)
        if broken(findings(there, build(there), pair[own])):
            return False
    names = [d.id for d in survey.dwellings]
    sleeves = tuple(dict.fromkeys(s for d in pair for s in d.sleeves))
    joint = JointDesign(tuple(zip(names, pair, strict=True)), survey.gas, (), (), (), (), 0, sleeves)
    found = joint_findings(survey, build(survey), joint)
    wanted = ("joint.terminals", "joint.sleeves", "joint.rooms", "joint.room")
    return not [f for f in broken(found) if f.rule_id in wanted]
