"""What about here? The cheapest design through a place that the survey names, or what forbids it and by how much."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from service.building.model import Building, Facade
from service.clearance.model import FAR_MM, Zone
from service.clearance.pins import Pin
from service.design import NO_MOUNT, NO_TERMINAL, Design, Finding, Mount, Part, Terminal
from service.siting.ground import Ground
from service.siting.pinned import PinnedZones, indoors, to_vent_line
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.equipment import Heater
from service.survey.model import Question
from service.usecases.inspector import Inspector
from service.usecases.money import by_trade, cents_below
from service.usecases.results import BROKEN, CheckedDesign, HereAnswer, Refusal, Status
from service.usecases.status import status_of

NO_WAY = (
    "No single rule forbids the place, yet no design leads through it: there is no way for a run, a vent or gas run is "
    "beyond its limit, an intake of its own finds no place beside it, mount and terminal of one heater are not lawful "
    "at once, or another dwelling's heater is in the way."
)
NO_HEATER = "No heater that may hang in a room can be had in this house; the warnings tell why."


def what_about(
    question: Question,
    ground: Ground,
    zones: Zones,
    best: CheckedDesign | None,
    seconds: float,
    inspector: Inspector,
) -> HereAnswer:
    """The answer to one question within ``seconds`` [s], beside the ``best`` design of the house (None: there is none).

    CheckFailed of the ``inspector`` passes through.
    """
    ground, pinned = indoors(ground), PinnedZones(zones, question)
    outcome = search(ground, pinned, 1, time.monotonic() + seconds)
    status = status_of(outcome)
    found = next((inspector.checked(ground.survey, zones.whole, d) for d in outcome.designs), None)
    refused, why = against(ground, zones, pinned, inspector) if status is Status.INFEASIBLE else ((), "")
    bound = cents_below(outcome.bound_units)
    if found is None:
        return HereAnswer(question.id, status, None, None, None, bound, (), refused, why)
    cost, weighed = found.design.total_cents, found.design.weighed_cents or 0
    extra = () if best is None else more_by_trade(by_trade(found.design.lines), by_trade(best.design.lines))
    bound = cost + weighed if status is Status.OPTIMAL else bound
    return HereAnswer(question.id, status, found, cost, cost + weighed, bound, extra, refused, why)


def more_by_trade(here: dict[str, int], there: dict[str, int]) -> tuple[tuple[str, int], ...]:
    """How much more each trade costs here, trades in the order of the bills [cents]."""
    return tuple((trade, here.get(trade, 0) - there.get(trade, 0)) for trade in dict.fromkeys((*here, *there)))


def against(
    ground: Ground, zones: Zones, pinned: PinnedZones, inspector: Inspector
) -> tuple[tuple[Refusal, ...], str]:
    """What each heater breaks at a place that has no design, and what stands against it besides."""
    refused = _refusals(ground, zones, pinned, inspector)
    return refused, _why(ground, refused)


def _why(ground: Ground, refused: Sequence[Refusal]) -> str:
    """What stands against a place where no rule at the place itself does, for some heater."""
    if not ground.needs:
        return NO_HEATER
    is_open = {n.heater.label for n in ground.needs} != {h for r in refused for h in r.heaters}
    return NO_WAY if is_open else ""


def _refusals(ground: Ground, zones: Zones, pinned: PinnedZones, inspector: Inspector) -> tuple[Refusal, ...]:
    """What each heater breaks at the place, those that break the same told together."""
    groups: dict[tuple[Part, int, tuple[Finding, ...]], list[str]] = {}
    for need in ground.needs:
        for bare in _bare_designs(ground.building, zones, pinned, need.heater):
            found = inspector.findings(ground.survey, zones.whole, bare)
            broken = tuple(f for f in found if f.verdict in BROKEN)
            (part,) = bare.given
            z = bare.mount.bottom_z_mm if part is Part.MOUNT else bare.terminal.z_mm
            groups.setdefault((part, z, broken), []).append(need.heater.label)
    return tuple(Refusal(tuple(ids), part, z, broken) for (part, z, broken), ids in groups.items() if broken)


def _bare_designs(building: Building, zones: Zones, pinned: PinnedZones, heater: Heater) -> Iterator[Design]:
    """The mount alone and the terminal alone, as far as they are asked about."""
    if pinned.mounted is not None:
        face, s = building.face(pinned.mounted.surface_id), pinned.mounted.s_mm + to_vent_line(heater)
        z = _height(pinned.mounted, s, zones.mount(heater, face), (face.z0, face.z1))
        yield replace(_nothing(heater, Part.MOUNT), mount=Mount(face.id, s, z))
    if pinned.ended is not None:
        facade, s = building.facade(pinned.ended.surface_id), pinned.ended.s_mm
        z = _height(pinned.ended, s, zones.terminal(heater)[facade.id], _wall_ends(facade))
        yield replace(_nothing(heater, Part.TERMINAL), terminal=Terminal(facade.id, s, z))


def _nothing(heater: Heater, part: Part) -> Design:
    """A design in which one part alone is to be judged."""
    return Design(heater, NO_MOUNT, NO_TERMINAL, (), False, False, (), 0, given=frozenset({part}))


def _wall_ends(facade: Facade) -> tuple[int, int]:
    return min(z0 for _, _, z0, _ in facade.spans), max(z1 for _, _, _, z1 in facade.spans)


def _height(pin: Pin, s: int, zones: Sequence[Zone], ends: tuple[int, int]) -> int:
    """The height asked for, or the one at which the fewest rules forbid the place, the lowest of those [mm]."""
    if pin.z_mm is not None:
        return pin.z_mm
    edges = {z for zone in zones for z in _edges(zone) if ends[0] <= z <= ends[1]}
    return min(sorted({*ends, *edges}), key=lambda z: len({q.rule_id for q in zones if q.covers(s, z)}))


def _edges(zone: Zone) -> Iterator[int]:
    reach = int(zone.radius2**0.5) + 1 if zone.radius2 else 0
    return (z + d for z, d in product((zone.z0, zone.z1), (-reach, 0, reach)) if abs(z) < FAR_MM)
