"""Arcs of many grids in one pass: straight walls, rectangular ceilings, and what links two sheets line by line.

A grid is given by ranges of the house's critical coordinates. Names of nodes rise evenly along each axis (``Keys``), so
a node's is a base and so much a millimetre along either side of its grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from service.routing.keys import Keys
from service.routing.planes import Ints


class Grid(NamedTuple):
    """Lines ``u0`` to before ``u1`` square to axis ``u`` and such to axis ``v``, by their number among all of the axis;
    ``fixed`` is (room, x, y, z) with 0 where a side runs."""

    fixed: tuple[int, int, int, int]
    u: int
    u0: int
    u1: int
    v: int
    v0: int
    v1: int
    surface: int
    sheet: int


class Link(NamedTuple):
    """What joins each node of a grid to one as far along in another, ``other``; ``length`` away along ``axis`` [mm]."""

    grid: Grid
    other: tuple[int, int, int, int]
    axis: int
    length: int


class Arcs(NamedTuple):
    """Arcs in both directions as columns, all shape (n,); ``a`` lies below or before ``b``, ``length`` is in mm.

    ``sheet`` is a wall's index, also for what passes through it into the next room, ``-1 - room`` for a ceiling,
    ``NO_SHEET`` for floor crossings, ways in from outdoors and chases.
    """

    a: Ints
    b: Ints
    axis: Ints
    length: Ints
    surface: Ints
    sheet: Ints


class Part(NamedTuple):
    """Arcs before it is told which ends are one node: ``a`` and ``b`` number ``names``, in which a node may come more
    than once, shape (m,). ``box`` is each arc's (c0, c1, d0, d1) in its sheet's own coordinates: c along a wall or x, d
    is z or y, shape (4, n). The rest is as in ``Arcs``."""

    names: Ints
    a: Ints
    b: Ints
    axis: Ints
    length: Ints
    surface: Ints
    sheet: Ints
    box: Ints


@dataclass(frozen=True, slots=True)
class Ruler:
    """All critical coordinates in one row, x, then y, then z, where each axis begins, and what a millimetre along each
    adds to a node's name."""

    values: Ints
    begins: Ints
    steps: Ints
    keys: Keys


def ruler_of(keys: Keys, coordinates: tuple[Ints, Ints, Ints]) -> Ruler:
    """What grids of a house are measured by."""
    begins = np.cumsum([0, len(coordinates[0]), len(coordinates[1])])
    steps = np.array([keys.size[1] * keys.size[2], keys.size[2], 1], dtype=np.int64)
    return Ruler(np.concatenate(coordinates), begins, steps, keys)


def arcs_of(ruler: Ruler, grids: Sequence[Grid]) -> Part:
    """Arcs along both sides of every grid."""
    at = _Nodes(ruler, grids)
    right, up = np.flatnonzero(at.right), np.flatnonzero(at.up)
    a, b = np.concatenate([right, up]), np.concatenate([right + at.right[right], up + at.up[up]])
    axis, grid = np.concatenate([at.u[right], at.v[up]]), at.grid[a]
    c0, c1, d0, d1 = box = np.stack([at.c[a], at.c[b], at.d[a], at.d[b]])
    return Part(at.name, a, b, axis, c1 - c0 + d1 - d0, at.surface[grid], at.sheet[grid], box)


def links_of(ruler: Ruler, links: Sequence[Link]) -> Part:
    """Arcs from every node of the links' grids to the one across."""
    at = _Nodes(ruler, [link.grid for link in links])
    others = np.array([link.other for link in links], dtype=np.int64).reshape(-1, 4)
    shift = ruler.keys.pack(*others.T) - at.base
    axis, length = (np.array([link[i] for link in links], dtype=np.int64)[at.grid] for i in (2, 3))
    names, a = np.concatenate([at.name, at.name + shift[at.grid]]), np.arange(len(at.name))
    box = np.stack([at.c, at.c, at.d, at.d])
    return Part(names, a, a + len(a), axis, length, at.surface[at.grid], at.sheet[at.grid], box)


def joined(parts: Sequence[Part]) -> Part:
    """The arcs of all parts."""
    begins = np.cumsum([0, *(len(p.names) for p in parts[:-1])])
    moved = [p._replace(a=p.a + k, b=p.b + k) for p, k in zip(parts, begins, strict=True)]
    return Part(*(np.concatenate(column, axis=-1) for column in zip(*moved, strict=True)))


class _Nodes:
    """Nodes of grids, one after the other: ``grid`` each is of, its ``name``, its place ``c`` and ``d`` along the axes
    ``u`` and ``v`` [mm]; ``right`` and ``up`` are how much farther on the next node of its row and column is, 0 at the
    end."""

    def __init__(self, ruler: Ruler, grids: Sequence[Grid]) -> None:
        fixed = np.array([g.fixed for g in grids], dtype=np.int64).reshape(-1, 4)
        table = np.array([g[1:] for g in grids], dtype=np.int64).reshape(-1, 8)
        u, u0, u1, v, v0, v1 = table[:, :6].T
        self.surface, self.sheet = table[:, 6], table[:, 7]
        self.base = ruler.keys.pack(*fixed.T)
        wide, high = u1 - u0, v1 - v0
        count = wide * high
        self.grid = np.repeat(np.arange(len(grids)), count)
        local = np.arange(len(self.grid)) - np.repeat(np.cumsum(count) - count, count)
        tall = high[self.grid]
        right = local // tall
        up = local - right * tall
        self.u, self.v = u[self.grid], v[self.grid]
        self.c = ruler.values[ruler.begins[self.u] + u0[self.grid] + right]
        self.d = ruler.values[ruler.begins[self.v] + v0[self.grid] + up]
        self.right = np.where(right + 1 < wide[self.grid], tall, 0)
        self.up = (up + 1 < tall).astype(np.int64)
        self.name = self.base[self.grid] + ruler.steps[self.u] * self.c + ruler.steps[self.v] * self.d
