"""What all schemas share: unknown fields refused, and marshmallow's messages turned into faults."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from marshmallow import RAISE, Schema, fields, validate

from service.errors import Fault
from service.http.fields import MISSING, Length, Point, Text


class Strict(Schema):
    """Object whose every field is known."""

    error_messages = {
        "unknown": "unknown_field: this field is unknown",
        "type": "wrong_type: an object is expected",
    }

    class Meta:
        """marshmallow's options."""

        unknown = RAISE


class ListOf(fields.List[Any]):
    """List that says so in our words."""

    default_error_messages = {**MISSING, "invalid": "wrong_type: a list is expected"}


def many(schema: type[Schema], **kwargs: Any) -> ListOf:
    """Field for a list of objects."""
    return ListOf(one(schema), **kwargs)


AT_LEAST_ONE = validate.Length(min=1, error="too_few: at least one is needed")


def some(schema: type[Schema], **kwargs: Any) -> ListOf:
    """Field for a list of at least one object."""
    return many(schema, validate=AT_LEAST_ONE, **kwargs)


def one(schema: type[Schema], **kwargs: Any) -> fields.Nested:
    """Field for one object."""
    return fields.Nested(schema, error_messages={**MISSING, "type": "wrong_type: an object is expected"}, **kwargs)


def point2(**kwargs: Any) -> Point:
    """Field for a plan point."""
    return Point(2, **kwargs)


def point3(**kwargs: Any) -> Point:
    """Field for a point in space."""
    return Point(3, **kwargs)


def ring(**kwargs: Any) -> ListOf:
    """Field for a ring of plan points."""
    return ListOf(point2(), **kwargs)


def identifier(**kwargs: Any) -> Text:
    """Field for an id."""
    return Text(**kwargs)


def extent(**kwargs: Any) -> Length:
    """Field for a length that must be more than nothing."""
    return Length(low_mm=1, **kwargs)


def faults_of(messages: object) -> tuple[Fault, ...]:
    """marshmallow's nested messages -> faults in the order of their places."""
    found = sorted(_walk(messages, ()), key=lambda item: [_order(part) for part in item[0]])
    return tuple(Fault(pointer(*path), *_code_and_detail(text)) for path, text in found)


def pointer(*path: str | int) -> str:
    """JSON Pointer (RFC 6901) as a URI fragment's text."""
    return "#" + "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def _walk(messages: object, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if isinstance(messages, dict):
        for key, value in messages.items():
            yield from _walk(value, path if key == "_schema" else (*path, key))
    elif isinstance(messages, list):
        for value in messages:
            yield from _walk(value, path)
    else:
        yield path, str(messages)


def _order(part: str | int) -> tuple[int, int, str]:
    return (0, part, "") if isinstance(part, int) else (1, 0, part)


def _code_and_detail(text: str) -> tuple[str, str]:
    code, _, detail = text.partition(": ")
    return code, detail
