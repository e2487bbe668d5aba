"""Sheets as files of a directory; names are ours alone, so nothing that a survey says gets into a path."""

from __future__ import annotations

import re
from collections.abc import Iterator

from service.http.media import DXF, PDF
from service.http.sheet_book import SheetBook
from service.http.sheets import WRITERS
from service.report import html
from service.sheets import bill, geometry, svg

NAMES = {
    html.MEDIA_TYPE: "report.html",
    PDF: "report.pdf",
    bill.MEDIA_TYPE: "bill.csv",
    DXF: "drawings.dxf",
    geometry.MEDIA_TYPE: "geometry.json",
}
"""What each form but SVG is called."""


_NAME = re.compile(r"[a-z]+(-[a-z0-9]+)*")


def file_of(sheet: str) -> str:
    """File of a sheet by its name. Raises ValueError for a name that no sheet has."""
    if not _NAME.fullmatch(sheet):
        raise ValueError(f"no sheet is called {sheet!r}")
    return f"{sheet}.svg"


def files(book: SheetBook) -> Iterator[tuple[str, bytes]]:
    """Name and content of every file."""
    for page in book.pages:
        yield file_of(page.name), svg.svg(page).encode()
    for media, name in NAMES.items():
        yield name, WRITERS[media](book)
