"""Several processes behind one port: counted together, whatever becomes of one; an orderly end."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import requests
from prometheus_client.parser import text_string_to_metric_families

from service.http import metric_files
from tests.api.fakes import sample
from tests.api.running import Server, running

WAIT_S = 20
SERVED = "tests.api.serving:made()"
SLOW = "tests.api.serving:slow()"


def eventually(holds: Callable[[], bool]) -> bool:
    """Whether something comes true in a while."""
    until = time.monotonic() + WAIT_S
    while time.monotonic() < until:
        if holds():
            return True
        time.sleep(0.05)
    return holds()


def counted(server: Server, name: str, **labels: str) -> float:
    """A figure of /metrics, summed over the samples that have these labels."""
    text = requests.get(f"{server.url}/metrics", timeout=WAIT_S).text
    samples = (s for f in text_string_to_metric_families(text) for s in f.samples if s.name == name)
    return sum(s.value for s in samples if labels.items() <= s.labels.items())


def test_counts_outlive_the_worker_that_counted() -> None:
    """The sum over two workers is what was asked, also after one of them was killed; gauges are of the living."""
    with running(SERVED, workers=2) as server:
        assert eventually(lambda: counted(server, "siting_gate_places") == 4)
        for _ in range(20):
            assert requests.post(f"{server.url}/v1/placements", json=sample(), timeout=WAIT_S).status_code == 200
        told = {"endpoint": "operations.placements", "status": "200"}
        assert counted(server, "siting_requests_total", **told) == 20
        before = server.workers()
        os.kill(before[0], signal.SIGKILL)
        assert eventually(lambda: before[0] not in server.workers() and len(server.workers()) == 2)
        assert eventually(lambda: counted(server, "siting_gate_places") == 4)
        assert counted(server, "siting_requests_total", **told) == 20
        assert counted(server, "siting_solve_seconds_count", operation="placement") == 20
    assert server.process.returncode == 0


def test_a_signal_to_end_lets_what_runs_finish_and_takes_nothing_more() -> None:
    """SIGTERM during a solve: its answer comes, then the server is gone and has left no files."""
    with running(SLOW) as server, ThreadPoolExecutor(1) as pool:
        assert requests.get(f"{server.url}/readyz", timeout=WAIT_S).status_code == 200
        answer = pool.submit(requests.post, f"{server.url}/v1/placements", json=sample(), timeout=WAIT_S)
        assert eventually(lambda: counted(server, "siting_gate_taken") == 1)
        server.process.send_signal(signal.SIGTERM)
        assert answer.result().json()["status"] == "optimal"
        server.process.wait(WAIT_S)
        with pytest.raises(requests.ConnectionError):
            requests.get(f"{server.url}/healthz", timeout=WAIT_S)
    assert server.process.returncode == 0
    assert not [line for line in server.log if "127.0.0.1" in line and "Listening" not in line]
    last = [json.loads(line) for line in server.log if '"answered"' in line][-1]
    assert (last["endpoint"], last["status"], last["outcome"]) == ("operations.placements", 200, "optimal")


def test_the_directory_of_counters_is_made_and_taken_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One that an operator made is left alone."""
    monkeypatch.delenv(metric_files.VARIABLE, raising=False)
    made = metric_files.make(str(tmp_path))
    assert os.environ[metric_files.VARIABLE] == str(made) and made.is_dir()
    metric_files.remove()
    assert not made.exists() and metric_files.VARIABLE not in os.environ
    monkeypatch.setenv(metric_files.VARIABLE, str(tmp_path))
    metric_files.remove()
    assert tmp_path.is_dir()
