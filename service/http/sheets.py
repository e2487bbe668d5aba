"""``POST /v1/sheets``: a survey, solved, or a design of it, judged, as drawings and documents by ``Accept``."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from flask import Blueprint, Response, request

from service.errors import Fault, InvalidRequest
from service.http import exchange
from service.http.exchange import Operations
from service.http.json_writer import json_bytes
from service.http.media import DXF, JSON, PDF, preferred, read_body
from service.http.operations import answered
from service.http.prefer import applied, asked_wait, in_time, lowered
from service.http.sheet_book import SheetBook
from service.http.solving import Solved, Solver
from service.report import html
from service.report.content import report
from service.settings import Settings
from service.sheets import bill, geometry, svg

Json = dict[str, Any]
Writer = Callable[[SheetBook], bytes]


def index_bytes(book: SheetBook) -> bytes:
    """All sheets by name, each with its drawing, as JSON."""
    return json_bytes(
        {
            "status": book.answer["status"],
            "verdict": book.verdict,
            "cost": book.answer["cost"],
            "units": book.answer["units"],
            "sheets": [
                {"name": p.name, "title": p.title, "scale": p.scale, "about": p.about, "svg": svg.svg(p)}
                for p in book.pages
            ],
            "warnings": book.answer["warnings"],
            "cautions": book.answer["cautions"],
            "engine": book.answer["engine"],
        }
    )


def stacked_bytes(book: SheetBook) -> bytes:
    """All sheets one below the other, in one image."""
    return svg.stacked(book.pages).encode()


def bill_bytes(book: SheetBook) -> bytes:
    """Bill of materials."""
    return bill.bill_csv(book.answer)


def dxf_bytes(book: SheetBook) -> bytes:
    """Plans and elevation."""
    from service.sheets.dxf import dxf  # its library takes long to load, and few ask for this

    return dxf(book.drawings, book.building.frame.angle_rad, book.floors)


def geometry_bytes(book: SheetBook) -> bytes:
    """House and installation as features in local metres."""
    return json_bytes(geometry.geometry(book.subject))


def page_bytes(book: SheetBook) -> bytes:
    """The report as a page."""
    return html.page(report(book)).encode()


def pdf_bytes(book: SheetBook) -> bytes:
    """The report to print."""
    from service.report import pdf  # likewise

    return pdf.pdf(report(book))


WRITERS: dict[str, Writer] = {
    JSON: index_bytes,
    svg.MEDIA_TYPE: stacked_bytes,
    html.MEDIA_TYPE: page_bytes,
    PDF: pdf_bytes,
    bill.MEDIA_TYPE: bill_bytes,
    DXF: dxf_bytes,
    geometry.MEDIA_TYPE: geometry_bytes,
}
"""What sheets can be had as; the first where the caller takes anything."""
MEDIA, SHEET_MEDIA = tuple(WRITERS), (svg.MEDIA_TYPE,)
_TEXTS = (svg.MEDIA_TYPE, html.MEDIA_TYPE, bill.MEDIA_TYPE)


def made(write: Writer, body: bytes, settings: Settings, operations: Operations) -> Solved:
    """A survey's sheets, as a piece of work that may be done in another process."""
    book = exchange.sheet_book(body, settings, operations)
    return Solved(write(book), str(book.answer["status"]), book.answer.get("gap"))


def blueprint(settings: Settings, solver: Solver) -> Blueprint:
    """The routes; ``solver`` is that of all other solves."""
    routes = Blueprint("sheets", __name__, url_prefix="/v1")

    def run(media: str, write: Writer) -> Response:
        wait, body = asked_wait(request), read_body(request, settings)
        work = in_time(partial(made, write), wait)
        solved = answered("sheets", solver, work, body, lowered(settings.solver_seconds, wait))
        kind = f"{media}; charset=utf-8" if media in _TEXTS else media
        policy = {"Content-Security-Policy": html.policy()} if media == html.MEDIA_TYPE else {}
        fields = {"Cache-Control": "no-store", "Vary": "Accept", **policy, **applied(wait)}
        return Response(solved.content, content_type=kind, headers=fields)

    @routes.post("/sheets")
    def sheets() -> Response:
        media = preferred(request, *MEDIA)
        return run(media, WRITERS[media])

    @routes.post("/sheets/<sheet>")
    def sheet(sheet: str) -> Response:
        return run(svg.MEDIA_TYPE, partial(one_sheet, name=sheet))

    return routes


def one_sheet(book: SheetBook, name: str) -> bytes:
    """One sheet as SVG. Raises InvalidRequest, with the names that there are, for any other name."""
    for page in book.pages:
        if page.name == name:
            return svg.svg(page).encode()
    known = ", ".join(p.name for p in book.pages)
    raise InvalidRequest((Fault("#", "unknown_sheet", f"the sheets of this survey are {known}"),))
