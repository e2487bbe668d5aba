"""What is decided, and why nothing else: sections of the report that come first and last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from service.here_summary import here_lines
from service.http.sheet_book import SheetBook
from service.report import deadlock
from service.report.model import Block, Bullets, Facts, Section, Table, Words
from service.summary import alarm_lines, alternative_lines, decision_lines, status_lines
from service.usecases.results import SurfaceRegions

Json = dict[str, Any]
_SURFACE = ("Surface", "Looks", "Area free", "Some height free along", "of", "Rules, by area")
_TERM = 10
"""How wide the terms of a summary's lines are [letters]."""


def decision(book: SheetBook) -> Section:
    """The verdict in facts, and what of it is open."""
    answer = book.answer
    blocks: list[Block] = [Words(f"{book.verdict}.", strong=True)]
    for dwelling, design in book.told:
        if {"mount", "terminal"} <= set(design):
            blocks += [Words(f"{dwelling}:", strong=True)] if dwelling else []
            blocks.append(_facts(decision_lines(design, answer)))
    if "proof" in answer:
        blocks.append(_facts(status_lines(answer)))
    blocks += _broken([design for _, design in book.told], answer)
    others = [line.strip() for line in alternative_lines(answer)[2:]] if "proof" in answer else []
    if others:
        blocks += [Words("Alternatives:"), Bullets(tuple(others))]
    return Section("decision", "Decision", tuple(blocks))


def _facts(lines: Sequence[str]) -> Facts:
    """Lines of a summary as terms and what is said of each."""
    return Facts(tuple((line[:_TERM].strip(), line[_TERM:].strip()) for line in lines))


def _broken(designs: Sequence[Json], answer: Json) -> Iterator[Block]:
    """What a design that was handed in breaks, and what it leaves open."""
    broken = [f for d in designs for f in d["clearances"] if f["verdict"] in ("fail", "unknown")]
    if broken:
        rows = tuple((f["verdict"], f["rule"], f["subject"], f["object"], f["detail"], f["citation"]) for f in broken)
        yield Table("What stands against it", ("Verdict", "Rule", "Of", "To", "Found", "Source"), rows)
    if answer.get("not_given"):
        told = tuple(f"{p['part']}: {p['leaves_open']}" for p in answer["not_given"])
        yield Words("Not given, not judged:")
        yield Bullets(told)


def elsewhere(book: SheetBook) -> Section:
    """Why not on the other walls: what is closed, what would open something, and answers to what was asked."""
    subject = book.subject
    blocks: list[Block] = []
    for one, surfaces in subject.views():
        rows = tuple(_surface(book, r) for r in surfaces)
        whose = f"the terminal of {one.dwelling}" if one is not None and one.dwelling else "the terminal"
        caption = f"Where {whose} may be, and what each rule takes alone"
        blocks.append(Table(caption, _SURFACE, rows, frozenset({2, 3, 4})))
    if book.answer.get("deadlock"):
        blocks += deadlock.blocks(book.answer)
    told = tuple(line.strip() for line in here_lines(book.answer) if line.strip()) if "proof" in book.answer else ()
    blocks += [Words(f"{told[0].rstrip(':')}:"), Bullets(told[1:])] if told else []
    return Section("elsewhere", "Why not elsewhere", tuple(blocks))


def _surface(book: SheetBook, regions: SurfaceRegions) -> tuple[str, ...]:
    """A surface: what of its area is free, along how much of its length some height is, and which rules take the
    rest."""
    found, say = regions.coverage, book.subject.say
    side, name = book.sides.get(regions.surface_id, ""), f"{regions.kind} {regions.surface_id}"
    if not found.total_mm2:
        return name, side, "no wall", "", "", ""
    free = f"{found.free_mm2 / found.total_mm2:.1%}"
    lengths = ("", "") if found.kind == "roof" else (say(found.free_length_mm), say(found.length_mm))
    closed = dict(found.closed_by_rule)
    rules = (
        f"{rule} {mm2 / found.total_mm2:.0%}" + (f" (no height along {say(closed[rule])})" if closed.get(rule) else "")
        for rule, mm2 in found.by_rule
    )
    return name, side, free, *lengths, "; ".join(rules) or "none"


def open_points(book: SheetBook) -> Section:
    """Assumptions and open questions."""
    answer, questions = book.answer, tuple(dict.fromkeys(_questions(book)))
    blocks: list[Block] = []
    if questions:
        blocks += [Words("To be found out:"), Bullets(questions)]
    if answer["warnings"]:
        blocks += [Words("To be looked at:"), Bullets(tuple(answer["warnings"]))]
    blocks += [Words("Taken as given:"), Bullets(tuple(answer["assumptions"]) or ("Nothing.",))]
    return Section("open", "Assumptions and open questions", tuple(blocks))


def _questions(book: SheetBook) -> Iterator[str]:
    for _, design in book.told:
        yield from (f"{f['missing']} ({f['rule']})" for f in design["clearances"] if f["missing"])


def cautions(answer: Json) -> Section:
    """What can kill, and who prevails; where alarms are asked for."""
    alarms = tuple(line.strip() for line in alarm_lines(answer)[2:])
    more: tuple[Block, ...] = (Words("Alarms asked for:"), Bullets(alarms)) if alarms else ()
    return Section("cautions", "Cautions", (Bullets(tuple(answer["cautions"])), *more))
