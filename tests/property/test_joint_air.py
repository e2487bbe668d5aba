"""Heaters that take their air from one room: each is counted with the other there, as a house with one heater and an
appliance in that room would have it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.settings import Settings
from service.siting import jointly
from service.survey.divided import of_dwelling
from service.survey.model import Appliance, Survey
from service.usecases.place import place
from service.usecases.results import Placement, Status
from tests.once import placed
from tests.unit.joint_house import parallel

SETTINGS = Settings(solver_seconds=60)
ROOM_AIR = "nc-room-120"


def house() -> Survey:
    """Two heaters in one room, out of one another's way at its two ends."""
    return parallel((ROOM_AIR,), apart=1_900)


def air_lines(answer: Placement, index: int) -> dict[str, int]:
    """What one of a set pays for air [cents]."""
    assert answer.dwellings is not None
    lines = answer.dwellings.designs[index][1].design.lines
    return {line.key: line.amount_cents for line in lines if line.key.startswith("air.")}


def test_air_is_that_of_both() -> None:
    """Not what one alone needs, but what one needs beside an appliance of the same input in the room."""
    survey = house()
    found = placed(survey, SETTINGS)
    assert found.status is Status.OPTIMAL
    own = of_dwelling(survey, survey.dwellings[0])
    other = Appliance("other", "water_heater", own.heaters[0].input_max_w, False, "left", own.gas.delivery_node)
    beside = replace(own, gas=replace(own.gas, appliances=(*own.gas.appliances, other)))
    alone, together = (_air(place(s, SETTINGS)) for s in (own, beside))
    assert alone != together
    assert [air_lines(found, i) for i in (0, 1)] == [together, together]


def _air(answer: Placement) -> dict[str, int]:
    return {line.key: line.amount_cents for line in answer.designs[0].design.lines if line.key.startswith("air.")}


def test_splitting_by_wall_changes_no_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is met; without it no set is proven to cost more, or found to cost less."""
    found = placed(house(), SETTINGS)
    met: list[float] = []
    more = jointly.more_air
    monkeypatch.setattr(jointly, "more_air", lambda *args: met.append(more(*args)) or 0.0)
    plain = place(house(), SETTINGS)
    assert any(met)
    assert plain.proof.cost_cents is not None and found.proof.cost_cents is not None
    assert plain.proof.bound_cents is not None
    assert plain.proof.bound_cents <= found.proof.cost_cents <= plain.proof.cost_cents
