"""A certificate re-checked number by number. Knows nothing of the search that made it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import inf

import numpy as np

from service.design import Design, Route, Service
from service.phrases import mm, phrase, text
from service.routing.planes import Planes
from service.routing.sheets import Sheets
from service.siting.certificate import CaseBounds, Certificate, GasStep, limits_of
from service.siting.ground import Ground
from service.siting.narrowed import narrowed
from service.siting.needs import Need
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from service.verify.bounds import CaseVerdict, Held, holds
from service.verify.case import Board, Case
from service.verify.ends import first_axis
from service.verify.gas import GasSteps, TapStep
from service.verify.named import faults_of
from service.verify.network import OBLIQUE, Network
from service.verify.places import heights_of
from service.verify.prices import Prices
from service.verify.results import Outcome, Step

MOST_NODES = 5_000_000
"""A network of more places is not built: nobody can make the re-check run out of memory."""


@dataclass
class Recheck:
    """One certificate against the design that it is of and the house, with its survey, that yields ``zones``."""

    zones: Zones
    design: Design
    certificate: Certificate
    deadline: float = inf
    _boards: dict[tuple[int, str, bool], Board] = field(default_factory=dict)

    @property
    def survey(self) -> Survey:
        """What the house is known by."""
        return self.zones.survey

    @cached_property
    def ground(self) -> Ground:
        """What the survey yields."""
        return self.zones.ground(self.survey, self.zones.whole)

    @cached_property
    def prices(self) -> Prices:
        """The inspector's prices."""
        return Prices(self.survey, self.zones.whole)

    def steps(self) -> Iterator[Step]:
        """Every step in order; those after a refusal of what they rest on are left out."""
        yield self._bill()
        listed = self._listed()
        yield listed
        if listed.outcome is not Outcome.CONFIRMED:
            return
        named = self._named()
        yield named
        if named.outcome is not Outcome.CONFIRMED:
            return
        yield self._covers()
        size = max(_size(a.planes, self.ground.sheets) for a in self.certificate.boards)
        if size > MOST_NODES:
            yield Step("size", Outcome.NOT_CONFIRMED, f"a network of about {size} places is more than is re-checked")
            return
        yield self._services()
        yield self._staircase()
        yield from self._bounds()

    def _bill(self) -> Step:
        """The design priced anew, waiting included, to the last money unit, and rounded as the answer tells it."""
        weighed = self.ground.waiting.of(self._hot()) if self.ground.waiting is not None else 0
        paid, told = self.prices.of_design(self.design), self.certificate.cost_units
        faults = [] if paid + weighed == told else [f"{paid + weighed} money units found, {told} told"]
        if 2 * abs(self.design.total_cents * MONEY_SCALE - paid) > MONEY_SCALE:
            faults.append(f"{self.design.total_cents} cents told, {paid / MONEY_SCALE:.4f} found")
        return _step("cost of the design", faults, f"{told} money units")

    def _hot(self) -> Route:
        return next(r for r in self.design.routes if r.service is Service.HOT)

    def _listed(self) -> Step:
        """Every heater that the house can feed is there, once, and every board belongs to one."""
        found = [(c.label, c.outdoors) for c in self.certificate.cases]
        wanted = [(n.heater.label, n.outdoors) for n in self.ground.needs]
        faults = [f"{label} is left out" for label, _ in sorted(set(wanted) - set(found))]
        faults += [f"{label} is none of the survey's" for label, _ in sorted(set(found) - set(wanted))]
        faults += ["a heater is listed twice"] * (len(found) != len(set(found)))
        strays = [c.label for c in self.certificate.cases if not 0 <= c.board < len(self.certificate.boards)]
        faults += [f"{label} names a network that is not there" for label in strays]
        return _step("heaters", faults, f"all {len(wanted)} that the house can feed")

    def _named(self) -> Step:
        """Planes, obstacles and zones are the survey's and complete."""
        faults: list[str] = []
        for index, active in enumerate(self.certificate.boards):
            cases = [c for c in self.certificate.cases if c.board == index]
            needs = [self._need(c) for c in cases]
            loose = all(c.loose for c in cases)
            if len({c.loose for c in cases}) > 1 or (not loose and len(cases) > 1):
                faults.append("heaters share a network that zones of one are cut into")
                continue
            faults += faults_of(self.ground, self.zones, active, self.ground.needs if loose else needs, loose)
        boards = self.certificate.boards
        told = f"{sum(a.planes.count for a in boards)} planes in {len(boards)} networks"
        return _step("planes, obstacles and zones", faults, told)

    def _covers(self) -> Step:
        """Whether the claim is no wider than the sketches of the proof reach."""
        covered = "network" if self.certificate.network else "continuous"
        narrow = [] if self.certificate.network else narrowed(self.ground)
        return _step("what is covered", [f"all positions are claimed, but {why}" for why in narrow], covered)

    def _services(self) -> Step:
        """What each service costs in the design and at least anywhere, for the design's heater."""
        case = self._case(self._own())
        units, faults = self.certificate.fixed_units, list[str]()
        told = {s.service: s for s in self.certificate.services}
        if set(told) != set(case.ways):
            faults.append("the services are not those of the heater")
        for service in (s for s in case.ways if s in told):
            least = float(case.cheapest(service)[np.isfinite(case.limits_aside)].min(initial=np.inf))
            if least != told[service].least_units:
                faults.append(f"{service}: at least {least:.0f} money units found, {told[service].least_units} told")
            own = self._own_units(service)
            if own != told[service].design_units:
                faults.append(f"{service}: {own} money units in the design found, {told[service].design_units} told")
            units += told[service].design_units
        if self.certificate.limits != limits_of(self.design.heater.vent, self.design.outdoors):
            faults.append("the limits are not those of the heater")
        if units != self.certificate.cost_units:
            faults.append(f"services and all else add up to {units} money units")
        return _step("cost of each service", faults, "least anywhere, and in the design")

    def _own_units(self, service: Service) -> int:
        """Money units of a run of the design, works on old pipe and weighed waiting included."""
        units = self.prices.of_route(self.design, service)
        if service is Service.GAS:
            units += self.prices.of_works(self.design)
        if service is Service.HOT and self.ground.waiting is not None:
            units += self.ground.waiting.of(self._hot())
        return units

    def _staircase(self) -> Step:
        """Every step of the gas sizes is found again."""
        if not self.certificate.gas:
            return Step("gas sizes", Outcome.CONFIRMED, "no staircase is told; bounds hold without")
        known = GasSteps(self.survey, self.design.heater).at_nodes(self.ground.ends[Service.GAS].anchors)
        wrong = (g for g in self.certificate.gas if not _is_known(g, known))
        faults = [text(phrase(f"branch {g.branch} over ", mm(g.held_mm)), self.survey.units) for g in wrong]
        return _step("gas sizes", faults, f"{len(self.certificate.gas)} steps")

    def _bounds(self) -> Iterator[Step]:
        """Every printed bound, and that no place is cheaper than the design."""
        for told in self.certificate.cases:
            if time.monotonic() > self.deadline:
                yield Step(f"bounds of {_name(told)}", Outcome.NOT_CONFIRMED, "time was up")
                continue
            case = self._case(told)
            faults = list(_changed(told, case))
            yield _step(f"bounds of {_name(told)}", faults, f"{len(told.surfaces)} surfaces, limits aside")
            if not faults:
                yield self._proven(told, self._held(case))

    def _held(self, case: Case) -> CaseVerdict:
        return holds(case, self.certificate.cost_units, self.certificate.network, self.deadline)

    def _proven(self, told: CaseBounds, found: CaseVerdict) -> Step:
        name = f"nothing cheaper with {_name(told)}"
        if found.held is Held.YES:
            return Step(name, Outcome.CONFIRMED, "at every place of its network")
        on = "" if found.surface is None else f" on {self._surface(found.surface)}"
        if found.held is Held.CHEAPER:
            return Step(name, Outcome.REFUSED, f"{found.units} money units are found{on}")
        return Step(name, Outcome.NOT_CONFIRMED, f"bound {found.units} money units{on}: {found.why}")

    def _surface(self, index: int) -> str:
        walls = self.ground.sheets.walls
        return walls[index].face.id if index < len(walls) else self.ground.building.facades[index - len(walls)].id

    def _own(self) -> CaseBounds:
        own = self.design.heater.label, self.design.outdoors
        return next(c for c in self.certificate.cases if (c.label, c.outdoors) == own)

    @cached_property
    def _oblique(self) -> bool:
        """Whether a tail sets out along none of the frame's axes."""
        every = (a for ends in self.ground.ends.values() for a in ends.every)
        return any(first_axis(a.tail) == OBLIQUE for a in every)

    def _need(self, case: CaseBounds) -> Need:
        return next(n for n in self.ground.needs if (n.heater.label, n.outdoors) == (case.label, case.outdoors))

    def _case(self, told: CaseBounds) -> Case:
        return Case(self._board(told), self._need(told), told.loose)

    def _board(self, told: CaseBounds) -> Board:
        key = (told.board, "", False) if told.loose else (told.board, told.label, told.outdoors)
        if key not in self._boards:
            active, sheets = self.certificate.boards[told.board], self.ground.sheets
            heights = heights_of(active.planes, sheets, None if told.loose else self._need(told))
            outdoors = any(n.outdoors for n in self.ground.needs) if told.loose else told.outdoors
            network = Network(sheets, active.planes, heights, outdoors, self._oblique)
            self._boards[key] = Board(self.ground, self.prices, active, network)
        return self._boards[key]


