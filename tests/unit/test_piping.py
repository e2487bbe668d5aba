"""The gas tree: bookkeeping of loads and zones, what a pipe may be, and sizes that can be checked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.piping.judge import judge
from service.piping.labels import budget_units, front, loss_units
from service.piping.lengths import carries, fitting_mm, reach_mm
from service.piping.network import Load, Network, Zone
from service.piping.options import Option, options_for, priced_sizes, split_name
from service.piping.sizing import Sizing, size
from service.piping.taps import Carrier, TapTree
from service.rules.tables import UNITS
from service.survey.equipment import MONEY_SCALE
from service.survey.model import (
    Appliance,
    GasCharacter,
    GasFittings,
    GasMethod,
    GasNode,
    GasSegment,
    GasSupply,
    LineRegulator,
)
from service.trades.gas_capacity import Terms
from tests.property.gas_trees import book, rising_prices

WC, PSI, BTU_H, FT = UNITS["in w.c."], UNITS["psi"], UNITS["Btu/h"], 304.8
GAS = GasCharacter("natural_gas", 1000 * UNITS["Btu/ft3"], 0.60)
STEEL = "steel_sch40"
BOOK = rising_prices({STEEL: ("1/2", "3/4", "1", "1-1/4"), "csst": ("18", "23"), "pe": ("3/4", "1")})
PER_FT = {"1/2": 500, "3/4": 800, "1": 1100, "1-1/4": 1400}
"""Cents a foot of steel in the book; renewing is 9000 cents each, finished surfaces 800 a foot."""


def pipe(
    start: str,
    end: str,
    feet: float = 10,
    size: str | None = "1",
    material: str = STEEL,
    elbows: int | None = None,
    tees: int | None = None,
) -> GasSegment:
    """Segment named after its ends."""
    return GasSegment(f"{start}-{end}", start, end, material, size, round(feet * FT), elbows, tees)


def supply(
    segments: tuple[GasSegment, ...],
    inputs: dict[str, float],
    regulators: tuple[LineRegulator, ...] = (),
    diversity: float | None = None,
) -> GasSupply:
    """Tree from node M at 7 in w.c. with 0.5 in w.c. to lose; inputs in Btu/h by node."""
    nodes = tuple(GasNode(i, (0, 0, 0)) for i in sorted({"M"} | {s.end for s in segments}))
    appliances = tuple(Appliance(f"at {n}", "other", b * BTU_H, None, None, n) for n, b in inputs.items())
    return GasSupply(
        "M", 7 * WC, 1e6, 0.5 * WC, nodes, segments, appliances, regulators=regulators, diversity=diversity
    )  # fmt: skip


def sized(system: GasSupply, method: GasMethod = GasMethod.LONGEST_TABLES) -> Sizing:
    """Sizes by the test's book."""
    return size(Network(system, GAS), BOOK, method)


FORK = (pipe("M", "a"), pipe("a", "b"), pipe("a", "c"), pipe("c", "d"))
LOADS = {"b": 100_000.0, "c": 30_000.0, "d": 50_000.0}
REGULATOR = LineRegulator("a", 8 * WC, 0.5 * WC)


def loads_of(system: GasSupply) -> dict[str, float]:
    """What each pipe draws [Btu/h], by its end."""
    return {
        p.segment.end: round(p.load.drawn_w(system.diversity) / BTU_H, 3) for p in Network(system, GAS).pipes
    }  # fmt: skip


def test_loads_add_up_towards_the_delivery() -> None:
    """Each pipe carries the appliances at its end and beyond it."""
    assert loads_of(supply(FORK, LOADS)) == {"a": 180_000, "b": 100_000, "c": 80_000, "d": 50_000}


def test_diversity_never_goes_below_the_largest_input() -> None:
    """Half of 180 is less than the largest of 100."""
    assert loads_of(supply(FORK, LOADS, diversity=0.5)) == {"a": 100_000, "b": 100_000, "c": 50_000, "d": 50_000}


def test_appliance_off_the_tree_counts_everywhere() -> None:
    """Nobody knows which pipes feed an appliance at a node that hangs on nothing: all might."""
    system = supply(FORK, {**LOADS, "nowhere": 20_000})
    assert Network(system, GAS).connected.total_w == pytest.approx(200_000 * BTU_H)
    assert loads_of(system) == {"a": 200_000, "b": 120_000, "c": 100_000, "d": 70_000}


def test_load_of_nothing_is_nothing() -> None:
    """No appliance draws nothing, with and without diversity."""
    assert Load().drawn_w(None) == Load().drawn_w(0.5) == 0


def test_loop_is_refused() -> None:
    """A segment back to a node that gas reaches already is named."""
    with pytest.raises(ValueError, match="d-a closes a loop"):
        Network(supply((*FORK, pipe("d", "a")), LOADS), GAS)


