"""Faults of the gas piping: it must be a tree that grows from the point of delivery."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from service.errors import Fault
from service.survey.lines import room_edges
from service.survey.model import GasSupply, Survey

ENTRY_REACH_MM = 600
"""Farthest that the point of delivery may be from a wall: a meter on its bracket [mm]."""


def gas_faults(survey: Survey) -> Iterator[Fault]:
    """All faults of the gas supply."""
    yield from _unknown_nodes(survey.gas)
    yield from _tree_faults(survey.gas)
    yield from _delivery_faults(survey)


def _unknown_nodes(gas: GasSupply) -> Iterator[Fault]:
    nodes = {n.id for n in gas.nodes}
    named = [
        ("#/gas/delivery_node", gas.delivery_node),
        *((f"#/gas/segments/{i}/start", s.start) for i, s in enumerate(gas.segments)),
        *((f"#/gas/segments/{i}/end", s.end) for i, s in enumerate(gas.segments)),
        *((f"#/gas/appliances/{i}/node", a.node) for i, a in enumerate(gas.appliances)),
        *((f"#/gas/free_outlets/{i}", outlet) for i, outlet in enumerate(gas.free_outlets)),
    ]
    for place, node in named:
        if node not in nodes:
            yield Fault(place, "unknown_node", f"there is no gas node {node!r}")


def _tree_faults(gas: GasSupply) -> Iterator[Fault]:
    """Loops, nodes that no gas reaches, and segments that run the wrong way."""
    loops = _loops(gas)
    for i in loops:
        yield Fault(f"#/gas/segments/{i}", "gas_loop", f"segment {gas.segments[i].id!r} closes a loop")
    depth = _depths(gas, loops)
    known = {node.id for node in gas.nodes}
    for i, segment in enumerate(gas.segments):
        reached = i not in loops and segment.start in known and segment.end in depth
        if reached and depth[segment.end] < depth[segment.start]:
            yield Fault(f"#/gas/segments/{i}", "gas_direction", "start must be the end towards the point of delivery")
        if segment.length_mm == 0 and segment.start != segment.end:
            yield Fault(f"#/gas/segments/{i}/length", "no_length", "the segment has no length")
    for i, node in enumerate(gas.nodes):
        if node.id not in depth and gas.delivery_node in depth:
            yield Fault(f"#/gas/nodes/{i}", "gas_disconnected", f"no pipe leads from the delivery to {node.id!r}")


def _loops(gas: GasSupply) -> set[int]:
    """Positions of the segments whose ends earlier segments already join."""
    parent = {name: name for s in gas.segments for name in (s.start, s.end)}

    def root(name: str) -> str:
        while parent[name] != name:
            parent[name] = parent[parent[name]]
            name = parent[name]
        return name

    closing = set()
    for i, segment in enumerate(gas.segments):
        a, b = root(segment.start), root(segment.end)
        if a == b:
            closing.add(i)
        parent[a] = b
    return closing


def _depths(gas: GasSupply, loops: set[int]) -> dict[str, int]:
    """Number of segments between the delivery and each node that gas reaches."""
    beside: dict[str, list[str]] = defaultdict(list)
    for i, segment in enumerate(gas.segments):
        if i not in loops:
            beside[segment.start].append(segment.end)
            beside[segment.end].append(segment.start)
    depth = {gas.delivery_node: 0} if any(n.id == gas.delivery_node for n in gas.nodes) else {}
    front = list(depth)
    while front:
        reached = [(b, depth[a] + 1) for a in front for b in beside[a] if b not in depth]
        depth.update(reached)
        front = [b for b, _ in reached]
    return depth


def _delivery_faults(survey: Survey) -> Iterator[Fault]:
    node = next((n for n in survey.gas.nodes if n.id == survey.gas.delivery_node), None)
    if node is None:
        return
    edges = [edge for storey in survey.storeys for edge in room_edges(storey)]
    if edges and min(edge.distance_mm((node.at[0], node.at[1])) for edge in edges) > ENTRY_REACH_MM:
        detail = f"the point of delivery is more than {ENTRY_REACH_MM} mm from every wall"
        yield Fault("#/gas/delivery_node", "touches_no_wall", detail)