def _size(planes: Planes, sheets: Sheets) -> int:
    """About how many places planes cut the sheets into: each height may bring two more."""
    x, y, z = len(planes.x), len(planes.y), 3 * (len(planes.z) + len(planes.hub))
    skew = sum(map(len, planes.skew.values()))
    walls = sum((len(planes.skew.get(w.face.id, ())) if w.is_skew else (x, y)[w.axis]) * z for w in sheets.walls)
    return walls + x * y * len(sheets.ceilings) + skew * z


def _changed(told: CaseBounds, case: Case) -> Iterator[str]:
    """Surfaces whose bound is found otherwise."""
    found = dict.fromkeys(sorted(set(case.places.surface.tolist())), np.inf)
    for surface in found:
        found[surface] = float(case.limits_aside[case.places.surface == surface].min())
    listed = {b.surface: np.inf if b.units is None else float(b.units) for b in told.surfaces}
    if len(listed) != len(told.surfaces) or set(listed) != set(found):
        yield "the surfaces are not those on which it may hang"
        return
    for surface, units in listed.items():
        if found[surface] != units:
            yield f"surface {surface}: {found[surface]:.0f} money units found, {units:.0f} told"


def _is_known(step: GasStep, known: set[TapStep]) -> bool:
    taps = tuple(sorted((t.node, t.units, t.before_mm) for t in step.taps))
    return (step.feed, step.branch, step.held_mm, taps) in known


def _name(told: CaseBounds) -> str:
    return f"{told.label} outdoors" if told.outdoors else told.label


def _step(name: str, faults: list[str], held: str) -> Step:
    return Step(name, Outcome.REFUSED, "; ".join(faults)) if faults else Step(name, Outcome.CONFIRMED, held)
