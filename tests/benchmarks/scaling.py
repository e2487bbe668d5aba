"""Time and memory against the size of the house: ``python -m tests.benchmarks.scaling [--json FILE]``.

One thing grows at a time, the rest stays as in a middling house. Each house is solved in a process of its own, so that
its memory is its own. Printed: a table with a bar for each time, how steep each curve is (the slope of log time over
log size), and where it bends.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log
from pathlib import Path
from typing import Any

import numpy as np

from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.place import place
from tests.benchmarks.sized_house import Size, document

STEPS = {
    "rooms": (6, 14, 30, 60),
    "openings": (0, 12, 24, 48, 80),
    "storeys": (1, 2, 4, 6),
    "heaters": (1, 3, 6, 12, 24),
    "nodes": (4, 16, 60, 120),
}
LARGE = Size(storeys=4, rooms=60, openings=120, heaters=12, nodes=60)
REPEATS = 3
SETTINGS = Settings(solver_seconds=60, storeys=12, rooms=400, openings=1000, heaters=100, gas_nodes=1001)
BEND = 1.5
"""Steeper than this between two sizes counts as a bend."""
WIDE = 46


@dataclass(frozen=True, slots=True)
class Point:
    """One house solved: what grew and how large it is, median time [s], peak memory [MiB], status, states, planes."""

    grown: str
    value: int
    seconds: float
    mib: float
    status: str
    states: int
    planes: int


def survey_of(size: Size) -> Survey:
    """The house with so many heaters: those of the catalogue, then the same again a little dearer."""
    survey = load_survey(document(size), SETTINGS)
    rounds = range(-(-size.heaters // len(survey.heaters)))
    more = [replace(h, id=f"{h.id}-{k}", price_cents=h.price_cents + k) for k in rounds for h in survey.heaters]
    return replace(survey, heaters=tuple(more[: size.heaters]))


def solved(grown: str, value: int, size: Size, repeats: int = REPEATS) -> Point:
    """Solve a house several times; the first time warms the process up and does not count."""
    survey, seconds = survey_of(size), []
    for _ in range(repeats + 1):
        began = time.perf_counter()
        answer = place(survey, SETTINGS)
        seconds.append(time.perf_counter() - began)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    proof = answer.proof
    return Point(grown, value, float(np.median(seconds[1:])), peak, answer.status.value, proof.states, proof.planes)


def curve(grown: str, values: Sequence[int], repeats: int) -> list[Point]:
    """One thing grows; each house in a new process."""
    sizes = [replace(Size(), **{grown: value}) for value in values]
    if grown == "storeys":
        sizes = [replace(s, rooms=7 * s.storeys, openings=12 * s.storeys) for s in sizes]
    return [apart(grown, v, s, repeats) for v, s in zip(values, sizes, strict=True)]


def apart(grown: str, value: int, size: Size, repeats: int) -> Point:
    """A house in a process of its own."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(solved, (grown, value, size, repeats))


def slope(points: Sequence[Point]) -> float:
    """How steep time is over size: 1 is linear. Least squares over the logarithms."""
    x = [log(max(p.value, 1)) for p in points]
    return float(np.polyfit(x, [log(p.seconds) for p in points], 1)[0])


def bends(points: Sequence[Point]) -> list[int]:
    """Sizes from which time grows steeper than BEND."""
    pairs = [(a, b) for a, b in zip(points, points[1:], strict=False) if a.value]
    return [a.value for a, b in pairs if log(b.seconds / a.seconds) / log(b.value / a.value) > BEND]


def table(points: Sequence[Point]) -> str:
    """All points, and a bar for the time of each."""
    longest = max(p.seconds for p in points)
    lines = [f"{'grows':9}{'size':>6}{'time s':>9}{'MiB':>6}{'states':>8}{'planes':>8}  status"]
    for p in points:
        bar = "#" * max(1, round(WIDE * p.seconds / longest))
        figures = f"{p.value:6}{p.seconds:9.2f}{p.mib:6.0f}{p.states:8}{p.planes:8}"
        lines.append(f"{p.grown:9}{figures}  {p.status:10} {bar}")
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Solve all houses and print what came of it."""
    parser = argparse.ArgumentParser("python -m tests.benchmarks.scaling", description="Time by size of house.")
    parser.add_argument("--only", choices=STEPS, help="let one thing grow")
    parser.add_argument("--repeats", type=int, default=REPEATS, help="solves of each house")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the points as JSON too")
    options = parser.parse_args(arguments)
    chosen = {options.only: STEPS[options.only]} if options.only else STEPS
    curves = {grown: curve(grown, values, options.repeats) for grown, values in chosen.items()}
    every = [p for points in curves.values() for p in points]
    if not options.only:
        every.append(apart("large", LARGE.rooms, LARGE, options.repeats))
    print(table(every))
    for grown, points in curves.items():
        steep = ", ".join(map(str, bends(points))) or "nowhere"
        print(f"{grown}: time grows with power {slope(points):.2f}, steeper than {BEND} from {steep}")
    by_states = [replace(p, value=p.states) for p in every]
    print(f"over states, all houses: power {slope(by_states):.2f}")
    if options.json:
        told: list[dict[str, Any]] = [{name: getattr(p, name) for name in Point.__slots__} for p in every]
        options.json.write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
