"""A start-up sheet as plain text to print and fill in."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

Json = dict[str, Any]
WIDTH = 108
BLANK = "________"


def start_up_text(answer: Json) -> str:
    """Sheet of the first design, of several dwellings one for each; a sentence where there is none."""
    if answer["dwellings"]:
        sheets = ("\n".join(_sheet(d, d["start_up"])) for d in answer["dwellings"]["designs"])
        return "\n\n\f".join(sheets)
    if not answer["designs"]:
        return f"No design, no start-up sheet: {answer['status']}."
    design = answer["designs"][0]
    return "\n".join(_sheet(design, design["start_up"]))


def _sheet(design: Json, sheet: Json) -> Iterator[str]:
    yield f"START-UP SHEET  {design['heater']['name']} ({design['heater']['id']}) {_place(design['mount'])}"
    yield ""
    yield "  ".join(f"{name.replace('_', ' ')} {BLANK}" for name in sheet["header"])
    yield ""
    yield "Licences asked for"
    for sentence in sheet["licences"]:
        yield from _wrapped(f"- {sentence}", 2)
    yield "Heed"
    for sentence in sheet["cautions"]:
        yield from _wrapped(f"! {sentence}", 2)
    for step in sheet["steps"]:
        yield from _step(step)
    yield ""
    yield "For the customer"
    for point in sheet["customer"]:
        yield from _wrapped(f"[ ] {point['text']}", 2)


def _place(mount: Json) -> str:
    return f"in {mount['room']}" if "room" in mount else f"outdoors on facade {mount['facade']}"


def _step(step: Json) -> Iterator[str]:
    yield ""
    yield f"{step['number']:>2}. [ ] {step['title']} - {step['who']}  [{_cited(step)}]"
    yield from _wrapped(step["action"], 8)
    if step["caution"]:
        yield from _wrapped(f"! {step['caution']}", 8)
    for reading in step["readings"]:
        yield from _wrapped(_reading(reading), 10)


def _reading(reading: Json) -> str:
    told = [f"{word} {reading[key]:g}" for key, word in
            (("expected", "expect"), ("low", "at least"), ("high", "at most")) if reading[key] is not None]  # fmt: skip
    limits = ", ".join(told) if told else f"from: {reading['from']}"
    cited = f" [{_cited(reading)}]" if told else ""
    return f"{reading['name']}: {BLANK} {reading['unit']}   ({limits}){cited}"


def _cited(entry: Json) -> str:
    """Citation and mark, once where they say the same."""
    mark, citation = str(entry["known_from"]).replace("_", " "), str(entry["citation"])
    return citation if mark in citation else f"{citation}; {mark}"


def _wrapped(text: str, indent: int) -> list[str]:
    pad = " " * indent
    return wrap(text, WIDTH, initial_indent=pad, subsequent_indent=pad + "  ")
