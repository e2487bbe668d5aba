"""Contradictions of a heater's listing for outdoors."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.equipment import Heater


def outdoor_faults(place: str, heater: Heater) -> Iterator[Fault]:
    """A listing that is denied, an outlet beside the case or above it."""
    listing = heater.outdoor
    if listing is None:
        return
    if not heater.outdoor_listed:
        yield Fault(f"{place}/outdoor", "contradiction", "the heater is said not to be listed for outdoors")
    if listing.flue.dx_mm > heater.width_mm:
        yield Fault(f"{place}/outdoor/flue/dx", "outside_case", "the outlet is beyond the case's right edge")
    if listing.flue.up_mm > heater.height_mm:
        yield Fault(f"{place}/outdoor/flue/up", "outside_case", "the outlet is above the case")
