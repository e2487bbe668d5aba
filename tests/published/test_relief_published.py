"""Relief valves, discharge pipes and scald times against published figures, each with its mark."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

import pytest

from service.survey.model import Site, WaterSupply
from service.survey.water import Discharge, DischargeEnd, ReliefRule
from service.trades.relief import discharge_rules, needs_expansion_tank, relief_valve
from service.trades.scald import burn_time, is_too_hot, limits_of, needs_mixing_valve, outlet_limit

PSI, IN = 6894.757293168, 25.4
SITE = Site("us-2021", "natural_gas", 38e6, 0.6, 0.0, 0, -5.0, 0)
GOOD = Discharge(
    end=DischargeEnd.FLOOR, size="3/4", end_height_mm=76, air_gap_in_room=True, serves_one=True, harmless=True,
    visible_end=True, trapped=False, falls=True, threaded_end=False, valves_or_tees=False, listed_material=True,
    insert_fittings=False, end_fastened=None,
)  # fmt: skip


def celsius(fahrenheit: float) -> float:
    """By definition."""
    return (fahrenheit - 32) / 1.8


def kept(pipe: Discharge | None, rule: str, valve: str = "3/4") -> bool | None:
    """Whether a rule is kept."""
    return next(r.kept for r in discharge_rules(pipe, valve) if r.rule_id == rule)


def test_a_good_pipe_keeps_all_fourteen_rules() -> None:
    """IPC 2018 504.6 (read) has fourteen items; of a pipe that nobody describes none is known to be kept."""
    assert [r.kept for r in discharge_rules(GOOD)] == [True] * 14
    assert [r.kept for r in discharge_rules(None)] == [None] * 14


@pytest.mark.parametrize(("inches", "holds"), [(7, False), (6, True), (1.5, True), (1, False), (0, False)])
def test_height_of_the_end(inches: float, holds: bool) -> None:
    """Item 10 (read): at most 6 in, at least two diameters, 1.5 in of a 3/4 in pipe, above the floor."""
    assert kept(replace(GOOD, end_height_mm=round(inches * IN)), "RD10") is holds


@pytest.mark.parametrize(("size", "valve", "holds"), [("1/2", "3/4", False), ("3/4", "3/4", True), ("1", "3/4", True)])
def test_size_of_the_pipe(size: str, valve: str, holds: bool) -> None:
    """Item 3 (read): no smaller than the valve's outlet."""
    assert kept(replace(GOOD, size=size), "RD3", valve) is holds


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"end": DischargeEnd.DRAINAGE}, "RD1"), ({"air_gap_in_room": False}, "RD2"), ({"serves_one": False}, "RD4"),
        ({"end": DischargeEnd.DRAINAGE}, "RD5"), ({"harmless": False}, "RD6"), ({"visible_end": False}, "RD7"),
        ({"trapped": True}, "RD8"), ({"falls": False}, "RD9"), ({"threaded_end": True}, "RD11"),
        ({"valves_or_tees": True}, "RD12"), ({"listed_material": False}, "RD13"),
        ({"insert_fittings": True}, "RD14"), ({"insert_fittings": True, "size": "1", "end_fastened": False}, "RD14"),
    ],
)  # fmt: skip
def test_each_rule_can_be_broken(change: dict[str, object], rule: str) -> None:
    """Items 1 to 14 (read): one fact the other way breaks that one."""
    assert kept(replace(GOOD, **change), rule) is False  # type: ignore[arg-type]  # facts by name


def test_insert_fittings_ask_for_a_size_more() -> None:
    """Item 14 (read): 1 in on a 3/4 in valve, the end fastened; not told whether it is, nothing is known."""
    larger = replace(GOOD, insert_fittings=True, size="1")
    assert kept(replace(larger, end_fastened=True), "RD14") is True
    assert kept(larger, "RD14") is None


def test_settings_of_the_valve() -> None:
    """At most 150 psi and 210 degF (read); a city asks for 200 degF at most (Chicago, read); the lower one counts."""
    valve, city = relief_valve(SITE, 1.0), replace(SITE, relief_temperature_c=celsius(200))
    assert (valve.pressure_most_pa / PSI, valve.temperature_most_c) == pytest.approx((150, celsius(210)))
    assert relief_valve(city, 1.0).temperature_most_c == pytest.approx(celsius(200))
    milder = replace(SITE, relief_temperature_c=celsius(220))
    assert relief_valve(milder, 1.0).temperature_most_c == pytest.approx(celsius(210))


