"""Bodies and plans made to do harm: broken text, degenerate and near-touching outlines, slivers, slow plans."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from service.http.catalogue_json import heater_entry
from service.rules.catalogue import heaters
from service.settings import Settings

Json = dict[str, Any]
PLAN = Path(__file__).parents[2] / "sample_plans" / "slab_house.json"
LIMITS = Settings()

BODIES: dict[str, bytes] = {
    "blanks": b" " * 100_000,
    "a number": b"1",
    "null": b"null",
    "a string": b'"plan"',
    "half": b'{"name": "ha',
    "deep lists": b"[" * 500_000,
    "deep objects": b'{"a":' * 100_000,
    "deep and closed": b"[" * 33 + b"]" * 33,
    "not UTF-8": b'{"name": "\xff"}',
    "UTF-16": '{"name": "x"}'.encode("utf-16"),
    "mark": b"\xef\xbb\xbf{}",
    "NaN": b'{"name": NaN}',
    "infinite": b'{"name": 1e999}',
    "negative infinite": b"-Infinity",
    "long integer": b"1" * 900_000,
    "long fraction": b"0." + b"1" * 900_000,
    "long exponent": b"1e" + b"9" * 10_000,
    "twice": b'{"units": "us", "units": "si"}',
    "half a pair": b'{"name": "\\ud800"}',
    "NUL": b'{"name": "\x00"}',
    "escaped NUL": b'{"name": "\\u0000"}',
    "comment": b"{} // x",
    "after": b"{} {}",
    "single quotes": b"{'a': 1}",
    "many strings": b"[" + b'"",' * 300_000 + b'""]',
    "many keys": b"{" + b",".join(b'"%d":0' % i for i in range(60_000)) + b"}",
    "backslashes": b'"' + b"\\\\" * 400_000 + b'"',
    "open string": b'"' + b"\\" * 900_000,
    "brackets in a string": b'"' + b"[" * 900_000 + b'"',
}
"""Bodies that are no survey, for every operation."""


@cache
def _text() -> str:
    return PLAN.read_text("utf-8")


def plan() -> Json:
    """A fresh copy of a sound plan."""
    document: Json = json.loads(_text())
    return document


def _room(document: Json, index: int = 0) -> Json:
    room: Json = document["storeys"][0]["rooms"][index]
    return room


def _with_outline(outline: Callable[[list[list[float]]], list[list[float]]]) -> Json:
    document = plan()
    room = _room(document)
    room["outline"] = outline(room["outline"])
    return document


def _shifted(by: float) -> Json:
    """One room pushed into, or off, its neighbour by so little."""
    return _with_outline(lambda points: [[x + by, y] for x, y in points])


def _comb(points: list[list[float]], teeth: int, width: float) -> list[list[float]]:
    """Teeth cut into the first edge, each so wide."""
    (x0, y0), rest = points[0], points[1:]
    x1, y1 = rest[0]
    out = [[x0, y0]]
    dx, dy = (x1 - x0) / teeth, (y1 - y0) / teeth
    length = math.hypot(x1 - x0, y1 - y0) or 1
    nx, ny = -(y1 - y0) / length * width, (x1 - x0) / length * width
    for k in range(1, teeth):
        x, y = x0 + k * dx, y0 + k * dy
        out += [[x, y], [x + nx, y + ny]] if k % 2 else [[x + nx, y + ny], [x, y]]
    return [*out, *rest]


def _slivers(count: int, width: float) -> Json:
    """So many rooms beside each other, each so wide."""
    document = plan()
    first = _room(document)
    rooms = document["storeys"][0]["rooms"]
    for k in range(count):
        x = 100 + k * width
        outline = [[x, 0], [x + width, 0], [x + width, 30], [x, 30]]
        rooms.append(deepcopy(first) | {"id": f"sliver-{k}", "outline": outline})
    return document


def _many_openings(count: int) -> Json:
    document = plan()
    openings = document["storeys"][0]["openings"]
    for k in range(count - len(openings)):
        openings.append(deepcopy(openings[0]) | {"id": f"opening-{k}"})
    return document


def _many_keep_outs(count: int) -> Json:
    document = plan()
    outline = _room(document)["outline"]
    x, y = outline[0]
    bars = [(x + k / 100, x + k / 100 + 0.01) for k in range(count)]
    document["storeys"][0]["keep_outs"] = [
        {"id": f"k{k}", "outline": [[a, y], [b, y], [b, y + 5], [a, y + 5]]} for k, (a, b) in enumerate(bars)
    ]
    return document


def _long_gas(count: int) -> Json:
    """A chain of so many short segments."""
    document = plan()
    gas = document["gas"]
    node, segment = gas["nodes"][-1], gas["segments"][-1]
    before = node["id"]
    for k in range(count - len(gas["segments"])):
        gas["nodes"].append(deepcopy(node) | {"id": f"n{k}"})
        gas["segments"].append(deepcopy(segment) | {"id": f"s{k}", "from": before, "to": f"n{k}"})
        before = f"n{k}"
    return document


def _many_heaters(count: int) -> Json:
    own = heater_entry(next(iter(heaters().values())))
    return plan() | {"heaters": [own | {"id": f"h{k}"} for k in range(count)]}


def _turned(degrees: float) -> Json:
    """Every point of the plan turned, so that nothing is square any more."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def turn(value: Any) -> Any:
        if isinstance(value, list) and len(value) in (2, 3) and all(isinstance(v, int | float) for v in value):
            x, y, *z = value
            return [c * x - s * y, s * x + c * y, *z]
        if isinstance(value, list):
            return [turn(v) for v in value]
        return {k: turn(v) for k, v in value.items()} if isinstance(value, dict) else value

    turned: Json = turn(plan())
    return turned


