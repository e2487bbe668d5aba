"""How many generated houses a run looks at: ``DEPTH=3`` in the environment makes it three times as many."""

from __future__ import annotations

import os

DEPTH = max(int(os.environ.get("DEPTH", "1")), 1)


def deep(count: int) -> int:
    """A count of houses at the depth asked for."""
    return count * DEPTH
