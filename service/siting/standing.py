"""Parts of a node in which two heaters are in one another's way: one of the two stands, place by place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.deadline import look
from service.design import Design
from service.siting.clashes import Clash
from service.siting.dwelling_search import Gas, Held
from service.siting.joint_nodes import Node
from service.siting.neighbours import Neighbour
from service.siting.pairs import BELOW, Party, Spot, in_order, put_at, sharpened, spots_of
from service.siting.splitting import is_placed_by_end, pinned_at, split_by_place

Key = tuple[bool, Held, Gas, Held, Gas]
GROUP_MM = (1_200, 150, 1)
"""Places of a case are taken together over so much along the wall and up, then over less, then one by one."""
ALONE = len(GROUP_MM)


class Standing:
    """Splits of a joint search at the places of heaters; what was worked out for one node is kept for the next."""

    def __init__(self) -> None:
        self._spots: dict[tuple[int, int, Key], tuple[float, tuple[Spot, ...] | None]] = {}
        self._loose: set[tuple[int, int, frozenset[str] | None, frozenset[str] | None]] = set()
        self._sharp: dict[tuple[int, int, Key], dict[tuple[str, int, int], Spot]] = {}

    def split(
        self, node: Node, clashes: Sequence[Clash], who: tuple[int, int], parties: tuple[Party, Party], rest: float,
        most: float,
    ) -> list[Node] | None:  # fmt: skip
        """Children of a node with two heaters settled, of ``who`` the first standing: all of its sets that cost less
        than ``most``, of which the others take ``rest`` at least [money units], are among theirs. Where the first is
        held to its place already, and its runs are in the way, the other is held to one. Two for which tables tell no
        more than was known, as limits on runs decide, are split without. None where no place is left to split at."""
        held = node.helds[who[0]]
        if all(_is_settled(held, parties[0].design, c.ends) for c in clashes):
            who, parties, held = who[::-1], parties[::-1], node.helds[who[1]]
        unsettled = [c for c in clashes if not _is_settled(held, parties[0].design, c.ends)]
        kinds = [c.ends for c in unsettled]
        pair = (*who, held.heaters, node.helds[who[1]].heaters)
        kinds = [] if pair in self._loose and node.tried is None else kinds
        known = {ends: self._told(ends, who, parties, most - rest) for ends in kinds}
        tabled = {ends: spots for ends, spots in known.items() if spots is not None}
        if tabled and node.tried is None and max(map(_least, tabled.values())) <= sum(p.units for p in parties):
            self._loose.add(pair)
            tabled = {}
        if not tabled:
            return self._nearer(node, (*unsettled, *clashes)[0], parties[0], who[0])
        ends, done = node.tried or (min(tabled), frozenset())
        left = [spot for spot in tabled[ends] if spot.place not in done]
        left = left if ends else self._sharpened(left, who, parties, most - rest)
        floors = [max(node.floor, rest + spot.units) for spot in left[:2]]
        nearest = zip(left[:1], floors, strict=False)
        here = [self._here(node, who, parties[0], ends, spot, floor) for spot, floor in nearest]
        return here + [replace(node, tried=(ends, done | {left[0].place}), floor=floor) for floor in floors[1:]]

    def _sharpened(
        self, spots: list[Spot], who: tuple[int, int], parties: tuple[Party, Party], most: float
    ) -> list[Spot]:
        """Places of a case, told anew with those near them, then each by itself, until the least is one of these."""
        known = self._sharp.setdefault((*who, _key(False, parties)), {})
        left = in_order(known.get(spot.place, spot) for spot in spots)
        while left and left[0].nearness < ALONE:
            look()
            level = left[0].nearness + 1
            group = [s for s in left if s.nearness < level and _group(s, level) == _group(left[0], level)]
            told = sharpened(group, *parties, most)
            known |= {s.place: replace(s, nearness=level if len(group) > 1 else ALONE) for s in told}
            left = in_order(known.get(spot.place, spot) for spot in left)
        return [spot for spot in left if spot.units <= most - BELOW]

    def _told(
        self, ends: bool, who: tuple[int, int], parties: tuple[Party, Party], most: float
    ) -> tuple[Spot, ...] | None:
        if most == float("inf"):
            return None
        key = (*who, _key(ends, parties))
        if key not in self._spots or self._spots[key][0] < most:
            found = spots_of(*parties, ends, most)
            self._spots[key] = most, None if found is None else tuple(found)
        spots = self._spots[key][1]
        return None if spots is None else tuple(s for s in spots if s.units <= most - BELOW)

    @staticmethod
    def _here(node: Node, who: tuple[int, int], stands: Party, ends: bool, spot: Spot, floor: float) -> Node:
        at = put_at(stands, spot.surface_id, spot.s_mm, spot.z_mm, ends)
        near = Neighbour(stands.search.dwelling.id, at, not ends, ends, False)
        return replace(node, helds=pinned_at(node.helds, *who, near), tried=None, floor=floor)

    @staticmethod
    def _nearer(node: Node, clash: Clash, party: Party, stands: int) -> list[Node] | None:
        helds = split_by_place(party.search, node.helds, party.design, clash, stands, party.gas)
        return None if helds is None else [replace(node, helds=h) for h in helds]


def _key(ends: bool, parties: tuple[Party, Party]) -> Key:
    one, other = parties
    return ends, one.held, one.gas, other.held, other.gas


def _group(spot: Spot, level: int) -> tuple[str, int, int]:
    mm = GROUP_MM[level - 1]
    return spot.surface_id, spot.s_mm // mm, spot.z_mm // mm


def _is_settled(held: Held, design: Design, ends: bool) -> bool:
    """Whether a heater's terminal, or its case, is held to one place."""
    return any(r.is_place for r in (held.ends if is_placed_by_end(design, ends) else held.mounts))


def _least(spots: tuple[Spot, ...]) -> float:
    return spots[0].units if spots else float("inf")
