"""Dwellings that are alike: sets that only swap them cost the same, so one of each such pair is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.siting.joint_nodes import Node
from service.siting.splitting import Helds
from service.survey.model import Dwelling, Question


class Twins:
    """Which dwellings of a survey differ in their names alone."""

    def __init__(self, dwellings: Sequence[Dwelling], asked: Question | None = None) -> None:
        """``asked``: a place that one is held to, so that it is like no other."""
        held = None if asked is None else asked.dwelling
        nameless = [d if d.id == held else replace(d, id="") for d in dwellings]
        self._first = [nameless.index(d) for d in nameless]

    def first_of(self, index: int) -> int:
        """The first dwelling that is like one, itself if there is none before."""
        return self._first[index]

    def are_alike(self, node: Node, i: int, k: int) -> bool:
        """Whether two dwellings can change places in a node: they are alike, held alike, and neither stands for any
        other."""
        named = {who for stands in node.stands for who in stands}
        return self._first[i] == self._first[k] and node.helds[i] == node.helds[k] and not named & {i, k}

    def all_alike(self, node: Node) -> bool:
        """Whether any two can change places."""
        return all(self.are_alike(node, 0, k) for k in range(1, len(self._first)))

    def unmirrored(self, node: Node, parts: Sequence[Helds] | None) -> list[Node] | None:
        """Children of a node, None where it is not split. Of one that is split at one dwelling in two, by what that is
        held to in the first and in the second: one that can change places with it is in the second as well, for sets
        with it in the first are those of the first with the two swapped."""
        if parts is None:
            return None
        found = [replace(node, helds=parts[0])]
        for helds in parts[1:]:
            k = next(i for i, (a, b) in enumerate(zip(node.helds, helds, strict=True)) if a != b)
            alike = [i == k or self.are_alike(node, i, k) for i in range(len(helds))]
            both = tuple(helds[k] if same else h for same, h in zip(alike, helds, strict=True))
            found.append(replace(node, helds=both))
        return found
