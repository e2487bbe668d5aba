"""Sheets as files of a directory; names are ours alone, so nothing that a survey says gets into a path."""

from __future__ import annotations

from collections.abc import Iterator

from service.http.sheet_book import SheetBook
from service.http.sheets import WRITERS
from service.report import html, pdf
from service.sheets import bill, dxf, geometry, svg

NAMES = {
    html.MEDIA_TYPE: "report.html",
    pdf.MEDIA_TYPE: "report.pdf",
    bill.MEDIA_TYPE: "bill.csv",
    dxf.MEDIA_TYPE: "drawings.dxf",
    geometry.MEDIA_TYPE: "geometry.json",
}
"""What each form but SVG is called."""


def files(book: SheetBook) -> Iterator[tuple[str, bytes]]:
    """Name and content of every file."""
    for page in book.pages:
        yield f"{page.name}.svg", svg.svg(page).encode()
    for media, name in NAMES.items():
        yield name, WRITERS[media](book)
