"""Documents of fixtures and heaters for the tests of demand, in US units."""

from __future__ import annotations

from typing import Any

from service.http.schemas.demand_body import load_hot_water
from service.settings import Settings
from service.survey.hot_water_request import HotWaterRequest
from service.usecases.hot_water import hot_water_report
from service.usecases.hot_water_results import HotWaterReport

Document = dict[str, Any]


def one_bath(**members: Any) -> Document:
    """A shower, a lavatory and a kitchen sink, water at 50 degF; ``members`` replace or add."""
    return {
        "name": "one bath",
        "units": "us",
        "fixtures": [
            {"id": "shower", "kind": "shower", "flow": 2.0},
            {"id": "lavatory", "kind": "lavatory", "flow": 1.2},
            {"id": "sink", "kind": "kitchen_sink", "flow": 1.8},
        ],
        "inlet_temperature": 50,
        "heaters": ["nc-direct-120", "co-direct-199"],
        **members,
    }


def request(document: Document) -> HotWaterRequest:
    """Through the intake."""
    return load_hot_water(document, Settings())


def report(document: Document) -> HotWaterReport:
    """What is told of it."""
    return hot_water_report(request(document))
