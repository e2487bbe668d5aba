"""The same house told otherwise: moved, turned, mirrored, shuffled; and the same house made harder or easier."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from service.rules.rulesets import rule_set
from service.survey.equipment import PriceBook
from service.survey.model import Amendment, KeepOut, KeepOutKind, Point2, Storey, Survey

T = TypeVar("T")
PlanMap = Callable[[Point2], Point2]
CLOSED = ("outline",)
LINES = ("points", "eave")
PLAN = ("start", "end", "at")
"""Fields that hold a point; names of gas nodes are strings and stay."""


def moved(survey: Survey, to: PlanMap, mirrored: bool = False) -> Survey:
    """Every point of the survey carried by ``to``; a mirrored outline is walked the other way."""
    return _carried(survey, to, mirrored)


def _carried(thing: T, to: PlanMap, mirrored: bool) -> T:
    if not is_dataclass(thing) or isinstance(thing, type | PriceBook):
        return thing
    changes = {f.name: _field(f.name, getattr(thing, f.name), to, mirrored) for f in fields(thing)}
    return replace(thing, **changes)


def _field(name: str, value: Any, to: PlanMap, mirrored: bool) -> Any:
    if name in CLOSED:
        points = tuple(to(p) for p in value)
        return points[::-1] if mirrored else points
    if name in LINES and value is not None:
        return tuple(_point(p, to) for p in value)
    if name in PLAN and isinstance(value, tuple):
        return _point(value, to)
    if isinstance(value, tuple) and value and is_dataclass(value[0]):
        return tuple(_carried(v, to, mirrored) for v in value)
    return _carried(value, to, mirrored)


def _point(p: tuple[int, ...], to: PlanMap) -> tuple[int, ...]:
    return (*to((p[0], p[1])), *p[2:])


def translated(survey: Survey, dx: int, dy: int) -> Survey:
    """The house elsewhere on the plan [mm]."""
    return moved(survey, lambda p: (p[0] + dx, p[1] + dy))


def turned(survey: Survey, quarters: int) -> Survey:
    """The plan turned by so many quarter turns."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
    return moved(survey, lambda p: (c * p[0] - s * p[1], s * p[0] + c * p[1]))


def mirrored(survey: Survey) -> Survey:
    """The house as its mirror image; the generated heaters are symmetric."""
    return moved(survey, lambda p: (-p[0], p[1]), mirrored=True)


def reordered(survey: Survey) -> Survey:
    """Every list of things in reverse, every outline begun at its next corner; pipes keep their direction."""
    return _reversed(survey)


def _reversed(thing: T) -> T:
    if not is_dataclass(thing) or isinstance(thing, type | PriceBook):
        return thing
    return replace(thing, **{f.name: _back(f.name, getattr(thing, f.name)) for f in fields(thing)})


def _back(name: str, value: Any) -> Any:
    if name == "outline":
        return value[1:] + value[:1]
    if isinstance(value, tuple) and value and is_dataclass(value[0]):
        return tuple(_reversed(v) for v in value[::-1])
    return _reversed(value)


def with_larger_openings(survey: Survey, by_mm: int = 60) -> Survey:
    """Every window and door higher, and lower where it had a sill."""

    def grown(s: Storey) -> Storey:
        found = tuple(
            replace(o, head_z_mm=o.head_z_mm + by_mm, sill_z_mm=max(o.sill_z_mm - by_mm, s.floor_z_mm))
            for o in s.openings
        )
        return replace(s, openings=found)

    return replace(survey, storeys=tuple(grown(s) for s in survey.storeys))


def with_more_in_the_way(survey: Survey) -> Survey:
    """A chest in the middle of the longest inner side of each ground-floor room."""

    def filled(s: Storey) -> Storey:
        chests = tuple(_chest(f"chest-{r.id}", r.outline, s.floor_z_mm) for r in s.rooms)
        return replace(s, keep_outs=s.keep_outs + chests)

    return replace(survey, storeys=tuple(filled(s) for s in survey.storeys))


def _chest(name: str, outline: tuple[Point2, ...], floor: int) -> KeepOut:
    xs, ys = zip(*outline, strict=True)
    x, y = (min(xs) + max(xs)) // 2, min(ys)
    corners = (x, y), (x + 400, y), (x + 400, y + 300), (x, y + 300)
    return KeepOut(name, KeepOutKind.CUPBOARD, corners, floor, floor + 1200)


def with_wider_clearances(survey: Survey, by_mm: int = 150) -> Survey:
    """Every distance of the terminal rules larger, by local amendment."""
    sized = rule_set(survey.site.rule_set).sized(survey.units, survey.site.amendments)
    changes = tuple(
        Amendment(s.rule.id, s.distance_mm + by_mm, "stricter, invented") for s in sized if s.rule.distance is not None
    )
    return replace(survey, site=replace(survey.site, amendments=changes))


def with_level_vents(survey: Survey, most_equivalent_mm: int, most_elbows: int | None) -> Survey:
    """Heaters whose vents need no fall, with these limits.

    With a fall the riser grows with the greatest length permitted, so a longer limit alone is no relaxation.
    """
    vents = (
        replace(h.vent, fall=0.0, max_equivalent_mm=most_equivalent_mm, max_elbows=most_elbows) for h in survey.heaters
    )
    heaters = tuple(replace(h, vent=v) for h, v in zip(survey.heaters, vents, strict=True))
    return replace(survey, heaters=heaters)


def with_drop(survey: Survey, pa: float) -> Survey:
    """The same gas system with another allowable pressure drop [Pa]."""
    return replace(survey, gas=replace(survey.gas, allowable_drop_pa=pa))


def with_more_input(survey: Survey, by: float = 1.3) -> Survey:
    """Every old gas appliance burns more."""
    more = tuple(replace(a, input_w=a.input_w * by) for a in survey.gas.appliances)
    return replace(survey, gas=replace(survey.gas, appliances=more))


def with_larger_burners(survey: Survey, by: float = 1.15) -> Survey:
    """The same heaters, each with a larger burner."""
    return replace(survey, heaters=tuple(replace(h, input_max_w=h.input_max_w * by) for h in survey.heaters))


def with_old_pipe_left(survey: Survey) -> Survey:
    """No old gas pipe may be touched, and the supplier offers no other pressure."""
    left = tuple(replace(s, fixed=s.size is not None) for s in survey.gas.segments)
    return replace(survey, gas=replace(survey.gas, segments=left, pressure_options=()))
