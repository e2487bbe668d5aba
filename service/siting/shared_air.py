"""Combustion air that several heaters take from one space. It is counted with each of them where it is known that the
others hang there and take it; until then, where it would decide, a node is split by wall."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from service.design import Design
from service.piping.extended import HEATER_KIND
from service.siting.air_plan import AirPlan
from service.siting.costing import fixed_units
from service.siting.dwelling_search import DwellingSearch, Held, Region
from service.siting.needs import Need, extras_in, hanging_name
from service.siting.splitting import Helds, split_by_heater
from service.survey.equipment import Draft
from service.survey.model import Appliance

MUCH = 0.25
"""Ways to tap, and walls, are few beside places: they are settled first where so much of a gap is theirs."""


def room_of(search: DwellingSearch, held: Held) -> str | None:
    """The room in which a dwelling's heater surely hangs and takes its air; None where that is not settled."""
    walls = [r.surface_id for r in held.mounts if not r.outside]
    if not walls or not all(_takes_air(n) for n in search.seen.needs if held.takes(n.name)):
        return None
    return next((f.room_id for f in search.part.faces if f.id == walls[0]), None)


def more_air(searches: Sequence[DwellingSearch], helds: Helds, designs: Sequence[Design]) -> float:
    """What air costs the heaters of some designs more, all of them together, than was counted for each [money units];
    infinite where one of them then cannot have any."""
    units, count = 0.0, range(len(designs))
    for k in count:
        unknown = [i for i in count if i != k and room_of(searches[i], helds[i]) is None]
        units += _more(searches[k], designs[k], [b for i in unknown for b in _burners(searches[i], designs[i])])
    return units


def split_by_wall(
    searches: Sequence[DwellingSearch], helds: Helds, designs: Sequence[Design]
) -> list[Helds] | None:
    """Hold a heater that takes its room's air to the wall on which it was found, or to any other; its kind is settled
    before. None where the rooms of all are known."""
    for k, (search, held, design) in enumerate(zip(searches, helds, designs, strict=True)):
        if not _takes_air(_need(search, design)) or room_of(search, held) is not None:
            continue
        if parts := split_by_heater(searches, helds, designs, (k,)):
            return parts
        walls = (Region(design.mount.face_id, outside=outside) for outside in (False, True))
        return [(*helds[:k], replace(held, mounts=(*held.mounts, w)), *helds[k + 1 :]) for w in walls]
    return None


def _takes_air(need: Need) -> bool:
    return not need.outdoors and need.heater.draft is not Draft.DIRECT


def _need(search: DwellingSearch, design: Design) -> Need:
    name = hanging_name(design.heater, design.outdoors)
    return next(n for n in search.seen.needs if n.name == name)


def _burners(search: DwellingSearch, design: Design) -> Iterable[Appliance]:
    """A heater as the air of its room knows it; none where it takes no room's."""
    if _takes_air(_need(search, design)):
        room, name = search.building.face(design.mount.face_id).room_id, search.dwelling.id
        yield Appliance(name, HEATER_KIND, design.heater.input_max_w, False, room, "")


def _more(search: DwellingSearch, design: Design, burners: Sequence[Appliance]) -> float:
    """What a heater's air costs more beside others."""
    if not burners or not _takes_air(_need(search, design)):
        return 0.0
    alone, beside = (_units(search, design, more) for more in ((), burners))
    return beside - alone


def _units(search: DwellingSearch, design: Design, more: Sequence[Appliance]) -> float:
    survey, gas = search.survey, search.survey.gas
    seen = replace(survey, gas=replace(gas, appliances=(*gas.appliances, *more)))
    room = search.building.room(search.building.face(design.mount.face_id).room_id)
    extras = extras_in(AirPlan(seen, search.building), seen, room, _need(search, design))
    return float("inf") if extras is None else float(fixed_units(design.heater, survey.prices, extras))
