"""From loaded hot-water fixtures to the survey's; a flow that is not given is that of law or code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from service.http.schemas.notes import Notes, named
from service.survey.model import Draw, Fixture
from service.trades.fixtures import default_flow
from service.units import Quantity, told

Entry = Mapping[str, Any]


def build_fixtures(entries: Sequence[Entry], notes: Notes) -> tuple[Fixture, ...]:
    """Fixtures with their places."""
    return tuple(Fixture(**_drawn(e, i, notes), at=e["at"]) for i, e in enumerate(entries))


def build_draws(entries: Sequence[Entry], notes: Notes) -> tuple[Draw, ...]:
    """Fixtures without a house."""
    return tuple(Draw(**_drawn(e, i, notes)) for i, e in enumerate(entries))


def _drawn(entry: Entry, index: int, notes: Notes) -> dict[str, Any]:
    name = named(entry, "fixture", index)
    return {
        "id": name,
        "kind": entry["kind"],
        "flow_m3_s": entry["flow"] if "flow" in entry else _usual_m3_s(entry["kind"], name, notes),
        "count": entry.get("count", 1),
        "use_temperature_c": entry.get("use_temperature"),
        "flow_is_given": "flow" in entry,
    }


def _usual_m3_s(kind: str, name: str, notes: Notes) -> float:
    usual = default_flow(kind)
    flow = told(Quantity.FLOW, usual.flow_m3_s, notes.system)
    notes.assume(f"Flow of {kind.replace('_', ' ')} not given, taken as {flow} ({usual.citation})", name)
    return usual.flow_m3_s