@pytest.mark.parametrize(
    ("rule", "temperature"),
    [(None, True), (ReliefRule.PRESSURE, False), (ReliefRule.TEMPERATURE_AND_PRESSURE, True),
     (ReliefRule.BY_LISTING, False)],
)  # fmt: skip
def test_kind_of_relief(rule: ReliefRule | None, temperature: bool) -> None:
    """An ordinance on instantaneous types asks for pressure relief (read), the words of IRC P2804.1 (memory) for both;
    which holds is not known: both. Capacity at least the input (read)."""
    valve = relief_valve(replace(SITE, relief=rule), 58_000)
    assert valve.temperature is temperature and valve.capacity_w == 58_000
    assert valve.pressure_most_pa == pytest.approx(150 * PSI, rel=1e-9)
    assert (valve.temperature_most_c is not None) is temperature


@pytest.mark.parametrize(("fahrenheit", "seconds"), [(120, 300), (130, 30), (140, 5), (150, 1.5), (160, 0.5)])
def test_scald_times(fahrenheit: float, seconds: float) -> None:
    """Third-degree burns of adults (public scald tables, read)."""
    burn = burn_time(celsius(fahrenheit))
    assert burn.seconds == pytest.approx(seconds, rel=1e-9) and burn.relation == "about"


@pytest.mark.parametrize(
    ("fahrenheit", "seconds"), [(122, 197), (127.5, 56.1), (132, 19.3), (137, 7.6), (145, 2.74)]
)
def test_scald_times_between(fahrenheit: float, seconds: float) -> None:
    """The logarithm of the time interpolated between printed rows (computed)."""
    assert burn_time(celsius(fahrenheit)).seconds == pytest.approx(seconds, rel=5e-3)


def test_scald_time_by_hand() -> None:
    """132 degF lies two fifths of the way from 130 (30 s) to 135 (10 s)."""
    assert burn_time(celsius(132)).seconds == pytest.approx(exp(0.6 * log(30) + 0.4 * log(10)), rel=1e-9)


def test_nothing_is_said_beyond_the_table() -> None:
    """Cooler than 120 degF it takes longer, hotter than 160 degF less; infants burn sooner (read)."""
    assert burn_time(celsius(119.9)).relation == "more_than"
    assert burn_time(celsius(161)).relation == "less_than"
    assert burn_time(celsius(140), "infant").seconds == pytest.approx(1.0)
    assert burn_time(celsius(120), "infant").seconds == pytest.approx(240)
    with pytest.raises(KeyError):
        burn_time(50.0, "cat")


@pytest.mark.parametrize(("fahrenheit", "needed"), [(120, False), (120.5, True), (140, True)])
def test_mixing_valve(fahrenheit: float, needed: bool) -> None:
    """A bath or shower gets 120 degF at most (IPC 412.3, 412.5; IRC P2708.4, P2713.3, memory)."""
    water = WaterSupply((), (), setpoint_c=celsius(fahrenheit))
    assert is_too_hot(celsius(fahrenheit)) is needed
    assert needs_mixing_valve(water) is needed
    assert not needs_mixing_valve(replace(water, mixing_valve=True))
    assert not needs_mixing_valve(replace(water, setpoint_c=None))


def test_limits_of_outlets() -> None:
    """120 degF bath and shower, 110 bidet (memory), 140 any outlet of one city (read); none of a lavatory at home."""
    for kind, fahrenheit in (("shower", 120), ("bathtub", 120), ("bidet", 110), ("any", 140)):
        limit = outlet_limit(kind)
        assert limit is not None and limit.at_most_c == pytest.approx(celsius(fahrenheit))
    assert outlet_limit("lavatory") is None
    assert [limit.outlet for _, limit in limits_of(WaterSupply((), ()))] == ["bath_shower"]


@pytest.mark.parametrize(
    ("check_valve", "reducing_valve", "tank", "needed"),
    [(True, None, None, True), (None, True, False, True), (True, True, True, False), (False, False, None, False),
     (None, None, None, False), (False, None, None, False)],
)  # fmt: skip
def test_expansion(check_valve: bool | None, reducing_valve: bool | None, tank: bool | None, needed: bool) -> None:
    """A tank behind every reducing valve (UPC 608.2, read) and behind a check valve (UPC 608.3, memory); bought only
    where the survey knows of the valve."""
    water = WaterSupply((), (), check_valve=check_valve, reducing_valve=reducing_valve, expansion_tank=tank)
    assert needs_expansion_tank(water) is needed
