"""The report as PDF: the same content as the page of HTML, drawings on sheets of their own, every page numbered."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator

from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
)

from service.report.model import Picture, Report, Section, Steps
from service.report.pdf_blocks import flowables, heading, title_blocks
from service.sheets.letters import cut, harmless, plain
from service.sheets.paper import Page
from service.sheets.pdf_ink import draw, line

MARGIN_MM, FOOT_MM = 14.0, 7.0
_HIGH, _LEFT = A4[1] - 2 * MARGIN_MM * mm, 0.6
"""Room for words on a page [points], and the share of it that may stay empty before what begins a page of its own."""
_FOOT_SIZE = 7.0
_UPRIGHT, _WIDE = "upright", "wide"


def pdf(report: Report) -> bytes:
    """The whole document; the same report gives the same bytes."""
    out = io.BytesIO()
    document = BaseDocTemplate(
        out, pagesize=A4, title=plain(harmless(report.title)), author=plain(harmless(report.origin)),
        subject=plain(harmless(report.verdict)), invariant=1, lang="en",
    )  # fmt: skip
    document.addPageTemplates([_template(_UPRIGHT, A4), _template(_WIDE, landscape(A4))])
    document.build(list(_story(report)), canvasmaker=_numbered(report))
    return out.getvalue()


def _template(name: str, size: tuple[float, float]) -> PageTemplate:
    margin = MARGIN_MM * mm if name == _UPRIGHT else 0.0
    frame = Frame(margin, margin, size[0] - 2 * margin, size[1] - 2 * margin, 0, 0, 0, 0, id=name)
    return PageTemplate(id=name, frames=[frame], pagesize=size)


def _story(report: Report) -> Iterator[Flowable]:
    """Words in their order, the drawings between them as soon as no page is left all but empty before them."""
    waiting: list[Page] = []
    yield from title_blocks(report)
    for section in report.sections:
        waiting += [b.page for b in section.blocks if isinstance(b, Picture)]
        yield from _section(section)
        yield _Drawings(waiting, _LEFT * _HIGH)
    yield _Drawings(waiting, _HIGH)


def _section(section: Section) -> Iterator[Flowable]:
    if all(isinstance(b, Picture) for b in section.blocks):
        return
    if any(isinstance(b, Steps) for b in section.blocks):
        yield CondPageBreak(_LEFT * _HIGH)
    yield heading(section.title)
    for block in section.blocks:
        yield from flowables(block)


def _pictures(pages: list[Page]) -> Iterator[Flowable]:
    for page in pages:
        yield NextPageTemplate(_WIDE)
        yield PageBreak()
        yield _Sheet(page)
    yield NextPageTemplate(_UPRIGHT)
    yield PageBreak()


class _Drawings(Flowable):
    """Here drawings that wait get pages of their own, if the page so far is the first or leaves less than ``left``
    [points] empty."""

    def __init__(self, waiting: list[Page], left: float) -> None:
        super().__init__()
        self._waiting, self._left = waiting, left

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the library's names
        """Of no size itself."""
        if self._waiting and (self.canv.getPageNumber() == 1 or aH <= self._left):
            frame = self._frame  # type: ignore[attr-defined]  # set by whatever lays it out
            frame.add_generated_content(*_pictures(self._waiting))
            self._waiting.clear()
        return 0.0, 0.0

    def draw(self) -> None:
        """Nothing."""


class _Sheet(Flowable):
    """One sheet that takes up a whole page."""

    def __init__(self, page: Page) -> None:
        super().__init__()
        self._page = page

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the library's names
        """All that there is, less what its rounding might take for too much."""
        return aW, aH - 1.0

    def draw(self) -> None:
        """On the page's own origin."""
        self.canv.translate(0, -1.0)
        draw(self.canv, self._page)


def _numbered(report: Report) -> Callable[..., Canvas]:
    """A canvas that keeps its pages until it knows how many there are."""
    name = harmless(report.title)

    class Numbered(Canvas):
        def __init__(self, *args: object, **kwargs: object) -> None:
            super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # passed on as they come
            self._kept: list[dict[str, object]] = []

        def showPage(self) -> None:  # noqa: N802 - the library's name
            self._kept.append(dict(self.__dict__))
            self._startPage()  # type: ignore[attr-defined]  # the library's own way to keep a page

        def save(self) -> None:
            kept = self._kept
            for number, state in enumerate(kept, 1):
                self.__dict__.update(state)
                self._foot(f"Page {number} of {len(kept)}")
                super().showPage()
            super().save()

        def _foot(self, told: str) -> None:
            wide = float(self._pagesize[0])  # type: ignore[attr-defined]
            room = wide / mm - 2 * MARGIN_MM - 40.0
            y = (FOOT_MM - 4.0) * mm
            line(self, wide - MARGIN_MM * mm, y, told, _FOOT_SIZE, anchor="end")
            line(self, MARGIN_MM * mm, y, cut(name, _FOOT_SIZE / mm, room), _FOOT_SIZE)

    return Numbered
