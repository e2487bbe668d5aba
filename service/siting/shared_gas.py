"""One gas system with several heaters on it: every branch at its tap, whatever world its design was found in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from service.building.model import Building, Frame
from service.design import Design, Service
from service.piping.extended import HEATER_KIND
from service.piping.feeds import set_point_of
from service.piping.network import Load
from service.piping.options import split_name
from service.survey.equipment import Draft
from service.survey.model import Appliance, GasNode, GasSegment, GasSupply, LineRegulator, Point3, Survey


@dataclass(frozen=True, slots=True)
class SharedTap:
    """Where a branch leaves: a node of the survey, or ``cut_mm`` along one of its segments; ``at`` in the frame."""

    name: str
    at: Point3
    cut_mm: int = 0


@dataclass(frozen=True, slots=True)
class Hung:
    """A heater with its branch, as its design has it. ``room``: where it hangs."""

    dwelling: str
    design: Design
    tap: SharedTap
    room: str | None


@dataclass(frozen=True, slots=True)
class SharedSupply:
    """The survey's gas supply with branches on it. ``parts``: segments that were cut, by the id of each part, with the
    segment's own id and how far along it the part begins [mm]; ``taps``: new nodes with where they are; ``heaters``:
    the node of each heater, by dwelling."""

    supply: GasSupply
    parts: Mapping[str, tuple[str, int]] = field(default_factory=dict)
    taps: Mapping[str, SharedTap] = field(default_factory=dict)
    heaters: Mapping[str, str] = field(default_factory=dict)

    def tap_of(self, building: Building, design: Design) -> SharedTap:
        """The tap of a design that was found with this supply. AssertionError for one without a gas run."""
        route = design.route(Service.GAS)
        assert route is not None
        end = route.pieces[-1].end
        if route.end_id in self.taps:
            return self.taps[route.end_id]
        segment = next((s for s in self.supply.segments if s.id == route.end_id), None)
        if segment is None or any(n.id == route.end_id for n in self.supply.nodes):
            return SharedTap(route.end_id, end)
        far: Point3 = building.frame.to_frame3(next(n.at for n in self.supply.nodes if n.id == segment.end))
        cut = max(segment.length_mm - sum(abs(a - b) for a, b in zip(end, far, strict=True)), 0)
        name, before = self.parts.get(segment.id, (segment.id, 0))
        return SharedTap(name, end, before + min(cut, segment.length_mm))

    def names_of(self, allowed: Iterable[str]) -> frozenset[str]:
        """What nodes and segments of the survey are called here, cut ones by all their parts and the taps on them."""
        names = set(allowed)
        names |= {part for part, (whole, _) in self.parts.items() if whole in names}
        return frozenset(names | {node for node, tap in self.taps.items() if tap.name in names})


def shared_supply(survey: Survey, building: Building, hung: Iterable[Hung]) -> SharedSupply:
    """The supply with a branch, of the size that its design has, for each heater."""
    every, gas = tuple(hung), survey.gas
    segments: list[GasSegment] = []
    parts: dict[str, tuple[str, int]] = {}
    taps: dict[str, SharedTap] = {}
    node_of: dict[tuple[str, int], str] = {}
    for segment in gas.segments:
        cuts = sorted({h.tap.cut_mm for h in every if h.tap.name == segment.id})
        inner = [c for c in cuts if 0 < c < segment.length_mm]
        for cut in cuts:
            whole = segment.start if cut <= 0 else segment.end
            node_of[segment.id, cut] = f"tap on {segment.id} {inner.index(cut) + 1}" if cut in inner else whole
        for cut in inner:
            tap = next(h.tap for h in every if (h.tap.name, h.tap.cut_mm) == (segment.id, cut))
            taps[node_of[segment.id, cut]] = tap
        made = _cut(segment, inner, [node_of[segment.id, c] for c in inner])
        segments += made
        if inner:
            parts |= {p.id: (segment.id, c) for p, c in zip(made, (0, *inner), strict=True)}
    heaters = {h.dwelling: f"heater of {h.dwelling}" for h in every}
    supply = replace(
        gas,
        nodes=(*gas.nodes, *(GasNode(n, _surveyed(building.frame, t.at)) for n, t in taps.items())),
        segments=(*segments, *(_branch(h, node_of, heaters[h.dwelling]) for h in every)),
        appliances=(*gas.appliances, *(_burner(h, heaters[h.dwelling]) for h in every)),
        regulators=(*gas.regulators, *_own_regulators(survey, every, heaters)),
    )
    return SharedSupply(supply, parts, taps, heaters)


def _surveyed(frame: Frame, at: Point3) -> Point3:
    """The point of the survey that stands for one of the frame; where the plan lies askew and none does to the
    millimetre, the nearest."""
    x, y, z = frame.to_survey3(at)
    near = [(x + dx, y + dy, z) for dx in (0, -1, 1) for dy in (0, -1, 1)]
    return next((p for p in near if frame.to_frame3(p) == at), near[0])


def _cut(segment: GasSegment, cuts: list[int], nodes: list[str]) -> list[GasSegment]:
    """A segment in parts; its fittings count in the first, the safe side."""
    if not cuts:
        return [segment]
    ends = (0, *cuts, segment.length_mm)
    names = (segment.start, *nodes, segment.end)
    made = [
        replace(segment, id=f"{segment.id} part {k}", start=start, end=end, length_mm=b - a, part_of=segment.id)
        for k, ((a, b), (start, end)) in enumerate(zip(pairwise(ends), pairwise(names), strict=True), 1)
    ]
    return [made[0], *(replace(p, elbows=None, tees=None, before_regulator=False) for p in made[1:])]


def _branch(hung: Hung, node_of: Mapping[tuple[str, int], str], node: str) -> GasSegment:
    """A heater's branch; one that hangs straight on the old pipe has a millimetre, for others see it as pipe."""
    route = hung.design.route(Service.GAS)
    assert route is not None
    material, size = split_name(route.option)
    start = node_of.get((hung.tap.name, hung.tap.cut_mm), hung.tap.name)
    return GasSegment(
        f"branch to {node}", start, node, material, size, max(route.length_mm, 1), route.elbows, 1, fixed=True,
        before_regulator=hung.design.gas.ahead_of_regulator,
    )  # fmt: skip


def _burner(hung: Hung, node: str) -> Appliance:
    """A heater as an appliance; outdoors it takes no room's air, as with direct vent."""
    heater, apart = hung.design.heater, hung.design.outdoors or hung.design.heater.draft is Draft.DIRECT
    return Appliance(
        node, HEATER_KIND, heater.input_max_w, apart, hung.room, node,
        heater.gas_inlet_min_pa, heater.gas_inlet_max_pa,
    )  # fmt: skip


def _own_regulators(survey: Survey, hung: tuple[Hung, ...], nodes: Mapping[str, str]) -> Iterable[LineRegulator]:
    for h in hung:
        point = set_point_of(survey.site.gas, h.design.heater)
        if h.design.gas.ahead_of_regulator and point is not None:
            yield LineRegulator(nodes[h.dwelling], *point)


def drawn_w(gas: GasSupply, inputs: Iterable[float]) -> float:
    """What all appliances and some heaters draw at once [W]."""
    load = Load()
    for input_w in (*(a.input_w for a in gas.appliances), *inputs):
        load = load.plus(input_w)
    return load.drawn_w(gas.diversity)
