"""All sheets of one installation in their order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.sheets.elevation import elevations
from service.sheets.facades import facade_pages
from service.sheets.frame import Head
from service.sheets.gas_tree import Tell, gas_pages
from service.sheets.layout import sheets_of
from service.sheets.model import Drawing
from service.sheets.paper import Page
from service.sheets.plan import plans
from service.sheets.subject import Subject


def drawings(subject: Subject, apart: bool = True) -> tuple[Drawing, ...]:
    """Views to scale: plans of the storeys touched, elevations of each terminal's facade. ``apart``: runs that lie over
    each other are drawn side by side, to be read; else each where it is, to be measured."""
    return (*plans(subject, apart), *elevations(subject))


def pages(subject: Subject, sides: dict[str, str], tell: Tell, head: Head) -> tuple[Page, ...]:
    """Every sheet; ``sides`` tells to which side of the compass each facade looks."""
    made = list(_pages(subject, sides, tell, head))
    return tuple(replace(p, about=f"Sheet {n} of {len(made)}. {p.about}") for n, p in enumerate(made, 1))


def _pages(subject: Subject, sides: dict[str, str], tell: Tell, head: Head) -> Iterator[Page]:
    for drawing in drawings(subject):
        yield from sheets_of(drawing, head)
    if subject.gas is not None:
        yield from gas_pages(subject.gas, subject.survey.gas.delivery_node, tell, head)
    yield from facade_pages(subject, sides, head)
