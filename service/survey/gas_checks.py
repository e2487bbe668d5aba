"""Faults of the gas piping: it must be a tree that grows from the point of delivery, and its pressures must fall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from service.errors import Fault
from service.survey.lines import room_edges
from service.survey.model import GasSupply, Survey

ENTRY_REACH_MM = 600
"""Farthest that the point of delivery may be from a wall: a meter on its bracket [mm]."""


def gas_faults(survey: Survey) -> Iterator[Fault]:
    """All faults of the gas supply of a house."""
    yield from supply_faults(survey.gas)
    yield from _delivery_faults(survey)


def supply_faults(gas: GasSupply) -> Iterator[Fault]:
    """Faults of a gas supply that no house is needed to see. Without ``nodes`` the segments' ends are the nodes."""
    yield from _unknown_nodes(gas)
    yield from _tree_faults(gas)
    yield from _segment_faults(gas)
    yield from _pressure_faults(gas)
    yield from _regulator_faults(gas)
    yield from _option_faults(gas)


def gas_warnings(gas: GasSupply) -> Iterator[str]:
    """What is odd about a gas supply, but may be so."""
    if gas.diversity is not None and gas.diversity < 1:
        yield (
            f"Gas pipe and meter are sized for {gas.diversity:g} of the connected load: the survey's own override of "
            "the code, which takes the sum of all inputs unless diversity can be shown."
        )
    for appliance in gas.appliances:
        if appliance.input_w == 0:
            yield f"no load: gas appliance {appliance.id} is given with an input of 0"
    beyond = {s.start for s in gas.segments} | {a.node for a in gas.appliances} | set(gas.free_outlets)
    for segment in gas.segments:
        if segment.end not in beyond:
            yield f"no load: gas segment {segment.id} leads to no appliance and no free outlet"


def _names(gas: GasSupply) -> set[str]:
    """Nodes that there are."""
    ends = {gas.delivery_node} | {name for s in gas.segments for name in (s.start, s.end)}
    return {n.id for n in gas.nodes} or ends


def _unknown_nodes(gas: GasSupply) -> Iterator[Fault]:
    nodes = _names(gas)
    named = [
        ("#/gas/delivery_node", gas.delivery_node),
        *((f"#/gas/segments/{i}/start", s.start) for i, s in enumerate(gas.segments)),
        *((f"#/gas/segments/{i}/end", s.end) for i, s in enumerate(gas.segments)),
        *((f"#/gas/appliances/{i}/node", a.node) for i, a in enumerate(gas.appliances)),
        *((f"#/gas/free_outlets/{i}", outlet) for i, outlet in enumerate(gas.free_outlets)),
        *((f"#/gas/regulators/{i}/node", r.node) for i, r in enumerate(gas.regulators)),
    ]
    for place, node in named:
        if node not in nodes:
            yield Fault(place, "unknown_node", f"there is no gas node {node!r}")
    for i, segment in enumerate(gas.segments):
        if segment.id in nodes:
            yield Fault(f"#/gas/segments/{i}/id", "duplicate_id", f"{segment.id!r} is a gas node's id too")
        if segment.size is None and segment.fixed:
            yield Fault(f"#/gas/segments/{i}/fixed", "contradiction", "a pipe still to be sized cannot be fixed")


def _tree_faults(gas: GasSupply) -> Iterator[Fault]:
    """Loops, nodes that no gas reaches, and segments that run the wrong way."""
    loops = _loops(gas)
    for i in loops:
        yield Fault(f"#/gas/segments/{i}", "gas_loop", f"segment {gas.segments[i].id!r} closes a loop")
    depth = _depths(gas, loops)
    known = _names(gas)
    for i, segment in enumerate(gas.segments):
        reached = i not in loops and segment.start in known and segment.end in depth
        if reached and depth[segment.end] < depth[segment.start]:
            yield Fault(f"#/gas/segments/{i}", "gas_direction", "start must be the end towards the point of delivery")
    if gas.delivery_node in depth:
        yield from _cut_off(gas, depth)


def _cut_off(gas: GasSupply, depth: dict[str, int]) -> Iterator[Fault]:
    """Nodes that no pipe leads to, or the pipes there if the nodes are names only."""
    pipes = [] if gas.nodes else [(f"#/gas/segments/{i}/start", s.start) for i, s in enumerate(gas.segments)]
    for place, node in [*((f"#/gas/nodes/{i}", n.id) for i, n in enumerate(gas.nodes)), *pipes]:
        if node not in depth:
            yield Fault(place, "gas_disconnected", f"no pipe leads from the delivery to {node!r}")


