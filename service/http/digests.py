"""SHA-256 of JSON values as canonical text: members sorted, no blanks, whole numbers without a fraction."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any


def digest(value: object) -> str:
    """Digest of a JSON value; equal values have equal digests however they are laid out."""
    text = json.dumps(_plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return sha256(text.encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(member) for key, member in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(member) for member in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
