"""Sizing of new branches and the reserve of an existing tree."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.rules import catalogue
from service.rules.tables import UNITS, table
from service.survey.model import Appliance, GasNode, GasSegment, GasSupply, Site
from service.trades import gas

FT, CFH, WC, BTU_H = 304.8, UNITS["cfh"], UNITS["in w.c."], UNITS["Btu/h"]
SITE = Site("us-2018", "natural_gas", 1000 * UNITS["Btu/ft3"], 0.60, 0, 0, 0, 0)


def segment(start: str, end: str, size: str, feet: float, material: str = gas.STEEL) -> GasSegment:
    """Segment named after its ends."""
    return GasSegment(f"{start}-{end}", start, end, material, size, round(feet * FT))


def supply(segments: tuple[GasSegment, ...], inputs: dict[str, float]) -> GasSupply:
    """Tree from node M at 7 in w.c. with 0.5 in w.c. to lose and a meter of 250,000 Btu/h."""
    ids = sorted({"M"} | {s.end for s in segments})
    nodes = tuple(GasNode(i, (0, 0, 0)) for i in ids)
    appliances = tuple(Appliance(f"at-{n}", "other", b * BTU_H, None, None, n) for n, b in sorted(inputs.items()))
    return GasSupply("M", 7 * WC, 250_000 * BTU_H, 0.5 * WC, nodes, segments, appliances)


# IFGC 2018 example A.7.1 (read): tree, inputs and 60 ft longest run; the split of the 60 ft is ours.
A71 = supply(
    (
        segment("M", "N", "1", 20),
        segment("N", "P", "3/4", 20),
        segment("N", "Q", "3/4", 15),
        segment("P", "A", "1/2", 20),
        segment("P", "B", "3/4", 10),
        segment("Q", "C", "1/2", 10),
        segment("Q", "D", "3/4", 10),
    ),
    {"A": 35_000, "B": 75_000, "C": 35_000, "D": 100_000},
)


def test_the_example_tree_carries_what_it_was_sized_for() -> None:
    """Every outlet of A.7.1 passes at 60 ft with nothing added."""
    taps = gas.taps(A71, SITE, 0)
    assert gas.longest_run_mm(A71) == round(60 * FT)
    assert all(tap.max_total_mm >= round(60 * FT) for tap in taps.values())
    assert [gas.tap_reason(A71, SITE, 0, n) for n in taps] == [None] * 8


@pytest.mark.parametrize(
    ("node", "spare_btu_h"), [("N", 12_200), ("Q", 1_500), ("C", 1_500), ("P", 12_200), ("B", 12_200)]
)
def test_reserve_of_the_example_tree(node: str, spare_btu_h: float) -> None:
    """Capacities at 60 ft are 257.2, 136.5 and 65.3 cfh (computed) for loads of 245, 135 (C + D) and 110 (A + B)."""
    assert gas.taps(A71, SITE, (spare_btu_h - 100) * BTU_H)[node].max_total_mm >= round(60 * FT)
    assert gas.taps(A71, SITE, (spare_btu_h + 100) * BTU_H)[node].max_total_mm == 0
    assert "longest run" in str(gas.tap_reason(A71, SITE, (spare_btu_h + 100) * BTU_H, node))


def test_upstream_lengths() -> None:
    """Developed length from the point of delivery."""
    upstream = {n: t.upstream_mm for n, t in gas.taps(A71, SITE, 0).items()}
    feet = {"M": 0, "N": 20, "P": 40, "Q": 35, "A": 60, "B": 50, "C": 45, "D": 45}
    assert upstream == {n: round(f * FT) for n, f in feet.items()}


def test_total_may_grow_until_a_segment_is_full() -> None:
    """245 cfh in 1 in pipe: L = 60 ft x (257.2 / 245)^(1/0.541) = 65.6 ft (the power law by hand)."""
    tap = gas.taps(A71, SITE, 0)["N"]
    assert tap.max_total_mm / FT == pytest.approx(60 * (257.2 / 245) ** (1 / 0.541), rel=0.002)


def test_point_of_delivery_is_bounded_by_nothing_that_exists() -> None:
    """A separate line from the meter always remains; its own size is the router's matter."""
    assert gas.taps(A71, SITE, 400_000 * BTU_H)["M"] == gas.Tap(0, gas.UNLIMITED_MM)


@given(st.floats(0, 200_000), st.floats(0, 200_000))
def test_more_load_never_lengthens(first: float, second: float) -> None:
    """The reserve falls as the added input grows."""
    low, high = sorted((first, second))
    less, more = (gas.taps(A71, SITE, x * BTU_H) for x in (low, high))
    assert all(more[n].max_total_mm <= less[n].max_total_mm for n in less)


@pytest.mark.parametrize(("material", "size"), [("csst", "23"), ("unobtainium", "3/4"), (gas.STEEL, "7/8")])
def test_unknown_pipe_carries_nothing(material: str, size: str) -> None:
    """Unknown is never a pass, and the reason names the segment."""
    tree = supply((segment("M", "A", size, 10, material), segment("M", "B", "3/4", 10)), {"A": 1000})
    taps = gas.taps(tree, SITE, 0)
    assert taps["A"].max_total_mm == 0 and taps["B"].max_total_mm > 0
    assert "M-A" in str(gas.tap_reason(tree, SITE, 0, "A"))


def test_type_l_copper_is_sized_with_the_type_k_bore() -> None:
    """Headings of the copper tables (IFGC 2018 402.4(9)-(14), read) name one bore for K, L and ACR."""
    trees = [supply((segment("M", "A", "1/2", 10, m),), {"A": 30_000}) for m in ("copper_k", "copper_l")]
    first, second = (gas.taps(t, SITE, 10_000 * BTU_H)["A"].max_total_mm for t in trees)
    assert first == second > 0


