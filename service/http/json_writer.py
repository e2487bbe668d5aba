"""JSON text as it leaves the service."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence


def json_bytes(value: Mapping[str, object] | Sequence[object]) -> bytes:
    """JSON text in UTF-8 with members in the order given; ValueError for NaN or infinity."""
    text = json.dumps(value, allow_nan=False, check_circular=False, ensure_ascii=False, separators=(",", ":"))
    return f"{text}\n".encode()
