"""Faults of the water entry that only the tables show."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.model import Preferences, WaterSupply
from service.trades.hot_side import hot_side


def waiting_faults(water: WaterSupply, wishes: Preferences) -> Iterator[Fault]:
    """What is lacking for a price on waiting: without it no wait could be told, and none may be left out."""
    if not wishes.waiting_cents_per_s:
        return
    place = "#/preferences/waiting_cents_per_second"
    if not water.fixtures:
        yield Fault(place, "missing_fact", "a price on waiting needs water.fixtures")
    for i, fixture in enumerate(water.fixtures):
        if fixture.flow_m3_s <= 0:
            yield Fault(f"#/water/fixtures/{i}/flow", "missing_fact", "a price on waiting needs a flow above nought")
    hot = hot_side(water)
    for i, (line, bore) in enumerate(zip(water.hot, hot.bores, strict=True)):
        if bore is None:
            detail = f"a price on waiting needs the bore of this pipe, and table water_pipe has no {line.material} pipe"
            yield Fault(f"#/water/hot/{i}/size", "missing_fact", f"{detail} of size {line.size}")
