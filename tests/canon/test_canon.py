"""What holds for the canonical form: one byte form for a value, and a reader that takes nothing else."""

from __future__ import annotations

import hashlib
import json
from decimal import Decimal
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.canon import MAX_INT, CanonError, dumps, loads, loads_canonical, sha256_hex
from ferrule.engine.findings import FerruleError

KEYS = st.text(st.characters(max_codepoint=127), max_size=8)
LEAVES = st.none() | st.booleans() | st.integers(-MAX_INT, MAX_INT) | st.text(max_size=12)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)

VECTORS: list[tuple[str, Any, bytes]] = [
    (
        "RFC 8785 section 3.2.2, the text of its example (from memory)",
        "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"\u002f",
        b'"\xe2\x82\xac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"',
    ),
    ("RFC 8785 section 3.2.2, its literals (from memory)", [None, True, False], b"[null,true,false]"),
    (
        "the RFC's companion test data, arrays",
        [56, {"d": True, "10": None, "1": []}],
        b'[56,{"1":[],"10":null,"d":true}]',
    ),
    ("RFC 8785 appendix B, zero (from memory)", 0, b"0"),
    ("RFC 8785 section 3.2.2.2, short escapes (from memory)", "\b\t\n\f\r", b'"\\b\\t\\n\\f\\r"'),
    ("RFC 8785 section 3.2.2.2, DEL stays as it is (from memory)", "\x7f", b'"\x7f"'),
]


@pytest.mark.parametrize(("source", "value", "expect"), VECTORS, ids=[row[0] for row in VECTORS])
def test_published_vectors_come_out_byte_for_byte(source: str, value: Any, expect: bytes) -> None:
    """The published examples that stay inside our restriction hold. Shows: RI-02"""
    assert source
    assert dumps(value) == expect
    assert loads(expect) == value


@settings(max_examples=150, derandomize=True)
@given(VALUES)
def test_an_independent_implementation_writes_the_same_bytes(value: Any) -> None:
    """Another package's canonical form is ours, and reading gives the value back. Shows: RI-02"""
    data = dumps(value)

    assert data == rfc8785.dumps(value)
    assert loads(data) == value
    assert loads_canonical(data) == value


@settings(max_examples=60, derandomize=True)
@given(VALUES, st.sampled_from([None, 2]))
def test_one_value_has_one_form(value: Any, indent: int | None) -> None:
    """However the JSON was laid out, its canonical bytes are the same. Shows: RI-02"""
    other = json.dumps(value, indent=indent).encode()

    assert dumps(loads(other)) == dumps(value)
    if other != dumps(value):
        with pytest.raises(CanonError, match="canonical"):
            loads_canonical(other)


HOSTILE: dict[str, bytes] = {
    "key twice": b'{"a":1,"a":2}',
    "key twice, spelled by escape": b'{"a":1,"\\u0061":1}',
    "key twice, deep": b'[{"b":{"a":1,"a":1}}]',
    "NaN": b"[NaN]",
    "Infinity": b"Infinity",
    "minus Infinity": b"-Infinity",
    "float": b"1.0",
    "exponent": b"1e3",
    "huge exponent": b"1e999",
    "minus zero": b"-0",
    "integer over 2**53-1": b"9007199254740992",
    "integer under": b"-9007199254740992",
    "integer of 5000 digits": b"1" * 5000,
    "leading zero": b"01",
    "Latin-1": b'"\xe9"',
    "overlong UTF-8": b'"\xc0\xaf"',
    "surrogate as UTF-8": b'"\xed\xa0\x80"',
    "surrogate by escape": b'"\\ud800"',
    "surrogate by escape in a key": b'{"\\udfff":1}',
    "key not ASCII": '{"é":1}'.encode(),
    "byte order mark": b"\xef\xbb\xbf1",
    "UTF-16": "1".encode("utf-16"),
    "raw control character": b'"\x01"',
    "raw line feed in text": b'"\n"',
    "trailing comma": b"[1,]",
    "two values": b"1 2",
    "comment": b"1 // one",
    "single quotes": b"'a'",
    "empty": b"",
    "cut": b'{"a":',
    "65 deep": b"[" * 65 + b"]" * 65,
    "65 deep with members": b'{"a":' * 65 + b"1" + b"}" * 65,
    "100000 deep": b"[" * 100_000,
}


