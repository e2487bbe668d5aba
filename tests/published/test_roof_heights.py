"""Check values for the ends of gas vents over a roof, each with the source of its figure.

Marks: read (seen in a page of the code), memory. Inches become the least whole millimetre that is at least as long.
"""

from __future__ import annotations

from math import inf

import pytest

from service.rules.tables import table
from service.trades.roof import roof_height
from tests.unit.clearance_site import feet, inches

SIX_INCHES = 6 * 25.4
FAR = feet(9)


@pytest.mark.parametrize(
    ("pitch", "needs_in"),
    [(0, 12), (6, 12), (6.5, 15), (7, 15), (8, 18), (9, 24), (10, 30), (11, 39), (12, 48), (12.5, 60), (14, 60),
     (16, 72), (18, 84), (20, 90)],
)  # fmt: skip
def test_height_by_pitch(pitch: float, needs_in: float) -> None:
    """Rows 36-38: IRC 2018, gas-vent termination figure of G2427.6 (read)."""
    found = roof_height(pitch, SIX_INCHES, FAR)
    assert found.over_roof_mm == inches(needs_in)
    assert found.kept_by(inches(needs_in), 0) and not found.kept_by(inches(needs_in) - 1, 0)
    assert (found.mark, found.reach_mm) == ("read", 0)


@pytest.mark.parametrize(("pitch", "over_in", "lawful"), [(6, 12, True), (7, 14, False), (7, 15, True)])
def test_openings_of_the_check_values(pitch: float, over_in: float, lawful: bool) -> None:
    """Rows 36-37: 12 in over a roof of 6 in 12 passes, 14 in over one of 7 in 12 does not (read)."""
    assert roof_height(pitch, SIX_INCHES, FAR).kept_by(inches(over_in), 0) is lawful


def test_the_last_row_is_from_memory() -> None:
    """20 to 21 in 12: 8 ft (memory); the code's figure goes no further."""
    assert roof_height(21, SIX_INCHES, inf).mark == "memory"
    assert roof_height(21, SIX_INCHES, inf).over_roof_mm == feet(8)
    for pitch in (21.1, -1):
        with pytest.raises(ValueError, match="pitch|21 in 12"):
            roof_height(pitch, SIX_INCHES, inf)


@pytest.mark.parametrize(("size_in", "to_wall"), [(6, feet(7)), (13, FAR)])
def test_near_a_wall_or_wide_the_table_does_not_serve(size_in: float, to_wall: int) -> None:
    """Row 39: 7 ft from a dormer's wall (8 ft and 12 in read): 2 ft over roof and over all within 10 ft (memory)."""
    found = roof_height(6, size_in * 25.4, to_wall)
    assert (found.over_roof_mm, found.over_parts_mm, found.reach_mm) == (feet(2), feet(2), feet(10))
    assert found.kept_by(feet(2), feet(2))
    assert not found.kept_by(feet(2), feet(2) - 1) and not found.kept_by(feet(2) - 1, feet(2))
    assert found.mark == "memory"


def test_just_within_the_tables_bounds() -> None:
    """12 in wide and 8 ft from a wall are still the table's (read)."""
    assert roof_height(6, 12 * 25.4, feet(8)).reach_mm == 0


def test_feet_and_millimetres_as_printed_agree() -> None:
    """The copy prints 305, 381, 457, 610, 762, 991, 1219, 1524, 1829, 2134, 2286, 2438 mm beside the feet (read)."""
    printed = (305, 381, 457, 610, 762, 991, 1219, 1524, 1829, 2134, 2286, 2438)
    assert tuple(round(r.si("height") * 1000) for r in table("roof_height").rows) == printed
