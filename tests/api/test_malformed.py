"""Five hundred bad bodies, made from a sample plan with a seed: each is refused with a 4xx problem, none with a 5xx."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.api.fakes import sample

SEED = 20_240_607
COUNT = 500
OPERATIONS = ("/v1/placements", "/v1/clearances", "/v1/checks")
WRONG: tuple[Any, ...] = (None, True, "1e3", " 5 ", "\uff15", [], {}, [[]], {"value": 1}, {"unit": "ft"},
                          {"value": 1, "unit": "furlong"}, {"ft": 1, "in": 12}, -1e308, 1e308, 10**400)  # fmt: skip
Spot = tuple[Any, Any]


def spots(value: Any) -> Iterator[Spot]:
    """Every place of a document: its container and key."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in list(items):
        yield value, key
        yield from spots(item)


def text(document: Any) -> bytes:
    """JSON as Python writes it, NaN and all."""
    return json.dumps(document).encode()


def not_a_number(rng: random.Random) -> bytes:
    """NaN, an infinity or a number beyond a double, in place of any number."""
    document = sample()
    container, key = rng.choice([(c, k) for c, k in spots(document) if type(c[k]) in (int, float)])
    container[key] = "@"
    return text(document).replace(b'"@"', rng.choice([b"NaN", b"Infinity", b"-Infinity", b"1e999", b"-1e400"]))


def deep(rng: random.Random) -> bytes:
    """Arrays or objects far too deep, at the root or inside."""
    levels = rng.choice([33, 100, 1000, 50_000])
    nested = b"[" * levels + b"]" * levels if rng.random() < 0.5 else b'{"a":' * levels + b"1" + b"}" * levels
    return nested if rng.random() < 0.5 else b'{"name":' + nested + b"}"


def twice(rng: random.Random) -> bytes:
    """One key twice in some object."""
    document = sample()
    container, key = rng.choice([(c, k) for c, k in spots(document) if isinstance(c, dict)])
    container["@"] = container[key]
    return text(document).replace(b'"@"', json.dumps(key).encode())


def wrong_type(rng: random.Random) -> bytes:
    """A value of another type in a place of the document."""
    document = sample()
    container, key = rng.choice([(c, k) for c, k in spots(document) if k not in ("distance", "items")])
    container[key] = rng.choice(
        [w for w in WRONG if type(w) is not type(container[key]) and w != container[key]] or [None]
    )
    return text(document)


def unknown_field(rng: random.Random) -> bytes:
    """A field that no schema has."""
    document = sample()
    container, _ = rng.choice([(c, k) for c, k in spots(document) if isinstance(c, dict) and "book" not in c])
    container[rng.choice(["nonsense", "", "__proto__", "a/b~c", "\u0000"])] = 1
    return text(document)


def missing_field(rng: random.Random) -> bytes:
    """A compulsory member left out."""
    document = sample()
    room = rng.choice(document["storeys"][0]["rooms"])
    opening = rng.choice(document["storeys"][0]["openings"])
    container, key = rng.choice([(document, "name"), (document, "units"), (document, "storeys"), (document, "gas"),
                                 (document, "water"), (room, "outline"), (opening, "kind"), (opening, "from"),
                                 (document["gas"], "delivery_node"), (document["gas"], "nodes")])  # fmt: skip
    del container[key]
    return text(document)


def huge_coordinate(rng: random.Random) -> bytes:
    """A point beyond the bound."""
    document = sample()
    room = rng.choice(document["storeys"][0]["rooms"])
    rng.choice(room["outline"])[rng.randrange(2)] = rng.choice([1e4, -1e9, 1e300, 10**30])
    return text(document)


def self_crossing(rng: random.Random) -> bytes:
    """An outline with two neighbouring corners changed over."""
    document = sample()
    outline = rng.choice(document["storeys"][0]["rooms"])["outline"]
    i = rng.randrange(len(outline))
    outline[i - 1], outline[i] = outline[i], outline[i - 1]
    return text(document)


def cut_off(rng: random.Random) -> bytes:
    """The text ends too early, or goes on."""
    whole = text(sample())
    return whole[: rng.randrange(1, len(whole) - 1)] if rng.random() < 0.7 else whole + b"]"


def not_utf8(rng: random.Random) -> bytes:
    """Other encodings, stray bytes, byte order marks, half a surrogate pair."""
    whole = json.dumps(sample())
    spoilt = bytearray(whole.encode())
    spoilt[whole.index("Slab") + rng.randrange(4)] = rng.randrange(128, 256)
    return rng.choice([bytes(spoilt), whole.encode("utf-16"), b"\xef\xbb\xbf" + whole.encode(),
                       whole.replace("Slab", "\\ud800").encode()])  # fmt: skip


