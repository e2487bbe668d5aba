"""One way of serving all hubs, put together with the usual defaults."""

from __future__ import annotations

import numpy as np

from service.routing.planes import Ints
from service.routing.tariff import Floats
from service.siting.hubs import Hubs
from service.siting.offers import Variant
from service.siting.tracks import RunLimit, Track


def variant(
    option: str, track: Track, hubs: Hubs, starts: Ints | None = None, limit: float | Floats = np.inf,
    bend_mm: float = 0, bends: float = np.inf, extra: Floats | None = None, once: int | Floats = 0,
    rivals: bool = False, plain: RunLimit | None = None, moves: tuple[float, ...] = (1.0,), rises: float = 0.0,
) -> Variant:  # fmt: skip
    """A variant that starts at the manifold and knows no limit, unless told otherwise."""
    starts = hubs.manifold(track.field.lattice) if starts is None else starts
    extra = np.zeros(len(track.field.sources.names)) if extra is None else extra
    lengths = np.broadcast_to(limit, (len(starts),))
    added = np.broadcast_to(np.asarray(once, dtype=float), (len(starts),))
    return Variant(
        option, track, starts, added, bend_mm, lengths, bends, extra, hubs.reach, rivals, moves, rises, plain=plain
    )  # fmt: skip
