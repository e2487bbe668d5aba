"""What an operator decides about the door: who may come in, which web pages may ask, what the log tells."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path

PREFIX = "EDGE_"
LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR")
DETAILS = ("bare", "full")
_ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:\d{1,5})?|https?://\[[0-9a-f:]+\](:\d{1,5})?")
"""Scheme, host and port exactly as a browser sends them (RFC 6454 section 6.2, from memory): no path, no pattern."""


@dataclass(frozen=True, slots=True)
class Edge:
    """Closed by default: no web page of another origin may ask, and no plan data are logged.

    ``api_keys``: file of hashed keys; without one nobody needs a key. ``cors_origins``: origins of web pages that may
    ask. ``log_errors``: ``full`` logs the text of exceptions, which may quote a plan.
    """

    api_keys: Path | None = None
    cors_origins: tuple[str, ...] = ()
    log_level: str = "INFO"
    log_errors: str = "bare"

    def __post_init__(self) -> None:
        """Refuse what would be taken for something else.

        Raises:
            ValueError: which variable, and what it takes.
        """
        if wrong := [origin for origin in self.cors_origins if not _ORIGIN.fullmatch(origin)]:
            raise ValueError(f"{PREFIX}CORS_ORIGINS: {wrong[0]!r} is no origin such as http://127.0.0.1:5000")
        _one_of("LOG_LEVEL", self.log_level, LEVELS)
        _one_of("LOG_ERRORS", self.log_errors, DETAILS)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> Edge:
        """Defaults overlaid with ``EDGE_...`` variables; an empty one counts as not given.

        Raises:
            ValueError: a variable with our prefix that names no field, or a value that is not taken.
        """
        given = {k.removeprefix(PREFIX).lower(): v for k, v in environment.items() if k.startswith(PREFIX) and v}
        if unknown := sorted(set(given) - {f.name for f in fields(cls)}):
            raise ValueError(f"unknown settings: {', '.join(PREFIX + name.upper() for name in unknown)}")
        keys = given.get("api_keys")
        return cls(
            api_keys=Path(keys) if keys else None,
            cors_origins=tuple(given.get("cors_origins", "").replace(",", " ").split()),
            log_level=given.get("log_level", "INFO").upper(),
            log_errors=given.get("log_errors", "bare"),
        )


def _one_of(name: str, value: str, known: tuple[str, ...]) -> None:
    if value not in known:
        raise ValueError(f"{PREFIX}{name} = {value}: one of {', '.join(known)}")