def _scaled(by: float) -> Json:
    def scale(value: Any) -> Any:
        if isinstance(value, list) and len(value) in (2, 3) and all(isinstance(v, int | float) for v in value):
            return [v * by for v in value]
        if isinstance(value, list):
            return [scale(v) for v in value]
        return {k: scale(v) for k, v in value.items()} if isinstance(value, dict) else value

    scaled: Json = scale(plan())
    return scaled


def plans() -> Iterator[tuple[str, Json]]:
    """Plans by what is wrong with them."""
    for by in (1e-12, 1e-7, 1e-4, 0.0016, 0.0033, 0.01, 0.03, 0.1):
        yield f"pushed in by {by}", _shifted(by)
        yield f"pushed off by {by}", _shifted(-by)
    yield "bow tie", _with_outline(lambda p: [p[0], p[2], p[1], *p[3:]])
    yield "no area", _with_outline(lambda p: [p[0], p[1], p[0], p[1]])
    yield "one point", _with_outline(lambda p: [p[0]] * 4)
    yield "every point twice", _with_outline(lambda p: [q for q in p for _ in range(2)])
    yield "backwards", _with_outline(lambda p: p[::-1])
    yield "spike", _with_outline(lambda p: [p[0], [p[0][0] - 1e-4, p[0][1] + 90], p[0], *p[1:]])
    yield "spike of no width", _with_outline(lambda p: [p[0], [p[0][0], p[0][1] + 90], p[0], *p[1:]])
    yield "collinear points", _with_outline(lambda p: _comb(p, 60, 0.0))
    for teeth, width in ((10, 1e-4), (10, 0.01), (30, 0.01), (30, 0.3), (28, 2.0)):
        yield f"comb of {teeth} teeth {width} wide", _with_outline(lambda p, t=teeth, w=width: _comb(p, t, w))
    for count, width in ((60, 1e-3), (60, 0.02), (60, 0.1), (70, 0.5)):
        yield f"{count} rooms {width} wide", _slivers(count, width)
    yield "all openings in one place", _many_openings(LIMITS.openings)
    yield "keep-outs like a grating", _many_keep_outs(LIMITS.keep_outs)
    yield "gas in a long chain", _long_gas(LIMITS.gas_segments)
    yield "many heaters", _many_heaters(LIMITS.heaters)
    for degrees in (1e-7, 0.01, 0.5, 1, 17, 44.999, 45, 90, 180.0001):
        yield f"turned by {degrees} degrees", _turned(degrees)
    for by in (0, 1e-9, 1e-3, 0.1, 3, 10, 50, 1e9, -1):
        yield f"scaled by {by}", _scaled(by)


def inputs() -> Iterator[tuple[str, str, bytes]]:
    """Name, path and body of every input of the corpus."""
    for path in ("placements", "checks", "clearances", "gas-sizings", "hot-water-demands", "sheets", "verifications"):
        for name, body in BODIES.items():
            yield name, f"/v1/{path}", body
    for name, document in plans():
        for path in ("placements", "clearances", "gas-sizings", "hot-water-demands", "sheets"):
            yield name, f"/v1/{path}", json.dumps(document).encode()
        yield (
            name,
            "/v1/checks",
            json.dumps({"survey": document, "design": {"heater": {"id": "nc-direct-120"}}}).encode(),
        )
