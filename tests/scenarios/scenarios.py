"""The sample plans with what is expected of each: loading, solving once, and where things are in words."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from service.building.build import build
from service.building.model import Building, Facade
from service.design import Design, Piece, Service, Terminal
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey, UnitSystem
from service.usecases.results import Placement
from tests.once import placed

HERE = Path(__file__).parent
PLANS = HERE.parents[1] / "sample_plans"
EXPECTED = HERE / "expected"
EVERY = tuple(sorted(path.stem for path in PLANS.glob("*.json")))
TOGETHER = ("flats_on_a_yard",)
"""Plans of several heaters, which have tests of their own."""
NAMES = tuple(name for name in EVERY if name not in TOGETHER)
SETTINGS = Settings(solver_seconds=60)
"""Time enough on a machine that does other things too."""
COMPASS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
MM_PER = {UnitSystem.US: 304.8, UnitSystem.SI: 1000.0}


@dataclass(frozen=True, slots=True)
class Solved:
    """A sample plan: its document, its survey, its answer, and what was expected."""

    name: str
    document: dict[str, Any]
    survey: Survey
    answer: Placement
    expected: dict[str, Any]

    @property
    def design(self) -> Design:
        """The cheapest design."""
        return self.answer.designs[0].design


def document(name: str) -> dict[str, Any]:
    """A plan's JSON as it stands in the file."""
    found: dict[str, Any] = json.loads((PLANS / f"{name}.json").read_text(encoding="utf-8"))
    return found


def expected(name: str) -> dict[str, Any]:
    """What is expected of a plan, with the reasoning."""
    return tomllib.loads((EXPECTED / f"{name}.toml").read_text(encoding="utf-8"))


def solved_by(survey: Survey) -> Placement:
    """The cheapest design alone."""
    alone = replace(survey, preferences=replace(survey.preferences, alternatives=1))
    return placed(alone, SETTINGS)


@cache
def solved(name: str) -> Solved:
    """A plan, solved once for all tests."""
    raw = document(name)
    survey = load_survey(raw, SETTINGS)
    return Solved(name, raw, survey, solved_by(survey), expected(name))


def with_designs() -> tuple[str, ...]:
    """Plans that have a lawful place."""
    return tuple(name for name in NAMES if expected(name)["status"] == "optimal")


def gas_run(plan: Solved) -> list[Piece]:
    """Pieces of the winner's gas run in the survey's coordinates."""
    frame, route = plan.answer.building.frame, plan.design.route(Service.GAS)
    assert route is not None
    return [replace(p, start=frame.to_survey3(p.start), end=frame.to_survey3(p.end)) for p in route.pieces]


def room_of(building: Building, design: Design) -> str:
    """Room in which the heater hangs, or ``outdoors``."""
    if design.outdoors:
        return "outdoors"
    return building.face(design.mount.face_id).room_id


def side_of(building: Building, facade: Facade) -> str:
    """Compass direction a facade looks in, the survey's y axis pointing north."""
    (ax, ay), (bx, by) = (building.frame.to_survey(p) for p in (facade.start, facade.end))
    outward = complex(by - ay, ax - bx)
    eighth = max(range(8), key=lambda k: (outward * (0.5**0.5 * (1 - 1j)) ** k).real)
    return COMPASS[eighth]


def terminal_at(survey: Survey, at: list[float], side: str) -> Terminal:
    """The terminal at a survey point [x, y, z] in the survey's lengths, on the nearest facade of a side."""
    building, mm = build(survey), MM_PER[survey.units]
    x, y = building.frame.to_frame((round(at[0] * mm), round(at[1] * mm)))

    def place_on(facade: Facade) -> tuple[float, float]:
        ux, uy = ((b - a) / facade.length_mm for a, b in zip(facade.start, facade.end, strict=True))
        dx, dy = x - facade.start[0], y - facade.start[1]
        along = dx * ux + dy * uy
        beyond = max(-along, along - facade.length_mm, 0.0)
        return abs(dx * uy - dy * ux) + beyond, along

    facade = min((f for f in building.facades if side_of(building, f) == side), key=lambda f: place_on(f)[0])
    return Terminal(facade.id, round(place_on(facade)[1]), round(at[2] * mm))
