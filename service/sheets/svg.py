"""A page as SVG 1.1: one file of its own, or inline in a page of HTML."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as Xml

from service.sheets.letters import width_mm
from service.sheets.model import Ring
from service.sheets.paper import A4_HIGH, A4_WIDE, Ink, Page, Stroke, Words
from service.sheets.typefaces import first, has

NAMESPACE = "http://www.w3.org/2000/svg"
MEDIA_TYPE = "image/svg+xml"
TYPEFACES = "Verdana, 'DejaVu Sans', 'Bitstream Vera Sans', Arial, sans-serif"
_DECIMALS = 3


def svg(page: Page) -> str:
    """The page, of A4's size."""
    return picture(page.inks, A4_WIDE, A4_HIGH, page.about)


def picture(inks: Sequence[Ink], wide: float, high: float, about: str) -> str:
    """Inks on paper of any size [mm]."""
    root = Xml.Element("svg", {"xmlns": NAMESPACE, "version": "1.1", **_size(wide, high), "role": "img"})
    _fill(root, inks, wide, high, about)
    return Xml.tostring(root, encoding="unicode") + "\n"


def stacked(pages: Sequence[Page]) -> str:
    """All pages one below the other in one image."""
    root = Xml.Element("svg", {"xmlns": NAMESPACE, "version": "1.1", **_size(A4_WIDE, A4_HIGH * len(pages))})
    for k, page in enumerate(pages):
        part = Xml.SubElement(root, "svg", {"y": _number(k * A4_HIGH), **_box(A4_WIDE, A4_HIGH), "role": "img"})
        part.set("width", _number(A4_WIDE))
        part.set("height", _number(A4_HIGH))
        _fill(part, page.inks, A4_WIDE, A4_HIGH, page.about)
    return Xml.tostring(root, encoding="unicode") + "\n"


def _size(wide: float, high: float) -> dict[str, str]:
    return {"width": f"{wide:g}mm", "height": f"{high:g}mm", **_box(wide, high)}


def _box(wide: float, high: float) -> dict[str, str]:
    return {"viewBox": f"0 0 {wide:g} {high:g}", "font-family": TYPEFACES}


def _fill(parent: Xml.Element, inks: Sequence[Ink], wide: float, high: float, about: str) -> None:
    parent.set("aria-label", about)
    Xml.SubElement(parent, "title").text = about
    Xml.SubElement(parent, "rect", {"width": f"{wide:g}", "height": f"{high:g}", "fill": "#ffffff"})
    for ink in inks:
        _element(parent, ink)


def _element(parent: Xml.Element, ink: Ink) -> None:
    if isinstance(ink, Words):
        _words(parent, ink)
    elif isinstance(ink, Stroke):
        _stroke(parent, ink)
    else:
        path = " ".join(_path(r, closed=True) for r in ink.rings)
        Xml.SubElement(parent, "path", {"d": path, "fill": ink.colour, "fill-rule": "evenodd", "data-layer": ink.layer})


def _stroke(parent: Xml.Element, ink: Stroke) -> None:
    told = {"d": _path(ink.points, ink.closed), "fill": "none", "stroke": ink.pen.colour, "data-layer": str(ink.layer)}
    told["stroke-width"] = _number(ink.pen.width)
    if ink.pen.dashes:
        told["stroke-dasharray"] = " ".join(map(_number, ink.pen.dashes))
    Xml.SubElement(parent, "path", told)


def _words(parent: Xml.Element, ink: Words) -> None:
    told = {"x": _number(ink.x), "y": _number(ink.y), "font-size": _number(ink.size), "fill": ink.colour}
    told["data-layer"] = str(ink.layer)
    if ink.anchor != "start":
        told["text-anchor"] = ink.anchor
    if ink.bold:
        told["font-weight"] = "bold"
    if ink.angle:
        told["transform"] = f"rotate({_number(-ink.angle)} {_number(ink.x)} {_number(ink.y)})"
    if not all(has(first(ink.bold), c) for c in ink.text):
        # what a viewer puts in a missing letter's place may be of any width: hold it to what was measured
        told |= {"textLength": _number(width_mm(ink.text, ink.size, ink.bold)), "lengthAdjust": "spacingAndGlyphs"}
    Xml.SubElement(parent, "text", told).text = ink.text


def _path(points: Ring, closed: bool) -> str:
    moves = " ".join(f"{'L' if i else 'M'}{_number(x)} {_number(y)}" for i, (x, y) in enumerate(points))
    return f"{moves} Z" if closed else moves


def _number(value: float) -> str:
    return f"{round(value, _DECIMALS) + 0.0:g}"