def test_parents_come_first_and_strays_are_left_out() -> None:
    """Order of the survey is no matter; what hangs on nothing has no place."""
    network = Network(supply((pipe("x", "y"), *reversed(FORK)), LOADS), GAS)
    assert [p.segment.id for p in network.pipes] == ["M-a", "a-c", "a-b", "c-d"]
    assert [p.parent for p in network.pipes] == [-1, 0, 0, 1]
    assert [p.is_end for p in network.pipes] == [False, False, True, True]
    assert network.way(3) == [3, 1, 0]


def test_regulator_begins_a_zone() -> None:
    """What leaves its node is behind it; the zone ahead ends there."""
    network = Network(supply(FORK, LOADS, (REGULATOR,)), GAS)
    assert [p.zone for p in network.pipes] == [0, 1, 1, 1]
    assert [z.root for z in network.zones] == ["M", "a"]
    assert network.zones[1] == Zone("a", 8 * WC, 0.5 * WC, REGULATOR)
    assert network.pipes[0].is_end
    assert network.way_in_zone(3) == [3, 2]
    assert (network.zone_ahead("a"), network.zone_behind("a")) == (0, 1)


def test_pipe_may_leave_ahead_of_a_regulator() -> None:
    """It stays in the zone ahead, and so does what continues it."""
    segments = (FORK[0], FORK[1], replace(FORK[2], before_regulator=True), FORK[3])
    network = Network(supply(segments, LOADS, (REGULATOR,)), GAS)
    assert {p.segment.id: p.zone for p in network.pipes} == {"M-a": 0, "a-b": 1, "a-c": 0, "c-d": 0}
    assert network.pipes[0].is_end


def test_what_a_pipe_may_be() -> None:
    """What is there costs nothing; renewal is in its own material or steel; new pipe is of its own."""
    old = options_for(pipe("M", "a", size="18", material="csst"), BOOK)
    assert old[0] == Option("csst", "18", kept=True)
    assert {o.name for o in old[1:]} == {"1/2", "3/4", "1", "1-1/4", "csst.18", "csst.23"}
    assert [o.units_per_mm for o in old] == sorted(o.units_per_mm for o in old)
    assert {o.units_once for o in old[1:]} == {9000 * MONEY_SCALE}
    new = options_for(pipe("M", "a", size=None), BOOK)
    assert [(o.size, o.units_once) for o in new] == [(s, 0) for s in PER_FT]


def test_what_may_not_be_renewed() -> None:
    """Fixed pipe stays, plastic stays plastic, and without a price for renewal all stays."""
    assert len(options_for(replace(FORK[0], fixed=True), BOOK)) == 1
    assert {o.material for o in options_for(pipe("M", "a", size="1", material="pe"), BOOK)} == {"pe"}
    assert len(options_for(FORK[0], book({"gas.1.pipe": 900}))) == 1


def test_finished_surfaces_cost_access() -> None:
    """The surcharge is a length's."""
    plain, behind = (options_for(replace(FORK[0], finished=f), BOOK)[1] for f in (False, True))
    assert behind.units_per_mm - plain.units_per_mm == 800 * 1250


def test_undercut_sizes_are_not_offered() -> None:
    """A size that a larger one does not exceed in price is of no use."""
    prices = book({"gas.1/2.pipe": 900, "gas.3/4.pipe": 800, "gas.1.pipe": 800, "gas.1-1/4.pipe": 1000})
    assert priced_sizes(prices, STEEL) == ("1", "1-1/4")


def test_option_names_are_read_back() -> None:
    """Steel by its size alone."""
    assert [split_name(Option(m, s).name) for m, s in ((STEEL, "1-1/4"), ("csst", "18"))] == [
        (STEEL, "1-1/4"), ("csst", "18"),
    ]  # fmt: skip


def test_fittings_add_their_equivalent_length() -> None:
    """Four 1 in ells and a tee are 15.72 ft, IFGC 2018 Table A.2.2 (read); none if not counted."""
    segment, one_inch = pipe("M", "a", elbows=4, tees=1), Option(STEEL, "1")
    assert fitting_mm(segment, one_inch, GasFittings.COUNTED) == pytest.approx(15.72 * FT, abs=5)
    assert fitting_mm(segment, one_inch, GasFittings.ALLOWANCE) == 0
    assert fitting_mm(pipe("M", "a"), one_inch, GasFittings.COUNTED) == 0
    assert fitting_mm(segment, Option("lead", "1"), GasFittings.COUNTED) == 0


