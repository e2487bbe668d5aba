"""All benchmarks in one run: ``python -m tests.benchmarks.run [--json FILE]``.

The service and its peers are timed side by side; the ratios are the result, the times depend on the machine.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import platform
import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from service.building.build import build
from service.errors import CheckFailed
from service.http.schemas import load_survey
from service.settings import Settings
from service.siting.ground import ground_of
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.model import Survey
from tests.benchmarks import measure, peers
from tests.benchmarks.flow_models import cp_sat_model, flow_model
from tests.benchmarks.grid_problem import PITCH_MM, problem_of
from tests.benchmarks.typical_house import document
from tests.property.brute_force import cheapest, lines_of
from tests.property.houses import house

WORKERS = 2
SHORTLIST = 40
Report = dict[str, Any]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run everything that was asked for and print it."""
    options = _options(arguments)
    report: Report = {"machine": _machine()}
    if not options.no_http:
        report["http"] = over_http(options.seeds, options.repeats)
    report["phases"] = by_phase(options.seeds)
    if options.peer_seeds:
        report["peers"] = against_peers(options.peer_seeds, options.peer_seconds)
        report["brute_force"] = by_brute_force(options.peer_seeds)
    print(_text(report))
    if options.json:
        options.json.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
    return 0


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.benchmarks.run", description="Time the service and its peers.")
    parser.add_argument("--seeds", type=int, default=20, help="houses")
    parser.add_argument("--repeats", type=int, default=3, help="requests for each house")
    parser.add_argument("--peer-seeds", type=int, default=3, help="houses that the peers solve too; 0 leaves them out")
    parser.add_argument("--peer-seconds", type=float, default=60.0, help="time limit for each solve of a slow peer")
    parser.add_argument("--no-http", action="store_true", help="do not start a server")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the report as JSON too")
    return parser.parse_args(arguments)


def _machine() -> Report:
    return {"cores": os.cpu_count(), "python": platform.python_version(), "load": round(os.getloadavg()[0], 2)}


def over_http(seeds: int, repeats: int) -> Report:
    """Latency with one client, plans a second with one client for each process, memory of the processes."""
    bodies = [measure.body_of(document(seed)) for seed in range(seeds)] * repeats
    with measure.serving(WORKERS) as (address, arbiter):
        start = measure.solvers_memory_mib(arbiter)
        alone = measure.latency(address, bodies)
        rate, together = measure.throughput(address, bodies, WORKERS)
        end = measure.solvers_memory_mib(arbiter)
    return {
        "requests": len(bodies),
        "statuses": alone.statuses,
        "median_s": alone.quantile(0.5), "p95_s": alone.quantile(0.95), "max_s": alone.quantile(1),
        "plans_a_second": rate, "processes": WORKERS, "median_s_together": together.quantile(0.5),
        "memory_mib_at_start": max(now for now, _ in start), "memory_mib_at_end": max(now for now, _ in end),
        "memory_mib_peak": max(peak for _, peak in end),
    }  # fmt: skip


def by_phase(seeds: int) -> Report:
    """Median and greatest time of each phase over the houses, in this process; houses that failed are told."""
    rows, failed = [], {}
    for seed in range(seeds):
        try:
            rows.append(measure.phases(measure.body_of(document(seed))))
        except CheckFailed as error:
            failed[seed] = str(error)
    table = {p: [row[p] for row in rows] for p in measure.PHASES} if rows else {}
    spread = {p: {"median_s": float(np.median(v)), "max_s": max(v)} for p, v in table.items()}
    return {"houses": len(rows), "failed": failed, "phases": spread}


def against_peers(seeds: int, seconds: float) -> list[Report]:
    """Each house by the service's search, by its full grid, and by the peers on the uniform grid."""
    return [compared(seed, seconds) for seed in range(seeds)]


def compared(seed: int, seconds: float, pitch_mm: int = PITCH_MM) -> Report:
    """One house. Ratios are peer over service, of time and of cost."""
    survey = load_survey(document(seed), Settings())
    building = build(survey)
    ground = ground_of(survey, building)
    rows = {"critical planes, lazy (the service)": apart(lazy, survey, seconds)}
    ours = rows["critical planes, lazy (the service)"]
    rows["critical planes, all at once"] = apart(eager, survey, seconds)
    zones = Zones(building, survey)
    designs = search(ground, zones, 1, time.monotonic() + seconds).designs
    if designs:
        problem = problem_of(ground, zones, designs[0], pitch_mm)
        short = peers.shortlisted(problem, SHORTLIST)
        pitch = f"{pitch_mm / 1000:g} m grid"
        rows[f"{pitch}, Dijkstra without limits, scipy"] = apart(peers.scipy_dijkstra, problem)
        rows[f"{pitch}, Dijkstra without limits, rustworkx"] = apart(peers.rustworkx_dijkstra, problem)
        rows[f"{pitch}, Dijkstra without limits, networkx"] = apart(peers.networkx_dijkstra, problem)
        rows[f"{pitch}, flow LP without limits, HiGHS"] = apart(flow_model, peers.unlimited(short), seconds, False)
        rows[f"{pitch}, flow MIP with limits, HiGHS"] = apart(flow_model, short, seconds)
        rows[f"{pitch}, flow model with limits, CP-SAT"] = apart(cp_sat_model, short, seconds)
    return {"seed": seed, "rows": [_row(name, verdict, ours) for name, verdict in rows.items()]}


