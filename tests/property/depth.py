"""How many generated houses a run looks at: ``DEPTH=3`` in the environment makes it three times as many."""

from __future__ import annotations

import os

DEPTH = max(int(os.environ.get("DEPTH", "1")), 1)


def deep(count: int, usual: int | None = None) -> int:
    """A count of houses, or of other things tried, at the depth asked for; ``usual``, if told, at the depth of every
    day, where that many are enough or other tests look at such houses too."""
    return usual if usual is not None and DEPTH == 1 else count * DEPTH
