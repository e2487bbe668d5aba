"""Before and after all tests: a directory in which the workers of one run leave what they solved for each other."""

from __future__ import annotations

import os
import shutil
import tempfile

import pytest

from tests.once import SOLVED


def pytest_configure(config: pytest.Config) -> None:
    """Make it, once for all workers, which take the environment over."""
    if not hasattr(config, "workerinput"):
        os.environ[SOLVED] = tempfile.mkdtemp(prefix="solved-")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove it."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(SOLVED), ignore_errors=True)
