"""Readers under a coverage-guided fuzzer: ``python -m tests.hostile.fuzz {json,units,polygon,survey} [--seconds 60]``.

Needs the ``fuzz`` extra (atheris). Anything that a reader raises but its own refusals ends the run with the input.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from contextlib import suppress

import atheris

with atheris.instrument_imports(include=["service"]):
    from service.building.build import build
    from service.errors import InvalidRequest, LimitExceeded, MalformedJson
    from service.http import strict_json
    from service.http.schemas import load_survey
    from service.settings import Settings

from tests.hostile.corpus import plan

SETTINGS = Settings()


def read_json(data: bytes) -> None:
    """Any bytes."""
    strict_json.loads(data, SETTINGS.depth)


def read_units(data: bytes) -> None:
    """Any number and any text as its unit, where lengths and pressures are expected."""
    given = atheris.FuzzedDataProvider(data)
    said = {given.PickValueInList(["value", "ft", "in"]): given.ConsumeFloat() for _ in range(2)}
    document = plan()
    document["storeys"][0]["openings"][0]["sill"] = said | {"unit": given.ConsumeUnicodeNoSurrogates(12)}
    document["gas"]["pressure"] = said
    load_survey(document, SETTINGS)


def read_polygon(data: bytes) -> None:
    """Any points as a room of a sound plan, read and built."""
    given = atheris.FuzzedDataProvider(data)
    document = plan()
    points = [[given.ConsumeRegularFloat(), given.ConsumeRegularFloat()] for _ in range(given.ConsumeIntInRange(0, 20))]
    near = [[x % 40, y % 40] for x, y in points] if given.ConsumeBool() else points
    document["storeys"][0]["rooms"][0]["outline"] = near
    build(load_survey(document, SETTINGS))


def read_survey(data: bytes) -> None:
    """Any bytes as a survey."""
    load_survey(strict_json.loads(data, SETTINGS.depth), SETTINGS)


READERS = {"json": read_json, "units": read_units, "polygon": read_polygon, "survey": read_survey}


def main() -> int:
    """Fuzz one reader until the time is up; libFuzzer prints how many inputs were tried."""
    parser = argparse.ArgumentParser("python -m tests.hostile.fuzz", description=__doc__)
    parser.add_argument("reader", choices=sorted(READERS))
    parser.add_argument("--seconds", type=int, default=60)
    options = parser.parse_args()
    atheris.Setup([sys.argv[0], f"-max_total_time={options.seconds}", "-timeout=10", "-rss_limit_mb=2048"],
                  _refusing(READERS[options.reader]))  # fmt: skip
    atheris.Fuzz()
    return 0


def _refusing(reader: Callable[[bytes], None]) -> Callable[[bytes], None]:
    """The reader, its refusals swallowed, and what takes seconds told as a fault."""

    def one(data: bytes) -> None:
        began = time.monotonic()
        with suppress(InvalidRequest, LimitExceeded, MalformedJson):
            reader(data)
        assert time.monotonic() - began < 5, "took seconds"

    return one


if __name__ == "__main__":
    sys.exit(main())
