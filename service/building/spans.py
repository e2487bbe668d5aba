"""Rectangles of one plane joined to wall: gaps at wall ends and floor structures are wall too."""

from __future__ import annotations

from itertools import pairwise

Rect = tuple[int, int, int, int]

SIDE_GAP_MM = 700
"""Wall ends and floors between stretches of one wall are at most this wide [mm]."""
FLOOR_GAP_MM = 800
"""Structure between the rooms of two storeys is at most this high [mm]."""


def joined(rects: list[Rect]) -> tuple[Rect, ...]:
    """Disjoint rectangles (s0, s1, z0, z1) covering the given ones and the gaps between them, sorted."""
    ss = sorted({s for r in rects for s in r[:2]})
    zs = sorted({z for r in rects for z in r[2:]})
    rows = [
        [any(r[0] <= s0 and s1 <= r[1] and r[2] <= z0 and z1 <= r[3] for r in rects) for s0, s1 in pairwise(ss)]
        for z0, z1 in pairwise(zs)
    ]
    rows = [_filled(row, ss, SIDE_GAP_MM) for row in rows]
    columns = [_filled(list(c), zs, FLOOR_GAP_MM) for c in zip(*rows, strict=True)]
    return _merged(columns, ss, zs)


def _filled(cells: list[bool], at: list[int], gap_mm: int) -> list[bool]:
    """Cells with each empty run between two full ones filled when no wider than ``gap_mm``."""
    out = list(cells)
    full = [i for i, c in enumerate(cells) if c]
    for i, j in pairwise(full):
        if at[j] - at[i + 1] <= gap_mm:
            out[i:j] = [True] * (j - i)
    return out


def _merged(columns: list[list[bool]], ss: list[int], zs: list[int]) -> tuple[Rect, ...]:
    open_runs: dict[tuple[int, int], int] = {}
    done: list[Rect] = []
    for i, column in enumerate([*columns, []]):
        runs = _runs(column, zs)
        done += [(s0, ss[i], *z) for z, s0 in open_runs.items() if z not in runs]
        open_runs = {z: open_runs.get(z, ss[i]) for z in runs}
    return tuple(sorted(done))


def _runs(column: list[bool], zs: list[int]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for full, z0, z1 in zip(column, zs, zs[1:], strict=False):
        if full and runs and runs[-1][1] == z0:
            runs[-1] = (runs[-1][0], z1)
        elif full:
            runs.append((z0, z1))
    return runs
