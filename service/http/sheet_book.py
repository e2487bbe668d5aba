"""A request for sheets, solved or judged: what is told of it, and its sheets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from service.building.model import Building
from service.design import Design
from service.here_summary import reason_lines
from service.http.answer import placement_json
from service.http.compass import side
from service.http.given_json import given_json
from service.http.quantities import Quantities
from service.sheets.book import drawings, pages
from service.sheets.frame import Head
from service.sheets.gas_tree import Tell
from service.sheets.model import Drawing
from service.sheets.paper import Page
from service.sheets.subject import Subject
from service.survey.model import Point2, Survey
from service.units import Quantity, unit_name
from service.usecases.gas_results import GasReport
from service.usecases.pictured import Described, Installed, all_surfaces
from service.usecases.results import CheckReport, Deadlock, JointAnswer, Placement
from service.words import length_text

Json = dict[str, Any]
VERDICTS = {
    "optimal": "Lawful, and proven the cheapest",
    "feasible": "Lawful; not proven the cheapest",
    "infeasible": "NO LAWFUL DESIGN",
    "unknown": "NO DESIGN FOUND IN TIME",
    "lawful": "Lawful as handed in",
    "lawful_as_far_as_given": "LAWFUL AS FAR AS GIVEN: the design is not whole",
    "not_lawful": "NOT LAWFUL",
}


@dataclass(frozen=True)
class SheetBook:
    """A survey, the answer that its sheets tell, and the heaters that are drawn with what was found of them and their
    gas system (None: not told). ``deadlock``: why there are none; ``together``: what several heaters share."""

    survey: Survey
    building: Building
    answer: Json
    installed: tuple[Installed, ...]
    gas: GasReport | None
    deadlock: Deadlock | None = None
    together: JointAnswer | None = None

    @property
    def design(self) -> Design | None:
        """The first heater's design."""
        return next((one.design for one in self.installed), None)

    @property
    def told(self) -> list[tuple[str, Json]]:
        """What the answer tells of each design drawn, with the dwelling's name, which is empty where there is one."""
        together = self.answer.get("dwellings")
        if together is not None:
            return [(d["dwelling"], d) for d in together["designs"]]
        return [("", d) for d in self.answer["designs"][:1]]

    @property
    def verdict(self) -> str:
        """The answer's status in words, with the cost if there is one."""
        told = VERDICTS[self.answer["status"]]
        cost = self.answer["cost"]
        return told if cost is None else f"{told}: {cost:,.2f} {self.answer['units']['money']}"

    @cached_property
    def subject(self) -> Subject:
        """What the drawings tell of."""
        surfaces = all_surfaces(self.survey, self.building, self.installed, self.deadlock)
        shared = self.together
        return Subject(
            self.survey, self.building, self.installed, self.gas, surfaces, self.verdict, self._length, self._point,
            () if shared is None else shared.findings, () if self.installed else tuple(reason_lines(self.answer)),
            None if shared is None else shared.joint.supply, () if shared is None else shared.joint.renewals,
        )  # fmt: skip

    @cached_property
    def drawings(self) -> tuple[Drawing, ...]:
        """Views to scale, everything where it is."""
        return drawings(self.subject, apart=False)

    @cached_property
    def pages(self) -> tuple[Page, ...]:
        """All sheets."""
        head = Head(self.survey.name, self.verdict, self.origin, self.survey.units)
        return pages(self.subject, self.sides, self._tell(), head)

    @property
    def origin(self) -> str:
        """By which rules and prices, and by which service."""
        engine = self.answer["engine"]
        return f"Rule set {engine['rule_set']}, prices {engine['price_book']}, {engine['name']} {engine['version']}"

    @property
    def floors(self) -> dict[str, float]:
        """Height of the floor that each plan shows [mm], by the drawing's name."""
        return {d.name: d.floor_mm for d in self.drawings if d.floor_mm is not None}

    @property
    def sides(self) -> dict[str, str]:
        """To which side of the compass each facade looks."""
        return {f.id: side(f, self.building.frame) for f in self.building.facades}

    @cached_property
    def quantities(self) -> Quantities:
        """Figures in the survey's units."""
        return Quantities(self.survey.units, self.building.frame, self.survey.prices.currency)

    def _length(self, mm: float) -> str:
        return length_text(self.quantities.length(mm), self.answer)

    def _point(self, p: Point2) -> str:
        x, y = self.quantities.plan_point(p)
        return f"({x:.2f}, {y:.2f}) {self.answer['units']['length']}"

    def _tell(self) -> Tell:
        q, system = self.quantities, self.survey.units
        load, pressure = unit_name(Quantity.POWER, system), unit_name(Quantity.GAS_PRESSURE, system)

        def told(value: float | None, unit: str) -> str:
            return f"{value:,.6g} {unit}" if value is not None and abs(value) < 1e5 else f"{value:,.0f} {unit}"

        return Tell(
            self._length, lambda watts: told(q.load_or_none(watts), load),
            lambda pa: told(q.gas_pressure_or_none(pa), pressure),
        )  # fmt: skip


def of_placement(survey: Survey, placement: Placement) -> SheetBook:
    """The book of a survey that was solved; its first design is drawn, or that of every dwelling."""
    answer, building, together = placement_json(placement, survey), placement.building, placement.dwellings
    if together is not None:
        every = tuple(Installed(name, d.design, d.findings) for name, d in together.designs)
        return SheetBook(survey, building, answer, every, together.gas, together=together)
    best = tuple(Installed("", d.design, d.findings) for d in placement.designs[:1])
    gas = next((d.gas for d in placement.designs), None)
    return SheetBook(survey, building, answer, best, gas, placement.deadlock)


def of_design(survey: Survey, design: Design, report: CheckReport, described: Described) -> SheetBook:
    """The book of a design that was handed in and judged."""
    answer = given_json(survey, design, report, described)
    gas = described.checked.gas if described.checked else None
    return SheetBook(survey, report.building, answer, (Installed("", design, report.findings),), gas)
