"""What is counted: by ``prometheus_client``, in files shared by all processes where the server names a directory.

Labels come from closed sets, never from a caller's text.
"""

from __future__ import annotations

import os
from contextlib import AbstractContextManager
from pathlib import Path

from flask import Flask

from service.http import metric_files

SOLVE_SECONDS = (0.01, 0.03, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 90)
GAPS = (0.0, 0.001, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1)


class Metrics:
    """Counters of one application; in a server those of all its processes are told together."""

    def __init__(self) -> None:
        """Start with nothing counted.

        The library is imported here, not above: it decides once, when it is imported, whether values are shared
        among processes, and the server tells so only after its own start.
        """
        from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

        self._registry = own = CollectorRegistry()
        self.requests = Counter("siting_requests", "Requests answered.", ("endpoint", "status"), registry=own)
        self.request_seconds = Histogram("siting_request_seconds", "Time to an answer.", ("endpoint",), registry=own)
        self.solve_seconds = Histogram(
            "siting_solve_seconds", "Time of an operation behind the gate.", ("operation", "outcome"),
            registry=own, buckets=SOLVE_SECONDS,
        )  # fmt: skip
        self.gap = Histogram(
            "siting_gap_ratio", "Gap of the first design to its bound.", ("outcome",), registry=own, buckets=GAPS
        )
        self.rejected = Counter("siting_rejected", "Requests refused, by kind of problem.", ("reason",), registry=own)
        self.internal_errors = Counter("siting_internal_errors", "Faults of ours.", ("kind",), registry=own)
        self.places = Gauge(
            "siting_gate_places", "Solves that may run at once.", registry=own, multiprocess_mode="livesum"
        )
        self.taken = Gauge("siting_gate_taken", "Solves under way.", registry=own, multiprocess_mode="livesum")

    def under_way(self) -> AbstractContextManager[None]:
        """Count one solve while it runs."""
        return self.taken.track_inprogress()

    def text(self) -> tuple[bytes, str]:
        """Everything counted, by all processes where there are several, and its media type."""
        from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest
        from prometheus_client.multiprocess import MultiProcessCollector

        directory = os.environ.get(metric_files.VARIABLE)
        if not directory:
            return generate_latest(self._registry), CONTENT_TYPE_LATEST
        together = CollectorRegistry()
        with metric_files.held(Path(directory)):
            MultiProcessCollector(together, directory)  # type: ignore[no-untyped-call]
            return generate_latest(together), CONTENT_TYPE_LATEST


def metrics_of(app: Flask) -> Metrics:
    """Counters of an application."""
    metrics: Metrics = app.extensions["siting_metrics"]
    return metrics
