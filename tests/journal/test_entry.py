"""One line of a log: exactly one byte form, and no other line is taken for it."""

import hashlib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.entry import NO_SUM, EntryError, decode, encode, wall_ms
from tests.support.demolog import demo_lines, did_data

WALL = "2026-03-14T09:30:00.000+00:00"

GOLDEN = (
    b'{"body":{"boot":"b:0","data":{"stage":"dead tests"},"kind":"checkpoint","mono_ms":7,"prev":"'
    + b"0" * 64
    + b'","seq":0,"wall":"2026-03-14T09:30:00.000+00:00"},"sum":"'
)


def framed(body: bytes) -> bytes:
    """A line around any body, with the right sum."""
    return b'{"body":' + body + b',"sum":"' + sha256_hex(body).encode() + b'"}\n'


def test_line_has_the_bytes_that_the_format_says() -> None:
    """The line of a given entry is known to the byte, and its sum can be checked by cutting at fixed places
    (record_format.md §6)."""
    line, entry = encode("checkpoint", 0, NO_SUM, WALL, 7, "b:0", {"stage": "dead tests"})

    assert line[: len(GOLDEN)] == GOLDEN
    assert hashlib.sha256(line[8:-75]).hexdigest().encode() == line[-67:-3]
    assert entry.sum.encode() == line[-67:-3]


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text(st.characters(codec="utf-8"), max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(st.characters(max_codepoint=127), max_size=5), inner, max_size=3)
    ),
    max_leaves=8,
)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.dictionaries(st.text(st.characters(max_codepoint=127), max_size=5), json_values, max_size=4))
def test_reading_gives_back_what_was_written(data: dict[str, Any]) -> None:
    """Any data comes back the same, in the same bytes."""
    line, entry = encode("did", 3, "a" * 64, WALL, 12, "b:0", data)

    assert decode(line) == entry
    assert entry.data == data
    assert line.count(b"\n") == 1


def test_every_flipped_bit_is_found() -> None:
    """No line with one bit changed is taken for an entry. Shows: RI-14."""
    line = demo_lines()[1]
    for at in range(len(line)):
        for bit in range(8):
            changed = line[:at] + bytes([line[at] ^ 1 << bit]) + line[at + 1 :]
            with pytest.raises(EntryError):
                decode(changed)


def test_every_byte_deleted_doubled_or_pushed_is_found() -> None:
    """No line with one byte gone, doubled, or with a blank, line feed or zero before it is taken for an entry.
    Shows: RI-14."""
    line = demo_lines()[1]
    for at in range(len(line)):
        before, byte, after = line[:at], line[at : at + 1], line[at + 1 :]
        for middle in (b"", byte + byte, b" " + byte, b"\n" + byte, b"\0" + byte):
            with pytest.raises(EntryError):
                decode(before + middle + after)


BODY = (
    '{{"boot":"b:0","data":{data},"kind":"{kind}","mono_ms":{mono},"prev":"'
    + NO_SUM
    + '","seq":{seq},"wall":"{wall}"}}'
)


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ({"data": '{"a": 1}'}, "canonical"),
        ({"data": '{"b":1,"a":1}'}, "canonical"),
        ({"data": '{"a":1,"a":1}'}, "twice"),
        ({"data": '{"a":0.5}'}, "whole number"),
        ({"data": '{"a":NaN}'}, "canonical"),
        ({"data": '{"a":"\\u0041"}'}, "canonical"),
        ({"data": '{"a":"\\ud800"}'}, "canonical"),
        ({"data": "[]"}, '"data" should be an object'),
        ({"seq": "-1"}, '"seq" should be a whole number'),
        ({"seq": "true"}, '"seq" should be a whole number'),
        ({"seq": '"0"'}, '"seq" should be a whole number'),
        ({"mono": "null"}, '"mono_ms" should be a whole number'),
        ({"kind": ""}, '"kind" should be a text'),
        ({"wall": "2026-03-14 09:30"}, "date and time with an offset"),
        ({"wall": "2026-03-14T09:30:00"}, "date and time with an offset"),
        ({"wall": "2026-02-30T09:30:00Z"}, "date and time with an offset"),
        ({"wall": "2026-03-14T09:30:00Z\\n"}, "date and time with an offset"),
    ],
)
def test_right_sum_does_not_excuse_a_wrong_body(members: dict[str, str], words: str) -> None:
    """A body that is not canonical, or whose members are of the wrong kind, is refused though its sum is right.
    Shows: RI-02."""
    body = BODY.format(**({"data": "{}", "kind": "did", "mono": "0", "seq": "0", "wall": WALL} | members))

    with pytest.raises(EntryError, match=words):
        decode(framed(body.encode()))


