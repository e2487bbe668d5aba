"""Schema of rooms that share air, and from it and the plot's facts on air to the survey's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from service.http.fields import Choice, Measure
from service.http.schemas.base import Strict, identifier
from service.http.schemas.notes import Notes
from service.rules.rulesets import rule_set
from service.rules.tables import table
from service.survey.model import Joined, JoinedBy
from service.units import Quantity

Entry = Mapping[str, Any]
MM2_PER_M2 = 1e6
MOST_AREA_M2 = 1e3


class JoinedSchema(Strict):
    """Another room that shares air with this one for good; free areas that are not given count as none."""

    room = identifier(required=True)
    by = Choice(JoinedBy, required=True)
    top_area = Measure(Quantity.OPENING_AREA, 0, MOST_AREA_M2)
    bottom_area = Measure(Quantity.OPENING_AREA, 0, MOST_AREA_M2)


def build_joined(entries: Sequence[Entry]) -> tuple[Joined, ...]:
    """The rooms that a room shares air with."""
    return tuple(Joined(e["room"], e["by"], _mm2(e.get("top_area")), _mm2(e.get("bottom_area"))) for e in entries)


def build_house_air(entry: Entry, rule_set_id: str, notes: Notes) -> dict[str, Any]:
    """How tight the house is and its air changes an hour; what is not known is told, with what is made of it."""
    tight, changes = entry.get("tight"), entry.get("air_changes")
    if rule_set(rule_set_id).country == "ca":
        if tight is None:
            notes.assume("Not said whether the house is built tight, taken as tight for combustion air")
    elif tight is None and changes is None:
        least = table("combustion_air").constant("air_changes_compulsory")
        notes.assume(
            f"Air changes of the house not given, taken as at least {least:.2f} an hour: the standard method for "
            "combustion air may be used"
        )
    return {"tight": tight, "air_changes_per_h": changes}


def _mm2(area_m2: float | None) -> float | None:
    return None if area_m2 is None else area_m2 * MM2_PER_M2