def test_how_far_pipe_reaches() -> None:
    """IFGC 2018 402.4(2) (memory): 3/4 in carries 151 over 50 ft and 137 over 60 ft; the unknown carries nothing."""
    terms = Terms(GAS, 7 * WC, 0.5 * WC)
    assert reach_mm(STEEL, "3/4", 150_000 * BTU_H, terms, True) == round(50 * FT)
    assert carries(Option(STEEL, "3/4"), 137_000 * BTU_H, round(60 * FT), terms, GasMethod.BRANCH_TABLES)
    assert not carries(Option(STEEL, "3/4"), 137_000 * BTU_H, round(60 * FT) + 1, terms, GasMethod.BRANCH_TABLES)
    assert not carries(Option("lead", "3/4"), 1.0, 1, terms, GasMethod.LONGEST_EQUATION)
    assert carries(Option("lead", "3/4"), 0.0, 10**6, terms, GasMethod.LONGEST_EQUATION)


def test_what_is_enough_stays() -> None:
    """1 in carries 180 over 30 ft (374 in the table, memory): nothing is spent."""
    found = sized(supply(FORK, LOADS))
    assert found.units == 0
    assert [s.needed for s in found.pipes] == ["3/4", "3/4", "1/2", "1/2"]
    assert found.pipes[0].present_capacity_w == pytest.approx(374_000 * BTU_H)


def test_what_is_too_small_is_renewed() -> None:
    """1/2 in carries 95 over 30 ft, 3/4 in 199 (memory): the trunk of 10 ft goes, at 800 a foot and 9000."""
    found = sized(supply((pipe("M", "a", size="1/2"), *FORK[1:]), LOADS))
    assert found.units == pytest.approx((10 * 800 + 9000) * MONEY_SCALE)
    assert found.pipes[0].choice == Option(STEEL, "3/4", 800 * 1250, 9000 * MONEY_SCALE)
    assert found.pipes[0].present_capacity_w == pytest.approx(95_000 * BTU_H)


@pytest.mark.parametrize("method", list(GasMethod))
def test_unknown_pipe_that_carries_gas_is_renewed(method: GasMethod) -> None:
    """Lead has no capacity; where it carries nothing it may stay."""
    segments = (pipe("M", "a", material="lead"), FORK[1], pipe("a", "c", material="lead"))
    found = sized(supply(segments, {"b": 100_000}), method)
    assert [s.choice is not None and s.choice.kept for s in found.pipes] == [False, True, True]
    assert found.pipes[0].choice is not None
    assert found.pipes[0].choice.material == STEEL


def test_what_cannot_be_had_is_told_apart() -> None:
    """A fixed pipe too small has no choice and a need; the others have theirs; the whole has no cost."""
    found = sized(supply((replace(pipe("M", "a", size="1/2"), fixed=True), *FORK[1:]), LOADS))
    assert (found.units, found.pipes[0].choice, found.pipes[0].needed) == (None, None, "3/4")
    assert all(s.choice is not None for s in found.pipes[1:])


def test_by_pressure_the_zone_fails_as_a_whole() -> None:
    """The same pipe under the pressure method: no pipe of its zone has a choice, those behind a regulator have."""
    segments = (replace(pipe("M", "a", size="1/2", feet=200), fixed=True), *FORK[1:])
    found = sized(supply(segments, LOADS, (REGULATOR,)), GasMethod.PRESSURE)
    assert found.units is None
    assert [s.choice is None for s in found.pipes] == [True, False, False, False]


def test_fixed_new_pipe_has_no_option() -> None:
    """Nothing is there and nothing may be put there: no choice by any method."""
    segments = (replace(pipe("M", "a", size=None), fixed=True),)
    for method in GasMethod:
        assert sized(supply(segments, {"a": 1000.0}), method).units is None
        assert judge(Network(supply(segments, {"a": 1000.0}), GAS), BOOK, method).agrees(None)


def test_no_pipes_cost_nothing() -> None:
    """A delivery with nothing on it."""
    for method in GasMethod:
        assert sized(supply((), {}), method) == Sizing(method, (), 0)
        assert judge(Network(supply((), {}), GAS), BOOK, method).agrees(0)


def test_a_large_pipe_may_give_way_for_its_fittings() -> None:
    """1-1/4 in with twelve ells is 57.4 ft with the rest: at 60 ft 3/4 in carries 137, not 150, and 15 ft of new pipe
    would be 1 in. In 3/4 in the run is 40.7 ft, where 3/4 in carries 151 (ells: Table A.2.2, read; capacities
    memory). Renewing one foot is cheaper than the larger size."""
    system = supply((pipe("M", "a", 1, "1-1/4", elbows=12), pipe("a", "b", 15, None)), {"b": 150_000})
    cheap = book({**{f"gas.{s}.pipe": c for s, c in PER_FT.items()}, "gas.renew": 1000})
    for method, other in ((m, BOOK) for m in (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)):
        network = Network(system, GAS)
        small, large = size(network, cheap, method), size(network, other, method)
        assert small.units == pytest.approx((1000 + 800 + 15 * 800) * MONEY_SCALE, rel=1e-3)
        assert [s.choice and s.choice.size for s in small.pipes] == ["3/4", "3/4"]
        assert large.units == pytest.approx(15 * 1100 * MONEY_SCALE)
        assert judge(network, cheap, method).agrees(small.units)
        assert judge(network, other, method).agrees(large.units)


