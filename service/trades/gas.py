"""Gas piping: flow, capacity, and what an existing tree can still carry.

Flow at 60 F and 30 in of mercury. Sizes come from the low-pressure equation, not from the printed
tables it made; at an edge (3/4 in, 30 ft, 199 cfh: table 199, equation 198.6) the equation decides,
which is the safe side. Altitude and fuel act through heating value and specific gravity; inputs are
taken from the nameplate without derating, which is the safe side for pipe.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor, pow

from service.rules.tables import UNITS, Row, table
from service.survey.equipment import Heater
from service.survey.model import GasSegment, GasSupply, Site

STEEL = "steel_sch40"
SIZES: tuple[str, ...] = tuple(
    r.text("nominal") for r in table("gas_pipe").rows if r.text("material") == STEEL and r.flag("branch")
)
"""Schedule 40 sizes offered for a new branch, smallest first."""
MATERIALS: tuple[str, ...] = tuple(dict.fromkeys(r.text("material") for r in table("gas_pipe").rows))
"""Materials of existing pipe whose capacity is known."""
ROUNDING = 1 + 1e-9
"""Whole Btu/h add up to a whole rating; their watts may miss it by the last bit."""
UNLIMITED_MM = 10_000_000
"""Stands for 'the existing pipe sets no limit': a tap at the point of delivery [mm]."""


@dataclass(frozen=True, slots=True)
class Tap:
    """Place on the existing piping where a branch may begin.

    ``upstream_mm``: developed length from the point of delivery to here.
    ``max_total_mm``: longest total run (from the point of delivery to the most remote outlet, the
    new branch included) at which every existing segment on the way carries its load; 0 = never.
    """

    upstream_mm: int
    max_total_mm: int


def flow_m3_s(input_w: float, heating_value_j_m3: float) -> float:
    """Gas flow [m3/s] of a burner: input / heating value. Source: IFGC 2018 402.2 (read)."""
    if heating_value_j_m3 <= 0:
        raise ValueError("heating value must be positive")
    return input_w / heating_value_j_m3


@lru_cache(maxsize=256)
def cr_factor(specific_gravity: float) -> float:
    """Factor Cr [-] of the gas equation: 0.00354 S T (Z/S)^0.152. Source: NFPA 54 B.4 (memory;
    returns the Cr printed in IFGC 2018 402.4). Raises ValueError outside gravity 0.35 to 2.1."""
    constants, gas = table("gas_equation"), _gas_of(specific_gravity)
    temperature_r = constants.where(symbol="base_temperature").printed("value")
    ratio = gas.printed("viscosity") / specific_gravity
    return (
        constants.constant("cr_coefficient") * specific_gravity * temperature_r
        * pow(ratio, constants.constant("cr_exponent"))
    )  # fmt: skip


def capacity_m3_s(inside_diameter_m: float, length_m: float, drop_pa: float, specific_gravity: float) -> float:
    """Flow [m3/s] that a pipe passes: Q = 2313 D^2.623 (dH / (Cr L))^0.541 (cfh, in, in w.c., ft).

    Valid below 1.5 psi at the inlet and in turbulent flow. Source: NFPA 54 B.4 / IFGC A.4 (memory;
    returns the printed capacity tables to three figures). Raises ValueError unless all are positive.
    """
    _positive(length_m, drop_pa)
    gradient = (drop_pa / UNITS["in w.c."]) / (cr_factor(specific_gravity) * length_m / UNITS["ft"])
    exponent = table("gas_equation").constant("gradient_exponent")
    return _unit_gradient_flow_m3_s(inside_diameter_m) * pow(gradient, exponent)


def gradient_pa_m(inside_diameter_m: float, flow_m3_s: float, specific_gravity: float) -> float:
    """Pressure drop a length [Pa/m], the same equation solved for dH / L:
    Cr (Q / (2313 D^2.623))^(1/0.541). Range and source as ``capacity_m3_s``."""
    if flow_m3_s < 0:
        raise ValueError("flow must not be negative")
    exponent = table("gas_equation").constant("gradient_exponent")
    ratio = flow_m3_s / _unit_gradient_flow_m3_s(inside_diameter_m)
    return cr_factor(specific_gravity) * pow(ratio, 1 / exponent) * UNITS["in w.c."] / UNITS["ft"]


def max_length_mm(size: str, flow_m3_s: float, drop_pa: float, specific_gravity: float) -> int:
    """Longest equivalent length [mm], rounded down, over which Schedule 40 pipe of this size passes
    the flow at the drop. Range and source as ``capacity_m3_s``. KeyError for an unknown size."""
    return _longest_mm(STEEL, size, flow_m3_s, drop_pa, specific_gravity)


def elbow_equivalent_mm(size: str) -> int:
    """Equivalent length [mm], rounded up, of a screwed 90 degree elbow of Schedule 40 pipe.
    Source: IFGC 2018 Table A.2.2 (read). KeyError for an unknown size."""
    return ceil(round(table("gas_fittings").where(nominal=size).si("ell90") * 1000, 6))


def connected_load_w(gas: GasSupply) -> float:
    """Sum [W] of all existing inputs, no diversity. Source: IFGC 2018 402.2 (read)."""
    return sum(appliance.input_w for appliance in gas.appliances)


def meter_ok(gas: GasSupply, added_w: float) -> bool:
    """Whether the meter's capacity covers the connected load and what is added [W]."""
    return connected_load_w(gas) + added_w <= gas.meter_capacity_w * ROUNDING