def too_many(rng: random.Random) -> bytes:
    """One past a limit on counts or lengths."""
    document = sample()
    settings = Settings()
    storey = document["storeys"][0]
    changes: tuple[Callable[[], object], ...] = (
        lambda: document.update(storeys=[storey] * (settings.storeys + 1)),
        lambda: storey.update(rooms=storey["rooms"] * (settings.rooms // len(storey["rooms"]) + 1)),
        lambda: document.update(name="x" * (settings.string_length + 1)),
        lambda: document.update(drains=document["drains"] * settings.list_items),
        lambda: document["preferences"].update(alternatives=settings.alternatives + 1),
        lambda: document["preferences"].update(solver_seconds=settings.solver_seconds + 1),
    )
    rng.choice(changes)()
    return text(document)


def broken_references(rng: random.Random) -> bytes:
    """Names that lead nowhere, loops in the gas piping, openings off their wall."""
    document = sample()
    gas, openings = document["gas"], document["storeys"][0]["openings"]
    changes: tuple[Callable[[], object], ...] = (
        lambda: gas.update(delivery_node="nowhere"),
        lambda: gas["segments"].append({"start": "range-tap", "end": "meter", "material": "sch40", "size": "1"}),
        lambda: rng.choice(gas["segments"]).update(end="nowhere"),
        lambda: document["site"].update(rule_set="none"),
        lambda: document.update(heaters=["none"]),
        lambda: document.update(heaters=[]),
        lambda: document.update(storeys=[]),
        lambda: rng.choice(openings).update({"from": [200, 200], "to": [203, 200]}),
        lambda: openings.append({**openings[1], "id": "twin"}),
    )
    rng.choice(changes)()
    return text(document)


def big(rng: random.Random) -> bytes:
    """Twenty megabytes of blanks, text or numbers."""
    return rng.choice([b" ", b'"a', b"[1,"]) * 10_000_000


KINDS: tuple[Callable[[random.Random], bytes], ...] = (
    not_a_number, deep, twice, wrong_type, unknown_field, missing_field, huge_coordinate,
    self_crossing, cut_off, not_utf8, too_many, broken_references,
)  # fmt: skip
KINDS_OF_400 = (not_a_number, deep, twice, cut_off, not_utf8)


def bodies() -> Iterator[tuple[Callable[[random.Random], bytes], bytes]]:
    """The same five hundred every time."""
    rng = random.Random(SEED)
    for i in range(COUNT):
        kind = big if i % 100 == 99 else KINDS[i % len(KINDS)]
        yield kind, kind(rng)


def test_five_hundred_malformed_bodies() -> None:
    """Each a problem document, never our fault; and then a good body is still answered."""
    client = create_app(Settings()).test_client()
    for i, (kind, body) in enumerate(bodies()):
        url = OPERATIONS[i % 2]
        response = client.post(url, data=body, content_type="application/json")
        told = f"body {i}, {kind.__name__}: {response.status_code} {response.text[:300]}"
        assert 400 <= response.status_code < 500, told
        assert response.content_type == "application/problem+json", told
        document = json.loads(response.data, parse_constant=pytest.fail)
        assert document["status"] == response.status_code, told
        if kind in KINDS_OF_400:
            assert response.status_code == 400, told
        if response.status_code == 422:
            assert document["errors"], told
            assert all(e["pointer"].startswith("#") for e in document["errors"]), told
    assert_alive(client)


def assert_alive(client: FlaskClient) -> None:
    """The service still answers a good survey."""
    assert client.post("/v1/placements", json=sample()).status_code == 200


def design_text(rng: random.Random, design: dict[str, Any]) -> bytes:
    """A check whose design has one value of another type."""
    spoilt = json.loads(json.dumps(design))
    container, key = rng.choice(list(spots(spoilt)))
    container[key] = rng.choice([w for w in WRONG if type(w) is not type(container[key])])
    return text({"survey": sample(), "design": spoilt})


def test_malformed_designs(client: FlaskClient) -> None:
    """A hundred designs with a slip in them: told with a pointer into the design, never a 5xx."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    del design["clearances"], design["rank"]
    rng = random.Random(SEED)
    for i in range(100):
        body = design_text(rng, design)
        response = client.post("/v1/checks", data=body, content_type="application/json")
        assert response.status_code in (200, 400, 413, 422), f"{i}: {response.status_code} {response.text[:300]}"
        if response.status_code == 422:
            assert all(e["pointer"].startswith("#/design") for e in response.get_json(force=True)["errors"])
