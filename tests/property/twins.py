"""The invented houses with twin-pipe heaters: exhaust and intake each have a terminal to place."""

from __future__ import annotations

from dataclasses import replace

from service.survey.equipment import Draft, Heater, Price, VentConstruction
from service.survey.intake_listing import IntakeListing, IntakeSide, LengthBasis
from service.survey.model import Survey

SYSTEM = "twin-test"
EVERY_SIDE = tuple(IntakeSide)
CENTS = {
    "pipe": 700, "elbow": 1900, "terminal": 4000, "intake_pipe": 500, "intake_elbow": 1500, "intake_terminal": 3600,
}  # fmt: skip


def with_twins(
    survey: Survey, basis: LengthBasis = LengthBasis.COMBINED, sides: tuple[IntakeSide, ...] = EVERY_SIDE,
    apart_mm: int = 305, longest_mm: int = 24_000,
) -> Survey:  # fmt: skip
    """The house with each of its heaters for rooms vented by twin pipe alone."""
    book = survey.prices
    prices = {f"vent.{SYSTEM}.{part}": _price(book["vent.ss4." + _like(part)], part) for part in CENTS}
    intake = IntakeListing(40, 60, apart_mm, sides, basis)
    heaters = tuple(_twin(h, intake, longest_mm) if h.indoors else h for h in survey.heaters)
    return replace(survey, heaters=heaters, prices=replace(book, items=book.items | prices))


def _like(part: str) -> str:
    return part.removeprefix("intake_")


def _price(like: Price, part: str) -> Price:
    return replace(like, key=f"vent.{SYSTEM}.{part}", cents=CENTS[part])


def _twin(heater: Heater, intake: IntakeListing, longest_mm: int) -> Heater:
    vent = replace(
        heater.vent, system=SYSTEM, pipe_radius_mm=40, terminal_radius_mm=60, max_equivalent_mm=longest_mm,
        max_elbows=None, construction=VentConstruction.TWIN, intake=intake, material=None,
    )  # fmt: skip
    return replace(heater, draft=Draft.DIRECT, vent=vent, vents=())
