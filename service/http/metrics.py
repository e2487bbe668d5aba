"""Counters of one process, written as plain text lines ``name{label="value"} number``."""

from __future__ import annotations

from collections import defaultdict
from threading import Lock

from flask import Flask

_Key = tuple[str, tuple[tuple[str, str], ...]]


class Metrics:
    """Sums that only grow; safe to add to from several threads."""

    def __init__(self) -> None:
        """Start with nothing counted."""
        self._lock = Lock()
        self._sums: defaultdict[_Key, float] = defaultdict(float)

    def count(self, name: str, amount: float = 1, **labels: str) -> None:
        """Add to one counter. Labels must come from closed sets, never from a caller's text."""
        with self._lock:
            self._sums[name, tuple(sorted(labels.items()))] += amount

    def text(self) -> str:
        """Every counter on its line, sorted."""
        with self._lock:
            items = sorted(self._sums.items())
        return "".join(f"{name}_total{_labels(labels)} {_number(amount)}\n" for (name, labels), amount in items)


def _number(amount: float) -> str:
    return str(int(amount)) if amount == int(amount) else f"{amount:.6f}"


def _labels(labels: tuple[tuple[str, str], ...]) -> str:
    return "{" + ",".join(f'{key}="{value}"' for key, value in labels) + "}" if labels else ""


def metrics_of(app: Flask) -> Metrics:
    """Counters of an application."""
    metrics: Metrics = app.extensions["siting_metrics"]
    return metrics