def lazy(survey: Survey, seconds: float) -> peers.Verdict:
    """The service's own search."""
    return _critical(survey, seconds, False)


def eager(survey: Survey, seconds: float) -> peers.Verdict:
    """The same with everything cut in at once."""
    return _critical(survey, seconds, True)


def _critical(survey: Survey, seconds: float, at_once: bool) -> peers.Verdict:
    building = build(survey)
    return peers.critical(ground_of(survey, building), Zones(building, survey), seconds, at_once)


def apart(work: Callable[..., peers.Verdict], *given: object) -> peers.Verdict:
    """A peer's verdict from a process of its own, with the memory that it took beyond what it was given [MiB]."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_measured, (work, *given))


def _measured(work: Callable[..., peers.Verdict], *given: object) -> peers.Verdict:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    verdict = work(*given)
    return replace(verdict, mib=(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024)


def by_brute_force(seeds: int) -> list[Report]:
    """Small invented houses by the service's search and by brute force on a grid that holds the answer's lines."""
    return [row for seed in range(seeds) if (row := _small_house(seed)) is not None]


def _small_house(seed: int) -> Report | None:
    survey = house(seed)
    began = time.perf_counter()
    outcome = search(ground_of(survey, build(survey)), Zones(build(survey), survey), 1, time.monotonic() + 60)
    ours = time.perf_counter() - began
    if not outcome.designs:
        return None
    began = time.perf_counter()
    brute = cheapest(survey, lines_of(outcome.designs[0]))
    theirs = time.perf_counter() - began
    same = brute is not None and brute[0] == outcome.cost_units
    return {"seed": seed, "seconds": ours, "brute_seconds": theirs, "time_ratio": theirs / ours, "same_cost": same}


def _row(name: str, verdict: peers.Verdict, ours: peers.Verdict) -> Report:
    cost_ratio = verdict.cents / ours.cents if verdict.cents and ours.cents else None
    return {
        "name": name, "seconds": verdict.seconds, "time_ratio": verdict.seconds / ours.seconds,
        "cents": verdict.cents, "cost_ratio": cost_ratio, "size": verdict.size, "mib": verdict.mib,
        "finished": verdict.finished,
    }  # fmt: skip


def _text(report: Report) -> str:
    lines = ["Machine   " + ", ".join(f"{k} {v}" for k, v in report["machine"].items())]
    if "http" in report:
        lines += ["", "Over HTTP", *(f"  {k:22} {_shown(v)}" for k, v in report["http"].items())]
    lines += ["", f"In process, {report['phases']['houses']} houses        median    greatest [ms]"]
    for phase, spread in report["phases"]["phases"].items():
        lines.append(f"  {phase:24} {1000 * spread['median_s']:10.1f} {1000 * spread['max_s']:10.1f}")
    lines += [f"  house {seed} failed: {why}" for seed, why in report["phases"]["failed"].items()]
    for told in report.get("peers", []):
        lines += ["", f"House {told['seed']:<44} {'time [s]':>9} {'ratio':>8} {'cost':>10} {'ratio':>7} {'MiB':>6}"]
        lines += [_peer_line(row) for row in told["rows"]]
    for row in report.get("brute_force", []):
        same = "the same cost" if row["same_cost"] else "another cost"
        lines.append(f"Small house {row['seed']}: brute force takes {row['time_ratio']:.1f} times as long, {same}")
    return "\n".join(lines)


def _peer_line(row: Report) -> str:
    cost = "-" if row["cents"] is None else f"{row['cents'] / 100:.2f}"
    ratio = "-" if row["cost_ratio"] is None else f"{row['cost_ratio']:.4f}"
    note = "  stopped by its time limit" if not row["finished"] else "  nothing lawful" if row["cents"] is None else ""
    numbers = f"{row['seconds']:9.3f} {row['time_ratio']:8.2f} {cost:>10} {ratio:>7} {row['mib']:6.0f}"
    return f"  {row['name']:48} {numbers}{note}"


def _shown(value: object) -> str:
    return f"{value:.3f}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    sys.exit(main())
