"""Quantities in sentences: told in the units of whoever reads."""

from __future__ import annotations

import pytest

from service.phrases import Amount, Phrase, joined, m3, m3_s, m_s, mm, mm2, pascals, phrase, text, water_pascals, watts
from service.survey.model import UnitSystem

US, SI = UnitSystem.US, UnitSystem.SI
IN_US = {
    "a foot": (mm(304.8), "1 ft 0 in"),
    "4 ft 5-1/2 in": (mm(53.5 * 25.4), "4 ft 5-1/2 in"),
    "below nothing": (mm(-25.4 / 8), "-1/8 in"),
    "less than a tape reads": (mm(1), "0 in"),
    "one therm an hour": (watts(29307.1), "100000 Btu/h"),
    "an inch of water": (pascals(249.089), "1 in w.c."),
    "a pound on a square inch": (water_pascals(6894.757), "1 psi"),
    "100 square inches": (mm2(64516), "100 in2"),
    "1000 cubic feet": (m3(28.316847), "1000 ft3"),
    "50 cubic feet a minute": (m3_s(0.0235974), "50 cfm"),
    "8 feet a second": (m_s(2.4384), "8 ft/s"),
}
"""Each by the definition of its unit: the inch is 25.4 mm, the Btu 1055.056 J, the pound-force 4.448222 N."""


@pytest.mark.parametrize(("amount", "words"), IN_US.values(), ids=IN_US)
def test_quantities_are_told_in_us_units(amount: Amount, words: str) -> None:
    """By the definition of the unit."""
    assert text(phrase(amount), US) == words


def test_a_sentence_is_told_in_either_system() -> None:
    """Words stay, quantities change; parts may be sentences themselves."""
    asked = phrase(mm(305), " asked")
    whole = phrase("window: beside ", mm(914), ", ", asked)
    assert text(whole, SI) == str(whole) == "window: beside 914 mm, 305 mm asked"
    assert text(whole, US) == "window: beside 3 ft 0 in, 1 ft 0 in asked"
    assert text(joined("; ", ["a", asked, "b"]), SI) == "a; 305 mm asked; b"
    assert str(asked + " by the listing") == "305 mm asked by the listing"


def test_words_without_quantities_are_left_alone() -> None:
    """Names of a caller's may hold anything, braces and percent signs too."""
    name = "{0} %s {x}"
    assert text(name, US) == name
    assert text(phrase(name, mm(0)), SI) == f"{name}0 mm"
    assert joined(", ", []) == Phrase(())
