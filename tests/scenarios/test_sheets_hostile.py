"""Hostile names do no harm in any form, and sheets stay in order with them."""

from __future__ import annotations

import csv
import io
from xml.etree import ElementTree

import ezdxf
import pytest
from lxml import html as lxml_html
from pypdf import PdfReader
from shapely import Polygon, STRtree

from service.http.sheets import bill_bytes, dxf_bytes, geometry_bytes, page_bytes, pdf_bytes
from service.http.strict_json import loads
from service.sheets.frame import MARGIN
from service.sheets.paper import A4_HIGH, A4_WIDE, Words
from service.sheets.svg import NAMESPACE, svg
from tests.property.depth import deep
from tests.scenarios.hostile import NAMES, book

PLANS = ("slab_house", "lake_cabin", "two_storey_basement")[: deep(3, 2)]
SVG_PARTS = {f"{{{NAMESPACE}}}{name}" for name in ("svg", "title", "rect", "path", "text")}
SAFE = {
    "html", "head", "meta", "title", "style", "body", "header", "h1", "h2", "bdi", "p", "nav", "ul", "ol", "li", "a",
    "main", "section", "dl", "dt", "dd", "div", "table", "caption", "thead", "tbody", "tr", "th", "td", "figure",
    "figcaption", "label", "input", "strong", "span", "footer", "svg", "rect", "path", "text",
}  # fmt: skip
"""Elements that our own template and drawings use."""
TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u200e\u200f\u061c\u200b")
"""Marks that turn the direction of writing round or hide; isolates that close are ours."""
BEGINS_A_FORMULA = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20")


@pytest.fixture(scope="module", params=PLANS)
def plan(request: pytest.FixtureRequest) -> str:
    """A plan; all tests of one come one after the other, so that it is solved once."""
    return str(request.param)


def test_svg_holds_nothing_but_drawing(plan: str) -> None:
    """No element, event or link of somebody else's; no mark that turns writing round."""
    for page in book(plan).pages:
        root = ElementTree.fromstring(svg(page))
        for element in root.iter():
            assert element.tag in SVG_PARTS
            assert not [a for a in element.attrib if a.lower().startswith("on") or a.lower().endswith("href")]
            assert not TURNING.intersection(element.text or "")


def test_sheets_stay_in_order(plan: str) -> None:
    """Words still do not overlap or leave the frame, though some are 190 wide letters."""
    for page in book(plan).pages:
        told = [(w.text, Polygon(w.corners()).buffer(-0.02)) for w in page.inks if isinstance(w, Words) and w.text]
        tree = STRtree([shape for _, shape in told])
        pairs = tree.query([shape for _, shape in told], predicate="intersects").T
        assert [(told[a][0], told[b][0]) for a, b in pairs if a < b] == []
        bounds = [shape.bounds for _, shape in told]
        assert all(x0 >= MARGIN and y0 >= MARGIN for x0, y0, _, _ in bounds)
        assert all(x1 <= A4_WIDE - MARGIN and y1 <= A4_HIGH - MARGIN for _, _, x1, y1 in bounds)


def test_the_page_holds_nothing_but_our_own_elements(plan: str) -> None:
    """Names are text; nothing is run, loaded or sent; templates are not expanded twice."""
    tree = lxml_html.fromstring(page_bytes(book(plan)).decode())
    assert {e.tag for e in tree.iter() if isinstance(e.tag, str)} <= SAFE
    for element in tree.iter():
        links = [v for a, v in element.attrib.items() if a.startswith("on") or a in ("href", "src", "action")]
        assert all(link.startswith("#") for link in links)
    text = tree.text_content()
    assert "<script>alert(1)</script>" in text
    assert "{{ 7 * 7 }}" in text
    assert not TURNING.intersection(text)


def test_the_bill_holds_no_formula(plan: str) -> None:
    """No cell that is not a number begins as one, even behind marks that are not seen."""
    for row in csv.reader(io.StringIO(bill_bytes(book(plan)).decode())):
        for cell in row:
            seen = cell.lstrip(" \u2068\u2069")
            assert not seen.startswith(BEGINS_A_FORMULA), cell


def test_formulas_are_quoted() -> None:
    """Each of the hostile names, as the description of a part."""
    from service.sheets.bill import _safe

    made = [str(_safe(name)) for name in (*NAMES, " =1", "\t=1", "'=1")]
    assert all(not m.lstrip(" \u2068\u2069").startswith(BEGINS_A_FORMULA) for m in made)
    assert _safe(-2.5) == -2.5


def test_dxf_is_sound_and_holds_no_codes(plan: str) -> None:
    """Readers know %% and backslashes in words as codes of their own."""
    document = ezdxf.read(io.StringIO(dxf_bytes(book(plan)).decode()))  # type: ignore[attr-defined]  # its public name
    assert document.audit().errors == []
    words = [t.dxf.text for t in document.modelspace().query("TEXT")]
    words += [d.dxf.text for d in document.modelspace().query("DIMENSION")]
    assert words
    assert not any("%%" in w or "\\" in w or "\n" in w for w in words)


def test_the_pdf_holds_text_alone(plan: str) -> None:
    """Names are letters, not markup; nothing to run, no links, no forms."""
    raw = pdf_bytes(book(plan))
    reader = PdfReader(io.BytesIO(raw))
    assert all("/Annots" not in page for page in reader.pages)
    assert not {"/OpenAction", "/AA", "/AcroForm", "/Names"} & set(reader.trailer["/Root"])
    text = "".join("".join(p.extract_text() for p in reader.pages).split())
    assert "<script>alert(1)</script>" in text
    assert "question mark" in " ".join(p.extract_text() for p in reader.pages)


def test_geometry_tells_names_as_they_are(plan: str) -> None:
    """JSON escapes what it must; programs get the very ids of the survey."""
    document = loads(geometry_bytes(book(plan)), 32)
    assert isinstance(document, dict)
    assert document["name"] == book(plan).survey.name
    rooms = {f["properties"]["id"] for f in document["features"] if f["properties"]["kind"] == "room"}
    assert rooms == {r.id for s in book(plan).survey.storeys for r in s.rooms}
