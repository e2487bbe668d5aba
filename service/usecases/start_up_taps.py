"""Hot taps at which the temperature is read."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

from service.building.model import Building
from service.design import Design
from service.survey.model import Survey
from service.usecases.power_report import port_of


@dataclass(frozen=True, slots=True)
class Tap:
    """A fixture with its straight distance from the heater [mm] and its storey, "" for one in none."""

    id: str
    kind: str
    distance_mm: int
    storey: str


def taps_of(survey: Survey, building: Building, design: Design) -> tuple[Tap, ...]:
    """The nearest hot fixture of each storey, the nearest of all first."""
    here = port_of(design, building)
    found = sorted(
        (
            Tap(f.id, f.kind, round(dist(here, building.frame.to_frame3(f.at))), _storey_at(survey, f.at[2]))
            for f in survey.water.fixtures
        ),
        key=lambda tap: (tap.distance_mm, tap.id),
    )
    nearest: dict[str, Tap] = {}
    for tap in found:
        nearest.setdefault(tap.storey, tap)
    return tuple(nearest.values())


def _storey_at(survey: Survey, z_mm: int) -> str:
    return next((s.id for s in survey.storeys if s.floor_z_mm <= z_mm < s.ceiling_z_mm), "")
