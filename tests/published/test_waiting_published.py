"""Time to hot and volume of pipe against printed tables and worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.rules.tables import UNITS
from service.trades.hot_limits import limits_of
from service.trades.waiting import mixing, purge_s, wait_of
from service.trades.water_pipe import bore_of

FT, GAL, GPM = 0.3048, UNITS["gal"], UNITS["gpm"]
OUNCE = GAL / 128
PRINTED_OZ_FT = {
    "copper_m": {"3/8": 1.06, "1/2": 1.69, "3/4": 3.43, "1": 5.81, "1-1/4": 8.70, "1-1/2": 12.18},
    "copper_l": {"3/8": 0.97, "1/2": 1.55, "3/4": 3.22, "1": 5.49, "1-1/4": 8.36, "1-1/2": 11.83},
    "copper_k": {"1/2": 1.45, "3/4": 2.90, "1": 5.17, "1-1/4": 8.09, "1-1/2": 11.45},
    "cpvc": {"1/2": 1.25, "3/4": 2.67, "1": 4.43, "1-1/4": 6.61, "1-1/2": 9.22},
    "pex": {"3/8": 0.64, "1/2": 1.18, "3/4": 2.35, "1": 3.91, "1-1/4": 5.81, "1-1/2": 8.09},
}
"""Fluid ounces a foot, IPC 2009 Table E202.1 as reprinted by a federal teaching paper (read)."""


def volume(material: str, nominal: str, feet: float) -> float:
    """Water in so many feet of pipe [m3], by the product's bores."""
    bore = bore_of(material, nominal)
    assert bore is not None and bore.narrowest_m == bore.widest_m
    return bore.area_m2 * feet * FT


@pytest.mark.parametrize(("material", "nominal"), [(m, n) for m, row in PRINTED_OZ_FT.items() for n in row])
def test_volume_of_a_foot(material: str, nominal: str) -> None:
    """Bore areas give the printed volumes to 1 %."""
    assert volume(material, nominal, 1) / OUNCE == pytest.approx(PRINTED_OZ_FT[material][nominal], rel=0.01)


def test_volume_by_hand() -> None:
    """0.785 in holds 5.2224 d2 = 3.218 oz a foot, so half a gallon fills 19.9 ft (computed)."""
    assert volume("copper_l", "3/4", 1) / OUNCE == pytest.approx(3.218, abs=0.001)
    assert 0.5 * GAL / (volume("copper_l", "3/4", 1)) == pytest.approx(19.9, abs=0.1)


def test_copper_of_unknown_type_is_taken_at_its_worst() -> None:
    """Type K is the narrowest, type M the widest (ASTM B88, read)."""
    bore = bore_of("copper", "3/4")
    assert bore is not None
    assert (bore.narrowest_m / 0.0254, bore.widest_m / 0.0254) == pytest.approx((0.745, 0.811))
    assert bore_of("lead", "3/4") is None and bore_of("copper", "7") is None


def test_time_to_hot_worked() -> None:
    """30 ft of 3/4 and 15 ft of 1/2 type L hold 0.9363 gal by the printed volumes: at 1.5 gpm, mixing 1.2 and 7 s it
    takes 51.94 s (computed)."""
    held = volume("copper_l", "3/4", 30) + volume("copper_l", "1/2", 15)
    assert held / GAL == pytest.approx(0.9363, rel=0.0005)
    wait = wait_of(held, 1.5 * GPM)
    assert wait.later == pytest.approx(51.94, abs=0.05)
    assert (wait.first - wait.later, wait.later - wait.least, wait.most - wait.later) == pytest.approx((8, 1, 1))


def test_repeated_draw() -> None:
    """What stands in the pipe comes first, then the slug that ran through while the burner lit (field tests, read)."""
    wait = wait_of(0.5 * GAL, 2 * GPM)
    assert (wait.slug_after, wait.slug) == pytest.approx((15, 7))


def test_mixing() -> None:
    """Hot within 0.6 gal where 0.5 gal stand in the pipe (EPA label for homes 1.2, read)."""
    assert mixing() == pytest.approx(0.6 / 0.5)


@given(st.floats(0, 0.1), st.floats(0, 0.1), st.floats(1e-5, 1e-3), st.floats(1e-5, 1e-3))
def test_more_pipe_is_never_less_waiting(one: float, other: float, slow: float, fast: float) -> None:
    """And more flow is never more of it."""
    (less, more), (low, high) = sorted((one, other)), sorted((slow, fast))
    assert wait_of(less, low).later <= wait_of(more, low).later
    assert wait_of(more, high).later <= wait_of(more, low).later


def test_nothing_flows() -> None:
    """No flow has no time."""
    with pytest.raises(ValueError, match="flow"):
        purge_s(1e-3, 0)


@pytest.mark.parametrize(
    ("feet", "kept"),
    [
        (60, {"ipc-length": False, "irc-2021-length": True}),
        (50, {"ipc-length": True}),
        (100.1, {"irc-2021-length": False}),
    ],
)
def test_length_limits(feet: float, kept: dict[str, bool]) -> None:
    """60 ft of hot pipe is over the 50 ft of IPC 607.2 and within the 100 ft of IRC 2021 P2905.3 (read)."""
    found = {limit.id: limit for limit in limits_of(feet * FT, 0, "3/4", "us-2021")}
    assert {k: found[k].kept for k in kept} == kept
    assert found["irc-2021-length"].applies and not found["ipc-length"].applies


def test_volume_limits() -> None:
    """0.9363 gal is over the 0.5 gal of EPA label for homes 1.2 and within the 1.2 gal of the newer label (read)."""
    found = {limit.id: limit.kept for limit in limits_of(1, 0.9363 * GAL, None, "us-2021")}
    assert (found["epa-label-volume"], found["ready-home-volume"]) == (False, True)


@pytest.mark.parametrize(("nominal", "feet"), [("1/2", 43), ("3/4", 21), ("1", 13)])
def test_length_by_size(nominal: str, feet: float) -> None:
    """IECC C404.5.1 (memory); each row holds about half a gallon: 43 x 1.5, 21 x 3, 13 x 5 oz (computed)."""
    at, over = ({limit.id: limit.kept for limit in limits_of(x * FT, 0, nominal, "")} for x in (feet, feet + 0.1))
    assert (at["iecc-length"], over["iecc-length"]) == (True, False)
