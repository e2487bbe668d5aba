"""Critical planes: the finite set of coordinates on which some cheapest design lies.

Each plane keeps the reason it exists. Heights need a closure: a heater ties the height at which its
small pipes meet (manifold) to the height at which its vent may turn, ``offset`` higher, so every
critical height is also critical one offset up or down (lemma L2 in DEVELOPERS.md).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from service.routing.sheets import Sheets

Ints = NDArray[np.int64]
Lines = tuple[Ints, Ints]
"""Lines of a lattice on a surface: distances along it and heights, ascending [mm]."""


@dataclass(slots=True)
class Planes:
    """Growing sets of coordinates [mm]; ``skew[face_id]`` holds distances along skew walls.

    ``hub`` holds heights of the manifold alone: edges of the places where a heater may hang.
    """

    x: dict[int, str] = field(default_factory=dict)
    y: dict[int, str] = field(default_factory=dict)
    z: dict[int, str] = field(default_factory=dict)
    hub: dict[int, str] = field(default_factory=dict)
    skew: dict[str, dict[int, str]] = field(default_factory=dict)

    def add(self, axis: int, value: int, reason: str) -> bool:
        """Put one plane in; False if it was there."""
        where = (self.x, self.y, self.z)[axis]
        return self._put(where, value, reason)

    def add_skew(self, face_id: str, s: int, reason: str) -> bool:
        """Put one line on a skew wall in; False if it was there."""
        return self._put(self.skew.setdefault(face_id, {}), s, reason)

    def add_hub(self, z: int, reason: str) -> bool:
        """Put one height of the manifold in; False if it was there."""
        return self._put(self.hub, z, reason)

    @staticmethod
    def _put(where: dict[int, str], value: int, reason: str) -> bool:
        if value in where:
            return False
        where[value] = reason
        return True

    def copy(self) -> Planes:
        """Planes that can grow on their own."""
        skew = {face: dict(lines) for face, lines in self.skew.items()}
        return Planes(dict(self.x), dict(self.y), dict(self.z), dict(self.hub), skew)

    def without(self, reason: str) -> Planes:
        """Those that are there for reasons that do not begin so."""

        def kept(lines: dict[int, str]) -> dict[int, str]:
            return {v: why for v, why in lines.items() if not why.startswith(reason)}

        x, y, z, hub = map(kept, self._by_axis)
        return Planes(x, y, z, hub, {face: kept(lines) for face, lines in self.skew.items()})

    def take(self, other: Planes, reason: str) -> bool:
        """Put in what others hold for reasons that begin so; True if any was new."""
        before = self.count
        lines = ((self.skew.setdefault(face, {}), theirs) for face, theirs in other.skew.items())
        for mine, theirs in (*zip(self._by_axis, other._by_axis, strict=True), *lines):
            mine |= {v: why for v, why in theirs.items() if v not in mine and why.startswith(reason)}
        return self.count > before

    @property
    def _by_axis(self) -> tuple[dict[int, str], ...]:
        return self.x, self.y, self.z, self.hub

    @property
    def count(self) -> int:
        """Number of planes."""
        return sum(map(len, (*self._by_axis, *self.skew.values())))

    def coordinates(self, axis: int) -> Ints:
        """Sorted coordinates of one axis [mm]."""
        return np.array(sorted((self.x, self.y, self.z)[axis]), dtype=np.int64)

    def skew_coordinates(self, face_id: str) -> Ints:
        """Sorted distances along one skew wall [mm]."""
        return np.array(sorted(self.skew.get(face_id, {})), dtype=np.int64)


def base_planes(sheets: Sheets) -> Planes:
    """Planes of the sheets themselves: wall faces and their ends, floors, ceilings, chases."""
    planes = Planes()
    for w in sheets.walls:
        for p in (w.face.start, w.face.end):
            planes.add(0, p[0], f"wall {w.face.id}")
            planes.add(1, p[1], f"wall {w.face.id}")
        planes.add(2, w.face.z0, f"floor at {w.face.id}")
        planes.add(2, w.face.z1, f"ceiling at {w.face.id}")
        if w.is_skew:
            planes.add_skew(w.face.id, 0, "wall end")
            planes.add_skew(w.face.id, w.face.length_mm, "wall end")
    for c in sheets.chases:
        cx, cy = chase_point(c.outline)
        planes.add(0, cx, f"chase {c.id}")
        planes.add(1, cy, f"chase {c.id}")
    return planes


def chase_point(outline: Iterable[tuple[int, int]]) -> tuple[int, int]:
    """Plan point at which runs go up a chase: the middle of its bounding box [mm]."""
    xs, ys = zip(*outline, strict=True)
    return (min(xs) + max(xs)) // 2, (min(ys) + max(ys)) // 2


def closed_heights(planes: Planes, offsets: Iterable[int], bands: list[tuple[int, int]]) -> Ints:
    """Heights with each offset's images, as far as a heater can hang there.

    Parameters
    ----------
    planes : critical planes; ``z`` is critical for manifold and vent, ``hub`` for the manifold only
    offsets : vent height above manifold of each kind of heater [mm]
    bands : (floor, ceiling) of rooms in which a heater may hang [mm]
    """
    anchors, hubs = planes.coordinates(2), np.array(sorted(planes.hub), dtype=np.int64)
    parts = [anchors]
    for d in sorted(set(offsets)):
        candidates = np.concatenate([anchors, anchors - d, hubs])
        for floor, ceiling in bands:
            manifolds = candidates[(candidates >= floor) & (candidates + d <= ceiling)]
            parts += [manifolds, manifolds + d]
    return distinct(np.concatenate(parts))


def distinct(values: Ints) -> Ints:
    """Whole numbers in rising order, each once: several times as fast as NumPy's own way, which hashes them first."""
    found = np.sort(values)
    return found[np.append(True, found[1:] != found[:-1])] if len(found) else found


def among(found: Ints, values: Ints) -> NDArray[np.bool_]:
    """Which values are among some in rising order."""
    if not len(found):
        return np.zeros(len(values), dtype=bool)
    at = np.minimum(np.searchsorted(found, values), len(found) - 1)
    return np.asarray(found[at] == values)
