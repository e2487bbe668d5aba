"""Samples of line types and hatches for a legend."""

from __future__ import annotations

from collections.abc import Iterator

from service.sheets.hatching import hatched
from service.sheets.model import Layer
from service.sheets.paper import Ink, Stroke, rectangle
from service.sheets.style import HATCHES, PENS

_WIDE, _FILLED_HIGH = 10.0, 2.2
_BOXES = (Layer.HEATER, Layer.SPACE)


def sample(layer: Layer, x: float, y: float, pitch: float) -> Iterator[Ink]:
    """What a layer looks like, beside a line of words whose upper left corner is (x, y) [mm]."""
    middle = y + pitch * 0.55
    if layer in HATCHES or layer in _BOXES:
        box = rectangle(x, middle - _FILLED_HIGH / 2, _WIDE, _FILLED_HIGH)
        if layer in HATCHES:
            yield from hatched((box,), HATCHES[layer], layer)
        yield Stroke(box, PENS[layer], layer, closed=True)
    else:
        yield Stroke(((x, middle), (x + _WIDE, middle)), PENS[layer], layer)