@pytest.mark.parametrize("body", [b"", b"1", b"{}", b"\xff", b"[" * 100 + b"]" * 100, b'{"kind":"did"}'])
def test_body_of_another_shape_is_refused(body: bytes) -> None:
    """A line around something else than an entry's body is refused in words."""
    with pytest.raises(EntryError):
        decode(framed(body))


def test_missing_and_added_members_are_refused() -> None:
    """The body holds its seven members, none less and none more."""
    body = BODY.format(data="{}", kind="did", mono="0", seq="0", wall=WALL)
    for changed in (body.replace('"seq":0,', ""), body.replace('"seq":0,', '"seq":0,"spare":1,')):
        with pytest.raises(EntryError, match="should hold exactly"):
            decode(framed(changed.encode()))


def test_bounds_of_line_and_strings_hold_on_both_ways() -> None:
    """A string may have 4096 bytes and not one more, counted as UTF-8; a line 1 MiB; both when writing and reading."""

    def line_with(text: str) -> bytes:
        return encode("did", 0, NO_SUM, WALL, 0, "b", {"text": text})[0]

    decode(line_with("x" * 4096))
    decode(line_with("é" * 2048))
    for text in ("x" * 4097, "é" * 2049):
        with pytest.raises(EntryError, match="longer than the 4096 bytes"):
            line_with(text)
    with pytest.raises(EntryError, match="at most 1048576 bytes"):
        encode("did", 0, NO_SUM, WALL, 0, "b", {"many": ["x" * 4096] * 256})
    with pytest.raises(EntryError, match="at most 1048576 bytes"):
        decode(b"x" * 1048577)
    with pytest.raises(EntryError, match="a member's name"):
        encode("did", 0, NO_SUM, WALL, 0, "b", {"k" * 4097: 1})


def test_only_the_first_entry_may_embed_long_texts() -> None:
    """A text of 256 KiB fits the first entry, one byte more does not, and no other kind takes it."""

    def line_with(kind: str, size: int) -> bytes:
        return encode(kind, 0, NO_SUM, WALL, 0, "b", {"texts": [{"text": "x" * size}]})[0]

    assert len(line_with("open", 262144)) > 262144
    with pytest.raises(EntryError, match="longer than the 262144 bytes"):
        line_with("open", 262145)
    with pytest.raises(EntryError, match="longer than the 4096 bytes"):
        line_with("did", 262144)


@pytest.mark.parametrize("value", [0.5, b"bytes", {1}, 2**53, "\ud800", {1: 2}])
def test_what_has_no_canonical_form_cannot_be_written(value: Any) -> None:
    """Floats, bytes, sets, large numbers, half characters and keys that are no text never reach a log. Shows: RI-03."""
    with pytest.raises(EntryError):
        encode("did", 0, NO_SUM, WALL, 0, "b", did_data(1) | {"events": [{"value": value}]})


def test_wall_is_read_with_its_offset() -> None:
    """The same moment in two zones is the same number of milliseconds. Shows: TM-06."""
    assert wall_ms("1970-01-01T00:00:01Z") == 1000
    assert wall_ms("2026-03-14T10:30:00.250+01:00") == wall_ms("2026-03-14T09:30:00.250Z")
