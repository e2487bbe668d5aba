"""Parts of a node of the joint search by the way of gas: taps behind a pipe that the heaters together make larger, and
all others. A pipe that is on the way of all taps that a heater is held to is counted with its load (``gas_shares``)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.piping.network import Network
from service.siting.as_done import SharedWorks
from service.siting.dwelling_search import Held
from service.siting.shared_gas import Hung
from service.survey.model import Survey

Helds = tuple[Held, ...]


def split_by_way(
    survey: Survey, helds: Helds, hung: Sequence[Hung], works: SharedWorks | None
) -> list[Helds] | None:
    """Hold a heater that is tapped behind a pipe which is renewed for all of them to taps behind it, or to others; of
    such pipes the farthest from the delivery. None where there is none, or it is on the way of all taps anyhow."""
    if works is None:
        return None
    network = Network(survey.gas, survey.site.gas)
    renewed = {works.shared.parts.get(r.segment_id, (r.segment_id, 0))[0] for r in works.renewals}
    for pipe in reversed([i for i, p in enumerate(network.pipes) if p.segment.id in renewed]):
        behind = frozenset(_behind(network, pipe))
        for k, (held, own) in enumerate(zip(helds, hung, strict=True)):
            taps = _every(survey) if held.taps is None else held.taps
            if own.tap.name in behind and taps - behind:
                return [_held(helds, k, kept) for kept in (taps & behind, taps - behind)]
    return None


def _behind(network: Network, pipe: int) -> Iterator[str]:
    """Nodes and segments whose taps draw through all of a pipe."""
    for node, i in network.into.items():
        if pipe in network.way(i):
            yield node
    yield from (p.segment.id for p in network.pipes if pipe in network.way(p.parent))


def _every(survey: Survey) -> frozenset[str]:
    return frozenset(n.id for n in survey.gas.nodes) | frozenset(s.id for s in survey.gas.segments)


def _held(helds: Helds, index: int, taps: frozenset[str]) -> Helds:
    return (*helds[:index], replace(helds[index], taps=taps), *helds[index + 1 :])
