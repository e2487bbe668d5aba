"""How layers look: line widths and types, hatches, colours.

Line types as technical drawings have them (continuous, dashed, chain and their widths, after ISO 128-2, from memory).
Colours are after Okabe and Ito's set for colour-blind readers (Color Universal Design, 2008), darkened until they stand
out from white paper; every layer can be told by its line type or hatch alone, so print in black loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.sheets.model import Layer, Symbol

INK = "#1a1a1a"
PAPER = "#ffffff"
THIN_MM, MEDIUM_MM, WIDE_MM = 0.18, 0.35, 0.6
"""Widths of lines [mm on paper]."""


@dataclass(frozen=True, slots=True)
class Pen:
    """Line: width [mm], dashes and gaps in turn [mm] (empty: continuous), colour."""

    width: float
    dashes: tuple[float, ...] = ()
    colour: str = INK


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines that fill an area: angle [degrees], distance [mm], pen; ``cross``: both ways."""

    angle: float
    apart: float
    pen: Pen
    cross: bool = False


PENS: dict[Layer, Pen] = {
    Layer.WALL: Pen(WIDE_MM),
    Layer.OUTLINE: Pen(WIDE_MM),
    Layer.ROOM: Pen(MEDIUM_MM),
    Layer.OPENING: Pen(THIN_MM),
    Layer.KEEP_OUT: Pen(THIN_MM, (1.2, 0.8), "#5a5a5a"),
    Layer.HEATER: Pen(WIDE_MM),
    Layer.SPACE: Pen(THIN_MM, (2.4, 0.8)),
    Layer.VENT: Pen(0.9, (), "#b34700"),
    Layer.GAS: Pen(MEDIUM_MM, (5.0, 0.9, 0.9, 0.9), "#7a5c00"),
    Layer.COLD: Pen(MEDIUM_MM, (), "#005b94"),
    Layer.HOT: Pen(MEDIUM_MM, (2.2, 0.9), "#a3336f"),
    Layer.DRAIN: Pen(MEDIUM_MM, (0.7, 0.9), "#00694d"),
    Layer.POWER: Pen(MEDIUM_MM, (3.6, 0.8, 0.8, 0.8, 0.8, 0.8), "#3d3d3d"),
    Layer.OLD_GAS: Pen(THIN_MM, (5.0, 0.9, 0.9, 0.9), "#7a5c00"),
    Layer.OLD_COLD: Pen(THIN_MM, (9.0, 0.8), "#005b94"),
    Layer.OLD_HOT: Pen(THIN_MM, (2.2, 0.9), "#a3336f"),
    Layer.RENEWED: Pen(WIDE_MM, (2.6, 0.7, 0.5, 0.7), "#7a5c00"),
    Layer.SLEEVE: Pen(MEDIUM_MM, (0.9, 0.5)),
    Layer.TAP: Pen(MEDIUM_MM),
    Layer.FORBIDDEN: Pen(THIN_MM, (), "#b34700"),
    Layer.ZONE: Pen(THIN_MM, (4.0, 0.8, 0.6, 0.8, 0.6, 0.8)),
    Layer.THING: Pen(MEDIUM_MM, (1.6, 0.7)),
    Layer.GRADE: Pen(WIDE_MM),
    Layer.TERMINAL: Pen(WIDE_MM, (), "#005b94"),
    Layer.DIMENSION: Pen(THIN_MM),
    Layer.LEADER: Pen(THIN_MM),
    Layer.TEXT: Pen(THIN_MM),
}
HATCHES: dict[Layer, Hatch] = {
    Layer.WALL: Hatch(45.0, 1.6, Pen(THIN_MM, (), "#5a5a5a")),
    Layer.FORBIDDEN: Hatch(135.0, 2.0, Pen(0.13, (), "#b34700")),
    Layer.KEEP_OUT: Hatch(45.0, 2.4, Pen(0.13, (), "#8a8a8a"), cross=True),
}
WORDS: dict[Layer, str] = {
    Layer.WALL: "outer wall, cut",
    Layer.OUTLINE: "edge of the surface",
    Layer.ROOM: "edge of a room",
    Layer.OPENING: "window or door",
    Layer.KEEP_OUT: "kept free of pipes: duct, beam, stair, fixture",
    Layer.HEATER: "water heater",
    Layer.SPACE: "working space before it",
    Layer.VENT: "vent, new",
    Layer.GAS: "gas, new",
    Layer.COLD: "cold water, new",
    Layer.HOT: "hot water, new",
    Layer.DRAIN: "condensate, new",
    Layer.POWER: "power, new",
    Layer.OLD_GAS: "gas pipe that is there and stays",
    Layer.OLD_COLD: "cold water pipe that is there",
    Layer.OLD_HOT: "hot water pipe that is there",
    Layer.RENEWED: "gas pipe that is renewed",
    Layer.SLEEVE: "hole that several heaters share, not its size",
    Layer.FORBIDDEN: "no terminal's centre here",
    Layer.ZONE: "edge of one rule's zone",
    Layer.THING: "thing a rule speaks of",
    Layer.GRADE: "ground",
    Layer.TERMINAL: "edge of a terminal",
}
"""What the legend says of each layer."""
SYMBOL_WORDS: dict[Symbol, str] = {
    Symbol.TERMINAL: "terminal",
    Symbol.METER: "gas delivery",
    Symbol.TAP: "a run ends here, or could",
    Symbol.POINT: "point a rule speaks of",
    Symbol.RISER: "goes up or down",
}
"""What it says of each symbol that no label explains."""