def inlet_ok(gas: GasSupply, heater: Heater) -> bool:
    """Whether the heater's inlet range holds the supply pressure both without flow and less the
    allowable drop [Pa]. Source: common practice, listed instructions."""
    lowest = gas.pressure_pa - gas.allowable_drop_pa
    return lowest >= heater.gas_inlet_min_pa and gas.pressure_pa <= heater.gas_inlet_max_pa


def longest_run_mm(gas: GasSupply) -> int:
    """Developed length [mm] from the point of delivery to the most remote node."""
    return max(_tree(gas).upstream_mm.values())


def taps(gas: GasSupply, site: Site, added_w: float) -> dict[str, Tap]:
    """What each connected node of the existing piping still carries if ``added_w`` [W] hangs there.

    Longest-length method (IFGC 2018 402.4.1, read): one length, that of the most remote outlet, for
    every segment on the way from the point of delivery. Segments off the way keep their own length
    (branch-length method, 402.4.2, read) and load. Fittings of existing pipe are not known and not
    counted. Nodes that hang on nothing are left out. Raises ValueError when segments form a loop.
    """
    return {node: tap for node, (tap, _) in _judged(gas, site, added_w).items()}


def tap_reason(gas: GasSupply, site: Site, added_w: float, node_id: str) -> str | None:
    """Why the tap at a node carries nothing (``max_total_mm`` 0), or None when it carries."""
    judged = _judged(gas, site, added_w)
    return judged[node_id][1] if node_id in judged else f"node {node_id} is not connected to the point of delivery"


@dataclass(frozen=True, slots=True)
class _Tree:
    """Existing piping that hangs on the point of delivery, by node id."""

    upstream_mm: dict[str, int]
    parents: dict[str, GasSegment]

    def way(self, node: str) -> list[GasSegment]:
        """Segments from a node back to the point of delivery."""
        way = []
        while node in self.parents:
            way.append(self.parents[node])
            node = self.parents[node].start
        return way


def _tree(gas: GasSupply) -> _Tree:
    below: dict[str, list[GasSegment]] = {}
    for segment in gas.segments:
        below.setdefault(segment.start, []).append(segment)
    tree, front = _Tree({gas.delivery_node: 0}, {}), [gas.delivery_node]
    while front:
        node = front.pop()
        for segment in below.get(node, ()):
            if segment.end in tree.upstream_mm:
                raise ValueError(f"segment {segment.id} closes a loop")
            tree.upstream_mm[segment.end] = tree.upstream_mm[node] + segment.length_mm
            tree.parents[segment.end] = segment
            front.append(segment.end)
    return tree


