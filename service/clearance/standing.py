"""What stands before a facade: other walls of the house, neighbouring walls, decks and eaves, other heaters' cases."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.building.model import Building, Facade
from service.clearance.objects import Thing
from service.clearance.plane import Plane, bounds, within
from service.clearance.strips import prism_within
from service.survey.model import Point2

DECKS, CASE = frozenset({"deck_top", "eave_vented", "eave_unvented"}), "case"


@dataclass(frozen=True, slots=True)
class Standing:
    """A thing that takes up space: a wall, by its line in plan, or a deck, an eave or a case, by its outline."""

    thing: Thing
    is_deck: bool

    @property
    def is_wall(self) -> bool:
        """Whether it is a wall."""
        return not self.is_deck and CASE not in self.thing.kinds


def standing_by(building: Building, facade: Facade, around: Sequence[Thing]) -> tuple[Standing, ...]:
    """All that stands round a facade, in a fixed order."""
    walls = [t for t in around if "neighbour_wall" in t.kinds]
    decks = [t for t in around if t.kinds & DECKS]
    own = (t for other in building.facades if other.id != facade.id for t in _spans(other))
    cases = (Thing(k.id, frozenset({CASE}), k.outline, k.z0, k.z1) for k in building.keep_outs if k.storey is None)
    return (*(Standing(t, False) for t in (*own, *walls, *cases)), *(Standing(t, True) for t in decks))


def _spans(facade: Facade) -> Iterator[Thing]:
    for s0, s1, z0, z1 in facade.spans:
        yield Thing(facade.id, frozenset({"wall"}), (facade.point(s0), facade.point(s1)), z0, z1)


def in_strip(plane: Plane, length_mm: int, points: tuple[Point2, ...], near: int, far: int) -> list[tuple[int, int]]:
    """Stretches (s0, s1) along a facade where a line or an outline lies more than ``near`` and less than ``far`` off
    it [mm]."""
    if len(points) > 2:
        return list(prism_within(plane, length_mm, points, near, far))
    a, b = plane.place(points[0]), plane.place(points[1])
    part = within(a, b, near, far)
    if part is None:
        return []
    s0, s1, _, _ = bounds(part)
    return [(s0, s1)]
