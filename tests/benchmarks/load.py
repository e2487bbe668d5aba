"""Mixed load beyond capacity: ``python -m tests.benchmarks.load [--minutes 30] [--kills 5]``.

More callers than there are places for solves keep asking, each with its own connection; every answer is compared with
the one that an idle server gave. Health is asked by a process of its own. Solvers are killed in mid-solve. At the end
the load stops and it is measured how soon the server answers as before. The table ends with what was not kept.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import socket
import sys
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from threading import Event, Lock, Thread

import numpy as np

from tests.benchmarks import measure, probe
from tests.benchmarks.bodies import Ask, mixed, same

HEALTH_MS = 100.0
RECOVERY_S = 1.0
GROWTH = 0.1
"""Share by which memory may still grow once it has warmed up."""
EXPECTED = {"left", "200", "400", "413", "422", "503 busy", "503 interrupted"}
WARM_SHARE = 0.3
CALLERS_BEHIND = 10
"""Niceness of the callers' threads (on Linux of each alone): they stand for other machines."""
PAUSE_S = 0.2
ANSWER_S = 90.0


@dataclass(slots=True)
class Load:
    """What the callers saw, all together."""

    outcomes: Counter[str] = field(default_factory=Counter)
    seconds: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    under_way: set[HTTPConnection] = field(default_factory=set)
    lock: Lock = field(default_factory=Lock)

    def note(self, outcome: str, seconds: float, wrong: str = "") -> None:
        """One request."""
        with self.lock:
            self.outcomes[outcome] += 1
            if outcome == "200":
                self.seconds.append(seconds)
            if wrong:
                self.wrong.append(wrong)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run, print the table; 1 if something was not kept."""
    options = _options(arguments)
    with measure.serving(options.solvers) as (address, arbiter):
        asks = [a.answered(address) for a in mixed(options.houses)]
        rows, faults = _under_load(address, arbiter, asks, options)
    print("\n".join(f"| {name} | {value} |" for name, value in rows))
    print("\n".join(f"NOT KEPT: {fault}" for fault in faults) or "all kept")
    return int(bool(faults))


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.benchmarks.load", description=__doc__)
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--solvers", type=int, default=2, help="solves at once")
    parser.add_argument("--times", type=int, default=4, help="callers for each place")
    parser.add_argument("--kills", type=int, default=2, help="solvers killed on the way")
    parser.add_argument("--untimed", action="store_true", help="judge nothing that depends on the machine's speed")
    parser.add_argument("--houses", type=int, default=3, help="typical houses among what is asked")
    return parser.parse_args(arguments)


def _under_load(
    address: str, arbiter: int, asks: list[Ask], options: argparse.Namespace
) -> tuple[list[tuple[str, str]], list[str]]:
    load, stop, callers = Load(), Event(), options.solvers * options.times
    memory: list[tuple[float, float]] = []
    kills: list[float] = []
    pool = ThreadPoolExecutor(callers, initializer=os.nice, initargs=(CALLERS_BEHIND,))
    with probe.health(address) as probed, pool:
        began = time.monotonic()
        until = began + 60 * options.minutes
        for k in range(callers):
            pool.submit(_caller, address, asks, load, stop, random.Random(k))
        killer = Thread(target=_kill, args=(arbiter, began, until, options.kills, kills))
        killer.start()
        while time.monotonic() < until:
            time.sleep(0.5)
            memory.append((time.monotonic() - began, _all_memory_mib(arbiter)))
        killer.join()
        stop.set()
        ended = time.monotonic()
        _leave(load.under_way)
        recovered = _recovery(address, asks[0], ended)
        health = probed()
    return _table(load, memory, kills, health, recovered, callers, options)


def _all_memory_mib(arbiter: int) -> float:
    """Resident memory of the workers and all that is below them, what they share counted for each [MiB]."""
    found = map(measure.memory_mib, measure.descendants(arbiter))
    return sum(m[0] for m in found if m is not None)


def _caller(address: str, asks: list[Ask], load: Load, stop: Event, chance: random.Random) -> None:
    """Ask one thing after the other, each over a connection of its own; a refused caller comes back soon."""
    while not stop.is_set():
        ask, began = chance.choice(asks), time.monotonic()
        try:
            status, document = ask.sent(address, load.under_way)
        except (OSError, HTTPException, AttributeError):  # the last where another thread closed it
            load.note("left" if stop.is_set() else "lost", 0.0)
            continue
        told = f"503 {document['type'].rsplit('/')[-1]}" if status == 503 else str(status)
        wrong = "" if status == 503 or same(ask, status, document) else f"{ask.name}: {status}"
        load.note(told, time.monotonic() - began, wrong)
        if status == 503:
            stop.wait(chance.uniform(0.5, 1.5) * PAUSE_S)


def _kill(arbiter: int, began: float, until: float, kills: int, told: list[float]) -> None:
    """Kill a solver now and then."""
    for k in range(kills):
        at = began + (until - began) * (k + 1) / (kills + 1)
        time.sleep(max(at - time.monotonic(), 0))
        solvers = measure.solvers(arbiter)
        os.kill(solvers[k % len(solvers)], signal.SIGKILL)
        told.append(time.monotonic())


def _leave(under_way: set[HTTPConnection]) -> None:
    """All callers hang up."""
    for connection in list(under_way):
        if (wire := connection.sock) is not None:
            with suppress(OSError):
                wire.shutdown(socket.SHUT_RDWR)


def _recovery(address: str, ask: Ask, ended: float) -> float:
    """Time from the moment that all callers hung up until a request comes in that is answered, not refused [s]."""
    while time.monotonic() < ended + ANSWER_S:
        began = time.monotonic()
        if ask.sent(address)[0] == 200:
            return began - ended
        time.sleep(0.02)
    return float("inf")


def _table(
    load: Load, memory: list[tuple[float, float]], kills: list[float], health: probe.Probed, recovered: float,
    callers: int, options: argparse.Namespace,
) -> tuple[list[tuple[str, str]], list[str]]:  # fmt: skip
    growth = _growth(memory, options.minutes * 60)
    lost = load.outcomes["503 interrupted"]
    seconds = np.array(load.seconds or [np.nan])
    rows = [
        ("callers at once, for places for solves", f"{callers} for {options.solvers}"),
        ("minutes", f"{options.minutes:g}"),
        ("requests, by status", ", ".join(f"{n} x {k}" for k, n in sorted(load.outcomes.items()))),
        ("answers compared, wrong", f"{len(load.seconds)}, {len(load.wrong)}"),
        ("median, 95th percentile of a 200", f"{np.median(seconds):.2f} s, {np.quantile(seconds, 0.95):.2f} s"),
        ("solvers killed, requests lost, connections lost", f"{len(kills)}, {lost}, {load.outcomes['lost']}"),
        ("health asked, failed", f"{len(health.milliseconds)}, {health.failed}"),
        ("health: median, 99th percentile, greatest", ", ".join(f"{q:.0f} ms" for q in health.quantiles())),
        ("memory of all processes: warm, end", f"{growth[0]:.0f} MiB, {growth[1]:.0f} MiB"),
        ("all callers hang up: a place is free again after", f"{recovered:.2f} s"),
    ]
    checks = [
        (load.wrong, f"wrong answers: {Counter(load.wrong)}"),
        (not load.seconds, "nothing was answered"),
        (set(load.outcomes) - EXPECTED, f"answers {sorted(set(load.outcomes) - EXPECTED)}"),
        (lost > len(kills), f"{lost} requests lost"),
        (health.failed, f"{health.failed} health checks failed"),
    ]
    timed = [
        (health.share_above(HEALTH_MS) > 0, f"{health.share_above(HEALTH_MS):.2%} of health checks over 100 ms"),
        (growth[1] > (1 + GROWTH) * growth[0], "memory grew"),
        (recovered > RECOVERY_S, "no answer within a second after the load"),
    ]
    return rows, [told for broken, told in checks + ([] if options.untimed else timed) if broken]


def _growth(memory: list[tuple[float, float]], seconds: float) -> tuple[float, float]:
    """Median memory after warming up, and at the end [MiB]."""
    warm = [m for t, m in memory if WARM_SHARE * seconds <= t < (WARM_SHARE + 0.2) * seconds]
    late = [m for t, m in memory if t >= 0.8 * seconds]
    return float(np.median(warm or [np.nan])), float(np.median(late or [np.nan]))


if __name__ == "__main__":
    sys.exit(main())
