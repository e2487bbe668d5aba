"""The wall itself: how much of it lies all round a terminal."""

from __future__ import annotations

from fractions import Fraction

from shapely import Point, box, unary_union
from shapely.geometry.base import BaseGeometry

from service.building.model import Facade
from service.check.measure import floor_root, point_segment_gap2
from service.check.objects import Spot
from service.design import Finding, Verdict
from service.phrases import mm, phrase
from service.rules.rulesets import SizedRule
from service.survey.model import Point2


def facade_of(spot: Spot) -> Facade:
    """The facade of a terminal in a wall; AssertionError on a roof, of which these rules do not speak."""
    assert spot.facade is not None
    return spot.facade


def on_wall(sized: SizedRule, spot: Spot) -> Finding:
    """Distance of the terminal's centre from the nearest edge of wall; negative where there is none."""
    facade = facade_of(spot)
    wall = _wall_of(facade)
    gap2 = min((point_segment_gap2((spot.s, spot.z), a, b) for a, b in _rims(wall)), default=Fraction(0))
    inside = bool(wall.covers(Point(spot.s, spot.z)))
    actual = floor_root(gap2) if inside else -floor_root(gap2) - 1
    verdict = Verdict.PASS if actual >= spot.radius else Verdict.FAIL
    room = phrase(f"wall all round the {spot.subject}'s centre for ", mm(actual))
    detail = phrase(room, ", its radius is ", mm(spot.radius))
    return Finding(
        sized.rule.id, verdict, spot.subject, facade.id, detail, spot.radius, actual, sized.rule.citation
    )  # fmt: skip


def _wall_of(facade: Facade) -> BaseGeometry:
    spans = unary_union([box(s0, z0, s1, z1) for s0, s1, z0, z1 in facade.spans])
    return spans.difference(unary_union([box(h.s0, h.z0, h.s1, h.z1) for h in facade.holes]))


def _rims(wall: BaseGeometry) -> list[tuple[Point2, Point2]]:
    rims: list[tuple[Point2, Point2]] = []
    for part in getattr(wall, "geoms", [wall]):
        for ring in (part.exterior, *part.interiors) if not part.is_empty else ():
            points = [(round(x), round(y)) for x, y in ring.coords]
            rims += list(zip(points, points[1:], strict=False))
    return rims
