"""Limits of the service: one frozen class, each field with its unit, default and upper bound."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, get_type_hints

PREFIX = "SITING_"


def _limit(default: float, top: float, unit: str, text: str) -> Any:
    """Dataclass field whose description names unit, default and upper bound."""
    description = f"{text} [{unit}], default {default}, at most {top}"
    return field(default=default, metadata={"description": description, "unit": unit, "top": top})


@dataclass(frozen=True, slots=True)
class Settings:
    """What a request may ask for at most. A request may lower a limit, never raise it."""

    body_bytes: int = _limit(1_000_000, 20_000_000, "bytes", "size of a request body")
    depth: int = _limit(32, 100, "levels", "nesting of arrays and objects in a body")
    string_length: int = _limit(200, 2_000, "characters", "length of any string")
    storeys: int = _limit(6, 12, "items", "storeys of a survey")
    rooms: int = _limit(80, 400, "items", "rooms of a survey, all storeys together")
    outline_points: int = _limit(64, 256, "points", "points of one outline")
    openings: int = _limit(200, 1_000, "items", "openings of a survey, neighbours' included")
    keep_outs: int = _limit(100, 500, "items", "keep-outs of a survey, all storeys together")
    roof_planes: int = _limit(40, 200, "items", "planes of a roof")
    heaters: int = _limit(24, 100, "items", "heaters to choose from")
    gas_nodes: int = _limit(201, 1_001, "items", "nodes of the gas piping")
    gas_segments: int = _limit(200, 1_000, "items", "segments of the gas piping")
    pressure_options: int = _limit(4, 10, "items", "delivery pressures that the gas supplier offers instead")
    water_points: int = _limit(200, 1_000, "points", "points of all water lines together")
    list_items: int = _limit(200, 1_000, "items", "items of any list that has no limit of its own")
    price_items: int = _limit(500, 2_000, "items", "prices that a survey overrides")
    coordinate_bound_m: int = _limit(500, 2_000, "m", "distance of any coordinate from the origin, and any length")
    alternatives: int = _limit(8, 20, "designs", "ranked designs in one answer")
    what_about: int = _limit(4, 12, "items", "places that one survey asks about")
    dwellings: int = _limit(12, 12, "items", "dwellings of a survey, each to have a heater")
    solver_seconds: float = _limit(10, 60, "s", "time for one solve")
    verify_seconds: float = _limit(60, 60, "s", "time for one re-check of a certificate")
    solver_mib: int = _limit(2_048, 65_536, "MiB", "memory of one solve, where solves have processes of their own")
    header_seconds: float = _limit(10, 60, "s", "time for the head of a request to arrive, from its first byte")
    body_seconds: float = _limit(20, 300, "s", "time for a request's body to arrive")
    concurrent_solves: int = _limit(2, 64, "solves", "solves under way in one process")

    def __post_init__(self) -> None:
        """Refuse a limit that is not positive or is beyond its upper bound.

        Raises:
            ValueError: which field, and its bound.
        """
        for f in fields(self):
            value = getattr(self, f.name)
            if not 0 < value <= f.metadata["top"]:
                raise ValueError(f"{PREFIX}{f.name.upper()} = {value}: above 0 and at most {f.metadata['top']}")

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> Settings:
        """Defaults overlaid with ``SITING_...`` variables.

        Raises:
            ValueError: a variable with our prefix that names no field, is no number, or is out of bounds.
        """
        kinds = get_type_hints(cls)
        given = {key.removeprefix(PREFIX).lower(): text for key, text in environment.items() if key.startswith(PREFIX)}
        if unknown := sorted(set(given) - set(kinds)):
            raise ValueError(f"unknown settings: {', '.join(PREFIX + name.upper() for name in unknown)}")
        return cls(**{name: kinds[name](text) for name, text in given.items()})
