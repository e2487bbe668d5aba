"""How well deadlines are kept: ``python -m tests.benchmarks.deadlines [--seconds 1 2 5]``.

Every sample plan and some typical houses are sent to the real server with ``solver_seconds`` in their preferences, once
as they are and once asking to be told everything besides. The table tells the longest time to an answer as a share of
the time given, reading, model building, checking and writing included; 1 where that is above the share allowed.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import requests

from tests.benchmarks import measure
from tests.benchmarks.typical_house import document

PLANS = Path(__file__).parents[2] / "sample_plans"
EVERYTHING = {"different": 2, "trade_offs": ["waiting", "margin"], "sureness": True, "certificate": True}
ALLOWED = 1.10
Json = dict[str, Any]


def main(arguments: Sequence[str] | None = None) -> int:
    """Ask, print, judge."""
    parser = argparse.ArgumentParser("python -m tests.benchmarks.deadlines", description=__doc__)
    parser.add_argument("--seconds", type=float, nargs="+", default=[1, 2, 5])
    parser.add_argument("--houses", type=int, default=4, help="typical houses")
    options = parser.parse_args(arguments)
    plans = {p.stem: json.loads(p.read_text("utf-8")) for p in sorted(PLANS.glob("*.json"))}
    plans |= {f"typical house {seed}": document(seed) for seed in range(options.houses)}
    worst = 0.0
    print("| time given [s] | asked | answers | longest, share of the time | by |\n|---|---|---|---|---|")
    with measure.serving(1) as (address, _):
        for seconds in options.seconds:
            for wish, more in (("designs", {}), ("everything", {"explain": EVERYTHING})):
                share, row = _asked(address, {n: p | more for n, p in plans.items()}, seconds)
                worst = max(worst, share)
                print(f"| {seconds:g} | {wish} | {row}", flush=True)
    print("all kept" if worst <= ALLOWED else f"NOT KEPT: {worst:.2f}")
    return int(worst > ALLOWED)


def _asked(address: str, plans: dict[str, Json], seconds: float) -> tuple[float, str]:
    statuses: Counter[str] = Counter()
    worst, by = 0.0, ""
    for name, plan in plans.items():
        body = plan | {"preferences": plan.get("preferences", {}) | {"solver_seconds": seconds}}
        began = time.monotonic()
        response = requests.post(f"{address}/v1/placements", json=body, timeout=60)
        share = (time.monotonic() - began) / seconds
        statuses[response.json()["status"] if response.status_code == 200 else str(response.status_code)] += 1
        if share > worst:
            worst, by = share, name
    told = ", ".join(f"{n} {s}" for s, n in sorted(statuses.items()))
    return worst, f"{told} | {worst:.2f} | {by} |"


if __name__ == "__main__":
    sys.exit(main())
