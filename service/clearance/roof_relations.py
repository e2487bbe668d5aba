"""Each relation of the rule tables for a terminal on a roof: how near in plan and at which heights it forbids.

Distances are from the rim of a level disc; what opens in the roof itself is kept away from in plan, but for the height
over a fan-driven inlet.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service.clearance.model import FAR_MM
from service.clearance.objects import Thing
from service.rules.rulesets import SizedRule


@dataclass(frozen=True, slots=True)
class Near:
    """A place is forbidden if it is nearer in plan than ``reach`` and its height between two bounds [mm].

    ``space`` (if not 0): and nearer in space than that.
    """

    reach: int
    z0: int = -FAR_MM
    z1: int = FAR_MM
    space: int = 0


def _radial(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    reach = r.distance_mm + radius
    return Near(reach) if in_roof else Near(reach, space=reach)


def _horizontal(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    return Near(r.distance_mm + radius)


def _beside_below_above(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    reach = r.beside_mm + radius
    if in_roof:
        return Near(reach)
    return Near(reach, t.z0 - r.below_mm, t.z1 + r.above_mm, r.string_mm + radius if r.string_mm else 0)


def _above_inlet(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    return Near(r.gate_mm + radius, z1=t.z1 + r.distance_mm)


def _door_swing(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    return Near(r.distance_mm + radius, t.z0, t.z1)


def _column(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    return Near(r.gate_mm + radius, t.z1, t.z1 + r.above_mm)


def _not_over(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    return Near(r.gate_mm + radius, z0=t.z1)


def _above_level(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    low = t.z0 if t.kinds & {"deck_top", "snow"} else -FAR_MM
    return Near(r.gate_mm + radius, low, t.z1 + r.distance_mm)


def _under_open(r: SizedRule, t: Thing, radius: int, in_roof: bool) -> Near:
    is_open = t.open_sides is not None and t.open_sides >= (r.rule.open_sides_min or 0)
    return Near(r.gate_mm + radius, t.z0 - r.distance_mm if is_open else -FAR_MM, t.z0)


NEAR: dict[str, Callable[[SizedRule, Thing, int, bool], Near]] = {
    "radial": _radial,
    "horizontal": _horizontal,
    "beside_below_above": _beside_below_above,
    "above_inlet_within": _above_inlet,
    "door_swing": _door_swing,
    "column": _column,
    "not_over": _not_over,
    "above_level": _above_level,
    "under_open": _under_open,
}
"""``facing`` speaks of a terminal that blows at something level with it; the other relations measure nothing."""
