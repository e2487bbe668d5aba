"""Hostile inputs for as long as one likes: ``python -m tests.hostile.run [--seconds 300] [--seed 0]``.

The corpus, sample plans with corners out of line, with openings up to corners and with other changes, and the
interface's own description, through the real service with its solves in a process of their own that is held to its
memory and ended when it hangs. Prints how many inputs were tried, how they ended and every fault of ours; ends with 1
if there is any.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import count, cycle

from service.app import create_app
from tests.hostile import corpus
from tests.hostile.mutations import askew, mutated, to_the_corner
from tests.hostile.schema import trials
from tests.hostile.trial import SETTINGS, Tally, all_tried, hostile_client

PATHS = ("placements", "placements", "placements", "gas-sizings", "hot-water-demands", "sheets", "clearances")
EXAMPLES = 20


def main(arguments: Sequence[str] | None = None) -> int:
    """Try, print, judge."""
    parser = argparse.ArgumentParser("python -m tests.hostile.run", description=__doc__)
    parser.add_argument("--seconds", type=float, default=300, help="time for sample plans with changes")
    parser.add_argument("--plans", type=int, default=200, help="plans askew, and with openings up to corners")
    parser.add_argument("--seed", type=int, default=0, help="where their changes begin")
    options = parser.parse_args(arguments)
    tallies: dict[str, Tally] = {}
    with hostile_client(apart=True) as client:
        tallies["corpus"] = all_tried(client, corpus.inputs(), lambda: False)
        for kind in (askew, to_the_corner):
            tallies[kind.__name__.replace("_", " ")] = all_tried(client, placed(kind, options), lambda: False)
        until = time.monotonic() + options.seconds
        tallies["changed plans"] = all_tried(client, changed(options.seed), lambda: time.monotonic() > until)
    described, faults = by_description(options.seed)
    print("| inputs | tried | answers | ended by the service | faults of ours | slowest |\n|---|---|---|---|---|---|")
    for name, tally in tallies.items():
        figures = (tally.inputs, _told(tally), tally.overruns, len(tally.faults), _slowest(tally))
        print(f"| {name} | {' | '.join(map(str, figures))} |")
        faults += tally.faults
    print(f"| from the description | {described.total()} on {len(described)} operations | | | | |")
    print("\n".join(faults))
    return int(bool(faults))


def changed(seed: int) -> Iterator[tuple[str, str, bytes]]:
    """Sample plans with changes, one seed after the other, to every operation in turn."""
    for number, path in zip(count(seed), cycle(PATHS), strict=False):
        name, document = mutated(number)
        yield name, f"/v1/{path}", json.dumps(document).encode()


def placed(kind: Callable[[int], tuple[str, object]], options: argparse.Namespace) -> Iterator[tuple[str, str, bytes]]:
    """Plans of one kind of change, to the main operation."""
    for seed in range(options.seed, options.seed + options.plans):
        name, document = kind(seed)
        yield name, "/v1/placements", json.dumps(document).encode()


def by_description(seed: int) -> tuple[Counter[str], list[str]]:
    """Requests for each operation of the description, and what of the answers departs from it."""
    counted: Counter[str] = Counter()
    faults = []
    unhurried = replace(SETTINGS, solver_seconds=10)  # readiness is a solve, too
    for trial in trials(create_app(unhurried), EXAMPLES, seed, counted):
        try:
            trial()
        except (Exception, BaseExceptionGroup) as error:  # whatever it is, it is told
            faults.append(f"{trial.__name__}: {error}")
    return counted, faults


def _told(tally: Tally) -> str:
    return ", ".join(f"{n} x {status}" for status, n in sorted(tally.statuses.items()))


def _slowest(tally: Tally) -> str:
    return f"{tally.slowest_s:.1f} s ({tally.slowest})"


if __name__ == "__main__":
    sys.exit(main())