def test_pressure_above_the_equations_range_carries_nothing() -> None:
    """The low-pressure form ends at 1.5 psi (IFGC A.4, read)."""
    high = replace(A71, pressure_pa=2 * UNITS["psi"])
    assert {t.max_total_mm for t in gas.taps(high, SITE, 0).values()} == {0}
    assert "range" in str(gas.tap_reason(high, SITE, 0, "M"))


def test_loops_are_refused_and_loose_nodes_left_out() -> None:
    """A loop is an error; a pipe that hangs on nothing has no taps."""
    with pytest.raises(ValueError, match="loop"):
        gas.taps(replace(A71, segments=(*A71.segments, segment("A", "D", "1/2", 1))), SITE, 0)
    loose = replace(A71, segments=(*A71.segments, segment("X", "Y", "1/2", 1), segment("Y", "X", "1/2", 1)))
    assert set(gas.taps(loose, SITE, 0)) == set("MNPQABCD")
    assert "not connected" in str(gas.tap_reason(loose, SITE, 0, "Y"))


def test_an_appliance_of_unknown_place_counts_everywhere() -> None:
    """Worst case: its load may hang on any segment."""
    elsewhere = Appliance("x", "dryer", 20_000 * BTU_H, None, None, "nowhere")
    tree = replace(A71, appliances=(*A71.appliances, elsewhere))
    assert gas.taps(tree, SITE, 0)["N"].max_total_mm == 0


def test_order_of_segments_and_appliances_is_nothing() -> None:
    """Reversed lists give the same taps in the same order."""
    turned = replace(A71, segments=A71.segments[::-1], appliances=A71.appliances[::-1])
    assert list(gas.taps(turned, SITE, 900).items()) == list(gas.taps(A71, SITE, 900).items())


def test_meter() -> None:
    """245,000 Btu/h connected at a meter of 250,000."""
    assert gas.connected_load_w(A71) == pytest.approx(245_000 * BTU_H)
    assert gas.meter_ok(A71, 4_999 * BTU_H) and not gas.meter_ok(A71, 5_001 * BTU_H)


def test_class_250_meter_is_too_small_for_a_tankless_house() -> None:
    """399,000 Btu/h: class 250 too small, 425 enough (computed from meter classes, memory)."""
    house = supply((), {"M": 100_000 + 65_000 + 35_000})
    assert not gas.meter_ok(house, 199_000 * BTU_H)
    assert gas.meter_ok(replace(house, meter_capacity_w=425_000 * BTU_H), 199_000 * BTU_H)


def test_inlet_range() -> None:
    """7 less 0.5 in w.c. serves a natural-gas heater of 5.5 to 10.5, not one for propane."""
    assert gas.inlet_ok(A71, catalogue.heaters()["nc-room-160"])
    assert not gas.inlet_ok(A71, catalogue.heaters()["nc-room-160-lp"])
    assert not gas.inlet_ok(replace(A71, pressure_pa=11 * WC), catalogue.heaters()["nc-room-160"])


@given(st.sampled_from(gas.SIZES), st.floats(40, 400), st.floats(0.2, 1.0), st.sampled_from([0.55, 0.60, 0.70, 1.50]))
def test_longest_length_is_the_inverse_of_capacity(size: str, cfh: float, drop: float, gravity: float) -> None:
    """At the length found the pipe passes the flow, a millimetre further it does not."""
    longest = gas.max_length_mm(size, cfh * CFH, drop * WC, gravity)
    bore = table("gas_pipe").where(material=gas.STEEL, nominal=size).si("inside")
    assert gas.capacity_m3_s(bore, max(longest, 1) / 1000, drop * WC, gravity) >= cfh * CFH * (1 - 1e-12) or not longest
    assert gas.capacity_m3_s(bore, (longest + 1) / 1000, drop * WC, gravity) < cfh * CFH


@given(st.floats(40, 400), st.floats(0.2, 1.0))
def test_larger_pipe_reaches_further_and_heavier_gas_less_far(cfh: float, drop: float) -> None:
    """Monotonic in size and, within one gas, in gravity."""
    reach = [gas.max_length_mm(s, cfh * CFH, drop * WC, 0.60) for s in gas.SIZES]
    assert reach == sorted(reach)
    heavier = [gas.max_length_mm(s, cfh * CFH, drop * WC, 0.70) for s in gas.SIZES]
    assert all(h <= r for h, r in zip(heavier, reach, strict=True))


def test_sizes_are_ordered_and_priced() -> None:
    """Schedule 40, smallest first, and each has a price."""
    assert gas.SIZES == ("1/2", "3/4", "1", "1-1/4", "1-1/2")
    assert all(f"gas.{s}.pipe" in catalogue.price_book("demo").items for s in gas.SIZES)


@pytest.mark.parametrize("gravity", [0.2, 2.5, float("nan")])
def test_gravity_outside_the_table_is_refused(gravity: float) -> None:
    """The multiplier table runs from 0.35 to 2.1 (read)."""
    with pytest.raises(ValueError, match="gravity"):
        gas.cr_factor(gravity)


@pytest.mark.parametrize("values", [(0, 1, 1), (1, 0, 1), (1, 1, 0), (-1, 1, 1)])
def test_nothing_but_positive_numbers(values: tuple[float, float, float]) -> None:
    """No capacity without bore, length and drop; no flow without heating value."""
    with pytest.raises(ValueError, match="positive"):
        gas.capacity_m3_s(*values, 0.60)
    with pytest.raises(ValueError, match="positive"):
        gas.flow_m3_s(1, 0)
