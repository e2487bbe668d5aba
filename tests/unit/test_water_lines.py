"""Lengths along joined water lines against another library's shortest paths."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import networkx as nx  # type: ignore[import-untyped,unused-ignore]
import pytest

from service.survey.house import Point3
from service.trades.water_lines import Pipework, Spot

Path = tuple[Point3, ...]


def millimetres(path: Path) -> list[Point3]:
    """Every whole millimetre of a polyline along the axes."""
    out = [path[0]]
    for _, b in pairwise(path):
        while out[-1] != b:
            x, y, z = (p + (q > p) - (q < p) for p, q in zip(out[-1], b, strict=True))
            out.append((x, y, z))
    return out


def random_path(r: Random, start: Point3) -> Path:
    """Three legs along the axes, none back over the last."""
    points = [start]
    for axis in r.sample((0, 1, 2), 3):
        p = list(points[-1])
        p[axis] += r.choice((-1, 1)) * r.randint(5, 60)
        points.append((p[0], p[1], p[2]))
    return tuple(points)


@pytest.mark.parametrize("seed", range(30))
def test_ways_are_shortest_paths(seed: int) -> None:
    """Two to four lines, each joined to one before it where they are nearest: a graph of their millimetres."""
    r = Random(seed)
    paths = [random_path(r, (r.randint(0, 90), r.randint(0, 90), r.randint(0, 90))) for _ in range(r.randint(2, 4))]
    work, graph = Pipework(paths), nx.Graph()
    for i, path in enumerate(paths):
        length = len(millimetres(path)) - 1
        graph.add_weighted_edges_from(((i, k), (i, k + 1), 1) for k in range(length))
    for line, joint in work._joints.items():  # noqa: SLF001
        graph.add_edge((line, joint.own_mm), (joint.onto.line, joint.onto.at_mm), weight=joint.gap_mm)
    for _ in range(5):
        a, b = (Spot(i := r.randrange(len(paths)), r.randint(0, len(millimetres(paths[i])) - 1)) for _ in range(2))
        stretches = work.way(a, b)
        mm = sum(s.length_mm for s in stretches)
        assert mm == nx.shortest_path_length(graph, (a.line, a.at_mm), (b.line, b.at_mm), weight="weight")
        assert {(s.line, s.length_mm) for s in stretches} == {(s.line, s.length_mm) for s in work.way(b, a)}


@pytest.mark.parametrize("seed", range(20))
def test_lines_are_joined_where_they_are_nearest(seed: int) -> None:
    """Against every pair of their millimetres; of two lines there is but one joint."""
    r = Random(seed)
    paths = [random_path(r, (r.randint(0, 60), r.randint(0, 60), r.randint(0, 60))) for _ in range(2)]
    one, other = (millimetres(p) for p in paths)
    least = min(sum(abs(a - b) for a, b in zip(p, q, strict=True)) for p in one for q in other)
    assert sum(gap for _, gap in Pipework(paths).gaps_mm) == least


@pytest.mark.parametrize("seed", range(20))
def test_a_point_hangs_where_the_pipe_is_nearest(seed: int) -> None:
    """Against every millimetre of the pipe."""
    r = Random(seed)
    path = random_path(r, (0, 0, 0))
    at = (r.randint(-60, 60), r.randint(-60, 60), r.randint(-60, 60))
    spot, foot = Pipework([path]).nearest(at)
    places = millimetres(path)
    gaps = [sum(abs(a - b) for a, b in zip(p, at, strict=True)) for p in places]
    assert gaps[spot.at_mm] == min(gaps) and places[spot.at_mm] == foot


def test_oblique_pipe_is_measured_along_itself() -> None:
    """3, 4, 5."""
    work = Pipework([((0, 0, 0), (300, 400, 0))])
    assert sum(s.length_mm for s in work.way(Spot(0, 0), work.nearest((300, 400, 0))[0])) == 500
