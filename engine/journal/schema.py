"""What the data of each kind of entry may hold.

Rules of this module
1. Schemas are closed: an unknown kind or member is an error that names it, and a missing member too.
2. Writer, reader and audit use these same checks; there is no second list.
3. It judges shape, not meaning: whether a command was allowed is for the walk to say.
"""

import re
from collections.abc import Callable, Mapping
from typing import Any

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.entry import TEXT_MAX, EntryError, wall_ms

TEXTS_MAX = 900 * 1024
"""UTF-8 bytes in all embedded texts together (record_format.md §1)."""
MODES = ("work", "practice")
TEXT_ROLES = ("card", "plan", "procedure", "limits", "terms")
SIGN_OFFS = ("alone", "supervised", "reviewed later")
SIGNER_ROLES = ("technician", "supervisor")
OUTCOMES = ("complete", "made safe", "put back as found", "to be continued", "stopped", "abandoned")
DIARY_KINDS = ("opened", "checkpoint", "closed", "signed", "exported", "found")
"""The lines of a diary that tell of a job (record_format.md §4); the others tell of the diary's own torn end."""

_JOB_ID = re.compile(r"[0-9]{8}t[0-9]{6}z-[a-z2-7]{10}")
_HEX64 = re.compile(r"[0-9a-f]{64}")
_NONCE = re.compile(r"[0-9a-f]{16,64}")

Check = Callable[[Any, str], None]
"""Raises EntryError if the value, found at the named place, is not of the wanted shape."""


def check_data(kind: str, data: Any) -> None:
    """Raise EntryError unless the data is exactly what an entry of this kind holds."""
    check = _KINDS.get(kind)
    if check is None:
        raise EntryError("schema", f'"{kind}" is not a kind of entry; the kinds are {", ".join(_KINDS)}.')
    check(data, kind)


def check_diary_data(kind: str, data: Any) -> None:
    """Raise EntryError unless the data is exactly what a diary line of this kind holds."""
    if kind == "resumed":
        _resumed(data, kind)
    elif kind in DIARY_KINDS:
        _diary_shape(data, kind)
    else:
        known = ", ".join((*DIARY_KINDS, "resumed"))
        raise EntryError("schema", f'"{kind}" is not a kind of diary line; the kinds are {known}.')


def is_job_id(text: str) -> bool:
    """True for a job's id as ferrule makes it, which is also its file name without the ending."""
    return _JOB_ID.fullmatch(text) is not None


def _wrong(where: str, wanted: str, value: Any) -> EntryError:
    found = {dict: "an object", list: "a list", type(None): "nothing"}.get(type(value)) or f"{value!r:.60}"
    return EntryError("schema", f'"{where}" should be {wanted}, but holds {found}.')


def _string(value: Any, where: str) -> None:
    if not isinstance(value, str):
        raise _wrong(where, "a text", value)


def _filled(value: Any, where: str) -> None:
    if not isinstance(value, str) or not value.strip():
        raise _wrong(where, "a text that is not empty", value)


def _count(value: Any, where: str) -> None:
    if type(value) is not int or value < 0:
        raise _wrong(where, "a whole number from 0 up", value)


def _wall(value: Any, where: str) -> None:
    if not isinstance(value, str):
        raise _wrong(where, "a date and time with an offset", value)
    try:
        wall_ms(value)
    except EntryError as error:
        raise EntryError("schema", f'"{where}": {error}') from error


def _pattern(pattern: re.Pattern[str], wanted: str) -> Check:
    def check(value: Any, where: str) -> None:
        if not isinstance(value, str) or not pattern.fullmatch(value):
            raise _wrong(where, wanted, value)

    return check


def _one_of(*allowed: Any) -> Check:
    def check(value: Any, where: str) -> None:
        if type(value) not in map(type, allowed) or value not in allowed:
            raise _wrong(where, f"one of {', '.join(map(str, allowed))}", value)

    return check


def _or_null(inner: Check) -> Check:
    def check(value: Any, where: str) -> None:
        if value is not None:
            inner(value, where)

    return check


