"""A gas system as a caller writes it; invented."""

from __future__ import annotations

from typing import Any


def gas_system() -> dict[str, Any]:
    """3/4 in to a tee, a furnace, a range, and a new run of tubing to where a heater is to hang."""
    steel = "steel_sch40"
    return {
        "name": "terrace house",
        "units": "us",
        "fuel": "natural_gas",
        "heating_value": 1000,
        "gas": {
            "delivery_node": "meter",
            "pressure": 7,
            "meter_class": "250",
            "allowable_drop": 0.5,
            "segments": [
                {"id": "main", "start": "meter", "end": "tee", "material": steel, "size": "3/4", "length": 12,
                 "elbows": 2, "tees": 0},
                {"id": "back", "start": "tee", "end": "furnace", "material": steel, "size": "3/4", "length": 20},
                {"id": "kitchen", "start": "tee", "end": "range", "material": steel, "size": "1/2", "length": 25},
                {"id": "new", "start": "tee", "end": "spot", "material": "csst", "length": 15},
            ],
            "appliances": [
                {"id": "furnace", "kind": "furnace", "input": 100_000, "node": "furnace"},
                {"id": "range", "kind": "range", "node": "range"},
            ],
        },
        "heater": {"input": 199_000, "node": "spot", "inlet_min": 5.5, "inlet_max": 10.5},
        "prices": {"book": "demo"},
    }  # fmt: skip
