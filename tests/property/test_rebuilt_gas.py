"""What a design does to the old gas piping, against the whole system sized anew. Taps are priced by arithmetic of
their own; this is where that arithmetic meets the sizing that CP-SAT and HiGHS judge."""

from __future__ import annotations

from tests.property.depth import deep
from tests.property.houses import house
from tests.property.rebuilt import gas_faults, renewed_size_is_enough
from tests.property.solving import solved_house

SEEDS = (*range(1000, 1000 + deep(12)), 44, 65, 94, 163)
"""The last four take gas at 2 psi by a regulator of the heater's own, or at another delivery pressure."""


def test_renewals_cost_what_the_whole_system_does() -> None:
    """With the branch in place the cheapest sizes cost just what the design pays for renewals, and CP-SAT agrees."""
    designs = {seed: solved_house(seed).designs for seed in SEEDS}
    assert [fault for seed, found in designs.items() for d in found for fault in gas_faults(house(seed), d)] == []


def test_renewed_system_needs_nothing_more() -> None:
    """Once the design's renewals are laid, no pipe of the system is too small."""
    designs = {seed: solved_house(seed).designs for seed in SEEDS}
    assert [s for s, found in designs.items() for d in found if not renewed_size_is_enough(house(s), d)] == []


def test_houses_ask_for_all_kinds_of_works() -> None:
    """Among the answers are renewals, home runs, taps within a pipe, other delivery pressures and large meters: else
    the other tests of generated houses would not test much."""
    designs = [d for seed in SEEDS for d in solved_house(seed).designs]
    runs = [next(r for r in d.routes if r.service.value == "gas") for d in designs]
    told = {
        "renewal": any(d.gas.renewals for d in designs),
        "none": any(not d.gas.renewals for d in designs),
        "home run": any(r.end_id == "meter" for r in runs),
        "within a pipe": any(r.end_id.startswith("pipe") for r in runs),
        "corrugated": any(r.option.startswith("csst") for r in runs),
        "pressure": any(d.gas.pressure_option for d in designs),
        "own regulator": any(d.gas.ahead_of_regulator for d in designs),
        "service regulator": any(d.gas.service_regulator for d in designs),
        "meter": any(d.meter_upgrade for d in designs),
    }
    assert [kind for kind, found in told.items() if not found] == []
