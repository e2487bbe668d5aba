"""Survey documents for the intake's tests: the smallest one, the sample, and a way to change one place."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.errors import Fault, InvalidRequest
from service.http.schemas import load_survey
from service.settings import Settings
from service.survey.model import Survey

SAMPLES = Path(__file__).parents[2] / "sample_plans"
Document = dict[str, Any]

OWN_HEATER: Document = {
    "id": "own", "name": "Own heater", "condensing": False, "category": "III", "draft": "direct",
    "fuels": ["natural_gas"], "input_min": 15000, "input_max": 150000, "efficiency": 0.82,
    "width": {"value": 14, "unit": "in"}, "height": {"value": 24, "unit": "in"}, "depth": {"value": 9, "unit": "in"},
    "clearances": {"left": 0.5, "right": 0.5, "top": 1, "bottom": 1, "front": 2},
    "ports": [{"service": s, "dx": 0.25, "on_top": s == "vent"} for s in ("vent", "gas", "cold", "hot", "power")],
    "vent": {
        "system": "cc_ss_3_5", "pipe_radius": {"value": 64, "unit": "mm"},
        "terminal_radius": {"value": 80, "unit": "mm"},
        "max_equivalent": 30, "elbow_equivalent": 5, "max_elbows": None, "first_elbow": 0.5, "fall": 0.02,
        "falls_to_heater": False,
    },
    "gas_inlet_min": 5.5, "gas_inlet_max": 10.5, "activation_flow": 0.5, "max_flow": 8,
    "pressure_loss": [[2, 1.5], [4, 6]], "electrical": 90, "cord_length": 6, "outdoor_listed": False,
    "vapour_ignition_resistant": False, "price_cents": 80000,
}  # fmt: skip


def sample() -> Document:
    """The slab house, a fresh copy."""
    document: Document = json.loads((SAMPLES / "slab_house.json").read_bytes())
    return document


def smallest() -> Document:
    """A survey with nothing but what is compulsory: one room of 6 m by 4 m."""
    return {
        "name": "one room",
        "units": "si",
        "storeys": [{"rooms": [{"outline": [[0, 0], [6, 0], [6, 4], [0, 4]]}], "openings": []}],
        "gas": {"delivery_node": "meter", "nodes": [{"id": "meter", "at": [0, 1, 0.5]}]},
        "water": {
            "cold": [{"points": [[1, 4, 0], [5, 4, 0]], "size": "3/4", "material": "copper"}],
            "hot": [{"points": [[1, 4, 2], [5, 4, 2]], "size": "3/4", "material": "copper"}],
        },
    }


def load(document: Document, settings: Settings | None = None) -> Survey:
    """Through the intake, with the default limits."""
    return load_survey(document, settings or Settings())


def changed(document: Document, change: Callable[[Document], Any]) -> Document:
    """A copy with one change made to it."""
    twin = copy.deepcopy(document)
    change(twin)
    return twin


def faults(document: Document) -> tuple[Fault, ...]:
    """The faults for which a document is refused."""
    with pytest.raises(InvalidRequest) as caught:
        load(document)
    return caught.value.faults


def places(document: Document) -> set[tuple[str, str]]:
    """Pointer and code of each fault."""
    return {(fault.pointer, fault.code) for fault in faults(document)}
