"""Surveys that are almost good: sample plans with something small, large or odd changed in them."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

PLANS = Path(__file__).parents[2] / "sample_plans"
Json = Any
Place = tuple[str | int, ...]

NUMBERS = (
    0, -0.0, 1, -1, 1e-9, -1e-9, 0.001, 0.0005, 0.5, 3, 7, 12, 100, 499.9999, 500, 500.0001, 1e6, 1e15, 1e300, -1e300,
    5e-324, 2**53, 2**63, 10**100, 0.1 + 0.2, True,
)  # fmt: skip
STRINGS = (
    "", " ", "0", "true", "null", "a" * 200, "a" * 201, "\x00", "\u202egnp.exe", "\U0001f525" * 50,
    "<script>alert(1)</script>", "=1+1", "../../x", "\u00e9", "e\u0301", "\uff05\uff15", "5 ft", "1e999 m", "5 parsec",
    "3/0 in", "5'6\"", "-5 ft", "nan", "inf m", "living", "utility", "door", "window", "natural_gas", "propane", "us",
    "si", "steel_sch40", "1/2",
)  # fmt: skip
OTHERS: tuple[Json, ...] = (
    None, [], {}, [[]], [None], {"ft": 1}, {"ft": 1, "in": 0.5}, {"value": 1, "unit": "m"}, [0, 0], [[0, 0]] * 3,
)  # fmt: skip
SHIFTS = (1e-9, 1e-6, 0.0004, 0.0016, 0.003, 0.02, 0.5, 1, 50)


@cache
def plans() -> tuple[tuple[str, str], ...]:
    """Name and text of every sample plan."""
    return tuple((p.stem, p.read_text("utf-8")) for p in sorted(PLANS.glob("*.json")))


def mutated(seed: int) -> tuple[str, Json]:
    """A sample plan with one to four changes, always the same for a seed; and how it is called."""
    chance = random.Random(seed)
    name, text = chance.choice(plans())
    document = json.loads(text)
    for name_of in ("solver_seconds", "alternatives"):
        document.get("preferences", {}).pop(name_of, None)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 4))):
        _change(document, chance)
    return f"{name} with changes {seed}", document


def _change(document: Json, chance: random.Random) -> None:
    places = list(_places(document, ()))
    if not places:
        return
    place = chance.choice(places)
    holder = _at(document, place[:-1])
    kind = chance.random()
    if kind < 0.12:
        del holder[place[-1]]
    elif kind < 0.22 and isinstance(holder, list):
        holder.insert(int(place[-1]), deepcopy(holder[int(place[-1])]))
    elif kind < 0.30:
        holder[place[-1]] = deepcopy(_at(document, chance.choice(places)))
    elif kind < 0.38 and isinstance(holder, list):
        chance.shuffle(holder)
    else:
        holder[place[-1]] = _other(holder[place[-1]], chance)


def _other(value: Json, chance: random.Random) -> Json:
    """Something of the same kind mostly: numbers are moved a little, or far."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float) and chance.random() < 0.7:
        if chance.random() < 0.6:
            return value + chance.choice((-1, 1)) * chance.choice(SHIFTS)
        return value * chance.choice((-1, 0, 0.5, 2, 10, 1000))
    if isinstance(value, str) and chance.random() < 0.5:
        return chance.choice(STRINGS)
    return deepcopy(chance.choice((*NUMBERS, *STRINGS, *OTHERS)))


def _places(value: Json, place: Place) -> Iterator[Place]:
    if place:
        yield place
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _places(item, (*place, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from _places(item, (*place, i))


def _at(value: Json, place: Place) -> Json:
    for step in place:
        value = value[step]
    return value


def askew(seed: int) -> tuple[str, Json]:
    """A sample plan of one heater with one or two corners of rooms pushed out of line; always the same for a seed."""
    chance, name, document, storey = _one_storey(seed)
    unit = 3.28 if document.get("units") == "us" else 1
    for _ in range(chance.choice((1, 1, 2))):
        corner = chance.choice(chance.choice(storey["rooms"])["outline"])
        i = chance.randrange(2)
        corner[i] += chance.choice((-1, 1)) * chance.choice((0.02, 0.1, 0.3, 0.6)) * unit
    return f"{name} askew {seed}", document


def to_the_corner(seed: int) -> tuple[str, Json]:
    """A sample plan of one heater with an opening that reaches corners; always the same for a seed."""
    chance, name, document, storey = _one_storey(seed)
    corners = [c for room in storey["rooms"] for c in room["outline"]]
    for opening in chance.sample(storey["openings"], min(1, len(storey["openings"]))):
        for end in ("from", "to"):
            x, y = opening[end]
            near = min(corners, key=lambda c: abs(c[0] - x) + abs(c[1] - y))
            opening[end] = [near[0] + chance.choice((0, 0, 0.01, -0.01)), near[1]]
    return f"{name} open to the corner {seed}", document


def _one_storey(seed: int) -> tuple[random.Random, str, Json, Json]:
    """A sample plan that asks for one design, and one of its storeys."""
    chance = random.Random(seed)
    name, text = chance.choice([p for p in plans() if not json.loads(p[1]).get("dwellings")])
    document = json.loads(text)
    for member in ("explain", "what_about"):
        document.pop(member, None)
    document.get("preferences", {}).pop("alternatives", None)
    return chance, name, document, chance.choice(document["storeys"])
