"""Colours and lines of the sheets: contrast on paper, for colour-blind readers, in black and white."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from service.sheets.model import Layer
from service.sheets.style import HATCHES, INK, PAPER, PENS, Hatch

SERVICES = (Layer.VENT, Layer.GAS, Layer.COLD, Layer.HOT, Layer.DRAIN, Layer.POWER)
GRAPHICS, TEXT = 3.0, 4.5
"""Least contrast of graphical objects and of text: WCAG 2.2, success criteria 1.4.11 and 1.4.3 (from memory)."""
BLINDNESS = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
"""Machado, Oliveira, Fernandes 2009, severity 1.0, for linear RGB (from memory)."""
JUST_NOTICEABLE = 2.3
"""CIE76 colour difference that is just noticed (Mahy et al. 1994, from memory)."""


def linear(colour: str) -> np.ndarray:
    """Linear RGB of a colour of sRGB (IEC 61966-2-1)."""
    c = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def luminance(rgb: np.ndarray) -> float:
    """Relative luminance, as WCAG has it."""
    return float(rgb @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(a: np.ndarray, b: np.ndarray) -> float:
    """Contrast ratio, as WCAG has it."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def seen(colour: str, blindness: str | None) -> np.ndarray:
    """Linear RGB as it is seen."""
    rgb = linear(colour)
    return rgb if blindness is None else np.clip(np.array(BLINDNESS[blindness]) @ rgb, 0.0, 1.0)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* for daylight D65."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    t = to_xyz @ rgb / np.array([0.95047, 1.0, 1.08883])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_the_formulas_are_those_of_their_sources() -> None:
    """Black on white is 21:1 (WCAG); white is L* 100; grey stays grey for the colour-blind."""
    assert contrast(linear("#000000"), linear("#ffffff")) == pytest.approx(21.0)
    assert lab(linear("#ffffff")) == pytest.approx([100.0, 0.0, 0.0], abs=0.05)
    for kind in BLINDNESS:
        assert seen("#808080", kind) == pytest.approx(linear("#808080"), abs=1e-3)


@pytest.mark.parametrize("blindness", [None, *BLINDNESS])
@pytest.mark.parametrize("layer", list(Layer))
def test_lines_stand_out_from_paper(layer: Layer, blindness: str | None) -> None:
    """For everybody."""
    assert contrast(seen(PENS[layer].colour, blindness), linear(PAPER)) >= GRAPHICS


def test_words_stand_out_from_paper() -> None:
    """Words are of one colour."""
    assert contrast(linear(INK), linear(PAPER)) >= TEXT


@pytest.mark.parametrize("blindness", [None, *BLINDNESS])
def test_services_are_told_apart_by_colour_or_line(blindness: str | None) -> None:
    """A colour that looks like another's belongs to another kind of line."""
    for a, b in combinations(SERVICES, 2):
        apart = np.linalg.norm(lab(seen(PENS[a].colour, blindness)) - lab(seen(PENS[b].colour, blindness)))
        other_line = (PENS[a].dashes, PENS[a].width) != (PENS[b].dashes, PENS[b].width)
        assert apart > 4 * JUST_NOTICEABLE or other_line, (a, b, apart)


def test_services_are_told_apart_in_black() -> None:
    """By dashes or width alone."""
    lines = [(PENS[s].dashes, PENS[s].width) for s in SERVICES]
    assert len(set(lines)) == len(SERVICES)


def test_hatches_are_told_apart_in_black() -> None:
    """By angle, distance or crossing."""

    def look(hatch: Hatch) -> tuple[float, float, bool]:
        return hatch.angle, hatch.apart, hatch.cross

    assert len({look(h) for h in HATCHES.values()}) == len(HATCHES)


@pytest.mark.parametrize("colour", ["#8a1f00", "#00563f", "#00427a", "#1a1a1a"])
def test_words_of_the_report_stand_out(colour: str) -> None:
    """Verdict, links and text, on white."""
    from service.report.html import style

    assert colour in style()
    assert contrast(linear(colour), linear("#ffffff")) >= TEXT
