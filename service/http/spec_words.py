"""The few JSON Schema phrases that the API's description is written in."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

Json = dict[str, Any]


def obj(description: str, members: Json) -> Json:
    """Object whose members are all always present."""
    return {"type": "object", "description": description, "properties": members, "required": list(members)}


def array(items: Json, description: str = "") -> Json:
    """Array of one kind of item."""
    return {"type": "array", "items": items, **({"description": description} if description else {})}


def ref(name: str) -> Json:
    """Reference to a component schema."""
    return {"$ref": f"#/components/schemas/{name}"}


def text(description: str) -> Json:
    """String."""
    return {"type": "string", "description": description}


def flag(description: str) -> Json:
    """Yes or no."""
    return {"type": "boolean", "description": description}


def number(description: str) -> Json:
    """Finite number."""
    return {"type": "number", "description": description}


def integer(description: str) -> Json:
    """Whole number."""
    return {"type": "integer", "minimum": 0, "description": description}


def nullable(schema: Json) -> Json:
    """The same, or null."""
    return {**schema, "type": [schema["type"], "null"]}


def choice(values: type[StrEnum], description: str) -> Json:
    """One word of a closed set."""
    return {"type": "string", "enum": [v.value for v in values], "description": description}


def length(description: str) -> Json:
    """Length in the answer's unit."""
    return number(f"{description} [units.length]")


def money(description: str) -> Json:
    """Money in the price book's currency."""
    return number(f"{description} [units.money]")


NETWORK_ONLY = flag(
    "a limit on a run may decide: proven on the network of positions alone; what `scope` says of the house holds too"
)
PLAN_POINT: Json = {
    "type": "array",
    "description": "[x, y] in the survey's axes [units.length]",
    "items": {"type": "number"},
    "minItems": 2,
    "maxItems": 2,
}
POINT: Json = {
    "type": "array",
    "description": "[x, y, z] in the survey's axes and datum [units.length]",
    "items": {"type": "number"},
    "minItems": 3,
    "maxItems": 3,
}
SENTENCES = array({"type": "string"})