def test_appliance_narrows_its_own_run() -> None:
    """7 in w.c. less an inlet of 6.8 leaves 0.2: the run to it is dearer, the other is not touched."""
    segments = (pipe("M", "a", 20, None), pipe("a", "b", 20, None), pipe("a", "c", 20, None))
    system = supply(segments, {"b": 100_000, "c": 100_000})
    narrow = replace(system.appliances[0], inlet_min_pa=6.8 * WC)
    limited = replace(system, appliances=(narrow, system.appliances[1]))
    free, held = sized(system, GasMethod.PRESSURE), sized(limited, GasMethod.PRESSURE)
    assert free.units is not None
    assert held.units is not None
    assert held.units > free.units
    impossible = replace(limited, appliances=(replace(narrow, inlet_min_pa=7.1 * WC), system.appliances[1]))
    assert sized(impossible, GasMethod.PRESSURE).units is None


def test_appliance_at_its_own_regulator_is_behind_it() -> None:
    """Its inlet limit says nothing of the pipe ahead."""
    system = supply((pipe("M", "a", 20, None),), {"a": 100_000}, (replace(REGULATOR, outlet_pa=6 * WC),))
    limited = replace(system, appliances=(replace(system.appliances[0], inlet_min_pa=6.99 * WC),))
    assert sized(limited, GasMethod.PRESSURE).units == sized(system, GasMethod.PRESSURE).units
    assert judge(Network(limited, GAS), BOOK, GasMethod.PRESSURE).agrees(sized(system, GasMethod.PRESSURE).units)


def test_losses_are_whole_and_rounded_up() -> None:
    """1.962 in w.c. of 199 cubic feet an hour in 1/2 in over 30 ft (computed with the annex form), in milli-pascals;
    the budget of 0.5 in w.c. is rounded down."""
    terms = Terms(GAS, 7 * WC, 0.5 * WC)
    lost = loss_units(Option(STEEL, "1/2"), round(30 * FT), 199_000 * BTU_H, terms)
    assert lost == pytest.approx(1.962 * WC * 1000, rel=5e-4)
    assert budget_units(Zone("M", 7 * WC, 0.5 * WC)) == int(0.5 * WC * 1000)
    assert loss_units(Option("lead", "1"), 1000, 1.0, terms) is None
    assert loss_units(Option("lead", "1"), 1000, 0.0, terms) == 0


def test_high_pressure_is_measured_in_squares() -> None:
    """2 psi less 1 psi: (16.73^2 - 15.73^2) psi^2 with the 14.73 psi of 30 in of mercury, in thousands of Pa2."""
    squares = (16.73**2 - 15.73**2) * PSI**2 / 1000
    assert budget_units(Zone("M", 2 * PSI, 1 * PSI)) == pytest.approx(squares, abs=1)


def test_front_ends_with_its_zone() -> None:
    """What is behind a regulator costs the pipe ahead of it nothing."""
    segments = (pipe("M", "a", 20, None), pipe("a", "b", 20, None))
    network = Network(supply(segments, {"b": 100_000}, (REGULATOR,)), GAS)
    ahead = size(Network(supply(segments[:1], {"a": 100_000}), GAS), BOOK, GasMethod.PRESSURE)
    assert front(network, BOOK, 0)[-1][1] == ahead.units


def test_sizes_at_a_tap_settle_though_fittings_get_shorter() -> None:
    """35 ft of tubing with 7 bends (13,447 mm) would do as 1/2 in steel, whose longer elbows (13,979 mm) it then would
    not carry; the wider tubing bends as short as the old one. What was chosen for the longer run is good for it."""
    old = pipe("M", "a", 35, "18", "csst", elbows=7, tees=0)
    system = replace(supply((old,), {"a": 77_000.0}), fittings=GasFittings.COUNTED)
    prices = book({"gas.renew": 9000, "gas.1/2.pipe": 100, "gas.csst.37.pipe": 300, "access.pipe.finished": 800})
    tree = TapTree(Network(system, GAS), prices, GasMethod.BRANCH_EQUATION, 100_000 * BTU_H)
    found = tree.cost(Carrier(-1, False, 0), 6100)
    assert found is not None
    assert [(i, o.material, o.size) for i, o in found.renewed] == [(0, "csst", "37")]
