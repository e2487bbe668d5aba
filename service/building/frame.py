"""The frame of a house: turned so that most walls are parallel to an axis, in whole millimetres."""

from __future__ import annotations

from math import atan2, degrees, hypot, radians, tan
from typing import TypeVar

from service.building.model import Frame
from service.survey.model import Point2, Survey

AXIS_TOLERANCE = tan(radians(0.3))
"""Slope below which a wall counts as parallel to an axis."""
AXIS_TOLERANCE_MM = 5
"""Deviation over a wall's whole length that counts as parallel to an axis [mm]."""
REPORT_MM = 2.0
"""Corners moved by more than this are reported [mm]."""
COLLINEAR_MM = 1.0
"""A corner nearer than this to the line of its neighbours is no corner [mm]."""
WELD_MM = 2
"""Wall lines of a turned plan nearer than this are one line, as rounding alone parts them [mm]."""

_BIN_DEG = 0.25
_BINS = 360
_K = TypeVar("_K")
Edge2 = tuple[Point2, Point2]


def edges_of(outline: tuple[Point2, ...]) -> list[Edge2]:
    """Directed edges of a closed outline [mm]."""
    return list(zip(outline, outline[1:] + outline[:1], strict=True))


def dominant_frame(survey: Survey) -> Frame:
    """Frame along the wall direction with the greatest total length, angle in (-45, 45] degrees.

    The angle is exactly 0 when most of these walls already lie exactly along an axis.
    """
    edges = [e for st in survey.storeys for r in st.rooms for e in edges_of(r.outline)]
    turned = sorted((_angle_deg(e), hypot(e[1][0] - e[0][0], e[1][1] - e[0][1]), _on_axis(e)) for e in edges)
    centre = _heaviest_bin(turned) * _BIN_DEG
    near = [(_turn(a - centre), w, exact) for a, w, exact in turned if abs(_turn(a - centre)) <= 1.5 * _BIN_DEG]
    weight = sum(w for _, w, _ in near)
    if not weight or sum(w for _, w, exact in near if exact) >= weight / 2:
        return Frame(0.0)
    return Frame(radians(_turn(centre + sum(d * w for d, w, _ in near) / weight)))


def _angle_deg(edge: Edge2) -> float:
    (x0, y0), (x1, y1) = edge
    return _turn(degrees(atan2(y1 - y0, x1 - x0)))


def _on_axis(edge: Edge2) -> bool:
    return edge[0][0] == edge[1][0] or edge[0][1] == edge[1][1]


def _turn(angle_deg: float) -> float:
    """Angle modulo 90 in (-45, 45] [deg]."""
    return 45.0 - (45.0 - angle_deg) % 90.0


def _heaviest_bin(turned: list[tuple[float, float, bool]]) -> int:
    bins = [0.0] * _BINS
    for angle, weight, _ in turned:
        bins[round(angle / _BIN_DEG) % _BINS] += weight
    sums = [(bins[i - 1] + bins[i] + bins[(i + 1) % _BINS], bins[i]) for i in range(_BINS)]
    return max(range(_BINS), key=lambda i: (sums[i], -i))


def square(outline: tuple[Point2, ...], frame: Frame) -> tuple[tuple[Point2, ...], float]:
    """Outline in the frame with near-axis edges made exact, and the greatest move of a corner [mm].

    Corners that are none are dropped; the outline runs counter-clockwise from its lowest, then
    leftmost corner.
    """
    raw = _counter_clockwise(_without_repeats([frame.to_frame(p) for p in outline]))
    xs, ys = _levelled(raw, 1), _levelled(raw, 0)
    moved = max(hypot(x - p[0], y - p[1]) for x, y, p in zip(xs, ys, raw, strict=True))
    return canonical(list(zip(xs, ys, strict=True))), moved


