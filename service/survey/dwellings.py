"""Dwellings that share a building and its gas system, each to have a heater; or heaters in parallel in one house."""

from __future__ import annotations

from dataclasses import dataclass

Ids = tuple[str, ...] | None
"""Names of things that a dwelling may use; None: all that the survey has."""


@dataclass(frozen=True, slots=True)
class Dwelling:
    """What one of several heaters serves.

    The heater hangs in one of ``rooms``; its pipes pass these and the rooms that no dwelling names. It is one of
    ``heaters``, takes water from ``water_lines``, serves ``fixtures``, drains to ``drains``, has power from
    ``receptacles`` and gas from ``gas_taps``, which are nodes or segments. None: all that there are. Heaters of one
    ``parallel`` name are joined, and each carries an even part of the demand of the same fixtures.
    """

    id: str
    rooms: Ids = None
    heaters: Ids = None
    water_lines: Ids = None
    fixtures: Ids = None
    drains: Ids = None
    receptacles: Ids = None
    gas_taps: Ids = None
    parallel: str | None = None
