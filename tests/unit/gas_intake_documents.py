"""Gas documents of the intake tests: a gas system alone, and changes of a house's gas. All of it is made up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Document = dict[str, Any]
EVERY_NEW_FIELD: Document = {
    "method": "pressure_by_equation", "fittings": "code_allowance", "diversity": 0.8, "meter_class": "250",
    "service_regulator_capacity": 275_000, "branch_materials": ["csst", "steel_sch40"],
    "regulators": [{"node": "tee-utility", "outlet_pressure": 4, "capacity": 90_000, "loss": 1}],
    "pressure_options": [
        {"id": "2 psi", "pressure": {"value": 2, "unit": "psi"}, "allowable_drop": {"value": 1, "unit": "psi"},
         "regulated_pressure": 8, "regulated_drop": 0.5},
        {"pressure": 14, "allowable_drop": 6},
    ],
}  # fmt: skip


def system(**gas: Any) -> Document:
    """Meter, tee and two branches by names alone, in US units; all of it is made up."""
    pipe = {"material": "steel_sch40", "size": "3/4"}
    return {
        "name": "two branches",
        "units": "us",
        "gas": {
            "delivery_node": "meter",
            "meter_capacity": 400_000,
            "segments": [
                {"id": "trunk", "start": "meter", "end": "tee", "length": 20, **pipe},
                {"id": "to-range", "start": "tee", "end": "range", "length": 30, **pipe},
                {"id": "to-heater", "start": "tee", "end": "wall", "material": "steel_sch40", "length": 12},
            ],
            "appliances": [{"id": "range", "kind": "range", "node": "range"}],
            **gas,
        },
        "heater": {"input": 199_000, "inlet_min": 5.5, "inlet_max": 10.5, "node": "wall"},
    }


def segments(**first: Any) -> Callable[[Document], Any]:
    """A change of the first gas segment."""
    return lambda d: d["gas"]["segments"][0].update(first)
