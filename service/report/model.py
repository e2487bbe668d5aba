"""What a report is made of, without any look: sections of facts, tables, lists, pictures and forms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass

from service.sheets.paper import Fill, Ink, Page, Stroke


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; ``strong``: it must not be overlooked."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Terms, each with what is said of it."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Bullets:
    """Sentences one below the other."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; ``figures`` are the columns that hold numbers. ``total``: the last row is a sum."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: frozenset[int] = frozenset()
    total: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """One sheet of drawings."""

    page: Page


@dataclass(frozen=True, slots=True)
class Chart:
    """A small picture among the words [mm]; ``about`` says it in words."""

    inks: tuple[Ink, ...]
    wide: float
    high: float
    about: str


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to be filled in, each with its name."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure to be read and written down, and what is expected."""

    name: str
    unit: str
    expected: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step with a box to tick, in ``who``'s hands, and readings to take."""

    title: str
    who: str
    action: str
    caution: str
    source: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps in their order; ``numbered`` or plain points to be ticked off."""

    steps: tuple[Step, ...]
    numbered: bool = True


Block = Words | Facts | Bullets | Table | Picture | Chart | Blanks | Steps


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it; ``id`` is a name of ours, good for an anchor."""

    id: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """The whole report. ``good``: a lawful design is in hand."""

    title: str
    verdict: str
    good: bool
    caution: str
    origin: str
    sections: tuple[Section, ...]


def texts(part: object) -> Iterator[str]:
    """Every text in a part of a report, or in the whole."""
    if isinstance(part, str):
        yield part
    elif is_dataclass(part) and not isinstance(part, Stroke | Fill):
        for member in fields(part):
            yield from texts(getattr(part, member.name))
    elif isinstance(part, tuple):
        for one in part:
            yield from texts(one)
