"""Counts in a raw document against the limits, before anything dear is done with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.errors import LimitExceeded
from service.settings import Settings

Container = dict[str, Any] | list[Any]

# Where (names along the way, list positions left out) -> limit for the sum of all lists found there.
_SUMS = {
    "storeys": ("storeys",),
    "rooms": ("storeys.rooms",),
    "openings": ("storeys.openings", "site.neighbour_walls.openings"),
    "keep_outs": ("storeys.keep_outs",),
    "roof_planes": ("roof.planes",),
    "heaters": ("heaters",),
    "gas_nodes": ("gas.nodes",),
    "gas_segments": ("gas.segments",),
    "pressure_options": ("gas.pressure_options",),
    "water_points": ("water.cold.points", "water.hot.points"),
    "price_items": ("prices.items",),
    "what_about": ("what_about",),
    "dwellings": ("dwellings",),
}
_SUMMED = {place: name for name, places in _SUMS.items() for place in places}


def check_limits(document: object, settings: Settings) -> None:
    """Hold a document to every limit on counts, string lengths and wishes.

    Raises:
        LimitExceeded: the first limit found broken.
    """
    totals = dict.fromkeys(_SUMS, 0)
    for place, value in _collections(document, ""):
        if (name := _SUMMED.get(place)) is not None:
            totals[name] += len(value)
            _hold(name, totals[name], settings)
        elif place.endswith(".outline") and isinstance(value, list):
            _hold("outline_points", len(value), settings)
        else:
            _hold("list_items", len(value), settings)
        _hold("string_length", _longest(value), settings)
    _check_wishes(document, settings)


def _hold(name: str, given: float, settings: Settings) -> None:
    limit = getattr(settings, name)
    if given > limit:
        raise LimitExceeded(name, given, limit)


def _collections(value: object, place: str) -> Iterator[tuple[str, Container]]:
    if isinstance(value, dict):
        yield place, value
        for key, item in value.items():
            yield from _collections(item, f"{place}.{key}" if place else key)
    elif isinstance(value, list):
        yield place, value
        for item in value:
            if not isinstance(item, dict | list):
                continue
            yield from _members(item, place)


def _members(item: Container, place: str) -> Iterator[tuple[str, Container]]:
    """A list's member: its own size is no matter of the list's limit, its fields are."""
    if isinstance(item, list):
        yield from _collections(item, f"{place}.*")
    else:
        yield f"{place}.*", item
        for key, value in item.items():
            yield from _collections(value, f"{place}.{key}")


def _longest(value: Container) -> int:
    strings = [*value, *value.values()] if isinstance(value, dict) else value
    return max([len(text) for text in strings if isinstance(text, str)], default=0)


def _check_wishes(document: object, settings: Settings) -> None:
    """A request may lower a limit, never raise it."""
    preferences = document.get("preferences") if isinstance(document, dict) else None
    for name in ("alternatives", "solver_seconds"):
        wish = preferences.get(name) if isinstance(preferences, dict) else None
        if isinstance(wish, int | float) and not isinstance(wish, bool):
            _hold(name, wish, settings)