def _loads_w(gas: GasSupply, tree: _Tree) -> dict[str, float]:
    """Input at and beyond each node. An appliance whose place on the tree is not known counts everywhere."""
    loads = dict.fromkeys(tree.upstream_mm, 0.0)
    for appliance in gas.appliances:
        placed = appliance.node in loads
        nodes = [appliance.node, *(s.start for s in tree.way(appliance.node))] if placed else list(loads)
        for node in nodes:
            loads[node] += appliance.input_w
    return loads


def _judged(gas: GasSupply, site: Site, added_w: float) -> dict[str, tuple[Tap, str | None]]:
    tree = _tree(gas)
    limits = _segment_limits(gas, site, added_w, tree)
    longest = max(tree.upstream_mm.values())
    high = gas.pressure_pa >= table("gas_equation").constant("low_pressure_limit")
    result: dict[str, tuple[Tap, str | None]] = {}
    for node in sorted(tree.upstream_mm, key=lambda n: (tree.upstream_mm[n], n)):
        limit, reason = min((limits[s.end] for s in tree.way(node)), default=(UNLIMITED_MM, None), key=lambda x: x[0])
        if high:
            reason = "supply pressure is above the range of the low-pressure equation"
        elif not reason and limit < longest:
            reason = f"existing pipe carries the load over {limit} mm, the longest run is {longest} mm"
        result[node] = Tap(tree.upstream_mm[node], 0 if reason else limit), reason
    return result


def _segment_limits(gas: GasSupply, site: Site, added_w: float, tree: _Tree) -> dict[str, tuple[int, str | None]]:
    """By end node: longest length of each segment with what it carries and ``added_w``, or why it is not known."""
    loads = _loads_w(gas, tree)
    limits: dict[str, tuple[int, str | None]] = {}
    for node, segment in tree.parents.items():
        if not _known(segment):
            limits[node] = 0, f"segment {segment.id}: capacity of {segment.material} {segment.size} is not known"
            continue
        flow = flow_m3_s(loads[node] + added_w, site.heating_value_j_m3)
        limits[node] = (
            _longest_mm(segment.material, segment.size, flow, gas.allowable_drop_pa, site.specific_gravity),
            None,
        )
    return limits


def _longest_mm(material: str, size: str, flow_m3_s: float, drop_pa: float, specific_gravity: float) -> int:
    _positive(drop_pa)
    inside_m = table("gas_pipe").where(material=material, nominal=size).si("sizing_inside")
    gradient = gradient_pa_m(inside_m, flow_m3_s, specific_gravity)
    return floor(min(drop_pa / gradient * 1000, UNLIMITED_MM)) if gradient else UNLIMITED_MM


def _known(segment: GasSegment) -> bool:
    return any(
        r.text("material") == segment.material and r.text("nominal") == segment.size for r in table("gas_pipe").rows
    )


@lru_cache(maxsize=256)
def _unit_gradient_flow_m3_s(inside_diameter_m: float) -> float:
    """Flow at dH / (Cr L) of one."""
    _positive(inside_diameter_m)
    constants = table("gas_equation")
    power = pow(inside_diameter_m / UNITS["in"], constants.constant("diameter_exponent"))
    return constants.constant("low_coefficient") * power * UNITS["cfh"]


def _gas_of(specific_gravity: float) -> Row:
    """Gas whose viscosity goes with a gravity; ValueError outside the table."""
    for row in table("gas_properties").rows:
        if row.printed("gravity_low") <= specific_gravity <= row.printed("gravity_high"):
            return row
    raise ValueError(f"specific gravity {specific_gravity} is outside the table of gases")


def _positive(*values: float) -> None:
    if not all(value > 0 for value in values):
        raise ValueError("length, diameter and drop must be positive")
