"""The case of a heater hung outdoors, and whether anything stands in a box before its facade."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, Facade
from service.check.hung import laid
from service.check.measure import along_mm, offset_mm
from service.design import Design
from service.survey.equipment import OutdoorListing
from service.survey.model import Deck, Point2, Survey

SLIVER_MM2 = 1.0
"""Overlap no larger than this is rounding of a skew wall [mm2]."""
Box = tuple[int, int, int, int]
"""s0, s1, and how near to and far from the facade [mm]."""


@dataclass(frozen=True, slots=True)
class Outside:
    """The case in place: on ``facade`` from ``s0`` to ``s1``, heights ``z0`` to ``z1`` [mm]."""

    survey: Survey
    building: Building
    design: Design
    facade: Facade
    listing: OutdoorListing
    s0: int
    s1: int
    z0: int
    z1: int

    @property
    def footprint(self) -> Box:
        """The case in plan."""
        return self.s0, self.s1, 0, self.design.heater.depth_mm

    def overlaps(self, outline: tuple[Point2, ...], where: Box) -> bool:
        """Whether an outline lies in a box before the facade."""
        return float(Polygon(outline).intersection(self._laid(where)).area) > SLIVER_MM2

    def enters(self, a: Point2, b: Point2, where: Box) -> bool:
        """Whether a line runs through the inside of a box before the facade."""
        s0, s1, near, far = where
        (sa, na), (sb, nb) = self.place(a), self.place(b)
        low, high = Fraction(0), Fraction(1)
        for start, move, least, most in ((sa, sb - sa, s0, s1), (na, nb - na, near, far)):
            if not move:
                if not least < start < most:
                    return False
                continue
            cuts = sorted(Fraction(edge - start, move) for edge in (least, most))
            low, high = max(low, cuts[0]), min(high, cuts[1])
        return low < high

    def place(self, p: Point2) -> tuple[int, int]:
        """Plan point as (along the facade, out from it), rounded (exact along an axis) [mm]."""
        return along_mm(self.facade, p), -round(offset_mm(self.facade, p))

    def framed(self, *points: Point2) -> tuple[Point2, ...]:
        """Points of the survey in the frame."""
        return tuple(self.building.frame.to_frame(p) for p in points)

    def _laid(self, where: Box) -> BaseGeometry:
        s0, s1, near, far = where
        return laid(self.facade, box(s0, -far, s1, -near))

    def decks(self, where: Box) -> Iterator[Deck]:
        """Decks and eaves over or in a box."""
        return (d for d in self.survey.site.decks if self.overlaps(self.framed(*d.outline), where))

    def walls(self, where: Box) -> Iterator[tuple[str, int, int]]:
        """Walls through a box: id, lower and upper end."""
        for other in self.building.facades:
            for s0, s1, z0, z1 in other.spans if other.id != self.facade.id else ():
                if self.enters(other.point(s0), other.point(s1), where):
                    yield f"facade {other.id}", z0, z1
        for wall in self.survey.site.neighbour_walls:
            a, b = self.framed(wall.start, wall.end)
            if self.enters(a, b, where):
                yield wall.id, wall.base_z_mm, wall.top_z_mm


def outside_on(survey: Survey, building: Building, design: Design, facade: Facade, listing: OutdoorListing) -> Outside:
    """Seen from outside s grows to the right, so the case reaches from its left edge up to its right."""
    heater, mount = design.heater, design.mount
    left = mount.s_mm - listing.flue.dx_mm
    top = mount.bottom_z_mm + heater.height_mm
    return Outside(survey, building, design, facade, listing, left, left + heater.width_mm, mount.bottom_z_mm, top)
