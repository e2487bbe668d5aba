"""Ground in front of a facade: what a leaf passes over, and points square before it."""

from __future__ import annotations

from service.building.model import Facade
from service.survey.model import Point2


def swept(facade: Facade, s0: int, s1: int) -> tuple[Point2, ...]:
    """Ground that the leaf of an opening passes over before its facade."""
    leaf = s1 - s0
    near, far = facade.point(s0 - leaf), facade.point(s1 + leaf)
    return near, far, out_from(facade, far, leaf), out_from(facade, near, leaf)


def out_from(facade: Facade, p: Point2, off_mm: int) -> Point2:
    """The point so far out from a point of the facade, square to it."""
    dx, dy = facade.end[0] - facade.start[0], facade.end[1] - facade.start[1]
    return p[0] + round(off_mm * dy / facade.length_mm), p[1] + round(-off_mm * dx / facade.length_mm)
