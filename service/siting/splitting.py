"""Parts of a node of the joint search, made so that what stood between its bound and a lawful set does not in each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.building.model import Building
from service.clearance.model import FAR_MM
from service.design import Design, Service
from service.siting.clashes import Clash
from service.siting.dwelling_search import DwellingSearch, Gas, Held, Region
from service.siting.gas_shares import LONGEST, shared_keys
from service.siting.needs import hanging_name
from service.siting.neighbours import Neighbour
from service.siting.own_places import Lines, beside
from service.siting.shared_gas import SharedSupply
from service.siting.terminals import place_of
from service.survey.model import Survey

Helds = tuple[Held, ...]


def split_by_heater(
    searches: Sequence[DwellingSearch], helds: Helds, designs: Sequence[Design], pair: Sequence[int]
) -> list[Helds] | None:
    """Settle the heater of the first of two dwellings for which it is not: the one found, or any other; None where both
    are settled."""
    for k in pair:
        name, every = hanging_name(designs[k].heater, designs[k].outdoors), frozenset(searches[k].inputs(helds[k]))
        if helds[k].heaters != frozenset({name}):
            parts = [frozenset({name}), *([every - {name}] if len(every) > 1 else [])]
            return [_put(helds, k, replace(helds[k], heaters=kept)) for kept in parts]
    return None


def pinned_at(helds: Helds, stands: int, gives: int, near: Neighbour) -> Helds:
    """One of two dwellings held to the place of a neighbour's terminal or case, the other beside it."""
    ends = is_placed_by_end(near.design, near.has_ends)
    surface, s, z = _place(near.design, ends)
    here = _put(helds, stands, _in(helds[stands], Region(surface, (s, s), (z, z)), ends))
    return _put(here, gives, replace(helds[gives], beside=(*helds[gives].beside, near)))


def split_by_place(
    search: DwellingSearch, helds: Helds, design: Design, clash: Clash, stands: int, gas: Gas
) -> list[Helds] | None:
    """Split at the place of the dwelling that stands, whose heater is settled: there, with the other beside it, or at
    any other of its own lines. None where no place is left to split at."""
    held, ends = helds[stands], is_placed_by_end(design, clash.ends)
    lines = search.own_places(held, gas).lines_of(design, ends)
    near = Neighbour(search.dwelling.id, bare(design), not ends, ends or design.outdoors, False)
    regions = held.ends if ends else held.mounts
    if lines is None or any(r.is_place for r in regions):
        return None
    here = pinned_at(helds, stands, clash.first if stands == clash.second else clash.second, near)
    regions = tuple(_elsewhere(*_place(design, ends), lines, regions))
    return [here, *(_put(helds, stands, _in(held, r, ends)) for r in regions)]


def is_placed_by_end(design: Design, ends: bool) -> bool:
    """Whether it is the vent's end that a place is settled by; outdoors the case is both."""
    return ends and not design.outdoors


def bare(design: Design) -> Design:
    """A design without its bill, so that what stands alike is alike."""
    return replace(design, lines=(), total_cents=0, weighed_cents=None)


def _put(helds: Helds, index: int, held: Held) -> Helds:
    return (*helds[:index], held, *helds[index + 1 :])


def _in(held: Held, region: Region, ends: bool) -> Held:
    return replace(held, ends=(*held.ends, region)) if ends else replace(held, mounts=(*held.mounts, region))


def _place(design: Design, ends: bool) -> tuple[str, int, int]:
    """Surface, distance and height of a design's terminal or case [mm]."""
    if ends:
        return place_of(design.terminal)
    return design.mount.facade_id or design.mount.face_id, design.mount.s_mm, design.mount.bottom_z_mm


def _elsewhere(surface: str, s: int, z: int, lines: Lines, held: tuple[Region, ...]) -> Iterator[Region]:
    """All critical places but one: another surface, other distances, the same distance at other heights."""
    if not any(r.surface_id == surface and not r.outside for r in held):
        yield Region(surface, outside=True)
    (left, right), (down, up) = beside(lines[0], s), beside(lines[1], z)
    if left is not None:
        yield Region(surface, (-FAR_MM, left))
    if right is not None:
        yield Region(surface, (right, FAR_MM))
    if down is not None:
        yield Region(surface, (s, s), (-FAR_MM, down))
    if up is not None:
        yield Region(surface, (s, s), (up, FAR_MM))


def split_run(survey: Survey, designs: Sequence[Design], runs: tuple[int, float], reaches: Sequence[int]) -> int | None:
    """The length at which to split the longest run of gas pipe: what the sizes of some design, or of pipe that nobody
    pays for alone (``reaches``), rest on, where a run of some design is longer; None where that is not what keeps them
    apart."""
    if survey.gas.method not in LONGEST or survey.gas.regulators:
        return None
    routes = [r for d in designs if (r := d.route(Service.GAS)) is not None]
    held = [*reaches, *(r.limit_mm for r in routes if r.limit_mm is not None)]
    longest = max((r.equivalent_mm for r in routes if r.equivalent_mm is not None), default=0)
    return min((mm for mm in held if runs[0] < mm < min(longest, runs[1])), default=None)


def split_by_gas(
    survey: Survey, building: Building, searches: Sequence[DwellingSearch], helds: Helds, designs: Sequence[Design],
    gases: Sequence[Gas],
) -> list[Helds] | None:  # fmt: skip
    """Split where the shared system costs more than it does at least: by what a heater burns if that makes the
    supplier change something, else by where one taps, else by what it burns. None where all that is settled."""
    inputs = [s.inputs(h) for s, h in zip(searches, helds, strict=True)]
    least = shared_keys(survey, (min(i.values()) for i in inputs))
    by_input = list(_by_input(helds, designs, inputs))
    if shared_keys(survey, (d.heater.input_max_w for d in designs)) != least and by_input:
        return by_input
    return list(_by_tap(survey, building, helds, designs, gases)) or by_input or None


def _by_input(helds: Helds, designs: Sequence[Design], inputs: Sequence[dict[str, float]]) -> Iterator[Helds]:
    """The dwelling whose heater burns the most over its least: less than that, or that and more."""
    over = [d.heater.input_max_w - min(i.values()) for d, i in zip(designs, inputs, strict=True)]
    k = max(range(len(over)), key=lambda i: (over[i], -i))
    if over[k] <= 0:
        return
    found = designs[k].heater.input_max_w
    for kept in ([n for n, w in inputs[k].items() if w < found], [n for n, w in inputs[k].items() if w >= found]):
        yield _put(helds, k, replace(helds[k], heaters=frozenset(kept)))


def _by_tap(
    survey: Survey, building: Building, helds: Helds, designs: Sequence[Design], gases: Sequence[Gas]
) -> Iterator[Helds]:
    """The first dwelling that may still tap several things: what it taps, or the others."""
    every = frozenset(n.id for n in survey.gas.nodes) | frozenset(s.id for s in survey.gas.segments)
    for k, held in enumerate(helds):
        taps = every if held.taps is None else held.taps
        if len(taps) > 1:
            here = SharedSupply(gases[k].supply).tap_of(building, designs[k]).name
            for kept in (frozenset({here}), taps - {here}):
                yield _put(helds, k, replace(held, taps=kept))
            return
