"""The generated houses with a heater that may hang outdoors beside theirs, its listing varied by seed. All invented."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from service.rules.catalogue import heaters
from service.survey.equipment import Draft, FlueOutlet, Heater
from service.survey.model import Preferences, Survey, WaterLine
from tests.property.houses import house

LISTED = heaters()["nc-outdoor-160"]
SYMMETRIC_DX = LISTED.width_mm // 2


def outdoor_house(seed: int) -> Survey:
    """House of a seed that allows the outdoors: an outdoor heater alone, or dearer or cheaper than those for rooms; in
    some houses one of those is listed for outdoors too."""
    at, r = house(seed), Random(f"outdoors {seed}")
    own = listed(r)
    others = () if r.random() < 0.5 else tuple(_both(r, h) for h in at.heaters)
    return replace(at, heaters=(own, *others), preferences=Preferences(outdoors=True))


def piped_outside(survey: Survey) -> Survey:
    """The same house with both water pipes outdoors, before the south wall of its first room."""
    room, water = survey.storeys[0].rooms[0], survey.water
    (x0, y), (x1, _) = room.outline[:2]
    z, middle = room.floor_z_mm, (x0 + x1) // 2

    def moved(line: WaterLine, x: int) -> WaterLine:
        return replace(line, points=((x, y - 450, z + 200), (x, y - 450, z + 900)))

    cold, hot = moved(water.cold[0], middle), moved(water.hot[0], middle + 250)
    return replace(survey, water=replace(water, cold=(cold,), hot=(hot,)))


def listed(r: Random) -> Heater:
    """The catalogue's outdoor heater with another outlet, other space round it, another price."""
    assert LISTED.outdoor is not None
    flue = FlueOutlet(SYMMETRIC_DX, r.choice((200, 505, 610)), r.choice((50, 90)), r.choice(list(Draft)))
    side = r.choice((0, 150))
    free = replace(LISTED.outdoor.clearances, left_mm=side, right_mm=side, top_mm=r.choice((100, 300)))
    own = replace(LISTED.outdoor, flue=flue, clearances=free, openings_mm=r.choice((0, 0, 900)))
    return replace(LISTED, outdoor=own, price_cents=r.choice((40_000, 90_000)), input_max_w=r.choice((35_000, 47_000)))


def _both(r: Random, heater: Heater) -> Heater:
    """A heater for rooms, now and then listed for outdoors too, its outlet at the middle of its case."""
    if r.random() < 0.6 or LISTED.outdoor is None:
        return heater
    flue = FlueOutlet(heater.width_mm // 2, 400, 60)
    return replace(heater, outdoor=replace(LISTED.outdoor, flue=flue, min_temperature_c=-5.0), outdoor_listed=True)
