"""Plans and elevations as DXF for planning tools: one drawing unit is a millimetre, layers are named VIEW-LAYER.

Plans lie in the survey's own axes, each at the height of its storey's floor; the elevations lie beside them.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from math import cos, sin

from ezdxf import options, units  # type: ignore[attr-defined]  # both are its public names
from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from service.sheets.letters import harmless
from service.sheets.model import Area, Dimension, Drawing, Item, Label, Layer, Line, Mark, Point
from service.sheets.style import HATCHES, PENS
from service.sheets.view import bounds_of

TEXT_MM = 90.0
"""Height of letters [mm of the house]."""
_BESIDE_MM, _LINE_TYPE_SCALE = 3000.0, 100.0
"""Between views, and what stretches the library's dashes, 2 to 4 mm long, until they show in a house [mm]."""
_STYLE, _DIMENSIONS = "SHEETS", "SHEETS"
_HATCH = "ANSI31"
options.write_fixed_meta_data_for_testing = True  # no dates, no random ids: the same request, the same bytes
To = Callable[[Point], tuple[float, float, float]]


def dxf(drawings: Sequence[Drawing], angle_rad: float, floors: dict[str, float]) -> bytes:
    """The whole views among the drawings; ``angle_rad`` turns the frame into the survey's axes, ``floors`` holds the
    height of each plan's floor [mm]."""
    document = new("R2010", setup=["linetypes"])
    document.header["$INSUNITS"], document.header["$LTSCALE"] = units.MM, _LINE_TYPE_SCALE
    document.styles.add(_STYLE, font="arial.ttf")
    _dimension_style(document)
    space, right = document.modelspace(), 0.0
    whole = [d for d in drawings if d.window is None]
    for drawing in whole:
        if drawing.name in floors:
            to = _turned(angle_rad, floors[drawing.name])
            right = max(right, *(to(p)[0] for p in _corners(drawing)))
    for drawing in whole:
        if drawing.name in floors:
            _draw(document, space, drawing, _turned(angle_rad, floors[drawing.name]))
        else:
            left, _, end, _ = bounds_of(drawing.items)
            _draw(document, space, drawing, _moved(right + _BESIDE_MM - left))
            right += _BESIDE_MM + end - left
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


def _corners(drawing: Drawing) -> list[Point]:
    x0, y0, x1, y1 = bounds_of(drawing.items)
    return [(x, y) for x in (x0, x1) for y in (y0, y1)]


def _turned(angle: float, z: float) -> To:
    c, s = cos(angle), sin(angle)
    return lambda p: (c * p[0] - s * p[1], s * p[0] + c * p[1], z)


def _moved(dx: float) -> To:
    return lambda p: (p[0] + dx, p[1], 0.0)


def layer_name(view: str, layer: Layer) -> str:
    """As planning tools list it."""
    return f"{view}-{layer}".upper()


def plain(text: str) -> str:
    """Words that no DXF reader takes for codes of its own: it knows %%, ^ and backslashes."""
    return harmless(text).replace("%%", "% %").replace("^", "\N{CARET}").replace("\\", "/")


def _dimension_style(document: Document) -> None:
    style = document.dimstyles.add(_DIMENSIONS)
    style.dxf.dimtxt, style.dxf.dimtsz, style.dxf.dimexo, style.dxf.dimexe = TEXT_MM, 50.0, 40.0, 60.0
    style.dxf.dimtxsty, style.dxf.dimgap, style.dxf.dimtad = _STYLE, 30.0, 1


def _draw(document: Document, space: Modelspace, drawing: Drawing, to: To) -> None:
    for item in drawing.items:
        name = layer_name(drawing.name, item.layer if hasattr(item, "layer") else Layer.DIMENSION)
        if name not in document.layers:
            document.layers.add(name, true_color=_colour(item), linetype=_linetype(item))
        _entity(space, item, to, name)


def _colour(item: Item) -> int:
    pen = PENS[getattr(item, "layer", Layer.DIMENSION)]
    return int(pen.colour.removeprefix("#"), 16)


def _linetype(item: Item) -> str:
    """The library's own line type nearest to the layer's dashes."""
    dashes = PENS[getattr(item, "layer", Layer.DIMENSION)].dashes
    return {0: "CONTINUOUS", 2: "DASHED", 4: "DASHDOT", 6: "DIVIDE"}[len(dashes)]


def _entity(space: Modelspace, item: Item, to: To, layer: str) -> None:
    attribs = {"layer": layer}
    if isinstance(item, Line):
        space.add_polyline3d([to(p) for p in item.points], close=item.closed, dxfattribs=attribs)
    elif isinstance(item, Area):
        _area(space, item, to, attribs)
    elif isinstance(item, Mark):
        space.add_circle(to(item.at), TEXT_MM / 2, dxfattribs=attribs)
    elif isinstance(item, Label):
        for k, line in enumerate(item.lines):
            x, y, z = to(item.at)
            place = (x + TEXT_MM / 2, y - k * TEXT_MM * 1.4, z)
            words = space.add_text(plain(line), height=TEXT_MM, dxfattribs={**attribs, "style": _STYLE})
            words.set_placement(place, align=TextEntityAlignment.LEFT)
    else:
        _dimension(space, item, to, layer)


def _area(space: Modelspace, item: Area, to: To, attribs: dict[str, str]) -> None:
    rings = [[to(p) for p in ring] for ring in item.rings]
    for ring in rings:
        space.add_polyline3d(ring, close=True, dxfattribs=attribs)
    if item.layer in HATCHES:
        hatch = space.add_hatch(dxfattribs={**attribs, "elevation": (0.0, 0.0, rings[0][0][2])})
        hatch.set_pattern_fill(_HATCH, scale=40.0, angle=HATCHES[item.layer].angle - 45.0)
        for ring in rings:
            hatch.paths.add_polyline_path([p[:2] for p in ring], is_closed=True)


def _dimension(space: Modelspace, item: Dimension, to: To, layer: str) -> None:
    a, b = to(item.start)[:2], to(item.end)[:2]
    off = item.off * 60.0
    if (round(b[0] - a[0]), b[1] - a[1]) < (0, 0.0):
        a, b, off = b, a, -off  # words are read from below or from the right
    made = space.add_aligned_dim(
        p1=a, p2=b, distance=off, text=plain(item.text), dimstyle=_DIMENSIONS,
        dxfattribs={"layer": layer},
    )  # fmt: skip
    made.render()
