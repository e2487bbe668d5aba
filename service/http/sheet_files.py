"""Sheets as files of a directory; names are ours alone, so nothing that a survey says gets into a path."""

from __future__ import annotations

from collections.abc import Iterator

from service.http.sheet_book import SheetBook
from service.sheets import svg


def files(book: SheetBook) -> Iterator[tuple[str, bytes]]:
    """Name and content of every file."""
    for page in book.pages:
        yield f"{page.name}.svg", svg.svg(page).encode()
