"""The bungalow with far baths: waits by hand, and what a second must be worth for a dearer vent to win."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from service.design import Design, Service
from service.http.schemas import load_survey
from service.settings import Settings
from service.usecases.place import place
from service.usecases.results import CheckedDesign
from tests.scenarios.scenarios import document, expected, solved

NAME = "far_bath_bungalow"
HAND: dict[str, Any] = expected(NAME)["waiting"]
FT, OZ_PER_GAL = 304.8, 128.0
THREE_QUARTERS, HALF = 5.2224 * 0.785**2, 5.2224 * 0.545**2
"""Ounces a foot: 12 x pi / 4 x 128 / 231 = 5.2224 times the bore squared (computed)."""


@cache
def at_price(cents: int) -> CheckedDesign:
    """The cheapest design at a price of a second."""
    raw = document(NAME)
    raw["preferences"] = {**raw["preferences"], "waiting_cents_per_second": cents}
    return place(load_survey(raw, Settings()), Settings()).designs[0]


def vent_cents(design: Design) -> int:
    """What the vent costs."""
    return sum(line.amount_cents for line in design.lines if line.trade == "vent")


def mean_s(found: CheckedDesign) -> float:
    """Mean wait as told."""
    assert found.waiting is not None and found.waiting.mean_s is not None
    return found.waiting.mean_s


def test_a_dearer_vent_wins_by_the_price_of_waiting() -> None:
    """Below the break-even the corner with the short vent wins, above it the linen room with the dearer one."""
    near, far = at_price(HAND["loses_at"]).design, solved(NAME).design
    assert near.mount.face_id.startswith("ground/utility") and far.mount.face_id.startswith("ground/linen-room")
    assert vent_cents(far) > 1.5 * vent_cents(near)
    assert at_price(0).design.mount.face_id.startswith("ground/utility")


def test_break_even() -> None:
    """Cost by which the linen room is dearer over seconds by which it is faster."""
    near, far = at_price(HAND["loses_at"]), solved(NAME).answer.designs[0]
    dearer = far.design.total_cents - near.design.total_cents
    assert dearer / (mean_s(near) - mean_s(far)) == pytest.approx(HAND["break_even_cents"], rel=0.002)


def test_waits_by_hand() -> None:
    """From the linen room: run, connection, old pipe to each supply, half-inch pipe to the fixture; 1.2 times the
    volume at the fixture's flow, and 7 s."""
    design, waiting = solved(NAME).design, solved(NAME).answer.designs[0].waiting
    route = design.route(Service.HOT)
    assert route is not None and waiting is not None
    tap_x = solved(NAME).answer.building.frame.to_survey3(route.pieces[-1].end)[0] / FT
    branch = (route.length_mm + 300) / FT
    # where each supply leaves (38.., 18.5, 7.3) eastward, how long it is, and the flow
    shower = branch + (48 - tap_x), 4.5 + 1.3, 2.0
    basin = branch + (44 - tap_x), 4.5 + 4.3, 1.5
    sink = branch + (tap_x - 34.7) + 4.8 + (34.7 - 14), 0.2 + 4.3, 1.8
    for told, (old, stub, gpm) in zip(waiting.fixtures, (shower, basin, sink), strict=True):
        gallons = (old * THREE_QUARTERS + stub * HALF) / OZ_PER_GAL
        assert told.wait is not None
        assert told.wait.later == pytest.approx(gallons * 1.2 / gpm * 60 + 7, rel=0.005)


def test_the_objective_is_paid_and_weighed() -> None:
    """The bill holds no waiting; bound and objective do."""
    proof, design = solved(NAME).answer.proof, solved(NAME).design
    assert design.total_cents == sum(line.amount_cents for line in design.lines) == proof.cost_cents
    assert proof.weighed_cents == round(mean_s(solved(NAME).answer.designs[0]) * 2500)
    assert proof.objective_cents == proof.bound_cents == design.total_cents + (proof.weighed_cents or 0)
