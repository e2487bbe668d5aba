"""What the sheets tell of: a house, and one installation in it if there is one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.building.model import Building
from service.design import Design, Finding
from service.survey.model import Point2, Survey
from service.usecases.gas_results import GasReport
from service.usecases.results import SurfaceRegions


@dataclass(frozen=True, slots=True)
class Subject:
    """A house with a design (None: none is lawful), what was found of it, its gas system (None: not told), and where
    a terminal may be on every facade and roof plane.

    ``say`` tells millimetres in the caller's units, ``say_point`` a plan point of the frame in the survey's axes.
    ``verdict``: in a few words whether the design is lawful.
    """

    survey: Survey
    building: Building
    design: Design | None
    findings: tuple[Finding, ...]
    gas: GasReport | None
    surfaces: tuple[SurfaceRegions, ...]
    verdict: str
    say: Callable[[float], str]
    say_point: Callable[[Point2], str]
