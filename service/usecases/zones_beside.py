"""A house as one dwelling's heater sees it while a set of designs has all others hung and done."""

from __future__ import annotations

from dataclasses import replace

from service.building.model import Building
from service.check.neighbours import as_left
from service.design import JointDesign
from service.siting.dwelling_zones import DwellingZones, Gas, Held, Share
from service.siting.neighbours import Neighbour
from service.siting.shared_gas import SharedSupply
from service.siting.sleeves import as_passing
from service.survey.divided import of_dwelling, passable_rooms
from service.survey.model import Dwelling, Survey


def zones_beside(
    survey: Survey, building: Building, joint: JointDesign, shared: SharedSupply, dwelling: Dwelling
) -> DwellingZones:
    """The house as one dwelling's heater sees it while all others stay: with their heaters, on the gas as they leave
    it, all shared works done."""
    left = as_left(survey, building, joint, dwelling)
    own = replace(of_dwelling(survey, dwelling), gas=left.survey.gas, explain=survey.explain)
    others = tuple(Neighbour(name, design) for name, design in joint.designs if name != dwelling.id)
    passing = tuple(as_passing(sleeve) for sleeve in dict(joint.designs)[dwelling.id].sleeves)
    taps = None if dwelling.gas_taps is None else shared.names_of(dwelling.gas_taps)
    share = Share(own, building, passable_rooms(survey, dwelling))
    return share.seen(Held(beside=others, passing=passing), Gas(own.gas, taps))
