"""For all tests: a directory in which the workers of one run leave what they solved for each other, and less to do."""

from __future__ import annotations

import gc
import os
import shutil
import tempfile

import pytest

from tests.once import SOLVED

SELDOM = 20_000, 20, 20
"""Thresholds at which garbage is collected: nothing here lives long."""


def pytest_configure(config: pytest.Config) -> None:
    """Make it, once for all workers, which take the environment over."""
    if not hasattr(config, "workerinput"):
        os.environ[SOLVED] = tempfile.mkdtemp(prefix="solved-")


def pytest_collection_finish() -> None:
    """What is loaded by then stays: no collection of garbage need walk it. The server does so too."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove it."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(SOLVED), ignore_errors=True)


@pytest.fixture
def no_ways_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing is lawful no way out is looked for, which takes longest and is tested elsewhere. ``placed`` of
    ``tests/once.py`` keeps no answer that lacks one so."""
    monkeypatch.setattr("service.usecases.place.deadlock", lambda *_: None)
    monkeypatch.setattr("service.usecases.dwellings.no_set", lambda *_: None)