def _segment_faults(gas: GasSupply) -> Iterator[Fault]:
    """Segments without length, to be sized and yet not to be touched, or ahead of a regulator that is not there."""
    regulated = {r.node for r in gas.regulators}
    for i, segment in enumerate(gas.segments):
        place = f"#/gas/segments/{i}"
        if segment.length_mm == 0 and segment.start != segment.end:
            yield Fault(f"{place}/length", "no_length", "the segment has no length")
        if segment.fixed and segment.size is None:
            yield Fault(f"{place}/fixed", "contradiction", "pipe without a size is to be sized, it cannot be fixed")
        if segment.before_regulator and segment.start not in regulated:
            detail = f"there is no line regulator at {segment.start!r}"
            yield Fault(f"{place}/before_regulator", "no_regulator", detail)


def _pressure_faults(gas: GasSupply) -> Iterator[Fault]:
    """Drops that leave no pressure, and inlets whose least is over their greatest."""
    drops = [
        ("#/gas", gas.allowable_drop_pa, gas.pressure_pa),
        *((f"#/gas/regulators/{i}", r.allowable_drop_pa, r.outlet_pa) for i, r in enumerate(gas.regulators)),
        *((f"#/gas/pressure_options/{i}", o.allowable_drop_pa, o.pressure_pa)
          for i, o in enumerate(gas.pressure_options)),
    ]  # fmt: skip
    for place, drop_pa, pressure_pa in drops:
        if drop_pa >= pressure_pa:
            yield Fault(f"{place}/allowable_drop", "drop_too_large", "the drop must be less than the pressure itself")
    for i, appliance in enumerate(gas.appliances):
        low, high = appliance.inlet_min_pa, appliance.inlet_max_pa
        if low is not None and high is not None and high < low:
            yield Fault(f"#/gas/appliances/{i}/inlet_max", "upside_down", "the greatest is less than the least")


def _regulator_faults(gas: GasSupply) -> Iterator[Fault]:
    """Two regulators at one node, and those that could not lower what arrives."""
    arriving, seen = _arriving_pa(gas), set()
    for i, regulator in enumerate(gas.regulators):
        if regulator.node in seen:
            detail = f"there is another line regulator at {regulator.node!r}"
            yield Fault(f"#/gas/regulators/{i}/node", "duplicate_regulator", detail)
        seen.add(regulator.node)
        if regulator.outlet_pa >= arriving.get(regulator.node, float("inf")):
            detail = "the outlet must be below the pressure that arrives"
            yield Fault(f"#/gas/regulators/{i}/outlet_pressure", "not_below_inlet", detail)


def _option_faults(gas: GasSupply) -> Iterator[Fault]:
    """Offered pressures whose line regulator could not lower them, is there already, or drops too much."""
    regulated = {r.node for r in gas.regulators}
    for i, option in enumerate(gas.pressure_options):
        place = f"#/gas/pressure_options/{i}"
        if option.regulated_pa is None:
            continue
        if option.regulated_pa >= option.pressure_pa:
            detail = "the outlet must be below the pressure that arrives"
            yield Fault(f"{place}/regulated_pressure", "not_below_inlet", detail)
        if gas.delivery_node in regulated:
            detail = "there is a line regulator at the point of delivery already"
            yield Fault(f"{place}/regulated_pressure", "contradiction", detail)
        drop_pa = gas.allowable_drop_pa if option.regulated_drop_pa is None else option.regulated_drop_pa
        if drop_pa >= option.regulated_pa:
            yield Fault(f"{place}/regulated_drop", "drop_too_large", "the drop must be less than the pressure itself")


def _arriving_pa(gas: GasSupply) -> dict[str, float]:
    """Pressure without flow that arrives at each node that gas reaches [Pa]."""
    outlets = {r.node: r.outlet_pa for r in gas.regulators}
    below = defaultdict(list)
    for segment in gas.segments:
        below[segment.start].append(segment)
    arriving, front = {gas.delivery_node: gas.pressure_pa}, [gas.delivery_node]
    while front:
        node = front.pop()
        for segment in (s for s in below[node] if s.end not in arriving):
            ahead = arriving[node]
            arriving[segment.end] = ahead if segment.before_regulator else outlets.get(node, ahead)
            front.append(segment.end)
    return arriving


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
    depth = {gas.delivery_node: 0} if gas.delivery_node in _names(gas) else {}
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
