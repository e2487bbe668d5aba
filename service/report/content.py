"""The report's sections in their order: decision, pictures, figures, why not elsewhere, open questions, start-up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.http.sheet_book import SheetBook
from service.report import decision, explained, shared, tables
from service.report.model import Blanks, Block, Bullets, Picture, Reading, Report, Section, Step, Steps, Words
from service.sheets.frame import CAUTION

Json = dict[str, Any]
GOOD = ("optimal", "feasible", "lawful")


def report(book: SheetBook) -> Report:
    """All that is told of a book."""
    return Report(
        title=book.survey.name,
        verdict=book.verdict,
        good=book.answer["status"] in GOOD,
        caution=CAUTION,
        origin=book.origin,
        sections=tuple(_sections(book)),
    )


def _sections(book: SheetBook) -> Iterator[Section]:
    answer = book.answer
    yield decision.decision(book)
    yield Section("pictures", "Drawings", tuple(Picture(p) for p in book.pages))
    if answer.get("dwellings"):
        yield shared.bills(answer)
        yield tables.gas(answer["dwellings"]["shared"], answer, "Gas, shared by all")
        yield shared.beside(answer)
    for number, (dwelling, design) in enumerate(book.told, 1):
        yield from (_of(section, dwelling, number) for section in _figures(dwelling, design, answer))
    yield decision.elsewhere(book)
    yield from explained.sections(answer)
    yield decision.open_points(book)
    yield decision.cautions(answer)
    for number, (dwelling, design) in enumerate(book.told, 1):
        yield _of(_start_up(design), dwelling, number)


def _figures(dwelling: str, design: Json, answer: Json) -> Iterator[Section]:
    """Tables of one design; the gas system of several is told once."""
    yield tables.cost(design)
    yield tables.clearances(design, answer)
    if not dwelling:
        yield tables.gas(design, answer)
    yield tables.water(design, answer)
    yield tables.power(design)


def _of(section: Section, dwelling: str, number: int) -> Section:
    """The section as it is called where it is one dwelling's."""
    if not dwelling:
        return section
    return Section(f"{section.id}-{number}", f"{section.title} of {dwelling}", section.blocks)


def _start_up(design: Json) -> Section:
    """The sheet to be filled in on the day of installation."""
    sheet = design.get("start_up")
    if sheet is None:
        return Section("start-up", "Start-up sheet", (Words(f"No start-up sheet. {tables.NOT_TOLD}", strong=True),))
    points = tuple(Step(p["text"], "", "", "", "", ()) for p in sheet["customer"])
    blocks: tuple[Block, ...] = (
        Blanks(tuple(name.replace("_", " ") for name in sheet["header"])),
        Words("Licences asked for:"),
        Bullets(tuple(sheet["licences"])),
        Words("Heed:"),
        Bullets(tuple(sheet["cautions"])),
        Steps(tuple(_step(s) for s in sheet["steps"])),
        Words("For the customer:"),
        Steps(points, numbered=False),
    )
    return Section("start-up", "Start-up sheet", blocks)


def _step(step: Json) -> Step:
    readings = tuple(Reading(r["name"], r["unit"], _expected(r)) for r in step["readings"])
    return Step(step["title"], step["who"], step["action"], step["caution"], _cited(step), readings)


def _expected(reading: Json) -> str:
    told = [
        f"{word} {reading[key]:g}"
        for key, word in (("expected", "expect"), ("low", "at least"), ("high", "at most"))
        if reading[key] is not None
    ]
    return ", ".join(told) or f"from: {reading['from']}"


def _cited(step: Json) -> str:
    mark, citation = str(step["known_from"]).replace("_", " "), str(step["citation"])
    return citation if mark in citation else f"{citation}; {mark}"
