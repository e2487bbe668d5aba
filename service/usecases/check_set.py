"""Check a set of designs that somebody hands in, one for each dwelling of a survey: each beside all others, and all
together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import dist

from service.building.build import build
from service.building.model import Building
from service.check.check import findings
from service.check.jointly import joint_findings
from service.check.neighbours import as_left
from service.clearance.assumed import assumptions, warnings
from service.design import CostLine, Design, JointDesign, Renewal, Route, Service, Sleeve
from service.piping.feeds import option_keys
from service.siting.shared_gas import Hung, SharedSupply, SharedTap, shared_supply
from service.survey.model import GasSegment, GasSupply, Point3, Survey
from service.usecases.results import BROKEN, SetReport

ON_PIPE_MM = 2
"""A tap is on a pipe if it is no farther from it; a turned plan is rounded on the way."""


@dataclass(frozen=True, slots=True)
class HandedIn:
    """A set as it is told: designs by dwelling, and what they share."""

    designs: tuple[tuple[str, Design], ...]
    renewals: tuple[Renewal, ...]
    keys: tuple[str, ...]
    sleeves: tuple[Sleeve, ...]
    lines: tuple[CostLine, ...]
    total_cents: int
    pressure_option: str | None = None


def check_set(survey: Survey, told: HandedIn) -> SetReport:
    """Findings on each design beside the others, and on all together; lawful only if every dwelling has a whole design,
    nothing failed and nothing is unknown.

    Raises KeyError for an unknown rule set, ValueError for a gas run that ends on no pipe.
    """
    building = build(survey)
    joint = as_joint(survey, building, told)
    together = joint_findings(survey, building, joint)
    dwellings = {d.id: d for d in survey.dwellings}
    each = []
    for name, design in joint.designs:
        left = as_left(survey, building, joint, dwellings[name])
        each.append((name, findings(left.survey, left.building, design)))
    every = [*together, *(f for _, found in each for f in found)]
    return SetReport(
        lawful=all(d.whole for _, d in joint.designs) and not any(f.verdict in BROKEN for f in every),
        designs=tuple(each),
        findings=together,
        building=building,
        assumptions=(*survey.assumptions, *building.assumptions, *assumptions(building, survey)),
        warnings=(*survey.warnings, *building.warnings, *warnings(building, survey)),
    )


def as_joint(survey: Survey, building: Building, told: HandedIn) -> JointDesign:
    """The set with its one gas system: the surveyed one, cut where branches leave. ValueError as ``tap_of``."""
    shared = shared_by(survey, building, told)
    starts = {s.end: s.start for s in shared.supply.segments}
    leaves_at = {name: starts[node] for name, node in shared.heaters.items()}
    designs = tuple((name, _ending(d, name, leaves_at)) for name, d in told.designs)
    return JointDesign(
        designs, shared.supply, tuple(shared.heaters.items()), told.renewals, told.keys, told.lines, told.total_cents,
        told.sleeves, told.pressure_option,
    )  # fmt: skip


def shared_by(survey: Survey, building: Building, told: HandedIn) -> SharedSupply:
    """The surveyed gas system with all branches of a set. ValueError as ``tap_of``."""
    hung = [Hung(name, d, tap_of(survey, building, _gas_run(d)), _room(building, d)) for name, d in told.designs]
    return shared_supply(survey, building, hung)


def keys_of(gas: GasSupply, pressure: str | None) -> tuple[str, ...]:
    """Price keys of what comes with a delivery pressure, by its id; none for one that is not offered."""
    return option_keys(next((o for o in gas.pressure_options if o.id == pressure), None))


def tap_of(survey: Survey, building: Building, route: Route) -> SharedTap:
    """Where a gas run leaves the surveyed system: at the node or pipe that it names, else at the nearest pipe under its
    end. ValueError if there is none."""
    end, frame = route.pieces[-1].end, building.frame
    places = {n.id: frame.to_frame3(n.at) for n in survey.gas.nodes}
    at = [n for n, p in places.items() if dist(p, end) <= ON_PIPE_MM]
    named = [s for s in survey.gas.segments if s.id == route.end_id]
    every = [s for s in (*named, *survey.gas.segments) if _off_mm(places, s, end) <= ON_PIPE_MM]
    if at and (route.end_id in at or not named):
        return SharedTap(route.end_id if route.end_id in at else at[0], end)
    if not every:
        raise ValueError(f"the gas run ends at {route.end_id}, where no pipe of the survey is")
    far = places[every[0].end]
    cut = every[0].length_mm - sum(abs(a - b) for a, b in zip(end, far, strict=True))
    return SharedTap(every[0].id, end, min(max(cut, 0), every[0].length_mm))


def _off_mm(places: Mapping[str, Point3], segment: GasSegment, end: Point3) -> float:
    """How far a point is from a pipe, taken as straight [mm]."""
    a, b = places[segment.start], places[segment.end]
    along = [q - p for p, q in zip(a, b, strict=True)]
    square = sum(d * d for d in along)
    reached = sum(d * (v - p) for d, v, p in zip(along, end, a, strict=True)) / square if square else 0.0
    share = min(max(reached, 0.0), 1.0)
    return dist([p + share * d for p, d in zip(a, along, strict=True)], end)


def _gas_run(design: Design) -> Route:
    route = design.route(Service.GAS)
    if route is None:
        raise ValueError("it has no gas run")
    return route


def _room(building: Building, design: Design) -> str | None:
    return next((f.room_id for f in building.faces if f.id == design.mount.face_id), None)


def _ending(design: Design, name: str, leaves_at: Mapping[str, str]) -> Design:
    """A design whose gas run ends at the node that its branch leaves from, which a cut pipe has of its own."""
    routes = (replace(r, end_id=leaves_at[name]) if r.service is Service.GAS else r for r in design.routes)
    return replace(design, routes=tuple(routes))