@pytest.mark.parametrize("data", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_bytes_are_refused_with_our_error(data: bytes) -> None:
    """Repeated keys, NaN, non-UTF-8 and their kin never become a value. Shows: RI-02"""
    with pytest.raises(CanonError) as caught:
        loads(data)
    assert str(caught.value).endswith(".")
    assert isinstance(caught.value, FerruleError)


def test_64_levels_are_read_and_written() -> None:
    """The bound on depth is the bound, not one less."""
    data = b"[" * 64 + b"]" * 64

    assert dumps(loads(data)) == data


UNWRITABLE: dict[str, Any] = {
    "float": 0.3,
    "float nan": float("nan"),
    "decimal": Decimal("0.30"),
    "bytes": b"a",
    "set": {1},
    "key not text": {1: 2},
    "key not ASCII": {"Ω": 1},
    "surrogate": "\ud800",
    "integer too large": MAX_INT + 1,
    "integer too small": -MAX_INT - 1,
    "hidden deep": [{"a": [1, (2, 0.5)]}],
}


@pytest.mark.parametrize("value", UNWRITABLE.values(), ids=UNWRITABLE.keys())
def test_a_value_without_canonical_form_is_refused(value: Any) -> None:
    """No float or Decimal slips into a record, however deep it sits. Shows: RI-03"""
    with pytest.raises(CanonError):
        dumps(value)


def test_65_levels_are_not_written() -> None:
    """What could not be read again is not written either."""
    value: list[Any] = []
    for _ in range(64):
        value = [value]

    with pytest.raises(CanonError, match="more than 64 levels"):
        dumps(value)


def test_a_list_that_holds_itself_is_refused() -> None:
    """An endless value ends in our error, not in a crash."""
    ring: list[Any] = []
    ring.append(ring)

    with pytest.raises(CanonError, match="levels deep"):
        dumps(ring)


def test_the_error_says_where() -> None:
    """The path to the wrong member stands in the message."""
    with pytest.raises(CanonError, match=r"At \$\.rows\[\]\.value there is a float"):
        dumps({"rows": [{"value": 0.5}]})


def test_a_decimal_kept_as_text_comes_back_with_its_zeros() -> None:
    """ "0.30" is still "0.30" after writing and reading. Shows: RI-03"""
    assert loads(dumps({"value": "0.30"})) == {"value": "0.30"}


def test_the_hash_is_sha_256_in_lower_case_hex() -> None:
    """The digest of "abc" is the published one (FIPS 180-4 example, from memory)."""
    assert sha256_hex(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sha256_hex(b"") == hashlib.sha256().hexdigest()


@settings(max_examples=150, derandomize=True)
@given(st.binary(max_size=40) | st.text('[]{}",:\\u0123456789-+.eE tfnN', max_size=30).map(str.encode))
def test_any_bytes_give_a_value_or_our_error(data: bytes) -> None:
    """Reading never fails in another way, and what it reads can be written again."""
    try:
        value = loads(data)
    except CanonError:
        return
    assert loads(dumps(value)) == value


def test_a_flipped_bit_never_gives_the_same_canonical_value() -> None:
    """Of all one-bit changes to a record, none is read as the record that was written."""
    record = {"seq": 3, "value": "0.30", "cells": ["", None, True]}
    data = dumps(record)
    for at in range(len(data) * 8):
        changed = bytearray(data)
        changed[at // 8] ^= 1 << at % 8
        try:
            value = loads_canonical(bytes(changed))
        except CanonError:
            continue
        assert value != record
