"""Samples of line types, hatches and symbols for a legend."""

from __future__ import annotations

from collections.abc import Iterator

from service.sheets.hatching import hatched
from service.sheets.marks import earth, marked
from service.sheets.model import Layer, Symbol
from service.sheets.paper import Ink, Stroke, rectangle
from service.sheets.style import HATCHES, PENS

_WIDE, _FILLED_HIGH = 10.0, 2.2
_BOXES = (Layer.HEATER, Layer.SPACE)


def sample(shown: Layer | Symbol, x: float, y: float, pitch: float) -> Iterator[Ink]:
    """What a layer or symbol looks like, beside a line of words whose upper left corner is (x, y) [mm]."""
    middle = y + pitch * 0.55
    if isinstance(shown, Symbol):
        yield from marked(shown, (x + _WIDE / 2, middle), Layer.TEXT)
    else:
        yield from _of_layer(shown, x, middle)


def _of_layer(layer: Layer, x: float, middle: float) -> Iterator[Ink]:
    if layer in HATCHES or layer in _BOXES:
        box = rectangle(x, middle - _FILLED_HIGH / 2, _WIDE, _FILLED_HIGH)
        if layer in HATCHES:
            yield from hatched((box,), HATCHES[layer], layer)
        yield Stroke(box, PENS[layer], layer, closed=True)
        if layer is Layer.HEATER:
            yield from (Stroke((box[k], box[k + 2]), PENS[layer], layer) for k in (0, 1))
    else:
        line = ((x, middle), (x + _WIDE, middle))
        yield Stroke(line, PENS[layer], layer)
        if layer is Layer.GRADE:
            yield from earth(line)
