"""Who judges the designs that a house is told of, by the checker alone: one heater by itself, or one beside others."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from service.building.model import Building
from service.check.check import findings
from service.check.jointly import pair_findings
from service.check.neighbours import Left, as_left, beside
from service.design import Design, Finding, JointDesign, Part
from service.survey.model import Survey
from service.usecases.checked import CheckedDesign
from service.usecases.lawful import passed
from service.usecases.margin import margin_mm

Judge = Callable[[Survey, Building, Design], CheckedDesign]
PLACES = frozenset({Part.MOUNT, Part.TERMINAL, Part.INTAKE})
"""What of a design another heater may be in the way of."""


@dataclass(frozen=True, slots=True)
class Inspector:
    """Judges a house with one heater. ``judge`` has a design checked and reported on whole."""

    judge: Judge

    def seen(self, survey: Survey, building: Building) -> Left:
        """Survey and house as a design is judged in them."""
        return Left(survey, building)

    def findings(self, survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
        """Everything that was checked of a design, or of the parts of it that are given."""
        left = self.seen(survey, building)
        return findings(left.survey, left.building, design)

    def lawful(self, survey: Survey, building: Building, design: Design) -> None:
        """CheckFailed if a rule fails or stays unknown: that is our fault, never the caller's."""
        passed(self.findings(survey, building, design))

    def checked(self, survey: Survey, building: Building, design: Design) -> CheckedDesign:
        """The design with all that is told of it. CheckFailed as for ``lawful``."""
        left = self.seen(survey, building)
        return self.judge(left.survey, left.building, design)

    def margin_mm(self, survey: Survey, building: Building, design: Design) -> int:
        """By how much more than asked its terminal keeps from everything [mm]."""
        left = self.seen(survey, building)
        return margin_mm(left.survey, left.building, design)


@dataclass(frozen=True, slots=True)
class BesideOthers(Inspector):
    """Judges the heater of one dwelling while all others stay as a set of designs has them. ``whole`` is the survey of
    all dwellings; surveys and houses that are asked about are as that dwelling has them."""

    whole: Survey
    joint: JointDesign
    dwelling_id: str

    def seen(self, survey: Survey, building: Building) -> Left:
        """With the intakes and cases of the others."""
        return beside(survey, building, self.joint, self.dwelling_id)

    def findings(self, survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
        """Of a whole design also what concerns it and the others together."""
        left = self.seen(survey, building)
        own = findings(left.survey, left.building, design)
        return (*own, *self._together(building, design)) if design.whole else own

    def checked(self, survey: Survey, building: Building, design: Design) -> CheckedDesign:
        """The design with all that is told of it. CheckFailed as for ``lawful``."""
        passed(tuple(self._together(building, design)))
        left = self.seen(survey, building)
        return self.judge(left.survey, left.building, design)

    def _together(self, building: Building, design: Design) -> Iterator[Finding]:
        """Whether the others could stay where they are."""
        others = {n: d for n, d in self.joint.designs if n != self.dwelling_id}
        joint = replace(self.joint, designs=(*others.items(), (self.dwelling_id, design)))
        yield from pair_findings(self.whole, building, joint, self.dwelling_id)
        for dwelling in (d for d in self.whole.dwellings if d.id in others):
            left = as_left(self.whole, building, joint, dwelling)
            yield from findings(left.survey, left.building, replace(others[dwelling.id], given=PLACES))
