"""A page: lines, faces and words in millimetres of paper, y down from its upper left corner, ready for any writer."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from service.sheets.letters import width_mm
from service.sheets.model import Layer, Ring
from service.sheets.style import INK, PAPER, Pen

A4_WIDE, A4_HIGH = 297.0, 210.0
"""A4 laid on its side [mm]."""
ASCENT, DESCENT = 0.77, 0.24
"""How far letters reach above and below their line, of their size."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """Line on paper [mm]."""

    points: Ring
    pen: Pen
    layer: Layer
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Fill:
    """Face on paper, even-odd [mm]."""

    rings: tuple[Ring, ...]
    colour: str
    layer: Layer


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words: ``x``, ``y`` of the anchor on its base line [mm], ``anchor`` start | middle | end, turned
    ``angle`` degrees against the clock."""

    x: float
    y: float
    text: str
    size: float
    layer: Layer = Layer.TEXT
    anchor: str = "start"
    bold: bool = False
    angle: float = 0.0
    colour: str = INK

    def corners(self) -> Ring:
        """Corners of the box that the words take up [mm]."""
        wide = width_mm(self.text, self.size, self.bold)
        left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[self.anchor]
        turn = radians(-self.angle)
        c, s = cos(turn), sin(turn)
        box = [
            (left, -ASCENT * self.size), (left + wide, -ASCENT * self.size),
            (left + wide, DESCENT * self.size), (left, DESCENT * self.size),
        ]  # fmt: skip
        return tuple((self.x + c * x - s * y, self.y + s * x + c * y) for x, y in box)


Ink = Stroke | Fill | Words


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of A4. ``scale``: how many millimetres one of paper stands for, None if nothing is to scale."""

    name: str
    title: str
    scale: int | None
    inks: tuple[Ink, ...]
    about: str


def rectangle(x: float, y: float, wide: float, high: float) -> Ring:
    """Corners of an upright box [mm]."""
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def blank(x: float, y: float, wide: float, high: float) -> Fill:
    """Paper that hides what lies below [mm]."""
    return Fill((rectangle(x, y, wide, high),), PAPER, Layer.TEXT)
