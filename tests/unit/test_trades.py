"""Vent and water against closed forms and the cited check values."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.tables import UNITS
from service.survey.equipment import Category, VentListing
from service.trades import vent, water

FT, GPM, BTU_H, DEG_F = 304.8, UNITS["gpm"], UNITS["Btu/h"], 5 / 9
LISTING = VentListing("x", 40, 60, 12_192, 1524, 3, 100, 1 / 48, True)


def test_equivalent_length() -> None:
    """20 ft and four 90 degree elbows (three and two halves) at 5 ft are 40 ft (common practice)."""
    assert vent.equivalent_mm(round(20 * FT), 4, LISTING) == round(40 * FT)
    assert vent.default_elbow_mm() == 1524


def test_listing_bounds_length_and_elbows() -> None:
    """Just at the limit passes; a millimetre or an elbow more fails."""
    assert vent.within_listing(12_192 - 3 * 1524, 3, LISTING)
    assert not vent.within_listing(12_192 - 3 * 1524 + 1, 3, LISTING)
    assert not vent.within_listing(0, 4, LISTING)
    assert vent.within_listing(0, 4, replace(LISTING, max_elbows=None))


def test_fall() -> None:
    """8 ft at 1/4 in per ft falls 2 in (common practice), rounded up to the millimetre."""
    assert vent.fall_mm(round(8 * FT), LISTING) == 51
    assert vent.fall_mm(4800, LISTING) == 100
    assert vent.fall_mm(0, LISTING) == 0


def test_direction_of_fall() -> None:
    """Wet vents drain to the heater (read), dry ones outdoors (common practice)."""
    assert vent.falls_to_heater(Category.IV) and not vent.falls_to_heater(Category.III)


@pytest.mark.parametrize(
    ("flow_gpm", "hot", "size"),
    [
        (3.63, True, "1/2"),
        (3.65, True, "3/4"),
        (7.53, True, "3/4"),
        (7.55, True, "1"),
        (12.85, True, "1"),
        (5.81, False, "1/2"),
        (5.83, False, "3/4"),
        (12.06, False, "3/4"),
        (12.08, False, "1"),
    ],
)
def test_branch_size(flow_gpm: float, hot: bool, size: str) -> None:
    """Flows at 5 and 8 ft/s in type L: 3.64, 7.54, 12.86 and 5.82, 12.07 gpm (computed; limits NSPC 10.14.1, read)."""
    assert water.branch_size(flow_gpm * GPM, hot) == size


def test_too_much_water_for_any_size() -> None:
    """12.9 gpm of hot water is past 1 in."""
    with pytest.raises(ValueError, match="no size"):
        water.branch_size(12.9 * GPM, hot=True)


@pytest.mark.parametrize(("flow_gpm", "bore_in", "ft_s"), [(5, 0.785, 3.3145), (2.5, 0.545, 3.4382)])
def test_velocity(flow_gpm: float, bore_in: float, ft_s: float) -> None:
    """v = 0.408498 Q / d2 (computed)."""
    assert water.velocity_m_s(flow_gpm * GPM, bore_in * 0.0254) / 0.3048 == pytest.approx(ft_s, abs=0.0005)


def test_no_rise_warms_no_flow() -> None:
    """A rise of nothing would ask for no heat at all."""
    with pytest.raises(ValueError, match="rise"):
        water.heated_flow_m3_s(100_000, 0.82, 0)


@pytest.mark.parametrize(
    ("input_btu_h", "efficiency", "rise_f", "gpm"),
    [(199_000, 0.95, 70, 5.40), (199_000, 0.82, 67, 4.87), (150_000, 0.82, 77, 3.20), (120_000, 0.82, 35, 5.63)],
)
def test_heated_flow(input_btu_h: float, efficiency: float, rise_f: float, gpm: float) -> None:
    """Input x efficiency / (499.8 x rise) in gpm (computed)."""
    assert water.heated_flow_m3_s(input_btu_h * BTU_H, efficiency, rise_f * DEG_F) / GPM == pytest.approx(gpm, abs=0.01)
