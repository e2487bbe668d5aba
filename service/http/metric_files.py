"""Files through which the server's processes share their counters: made at its start, gathered as workers end.

A worker that ends leaves its counts behind. They are added to one file, lest a server that renews its workers for
months fill the memory that these files lie in.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

VARIABLE = "PROMETHEUS_MULTIPROC_DIR"
KINDS = ("counter", "histogram")
ENDED = "0"
"""Stands for all processes that have ended; no process has this id."""
_MADE = "siting-metrics-"


def make(below: str | None) -> Path:
    """A new directory, told to the processes to come by the environment; ``below`` None takes the system's own."""
    directory = tempfile.mkdtemp(prefix=_MADE, dir=below)
    os.environ[VARIABLE] = directory
    return Path(directory)


def remove() -> None:
    """Take the directory away again if it is one that ``make`` made."""
    directory = Path(os.environ.pop(VARIABLE, ""))
    if directory.name.startswith(_MADE):
        shutil.rmtree(directory, ignore_errors=True)


@contextmanager
def held(directory: Path) -> Iterator[None]:
    """Keep others from gathering while the files are read, so that nothing is counted twice or not at all."""
    handle = os.open(directory, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def gather(process: int) -> None:
    """Add the counts of a process that has ended to those of all before it, and forget its gauges."""
    from prometheus_client.multiprocess import mark_process_dead

    directory = Path(os.environ[VARIABLE])
    with held(directory):
        mark_process_dead(process, str(directory))  # type: ignore[no-untyped-call]
        for kind in KINDS:
            _add(directory / f"{kind}_{process}.db", directory / f"{kind}_{ENDED}.db")


def _add(source: Path, target: Path) -> None:
    from prometheus_client import mmap_dict

    if not source.is_file():
        return
    store: Any = mmap_dict.MmapedDict  # the library has no types here
    sums = store(str(target))
    for key, value, _, _ in store.read_all_values_from_file(str(source)):
        sums.write_value(key, sums.read_value(key)[0] + value, 0.0)
    sums.close()
    source.unlink()
