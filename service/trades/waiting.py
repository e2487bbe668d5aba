"""Time from opening a hot tap until hot water comes: the pipe's water runs off, and the burner has to light.

seconds = volume x mixing / flow + ignition. Source: table ``waiting``; good for a pipe that has gone cold.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.tables import table


@dataclass(frozen=True, slots=True)
class Wait:
    """Seconds at one fixture: ``first`` after installation or purge, at most; ``later`` at any later draw from a cold
    pipe, with its least and most; ``slug_after`` and ``slug`` a draw soon repeated: hot water stands in the pipe, then
    comes what ran through while the burner lit."""

    first: float
    later: float
    least: float
    most: float
    slug_after: float
    slug: float


def ignition_s() -> float:
    """Usual time until the heater gives hot water [s]. Source: common practice, middle of 6 to 8 s."""
    return table("waiting").constant("ignition")


def mixing() -> float:
    """How many times the pipe's volume runs off before hot water comes. Source: EPA label for homes 1.2 (read)."""
    return table("waiting").constant("mixing")


def purge_s(volume_m3: float, flow_m3_s: float) -> float:
    """Time to run off the water of a pipe [s]. Raises ValueError where nothing flows."""
    if flow_m3_s <= 0:
        raise ValueError("flow must be positive")
    return volume_m3 * mixing() / flow_m3_s


def wait_of(volume_m3: float, flow_m3_s: float) -> Wait:
    """All times of a fixture behind a volume of pipe [m3] at its flow [m3/s]."""
    value, purge = table("waiting").constant, purge_s(volume_m3, flow_m3_s)
    return Wait(
        first=purge + value("ignition_first"),
        later=purge + value("ignition"),
        least=purge + value("ignition_least"),
        most=purge + value("ignition_most"),
        slug_after=volume_m3 / flow_m3_s,
        slug=value("ignition"),
    )


def purge_units_per_mm(units_per_s: float, area_m2: float, flow_m3_s: float) -> int:
    """Price of the waiting that one millimetre of pipe brings a fixture, whole money units: ``units_per_s`` is the
    price of a second at this fixture, ``area_m2`` the pipe's cross-section. Rounded once, so that sums are exact."""
    return round(units_per_s * purge_s(area_m2 / 1000, flow_m3_s))
