"""What is decided, and why nothing else: sections of the report that come first and last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from service.explain_summary import explain_lines
from service.here_summary import deadlock_lines, here_lines
from service.http.sheet_book import SheetBook
from service.report.model import Block, Bullets, Facts, Section, Table, Words
from service.sheets.facades import coverage_words
from service.summary import alarm_lines, alternative_lines, decision_lines, status_lines

Json = dict[str, Any]
_TERM = 10
"""How wide the terms of a summary's lines are [letters]."""


def decision(book: SheetBook) -> Section:
    """The verdict in facts, and what of it is open."""
    answer, designs = book.answer, book.answer["designs"]
    lines: list[str] = []
    if designs and {"mount", "terminal"} <= set(designs[0]):
        lines += decision_lines(designs[0], answer)
    if "proof" in answer:
        lines += status_lines(answer)
    facts = tuple((line[:_TERM].strip(), line[_TERM:].strip()) for line in lines)
    blocks: list[Block] = [Words(f"{book.verdict}.", strong=True)]
    if facts:
        blocks.append(Facts(facts))
    blocks += _broken(designs, answer)
    others = [line.strip() for line in alternative_lines(answer)[2:]] if "proof" in answer else []
    if others:
        blocks += [Words("Alternatives:"), Bullets(tuple(others))]
    return Section("decision", "Decision", tuple(blocks))


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
    rows = tuple(
        (f"{r.kind} {r.surface_id}", book.sides.get(r.surface_id, ""), coverage_words(subject, r.coverage))
        for r in subject.surfaces
    )
    blocks: list[Block] = [
        Table("Where the terminal may be", ("Surface", "Looks", "What is free, and what each rule takes alone"), rows)
    ]
    for lines in (deadlock_lines, here_lines, explain_lines):
        told = tuple(line.strip() for line in lines(book.answer) if line.strip()) if "proof" in book.answer else ()
        blocks += [Words(f"{told[0].rstrip(':')}:"), Bullets(told[1:])] if told else []
    return Section("elsewhere", "Why not elsewhere", tuple(blocks))


def open_points(answer: Json) -> Section:
    """Assumptions and open questions."""
    questions = tuple(dict.fromkeys(_questions(answer)))
    blocks: list[Block] = []
    if questions:
        blocks += [Words("To be found out:"), Bullets(questions)]
    if answer["warnings"]:
        blocks += [Words("To be looked at:"), Bullets(tuple(answer["warnings"]))]
    blocks += [Words("Taken as given:"), Bullets(tuple(answer["assumptions"]) or ("Nothing.",))]
    return Section("open", "Assumptions and open questions", tuple(blocks))


def _questions(answer: Json) -> Iterator[str]:
    for design in answer["designs"][:1]:
        yield from (f"{f['missing']} ({f['rule']})" for f in design["clearances"] if f["missing"])


def cautions(answer: Json) -> Section:
    """What can kill, and who prevails; where alarms are asked for."""
    alarms = tuple(line.strip() for line in alarm_lines(answer)[2:])
    more: tuple[Block, ...] = (Words("Alarms asked for:"), Bullets(alarms)) if alarms else ()
    return Section("cautions", "Cautions", (Bullets(tuple(answer["cautions"])), *more))