def _list_of(inner: Check) -> Check:
    def check(value: Any, where: str) -> None:
        if not isinstance(value, list):
            raise _wrong(where, "a list", value)
        for number, item in enumerate(value, start=1):
            inner(item, f"{where}[{number}]")

    return check


def _object(value: Any, where: str) -> None:
    if not isinstance(value, dict):
        raise _wrong(where, "an object", value)


def _counts(value: Any, where: str) -> None:
    _object(value, where)
    for name, item in value.items():
        _count(item, f"{where}.{name}")


def _shape(**members: Check) -> Check:
    def check(value: Any, where: str) -> None:
        if not isinstance(value, Mapping):
            raise _wrong(where, "an object", value)
        for name in value:
            if name not in members:
                raise EntryError(
                    "schema", f'"{where}" holds "{name}", which is not one of its members: {", ".join(members)}.'
                )
        for name, inner in members.items():
            if name not in value:
                raise EntryError("schema", f'"{where}" has no "{name}".')
            inner(value[name], f"{where}.{name}")

    return check


_hex64 = _pattern(_HEX64, "a SHA-256 of 64 digits and letters a to f")
_job_id = _pattern(_JOB_ID, "a job id such as 20260314t093000z-abcdefghij")
_diary_shape = _shape(job_id=_job_id, entries=_count, head=_hex64)
_text_shape = _shape(role=_one_of(*TEXT_ROLES), id=_filled, sha256=_hex64, text=_string)


def _texts(value: Any, where: str) -> None:
    """Embedded texts: each within its bound, named once, and with the hash of its own bytes."""
    _list_of(_text_shape)(value, where)
    together = 0
    seen: set[tuple[str, str]] = set()
    for item in value:
        name = f"{item['role']} {item['id']}"
        content = item["text"].encode("utf-8")
        together += len(content)
        if len(content) > TEXT_MAX:
            raise EntryError("schema", f'The text "{name}" has {len(content)} bytes; at most {TEXT_MAX} are allowed.')
        if (item["role"], item["id"]) in seen:
            raise EntryError("schema", f'The text "{name}" is embedded twice; each text is embedded once.')
        if sha256_hex(content) != item["sha256"]:
            raise EntryError("text", f'The text "{name}" does not match the hash beside it.')
        seen.add((item["role"], item["id"]))
    if together > TEXTS_MAX:
        raise EntryError(
            "schema", f"The embedded texts have {together} bytes together; at most {TEXTS_MAX} are allowed."
        )


_resumed_shape = _shape(reason=_filled, torn_bytes=_count, torn_sha256=_or_null(_hex64))


def _resumed(value: Any, where: str) -> None:
    _resumed_shape(value, where)
    if (value["torn_bytes"] == 0) != (value["torn_sha256"] is None):
        raise EntryError("schema", f'"{where}" should hold a hash of what was cut exactly when something was cut.')


_KINDS: dict[str, Check] = {
    "open": _shape(
        format=_one_of(1),
        job_id=_job_id,
        mode=_one_of(*MODES),
        title=_filled,
        site=_string,
        texts=_texts,
        rules=_filled,
        engine=_filled,
        platform=_filled,
        zone=_filled,
        decimal_sign=_one_of(".", ","),
        operator=_filled,
        sign_off=_one_of(*SIGN_OFFS),
        roster=_or_null(_shape(version=_count, sha256=_hex64)),
        diary=_or_null(_shape(seq=_count, head=_hex64)),
        nonce=_pattern(_NONCE, "16 to 64 digits and letters a to f"),
        supersedes=_or_null(_job_id),
    ),
    "did": _shape(command=_object, person=_filled, events=_list_of(_object)),
    "checkpoint": _shape(stage=_filled),
    "clock_step": _shape(wall_before=_wall, wall_after=_wall, mono_ms_before=_count, mono_ms_after=_count),
    "resumed": _resumed,
    "close": _shape(outcome=_one_of(*OUTCOMES), counts=_counts, reason=_string),
    "signature": _shape(role=_one_of(*SIGNER_ROLES), statement=_filled, sshsig=_filled),
}
