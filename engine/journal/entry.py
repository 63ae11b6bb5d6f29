"""One line of a job's log: its byte form, and the strict way back.

A line is `{"body":BODY,"sum":"<64 hex>"}` and a line feed; the sum is the SHA-256 of the BODY bytes.
BODY is canonical JSON with exactly these members: boot, data, kind, mono_ms, prev, seq, wall.

Rules of this module
1. `decode(encode(...)[0])` gives the same entry back, byte for byte.
2. A line that is not exactly what `encode` would have written is refused, never mended.
3. It reads no clock and touches no file.
"""

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any

from ferrule.engine.canon import dumps, loads, loads_canonical, sha256_hex
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass

LINE_MAX = 1024 * 1024
"""Bytes in one line, line feed included (record_format.md §1)."""
STRING_MAX = 4 * 1024
"""UTF-8 bytes in one string (record_format.md §1)."""
TEXT_MAX = 256 * 1024
"""UTF-8 bytes in one text embedded in the first entry (record_format.md §1)."""
NO_SUM = "0" * 64
"""What the first entry holds as the sum before it."""

ENTRY_START = b'{"body":{"boot":'
"""The bytes that every line begins with."""

_HEAD = b'{"body":'
_MIDDLE = b',"sum":"'
_END = b'"}\n'
_TRAILER_SIZE = len(_MIDDLE) + 64 + len(_END)
_MEMBERS = {"boot", "data", "kind", "mono_ms", "prev", "seq", "wall"}
_WALL = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{3})?(Z|[+-][0-9]{2}:[0-9]{2})")
_HEX64 = re.compile(r"[0-9a-f]{64}")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class EntryError(FerruleError):
    """A line or its content is not what the log's format allows."""

    def __init__(self, code: str, message: str) -> None:
        """`code` is one word for the kind of fault: size, frame, sum, form or schema."""
        super().__init__(message)
        self.code = code


@dataclass(frozen=True, slots=True)
class Entry:
    """One whole line of a log, understood."""

    kind: str
    seq: int
    prev: str
    wall: str
    """Time of day as the device's clock gave it, RFC 3339 with offset: a claim, not a proof."""
    mono_ms: int
    """Milliseconds since the job was opened, by a clock that nobody can set."""
    boot: str
    """Which run of the machine `mono_ms` was counted in."""
    data: Mapping[str, Any]
    sum: str


def encode(
    kind: str, seq: int, prev: str, wall: str, mono_ms: int, boot: str, data: Mapping[str, Any]
) -> tuple[bytes, Entry]:
    """The line for these values, and the entry that reading the line back would give."""
    members = {
        "boot": boot,
        "data": dict(data),
        "kind": kind,
        "mono_ms": mono_ms,
        "prev": prev,
        "seq": seq,
        "wall": wall,
    }
    try:
        body = dumps(members)
    except FerruleError as error:
        raise EntryError("form", f"The entry cannot be written in canonical form: {error}") from error
    sum_hex = sha256_hex(body)
    line = b"".join((_HEAD, body, _MIDDLE, sum_hex.encode("ascii"), _END))
    _check_size(line)
    return line, _entry(loads(body), sum_hex, len(body))


def line_of(entry: Entry) -> bytes:
    """The bytes of an entry as they stand in its file."""
    return encode(entry.kind, entry.seq, entry.prev, entry.wall, entry.mono_ms, entry.boot, entry.data)[0]


def decode(line: bytes) -> Entry:
    """The entry that this whole line holds; its line feed belongs to the line."""
    _check_size(line)
    body = line[len(_HEAD) : -_TRAILER_SIZE]
    trailer = line[-_TRAILER_SIZE:]
    framed = line.startswith(_HEAD) and trailer.startswith(_MIDDLE) and trailer.endswith(_END)
    if not framed or not body:
        raise EntryError("frame", "The line does not have the form of a log entry: a body, then its sum.")
    if trailer[len(_MIDDLE) : -len(_END)] != sha256_hex(body).encode("ascii"):
        raise EntryError("sum", "The sum at the end of the line does not match its content.")
    try:
        members = loads_canonical(body)
    except FerruleError as error:
        raise EntryError("form", f"The body is not in the one canonical form. {error}") from error
    return _entry(members, line[-len(_END) - 64 : -len(_END)].decode("ascii"), len(body))


@lru_cache(maxsize=4)
def wall_ms(wall: str) -> int:
    """Milliseconds from the start of 1970 to this time of day."""
    try:
        moment = datetime.fromisoformat(wall) if _WALL.fullmatch(wall) else None
    except ValueError:
        moment = None
    if moment is None:
        raise EntryError("form", f'"{wall}" is not a date and time with an offset, such as 2026-03-14T09:30:00Z.')
    return (moment - _EPOCH) // timedelta(milliseconds=1)


def _check_size(line: bytes) -> None:
    if len(line) > LINE_MAX:
        raise EntryError("size", f"The line has {len(line)} bytes; a log entry has at most {LINE_MAX} bytes.")


def _entry(members: Any, sum_hex: str, size: int) -> Entry:
    if not isinstance(members, dict) or set(members) != _MEMBERS:
        raise EntryError("form", f"The body should hold exactly {', '.join(sorted(_MEMBERS))}.")
    _check_members(members)
    if size > STRING_MAX:  # in a smaller body no string can be too long
        _check_strings(members["data"], members["kind"] == "open")
    return Entry(**members, sum=sum_hex)


def _check_members(members: Mapping[str, Any]) -> None:
    for name in ("kind", "boot", "wall", "prev"):
        value = members[name]
        if not isinstance(value, str) or not value or len(value.encode("utf-8")) > STRING_MAX:
            raise EntryError("form", f'"{name}" should be a text of 1 to {STRING_MAX} bytes.')
    for name in ("seq", "mono_ms"):
        value = members[name]
        if type(value) is not int or value < 0:
            raise EntryError("form", f'"{name}" should be a whole number from 0 up.')
    if not isinstance(members["data"], dict):
        raise EntryError("form", '"data" should be an object.')
    if not _HEX64.fullmatch(members["prev"]):
        raise EntryError("form", '"prev" should be a sum of 64 digits and letters a to f.')
    wall_ms(members["wall"])


def _check_strings(value: Any, is_open: bool, name: str = "") -> None:
    """Refuse a string that is over its bound; only the embedded texts of the first entry may be long."""
    if isinstance(value, str):
        bound = TEXT_MAX if is_open and name == "text" else STRING_MAX
        if len(value) * 4 > bound and len(value.encode("utf-8")) > bound:
            raise EntryError("size", f'The text in "{name}" is longer than the {bound} bytes allowed there.')
    elif isinstance(value, dict):
        for key, item in value.items():
            _check_strings(key, False, "a member's name")
            _check_strings(item, is_open, key)
    elif isinstance(value, list):
        for item in value:
            _check_strings(item, is_open, name)
