"""The long terrace: the standard vent is too short, the larger one or a heater with a longer allowance wins.

Each answer is held against brute force, and against what would be chosen were there no limit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.design import Design, Service
from service.survey.equipment import Heater, VentListing
from service.survey.model import Survey
from tests.property.brute_force import cheapest, lines_of
from tests.property.solving import CENT
from tests.property.solving import solved as searched
from tests.scenarios.scenarios import expected, solved, solved_by

NAME = "long_terrace"
HAND: dict[str, Any] = expected(NAME)["by_hand"]
ROUNDING_MM = 2
"""Feet are rounded to whole millimetres piece by piece."""
UNLIMITED_MM = 40_000


def heater(heater_id: str) -> Heater:
    """A heater of the plan."""
    return next(h for h in solved(NAME).survey.heaters if h.id == heater_id)


def offering(*heaters: Heater) -> Survey:
    """The plan with these heaters alone."""
    return replace(solved(NAME).survey, heaters=heaters)


def only(at: Heater, listing: VentListing, **changes: Any) -> Heater:
    """A heater listed with one vent, changed in some way that leaves its rise as it is."""
    as_listed = replace(at, vent=listing, vents=())
    changed = replace(as_listed, vent=replace(listing, **changes))
    first = listing.first_elbow_mm + as_listed.vent_rise_mm - changed.vent_rise_mm
    return replace(changed, vent=replace(changed.vent, first_elbow_mm=first))


def won(survey: Survey) -> Design:
    """Its cheapest design."""
    return solved_by(survey).designs[0].design


def test_larger_vent_wins_at_the_length_worked_out_by_hand() -> None:
    """12.0 m are enough, 7.5 and 9.0 are not."""
    design = solved(NAME).design
    run = design.route(Service.VENT)
    assert run is not None and run.equivalent_mm is not None
    assert (design.heater.label, run.option) == ("co-direct-120 with cc_pp_80_125", "cc_pp_80_125")
    assert run.elbows == HAND["elbows"] and run.limit_mm == HAND["limit"]
    assert run.equivalent_mm == pytest.approx(HAND["equivalent"], abs=ROUNDING_MM)


def test_no_standard_vent_reaches() -> None:
    """Of none of the heaters, but that of 199,000 Btu/h, whose standard vent is listed for as much."""
    plain = [only(h, h.listings[0]) for h in solved(NAME).survey.heaters if h.id != "co-direct-199"]
    assert max(h.vent.max_equivalent_mm for h in plain) < HAND["least_run"]
    assert searched(offering(*plain)).designs == []


def test_were_the_standard_vent_long_enough_it_would_win() -> None:
    """The same heater with both: the standard one is cheaper, and nothing but its limit is against it."""
    at = heater("co-direct-120")
    longer = only(at, at.listings[0], max_equivalent_mm=UNLIMITED_MM)
    both = replace(longer, vents=(longer.vent, at.listings[1]))
    assert (found := won(offering(both))).heater.label == "co-direct-120"
    assert found.total_cents < solved(NAME).design.total_cents


def test_heater_with_a_longer_allowance_wins() -> None:
    """Two heaters with one vent each: the cheap one does not reach, the dear one does; without limits it would not."""
    cheap, dear = heater("nc-direct-120"), heater("co-direct-199")
    short = only(cheap, cheap.listings[0])
    assert won(offering(short, dear)).heater.id == "co-direct-199"
    reaching = only(cheap, cheap.listings[0], max_equivalent_mm=UNLIMITED_MM)
    assert won(offering(reaching, dear)).heater.id == "nc-direct-120"


@pytest.mark.slow
@pytest.mark.parametrize("ids", [("co-direct-120",), ("nc-direct-120", "co-direct-199")])
def test_brute_force_comes_to_the_same(ids: tuple[str, ...]) -> None:
    """On a grid that holds the answer's own lines."""
    heaters = [heater(i) for i in ids]
    if len(heaters) > 1:
        heaters[0] = only(heaters[0], heaters[0].listings[0])
    survey = offering(*heaters)
    ours = won(survey)
    brute = cheapest(survey, lines_of(ours))
    assert brute is not None
    assert abs(brute[0] / CENT - ours.total_cents) <= 1
    assert brute[1].heater.label == ours.heater.label
