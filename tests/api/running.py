"""A real server for tests: gunicorn with the service's own configuration on a free port, ended by a signal."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Thread

ROOT = Path(__file__).parents[2]
END_SECONDS = 30


@dataclass(slots=True)
class Server:
    """Where it answers, its arbiter's process, and every line it has written."""

    url: str
    process: subprocess.Popen[str]
    log: list[str] = field(default_factory=list)

    def workers(self) -> list[int]:
        """Process ids of its workers."""
        return self.children(self.process.pid)

    def solvers(self) -> list[int]:
        """Process ids of all solvers of all workers."""
        quiet = (q for w in self.workers() for q in self.children(w))
        return [s for q in quiet for s in self.children(q)]

    @staticmethod
    def children(process: int) -> list[int]:
        """By Linux's process file system, of all threads."""
        found = (p.read_text("ascii") for p in Path(f"/proc/{process}/task").glob("*/children"))
        return sorted(int(p) for text in found for p in text.split())


@contextmanager
def running(application: str, workers: int = 1, **environment: str) -> Iterator[Server]:
    """The application, an import path, on so many workers; ended by SIGTERM unless it has ended."""
    command = [sys.executable, "-m", "gunicorn", "--config", "python:service.gunicorn_conf"]
    command += ["--bind", "127.0.0.1:0", application]
    told = os.environ | {"WEB_CONCURRENCY": str(workers), **environment}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=ROOT, env=told) as process:
        assert process.stderr is not None
        server = Server("", process)
        for line in process.stderr:
            server.log.append(line)
            if found := re.search(r"Listening at: (http:\S+)", line):
                server.url = found[1]
                break
        reader = Thread(target=server.log.extend, args=(process.stderr,))
        reader.start()
        try:
            yield server
        finally:
            process.terminate()
            process.wait(END_SECONDS)
            reader.join(END_SECONDS)
