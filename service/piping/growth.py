"""Cheapest sizes of one zone by the length methods: one length for all its pipes, or one for each.

*What is asked.* An option of a pipe has a cost, the equivalent length of its fittings, and a reach: the longest
length over which it carries the load. The lengths of runs follow from the fittings chosen; each pipe's reach must
be no less than its length. Without counted fittings lengths are given, pipes are independent, and each takes the
cheapest option that reaches.

*Growing choices.* With fittings, begin with the shortest that each pipe might have, let each take the cheapest that
reaches, lengthen runs to the fittings so chosen, repeat; lengths never shrink, options are few, so it ends, and what
it ends with is lawful. Where, in order of cost, no option has shorter fittings than one before it, it is also
cheapest. Proof: let ``c`` be any lawful choice with lengths ``L(c)``. Lengths begin no longer than ``L(c)``. While
that holds, ``c``'s own option of a pipe still reaches, so the pipe takes that or one before it, which costs no more
and has fittings no longer, hence the next lengths are no longer than ``L(c)`` either. So at the end no pipe costs
more than it does in ``c``.

*When that order fails* (a large pipe that may stay has longer elbows than a small new one; steel has longer ones
than tubing) growing gives an upper bound. A lower bound is had by lengthening runs only to the shortest fittings among
options that still reach: every lawful choice is at least so long, so it is among those options. If both bounds
meet, the grown choice is cheapest; if not, ``fitting_labels`` finds what is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.piping.fitting_labels import Way, cheapest
from service.piping.lengths import BRANCH, TABLES, reach_mm
from service.piping.options import Option
from service.piping.trees import Tree
from service.survey.model import GasMethod


@dataclass(frozen=True, slots=True)
class Lengths:
    """By pipe of a zone: its option, None where none carries the load, and the length that sizes it [mm]."""

    options: tuple[Option | None, ...]
    lengths_mm: tuple[int, ...]


def by_length(tree: Tree, method: GasMethod) -> Lengths:
    """Cheapest choice for a zone; if there is none, what the pipes that can be had would be."""
    ways, branch = _ways(tree, method), method in BRANCH
    grown, limit = _grown(tree, ways, branch), _reaching(tree, ways, branch)
    found: Sequence[Way | None] = grown
    if limit is not None and (None in grown or _units(grown) > sum(_least_units(w) for w in limit)):
        found = cheapest(tree.parents, _lengths(tree), limit, branch, None if None in grown else _units(grown)) or grown
    own = [_own(tree, i, ways[i], way) for i, way in enumerate(found)]
    return Lengths(tuple(None if way is None else way.option for way in found), tuple(run_lengths(tree, own, branch)))


def run_lengths(tree: Tree, own_mm: list[int], branch: bool) -> list[int]:
    """Length that sizes each pipe [mm]: of the longest run through it, or of the zone's longest run."""
    through = [a + b - c for a, b, c in zip(tree.sums_down(own_mm), tree.sums_up(own_mm), own_mm, strict=True)]
    return through if branch else [max(through)] * len(through)


def _ways(tree: Tree, method: GasMethod) -> list[list[Way]]:
    """Options of each pipe, the cheapest first."""
    tables = method in TABLES
    return [
        [
            Way(o, tree.units(i, o), tree.fittings_mm(i, o), reach_mm(o.material, o.size, load, tree.terms, tables))
            for o in options
        ]
        for i, (options, load) in enumerate(zip(tree.options, tree.loads_w, strict=True))
    ]


def _grown(tree: Tree, ways: list[list[Way]], branch: bool) -> list[Way | None]:
    """Cheapest options that reach, lengths grown to their fittings; None where nothing reaches."""
    lengths = run_lengths(tree, [_own(tree, i, w, None) for i, w in enumerate(ways)], branch)
    while True:
        found = [next((w for w in of if w.reach_mm >= mm), None) for of, mm in zip(ways, lengths, strict=True)]
        own = [_own(tree, i, ways[i], way) for i, way in enumerate(found)]
        grown = [max(a, b) for a, b in zip(lengths, run_lengths(tree, own, branch), strict=True)]
        if grown == lengths:
            return found
        lengths = grown


def _reaching(tree: Tree, ways: list[list[Way]], branch: bool) -> list[list[Way]] | None:
    """Options that some lawful choice might use; None when a pipe has none."""
    left = ways
    while True:
        lengths = run_lengths(tree, [_own(tree, i, w, None) for i, w in enumerate(left)], branch)
        still = [[w for w in of if w.reach_mm >= mm] for of, mm in zip(left, lengths, strict=True)]
        if not all(still) or still == left:
            return still if all(still) else None
        left = still


def _own(tree: Tree, i: int, ways: list[Way], way: Way | None) -> int:
    """Length of a pipe with its fittings [mm]; with the shortest it might have where nothing is chosen."""
    fittings = way.fittings_mm if way else min((w.fittings_mm for w in ways), default=0)
    return tree.segments[i].length_mm + fittings


def _lengths(tree: Tree) -> list[int]:
    return [segment.length_mm for segment in tree.segments]


def _units(ways: Sequence[Way | None]) -> int:
    return sum(way.units for way in ways if way)


def _least_units(ways: list[Way]) -> int:
    return min(way.units for way in ways)
