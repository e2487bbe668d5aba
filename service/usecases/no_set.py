"""Where no set of designs is lawful: the dwelling that is left without a heater, and what would open one for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.building.model import Building
from service.deadline import seconds_left
from service.design import Design, JointDesign
from service.siting.dwelling_zones import DwellingZones, Gas, Held, Share
from service.siting.neighbours import Neighbour
from service.siting.search import search
from service.siting.shared_gas import Hung, SharedSupply, shared_supply
from service.survey.divided import of_dwelling, passable_rooms
from service.survey.model import Dwelling, Survey
from service.usecases.deadlock import deadlock
from service.usecases.inspector import BesideOthers, Judge
from service.usecases.results import Deadlock


def no_set(
    survey: Survey, building: Building, without: Sequence[str], deadline: float, judge: Judge
) -> Deadlock | None:
    """Of the first dwelling that has no lawful design by itself (``without``), else of the first that has none once
    those before it have hung theirs, each where it is cheapest by then. None where each of them has one, so that it is
    the order, or works that all share, that leaves nothing; or where time, until ``deadline`` (``time.monotonic``) [s],
    was up before that was known."""
    hung: list[Hung] = []
    for dwelling in [d for d in survey.dwellings if d.id in without][:1] or survey.dwellings:
        shared = shared_supply(survey, building, hung)
        zones = _zones(survey, building, dwelling, shared, hung)
        ground = zones.ground(zones.survey, zones.whole)
        found = search(ground, zones, 1, deadline)
        if found.cut_off:
            return None
        if not found.designs:
            inspector = BesideOthers(judge, survey, _joint(hung, shared), dwelling.id)
            told = deadlock(ground, zones, seconds_left(deadline), inspector)
            return replace(told, dwelling=dwelling.id, beside=tuple(h.dwelling for h in hung))
        hung.append(_hung(building, dwelling, found.designs[0], shared))
    return None


def _zones(
    survey: Survey, building: Building, dwelling: Dwelling, shared: SharedSupply, hung: Sequence[Hung]
) -> DwellingZones:
    own = replace(of_dwelling(survey, dwelling), gas=replace(shared.supply, pressure_options=()))
    taps = None if dwelling.gas_taps is None else shared.names_of(dwelling.gas_taps)
    near = tuple(Neighbour(h.dwelling, h.design) for h in hung)
    return Share(own, building, passable_rooms(survey, dwelling)).seen(Held(beside=near), Gas(own.gas, taps))


def _joint(hung: Sequence[Hung], shared: SharedSupply) -> JointDesign:
    """Those that hang, with nothing done for all of them yet."""
    designs = tuple((h.dwelling, h.design) for h in hung)
    return JointDesign(designs, shared.supply, tuple(shared.heaters.items()), (), (), (), 0)


def _hung(building: Building, dwelling: Dwelling, design: Design, shared: SharedSupply) -> Hung:
    room = None if design.outdoors else building.face(design.mount.face_id).room_id
    return Hung(dwelling.id, design, shared.tap_of(building, design), room)
