"""From loaded water, drains and outlets to the survey's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.schemas.build_fixtures import build_fixtures
from service.http.schemas.notes import Notes, named
from service.survey.model import Circuit, Drain, Receptacle, WaterLine, WaterSupply

Entry = Mapping[str, Any]


def build_water(entry: Entry, notes: Notes) -> WaterSupply:
    """The water supply."""
    for key, words in (("static_pressure", "Static water pressure"), ("hardness", "Water hardness")):
        if key not in entry:
            notes.assume(f"{words} not given and not judged")
    return WaterSupply(
        cold=tuple(_line(e, named(e, "cold", i)) for i, e in enumerate(entry["cold"])),
        hot=tuple(_line(e, named(e, "hot", i)) for i, e in enumerate(entry["hot"])),
        static_pressure_pa=entry.get("static_pressure"),
        hardness_mg_l=entry.get("hardness"),
        fixtures=build_fixtures(entry.get("fixtures", []), notes),
        softener=entry.get("softener"),
    )


def build_drain(entry: Entry, index: int) -> Drain:
    """One drain."""
    return Drain(named(entry, "drain", index), entry["at"])


def build_receptacle(entry: Entry, index: int) -> Receptacle:
    """One outlet or panel."""
    return Receptacle(
        named(entry, "receptacle", index), entry["at"], entry.get("is_panel", False),
        _circuit(entry.get("circuit", {})), entry.get("gfci"), entry.get("free_spaces"),
    )  # fmt: skip


def _circuit(entry: Entry) -> Circuit:
    return Circuit(
        voltage_v=entry.get("voltage"),
        breaker_a=entry.get("breaker"),
        load_w=entry.get("present_load"),
        fixed_load_w=entry.get("fixed_load"),
        dedicated=entry.get("dedicated"),
        wire=entry.get("wire"),
        wire_length_mm=entry.get("wire_length"),
    )


def _line(entry: Entry, name: str) -> WaterLine:
    return WaterLine(name, tuple(entry["points"]), entry["size"], entry["material"])
