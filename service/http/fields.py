"""Our own marshmallow fields: JSON numbers only, finite, bounded, in the caller's units.

Messages are ``code: sentence``; ``faults_of`` in ``service.http.schemas.base`` takes them apart again.
A field that converts needs to know how the caller speaks: ``reading`` says so for the time of one load.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from math import isfinite
from typing import Any, TypeVar

from marshmallow import ValidationError, fields

from service.errors import LimitExceeded
from service.settings import Settings
from service.survey.model import UnitSystem
from service.units import Quantity, to_si, told, unit_name, units_of

MISSING: dict[str, str | list[Any] | dict[Any, Any]] = {
    "required": "missing: this field is compulsory",
    "null": "wrong_type: null is not taken here",
}
E = TypeVar("E", bound=StrEnum)
T = TypeVar("T")
_CONTROL = re.compile("[\\x00-\\x1f\\x7f-\\x9f]")

_READING: ContextVar[tuple[UnitSystem, Settings]] = ContextVar("reading")


@contextmanager
def reading(system: UnitSystem, settings: Settings) -> Iterator[None]:
    """Take bare numbers in ``system`` and hold coordinates to the limits, inside the block."""
    token = _READING.set((system, settings))
    try:
        yield
    finally:
        _READING.reset(token)


def json_number(value: object) -> float:
    """A finite JSON number; the integer or float as it came.

    Raises:
        ValidationError: it is a string, a boolean, anything else, or not finite.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValidationError("wrong_type: a number is expected")
    if not _finite(value):
        raise ValidationError("out_of_range: the number is not finite")
    return value


def _finite(value: float) -> bool:
    try:
        return isfinite(value)
    except OverflowError:
        return False


class Plain(fields.Field[T]):
    """A field that says what is missing in our words, and validates where there is something to validate by."""

    default_error_messages = MISSING

    def _validate(self, value: Any) -> None:
        if self.validators:
            super()._validate(value)


class Text(Plain[str]):
    """String of at least one visible character and no control characters; its length is a limit."""

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError("wrong_type: a string is expected")
        if not value.strip():
            raise ValidationError("empty: the string is empty")
        if _CONTROL.search(value):
            raise ValidationError("control_character: the string holds a control character")
        return value


class Known(Text):
    """One of the names that the service has something under."""

    def __init__(self, what: str, names: Callable[[], Iterable[str]], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.what, self.names = what, names

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        text = super()._deserialize(value, attr, data, **kwargs)
        if text not in (known := tuple(self.names())):
            raise ValidationError(f"unknown_{self.what}: one of {', '.join(known)} is expected")
        return text


class Choice(Plain[E]):
    """One of the values of an enumeration."""

    def __init__(self, kind: type[E], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.choices = {str(member): member for member in kind}

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> E:
        if not isinstance(value, str) or value not in self.choices:
            raise ValidationError(f"not_a_choice: one of {', '.join(self.choices)} is expected")
        return self.choices[value]


class Flag(Plain[bool]):
    """true or false, nothing that only looks like it."""

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise ValidationError("wrong_type: true or false is expected")
        return value


class Number(Plain[float]):
    """Finite JSON number between two bounds, without a unit."""

    def __init__(self, low: float, high: float, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.low, self.high = low, high

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        number = json_number(value)
        if not self.low <= number <= self.high:
            raise ValidationError(f"out_of_range: between {self.low:g} and {self.high:g} is expected")
        return float(number)


class Int(Number):
    """Whole number between two bounds; 3.0 is whole, 3.7 is refused."""

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> int:
        number = super()._deserialize(value, attr, data, **kwargs)
        if number != int(number):
            raise ValidationError("wrong_type: a whole number is expected")
        return int(number)


class Measure(Plain[float]):
    """Quantity with a unit, as SI float within bounds given in SI."""

    def __init__(self, quantity: Quantity, low: float, high: float, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.quantity, self.low, self.high = quantity, low, high

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        si = measured(self.quantity, value)
        if not self.low <= si <= self.high:
            system, _ = _READING.get()
            low, high = (told(self.quantity, bound, system) for bound in (self.low, self.high))
            raise ValidationError(f"out_of_range: between {low} and {high} is expected")
        return si


class Length(Plain[int]):
    """Length or height in whole millimetres, at least ``low_mm``.

    Raises LimitExceeded beyond the coordinate bound.
    """

    quantity = Quantity.LENGTH

    def __init__(self, low_mm: int | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.low_mm = low_mm

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> int:
        length_mm = whole_mm(value)
        if self.low_mm is not None and length_mm < self.low_mm:
            raise ValidationError(f"out_of_range: at least {self.low_mm} mm is expected")
        return length_mm


class Point(Plain[tuple[int, ...]]):
    """``[x, y]`` or ``[x, y, z]`` in whole millimetres."""

    def __init__(self, dimensions: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.dimensions = dimensions

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> tuple[int, ...]:
        if not isinstance(value, list) or len(value) != self.dimensions:
            raise ValidationError(f"wrong_type: a list of {self.dimensions} coordinates is expected")
        faults: dict[int, Any] = {}
        point: list[int] = []
        for i, coordinate in enumerate(value):
            try:
                point.append(whole_mm(coordinate))
            except ValidationError as error:
                faults[i] = error.messages
        if faults:
            raise ValidationError(faults)
        return tuple(point)


def whole_mm(value: object) -> int:
    """A length in any number form -> whole millimetres.

    Raises:
        ValidationError: it is no length.
        LimitExceeded: it is beyond the coordinate bound.
    """
    length_m = measured(Quantity.LENGTH, value)
    bound_m = _READING.get()[1].coordinate_bound_m
    if abs(length_m) > bound_m:
        raise LimitExceeded("coordinate_bound_m", abs(length_m), bound_m)
    # Rounded twice so that a half millimetre goes the same way whatever unit it was written in.
    return round(round(length_m * 1000, 6))


def measured(quantity: Quantity, value: object) -> float:
    """A quantity in any of its number forms -> SI.

    Raises:
        ValidationError: it is not a number, ``{"value", "unit"}`` or, for lengths, ``{"ft", "in"}``.
    """
    if not isinstance(value, dict):
        system, _ = _READING.get()
        return _finite_si(quantity, json_number(value), unit_name(quantity, system))
    if quantity in (Quantity.LENGTH, Quantity.ALTITUDE) and set(value) == {"ft", "in"}:
        return _feet_and_inches(json_number(value["ft"]), json_number(value["in"]))
    if set(value) != {"value", "unit"}:
        raise ValidationError('wrong_type: a number, {"value", "unit"} or, for a length, {"ft", "in"} is expected')
    if not isinstance(value["unit"], str) or value["unit"] not in units_of(quantity):
        raise ValidationError(f"unknown_unit: one of {', '.join(units_of(quantity))} is expected")
    return _finite_si(quantity, json_number(value["value"]), value["unit"])


def _feet_and_inches(feet: float, inches: float) -> float:
    """Feet and inches -> metres; -1 ft 6 in is one and a half feet down."""
    if not 0 <= inches < 12:
        raise ValidationError("out_of_range: inches beside feet are 0 or more and below 12")
    sign = -1 if feet < 0 else 1
    return _finite_si(Quantity.LENGTH, sign * (abs(feet) * 12 + inches), "in")


def _finite_si(quantity: Quantity, value: float, unit: str) -> float:
    si = to_si(quantity, float(value), unit)
    if not isfinite(si):
        raise ValidationError("out_of_range: the number is not finite")
    return si
