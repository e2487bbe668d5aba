"""The JSON reader against RFC 8259 and the interoperable subset of RFC 7493 (both by memory)."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import MalformedJson
from service.http.strict_json import loads

REFUSED = {
    "empty body": b"",
    "NaN": b"[NaN]",
    "Infinity": b"[Infinity]",
    "minus Infinity": b"[-Infinity]",
    "number beyond a double": b"[1e999]",
    "integer beyond a double": b"[1" + b"0" * 310 + b"]",
    "integer of ten thousand digits": b"[" + b"9" * 10_000 + b"]",
    "minus integer of ten thousand digits": b"[-" + b"9" * 10_000 + b"]",
    "duplicate key": b'{"a": 1, "a": 1}',
    "duplicate key by escape": b'{"a": 1, "\\u0061": 2}',
    "byte order mark": b"\xef\xbb\xbf{}",
    "UTF-16": '{"a": 1}'.encode("utf-16"),
    "bad UTF-8": b'["\xff"]',
    "overlong UTF-8": b'["\xc0\xaf"]',
    "surrogate in UTF-8": b'["\xed\xa0\x80"]',
    "lone high surrogate": b'["\\ud800"]',
    "lone low surrogate": b'["\\uDC00"]',
    "lone surrogate in a key": b'{"\\ud800": 1}',
    "lone surrogate deep down": b'{"a": [{"b": "\\udfff"}]}',
    "trailing junk": b"{} x",
    "two texts": b"{}{}",
    "trailing comma": b"[1,]",
    "single quotes": b"{'a': 1}",
    "comment": b"[1] // one",
    "control character in a string": b'["\x01"]',
    "leading zero": b"[01]",
    "plus sign": b"[+1]",
    "unclosed": b'{"a": [1',
    "unclosed string": b'["abc',
    "backslash at the end": b'["abc\\',
    "nested a hundred thousand deep": b"[" * 100_000,
    "nested objects": b'{"a":' * 50_000,
    "one level too deep": b"[" * 33 + b"]" * 33,
}


@pytest.mark.parametrize("name", list(REFUSED))
def test_refused(name: str) -> None:
    """What is not strict JSON raises MalformedJson and nothing else."""
    with pytest.raises(MalformedJson) as caught:
        loads(REFUSED[name], 32)
    assert caught.value.detail


def test_accepted() -> None:
    """Plain JSON, brackets inside strings, a proper surrogate pair and the full depth pass."""
    assert loads(b' {"a": [1, 2.5, true, null, "\xc3\xa9"]}\n', 32) == {"a": [1, 2.5, True, None, "\u00e9"]}
    assert loads(b'["' + b"[" * 500 + b'\\"[[["]', 32) == ["[" * 500 + '"[[[']
    assert loads(b'["\\ud83d\\ude00"]', 32) == ["\U0001f600"]
    loads(b"[" * 32 + b"]" * 32, 32)


def test_whole_numbers_stay_whole() -> None:
    """Integers are not turned into floats, up to the largest double."""
    assert loads(b"[9007199254740993]", 32) == [9007199254740993]


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**30), 10**30)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8"), max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


@given(JSON, st.booleans())
def test_agrees_with_the_standard_library_on_what_it_writes(value: Any, escaped: bool) -> None:
    """Every strict text that another writer makes is read as that writer meant it."""
    try:
        body = json.dumps(value, ensure_ascii=escaped, allow_nan=False).encode("utf-8")
    except UnicodeEncodeError:
        return
    try:
        assert loads(body, 64) == value
    except MalformedJson as error:
        assert "surrogate" in error.detail


@given(st.binary(max_size=60))
def test_any_bytes_give_a_value_or_malformed_json(body: bytes) -> None:
    """No other exception leaves the reader."""
    try:
        loads(body, 8)
    except MalformedJson:
        return
