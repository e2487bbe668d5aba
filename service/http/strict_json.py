"""JSON as RFC 8259 has it, with the interoperable subset of RFC 7493 (I-JSON) enforced.

Refused, beside bad syntax: anything but UTF-8, a byte order mark, NaN and Infinity, numbers beyond a
double, duplicate keys, lone surrogates, nesting beyond a cap, and anything after the value.
"""

from __future__ import annotations

import json
import re
from typing import Never

from service.errors import MalformedJson

_STRING = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"?', re.DOTALL)
_BRACKET = re.compile(r"[\[{\]}]")
_SURROGATE_ESCAPE = re.compile(r"\\u[dD][89a-fA-F]")
_SURROGATE = re.compile("[\ud800-\udfff]")
_MAX_DIGITS = 400  # a double has at most 309 digits before the point; longer integers only cost time


def loads(body: bytes, depth: int) -> object:
    """Parse one JSON text.

    Raises:
        MalformedJson: the body is not strict JSON or nests deeper than ``depth``.
    """
    text = _decode(body)
    _check_depth(text, depth)
    try:
        value: object = _DECODER.decode(text)
    except json.JSONDecodeError as error:
        raise MalformedJson(f"{error.msg} at line {error.lineno}, column {error.colno}") from None
    if _SURROGATE_ESCAPE.search(text):
        _refuse_surrogates(value)
    return value


def _decode(body: bytes) -> str:
    try:
        text = body.decode("utf-8", errors="strict")
    except UnicodeDecodeError as error:
        raise MalformedJson(f"the body is not UTF-8 (byte {error.start})") from None
    if text.startswith("\ufeff"):
        raise MalformedJson("the body starts with a byte order mark")
    return text


def _check_depth(text: str, cap: int) -> None:
    """Count brackets outside strings, so that the recursive parser never sees a deep text."""
    level = 0
    for bracket in _BRACKET.findall(_STRING.sub("", text)):
        level += 1 if bracket in "[{" else -1
        if level > cap:
            raise MalformedJson(f"nested deeper than {cap} levels")


def _pairs(pairs: list[tuple[str, object]]) -> dict[str, object]:
    result: dict[str, object] = {}
    for key, value in pairs:
        if key in result:
            raise MalformedJson(f"the key {key[:80]!r} occurs twice in one object")
        result[key] = value
    return result


def _refuse_surrogates(value: object) -> None:
    if isinstance(value, str) and _SURROGATE.search(value):
        raise MalformedJson("a string holds half of a surrogate pair")
    if isinstance(value, list):
        for item in value:
            _refuse_surrogates(item)
    if isinstance(value, dict):
        for key, item in value.items():
            _refuse_surrogates(key)
            _refuse_surrogates(item)


def _number(text: str) -> float:
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise MalformedJson(f"the number {text[:40]} is beyond a double")
    return value


def _integer(text: str) -> int:
    if len(text) > _MAX_DIGITS:
        raise MalformedJson(f"an integer of {len(text)} digits")
    _number(text)
    return int(text)


def _constant(text: str) -> Never:
    raise MalformedJson(f"{text} is not a JSON number")


_DECODER = json.JSONDecoder(
    parse_float=_number, parse_int=_integer, parse_constant=_constant, object_pairs_hook=_pairs, strict=True
)