def canonical(points: list[Point2]) -> tuple[Point2, ...]:
    """Without false corners, from the lowest, then leftmost corner."""
    kept = _without_false_corners(_without_repeats(points))
    first = min(range(len(kept)), key=lambda i: (kept[i][1], kept[i][0]))
    return tuple(kept[first:] + kept[:first])


def _counter_clockwise(points: list[Point2]) -> list[Point2]:
    area2 = sum(a[0] * b[1] - b[0] * a[1] for a, b in edges_of(tuple(points)))
    return points if area2 >= 0 else points[::-1]


def _without_repeats(points: list[Point2]) -> list[Point2]:
    return [p for i, p in enumerate(points) if p != points[i - 1]]


def axis_of(a: Point2, b: Point2) -> int | None:
    """0 when a-b runs along x within the tolerance, 1 along y, else None."""
    dx, dy = abs(b[0] - a[0]), abs(b[1] - a[1])
    if min(dx, dy) >= max(AXIS_TOLERANCE_MM, AXIS_TOLERANCE * max(dx, dy)) or dx == dy:
        return None
    return 0 if dx > dy else 1


def _levelled(points: list[Point2], axis: int) -> list[int]:
    """Coordinates across ``axis``, equal along each chain of edges that run along ``axis``."""
    across, n = 1 - axis, len(points)
    out = [p[across] for p in points]
    linked = [axis_of(points[i], points[(i + 1) % n]) == axis for i in range(n)]
    if all(linked):
        return out
    begin = linked.index(False) + 1
    chain: list[int] = []
    for k in range(begin, begin + n):
        chain.append(k % n)
        if not linked[k % n]:
            _level(points, chain, across, out)
            chain = []
    return out


def _level(points: list[Point2], chain: list[int], across: int, out: list[int]) -> None:
    weights = [0.0] * len(chain)
    for i in range(len(chain) - 1):
        a, b = points[chain[i]], points[chain[i + 1]]
        length = hypot(b[0] - a[0], b[1] - a[1])
        weights[i] += length
        weights[i + 1] += length
    if len(chain) > 1:
        mean = sum(w * points[i][across] for w, i in zip(weights, chain, strict=True)) / sum(weights)
        for i in chain:
            out[i] = round(mean)


def _without_false_corners(points: list[Point2]) -> list[Point2]:
    kept = list(points)
    i = 0
    while i < len(kept) and len(kept) > 3:
        if _off_line(kept[i], kept[i - 1], kept[(i + 1) % len(kept)]) < COLLINEAR_MM:
            del kept[i]
            i = max(i - 2, 0)
        else:
            i += 1
    return kept


def _off_line(p: Point2, a: Point2, b: Point2) -> float:
    length = hypot(b[0] - a[0], b[1] - a[1])
    if length == 0:
        return 0.0
    return abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length


def weld(outlines: dict[_K, tuple[Point2, ...]]) -> dict[_K, tuple[Point2, ...]]:
    """Outlines with axis-parallel wall lines that differ by rounding brought onto one line."""
    edges = [e for o in outlines.values() for e in edges_of(o)]
    xs = _welded(sorted({a[0] for a, b in edges if a[0] == b[0]}))
    ys = _welded(sorted({a[1] for a, b in edges if a[1] == b[1]}))
    return {k: canonical(_moved(o, xs, ys)) for k, o in outlines.items()}


def _welded(lines: list[int]) -> dict[int, int]:
    out: dict[int, int] = {}
    group: list[int] = []
    for value in lines:
        if group and value - group[0] > WELD_MM:
            group = []
        group.append(value)
        out.update(dict.fromkeys(group, group[len(group) // 2]))
    return out


def _moved(outline: tuple[Point2, ...], xs: dict[int, int], ys: dict[int, int]) -> list[Point2]:
    points = []
    for i, (x, y) in enumerate(outline):
        near = (outline[i - 1], outline[(i + 1) % len(outline)])
        on_x = any(p[0] == x for p in near)
        on_y = any(p[1] == y for p in near)
        points.append((xs[x] if on_x else x, ys[y] if on_y else y))
    return points
