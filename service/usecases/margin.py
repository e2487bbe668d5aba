"""By how much more than the rule set asks a terminal keeps from everything."""

from __future__ import annotations

from dataclasses import replace

from service.building.model import Building
from service.check.terminal import place_findings
from service.design import Design
from service.rules.rule import Subject
from service.survey.model import Survey
from service.usecases.checked import BROKEN

FARTHEST_MM = 3_000
"""Margins are looked for so far [mm]."""


def with_spare(survey: Survey, spare_mm: int) -> Survey:
    """The survey with so much more wanted beyond every distance that its rule set asks of terminals [mm]."""
    return replace(survey, site=replace(survey.site, spare_mm=survey.site.spare_mm + spare_mm))


def margin_mm(survey: Survey, building: Building, design: Design) -> int:
    """How much every distance that the rule set asks of vent terminal, intake or flue outlet may grow with the design
    still lawful by the checker [mm]; at most FARTHEST_MM. Distances of the case in its room, heights over a roof and
    limits of runs do not grow."""
    least, most = 0, FARTHEST_MM
    while least < most:
        middle = (least + most + 1) // 2
        if _is_lawful(with_spare(survey, middle), building, design):
            least = middle
        else:
            most = middle - 1
    return least


def _is_lawful(survey: Survey, building: Building, design: Design) -> bool:
    subjects = (Subject.TERMINAL, Subject.INTAKE)
    found = (f for subject in subjects for f in place_findings(survey, building, design, subject))
    return not any(f.verdict in BROKEN for f in found)
