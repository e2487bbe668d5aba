"""JSON Schemas of what the service takes, read off the marshmallow schemas that judge it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from marshmallow import Schema, fields, validate

from service.http.design_members import DesignSchema, PlanSpot, Reach, Spot, Told
from service.http.design_schema import WHOLE
from service.http.fields import Choice, Flag, Int, Known, Length, Measure, Number, Point, Text
from service.http.schemas.base import ListOf
from service.http.schemas.demand import HotWaterDemandSchema
from service.http.schemas.equipment import MAX_CENTS, HeaterEntry, HeaterSchema, LossPoint, PriceItems
from service.http.schemas.gas import GasSystemSchema
from service.http.schemas.survey import SurveySchema
from service.http.set_schema import DesignSetSchema
from service.http.spec_words import Json, obj, ref
from service.settings import Settings
from service.survey.model import UnitSystem
from service.units import Quantity, unit_name, units_of

_LIMITED_LISTS = {
    "storeys": "storeys",
    "rooms": "rooms",
    "openings": "openings",
    "keep_outs": "keep_outs",
    "heaters": "heaters",
    "nodes": "gas_nodes",
    "segments": "gas_segments",
    "pressure_options": "pressure_options",
    "outline": "outline_points",
    "what_about": "what_about",
    "dwellings": "dwellings",
}
_LENGTHS = (Quantity.LENGTH, Quantity.ALTITUDE)


class RequestSchemas:
    """Collects component schemas while it walks from the documents down."""

    def __init__(self, settings: Settings) -> None:
        """``settings`` give the limits that the schemas state."""
        self._settings = settings
        self.components: Json = {}
        self._owners: dict[str, type[Schema]] = {}

    def collect(self) -> Json:
        """Every component that a request may hold, by name."""
        self.component(SurveySchema)
        self.component(DesignSchema)
        self.component(GasSystemSchema)
        self.components["GasSizingRequest"] = {
            "description": "A gas system alone, or a whole survey, of which the gas system is taken.",
            "oneOf": [ref("GasSystemRequest"), ref("SurveyRequest")],
        }
        self.component(HotWaterDemandSchema)
        self.components["HotWaterRequest"] = {
            "description": "Fixtures and heaters, or a whole survey, of which fixtures and heaters are taken.",
            "oneOf": [ref("HotWaterDemandRequest"), ref("SurveyRequest")],
        }
        self.component(DesignSetSchema)
        of_set = self.components["OfDwellingRequest"]
        of_set["properties"] |= self.components["DesignRequest"]["properties"]
        of_set["required"] = ["dwelling", *sorted({"heater", *WHOLE})]
        members = {"survey": ref("SurveyRequest"), "design": ref("DesignRequest")}
        of_all = {"survey": ref("SurveyRequest"), "dwellings": ref("DesignSetRequest")}
        either = obj("A survey and a design of it.", members), obj("A survey with dwellings and a set of them.", of_all)
        self.components["CheckRequest"] = {
            "description": "A survey and a design of it, or designs of all its dwellings.",
            "oneOf": [{**members, "additionalProperties": False} for members in either],
        }
        return dict(sorted(self.components.items()))

    def component(self, schema: type[Schema]) -> Json:
        """Reference to the component of a schema, made at first need; ValueError for two schemas of one name."""
        name = schema.__name__.removesuffix("Schema") + "Request"
        if name not in self.components:
            self._owners[name] = schema
            self.components[name] = {}
            self.components[name] = self._object(schema)
        if self._owners[name] is not schema:
            raise ValueError(f"two schemas are called {schema.__name__}")
        return ref(name)

    def _object(self, schema: type[Schema]) -> Json:
        declared: dict[str, Any] = schema._declared_fields
        result: Json = {
            "type": "object",
            "properties": {name: self._field(name, field) for name, field in declared.items()},
            "additionalProperties": False,
        }
        if schema.__doc__ and not schema.__doc__.startswith("Object whose"):
            result = {"description": schema.__doc__.strip(), **result}
        if required := [name for name, field in declared.items() if field.required]:
            result["required"] = required
        return result

    def _field(self, name: str, field: fields.Field[Any]) -> Json:
        described = self._kind(name, field)
        if not field.allow_none or isinstance(field, Told):
            return described
        return {"oneOf": [described, {"type": "null"}]}

    def _kind(self, name: str, field: fields.Field[Any]) -> Json:
        """Schema of a field by the first class in its line of ancestors that is known here."""
        describers: dict[type, Callable[[Any], Json]] = {
            Told: lambda _: {"description": "as the answer tells it; may be left out"},
            Spot: lambda _: self._tuple(Quantity.LENGTH, 3),
            PlanSpot: lambda _: self._tuple(Quantity.LENGTH, 2),
            Reach: lambda _: self._quantity(Quantity.LENGTH),
            Length: lambda f: self._quantity(f.quantity),
            Measure: lambda f: self._quantity(f.quantity),
            Point: lambda f: self._tuple(Quantity.LENGTH, f.dimensions),
            Known: lambda f: {"type": "string", "enum": list(f.names())},
            Text: lambda _: {"type": "string", "minLength": 1, "maxLength": self._settings.string_length},
            Choice: lambda f: {"type": "string", "enum": list(f.choices)},
            Flag: lambda _: {"type": "boolean"},
            Int: lambda f: {"type": "integer", **self._range(name, f)},
            Number: lambda f: {"type": "number", **self._range(name, f)},
            LossPoint: lambda _: self._loss_point(),
            HeaterEntry: lambda _: {"oneOf": [{"type": "string"}, self.component(HeaterSchema)]},
            PriceItems: lambda _: self._price_items(),
            fields.Nested: lambda f: self.component(type(f.schema)),
            ListOf: lambda f: self._list(name, f),
        }
        return next(describers[kind](field) for kind in type(field).__mro__ if kind in describers)

    def _range(self, name: str, field: Number) -> Json:
        top = field.high
        if name in ("alternatives", "solver_seconds"):
            top = min(top, getattr(self._settings, name))
        open_below = any(isinstance(v, validate.Range) and not v.min_inclusive for v in field.validators)
        return {"exclusiveMinimum" if open_below else "minimum": field.low, "maximum": top}

    def _list(self, name: str, field: ListOf) -> Json:
        most = getattr(self._settings, _LIMITED_LISTS.get(name, "list_items"))
        exact = next((v.equal for v in field.validators if isinstance(v, validate.Length) and v.equal), None)
        least = {"minItems": exact or 1} if field.validators else {}
        return {"type": "array", "items": self._field("", field.inner), **least, "maxItems": exact or most}

    def _tuple(self, quantity: Quantity, count: int) -> Json:
        return {"type": "array", "items": self._quantity(quantity), "minItems": count, "maxItems": count}

    def _loss_point(self) -> Json:
        parts = [self._quantity(Quantity.FLOW), self._quantity(Quantity.WATER_PRESSURE)]
        return {"type": "array", "prefixItems": parts, "minItems": 2, "maxItems": 2}

    def _price_items(self) -> Json:
        cents = {"type": "integer", "minimum": 0, "maximum": MAX_CENTS}
        return {"type": "object", "additionalProperties": cents, "maxProperties": self._settings.price_items}

    def _quantity(self, quantity: Quantity) -> Json:
        name = "".join(part.capitalize() for part in quantity.value.split("_")) + "Value"
        if name not in self.components:
            self.components[name] = _quantity_schema(quantity)
        return ref(name)


def _quantity_schema(quantity: Quantity) -> Json:
    us, si = (unit_name(quantity, system) for system in (UnitSystem.US, UnitSystem.SI))
    unit = {"type": "string", "enum": list(units_of(quantity))}
    with_unit = {**obj("", {"value": {"type": "number"}, "unit": unit}), "additionalProperties": False}
    forms: list[Json] = [{"type": "number"}, with_unit]
    if quantity in _LENGTHS:
        inches = {"type": "number", "minimum": 0, "exclusiveMaximum": 12}
        forms.append({**obj("", {"ft": {"type": "number"}, "in": inches}), "additionalProperties": False})
    for form in forms:
        form.pop("description", None)
    return {"description": f"bare number in {us} (us) or {si} (si), or with its unit", "oneOf": forms}
