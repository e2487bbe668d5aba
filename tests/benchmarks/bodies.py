"""What callers ask in the load test: every operation, good and bad bodies, small and typical houses."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tests.benchmarks.typical_house import document

PLANS = Path(__file__).parents[2] / "sample_plans"
SMALL = ("slab_house", "row_house_narrow", "top_floor_flat", "ranch_crawl_space", "lake_cabin")
TIMEOUT_S = 90.0
CUT_OFF = "ended by its limit"
"""What a warning says where time was up before the search was complete."""
SURFACES = "facades", "walls", "roofs"
"""What a map of clearances is told by; one that time cut off holds the first of each."""
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Ask:
    """A request and what an idle server answers to it."""

    name: str
    path: str
    body: bytes
    status: int = 0
    expected: Json | None = None

    def sent(self, address: str, under_way: set[HTTPConnection] | None = None) -> tuple[int, Json]:
        """Status and document that come back over a connection of its own; OSError or HTTPException if none does.

        The connection is in ``under_way`` meanwhile, so that others may close it.
        """
        connection, known = (
            HTTPConnection(urlsplit(address).netloc, timeout=TIMEOUT_S),
            set() if under_way is None else under_way,
        )
        known.add(connection)
        try:
            headers = {"Content-Type": "application/json", "Connection": "close"}
            connection.request("POST", self.path, self.body, headers)
            response = connection.getresponse()
            return response.status, json.loads(response.read())
        finally:
            known.discard(connection)
            connection.close()

    def answered(self, address: str) -> Ask:
        """With the answer of a server that does nothing else."""
        status, expected = self.sent(address)
        return replace(self, status=status, expected=expected)


def mixed(houses: int) -> list[Ask]:
    """Sample plans, so many typical houses, checks, maps, gas, hot water, and bodies that are refused."""
    plans = {name: json.loads((PLANS / f"{name}.json").read_text("utf-8")) for name in SMALL}
    typical = {f"typical house {seed}": document(seed) for seed in range(houses)}
    asks = [_ask("placements", name, plan) for name, plan in {**plans, **typical}.items()]
    for name, plan in plans.items():
        asks += [_ask(operation, name, plan) for operation in ("clearances", "gas-sizings", "hot-water-demands")]
        asks.append(_ask("checks", name, {"survey": plan, "design": {"heater": {"id": "nc-direct-120"}}}))
        asks.append(_ask("placements", f"{name} without gas", {k: v for k, v in plan.items() if k != "gas"}))
    return [*asks, Ask("half a body", "/v1/placements", b'{"name": "half'), _ask("placements", "a list", [1, 2])]


def same(ask: Ask, status: int, document: Json) -> bool:
    """Whether an answer is the idle server's, or fits it where time cut the search off."""
    if (status, document) == (ask.status, ask.expected):
        return True
    expected = ask.expected or {}
    if (status, ask.status) == (200, 200) and document.get("complete") is False:
        return all(document[part] == expected[part][: len(document[part])] for part in SURFACES)
    if (status, ask.status) != (200, 200) or not any(CUT_OFF in w for w in document.get("warnings", ())):
        return False
    return _fits(document, expected) if expected.get("status") == "optimal" else False


def _fits(document: Json, expected: Json) -> bool:
    """Fewer alternatives, or, where not even the first was proven, the proven cost between bound and cost."""
    costs = [[d["cost"] for d in answer["designs"]] for answer in (document, expected)]
    if document["status"] == "optimal":
        return costs[0] == costs[1][: len(costs[0])]
    bound, cost, proven = document["bound"], document["cost"], expected["cost"]
    return (bound is None or bound <= proven) and (cost is None or cost >= proven)


def _ask(operation: str, name: str, body: object) -> Ask:
    return Ask(f"{operation}, {name}", f"/v1/{operation}", json.dumps(body).encode())
