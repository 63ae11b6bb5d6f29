"""One byte form for a value: canonical JSON (RFC 8785, restricted), and its strict reader.

For: everything that is hashed, signed or cached.
Must never: write a float, guess at a value, or read two members of one name.
Rules: ASCII keys; text, whole numbers within ±(2**53-1), true, false, null, lists and objects only;
no lone surrogates; at most 64 levels deep.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from typing import Any, NoReturn

from ferrule.engine.findings import FerruleError

MAX_DEPTH = 64
"""Levels of lists and objects: a rule of ferrule, far above what a record needs."""
MAX_INT = 2**53 - 1
"""The largest whole number that every JSON reader keeps exactly (RFC 8785 by way of I-JSON, from memory)."""


class CanonError(FerruleError):
    """The value has no canonical form, or the bytes are not a strict JSON text."""


_SIMPLE = (str, bool)
_HOLDERS = (dict, list, tuple)
_encode = json.JSONEncoder(
    sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False, check_circular=False
).encode


def dumps(value: Any) -> bytes:
    """The canonical bytes of a value; CanonError when it holds anything else than the rules allow."""
    _check(value, 0, "$")
    return _to_bytes(value)


def _to_bytes(value: Any) -> bytes:
    try:
        return _encode(value).encode("utf-8")
    except UnicodeEncodeError as fault:
        raise CanonError("A text holds half of a surrogate pair; it has no UTF-8 form.") from fault


def _check(value: Any, depth: int, path: str) -> None:
    if value is None or isinstance(value, _SIMPLE):
        return
    if isinstance(value, int):
        if not -MAX_INT <= value <= MAX_INT:
            raise CanonError(f"The whole number at {path} is outside ±(2**53-1); write it as text.")
        return
    if not isinstance(value, _HOLDERS):
        raise CanonError(f"At {path} there is a {type(value).__name__}; write it as text first.")
    if depth >= MAX_DEPTH:
        raise CanonError(f"The value is nested more than {MAX_DEPTH} levels deep.")
    if isinstance(value, dict):
        for key, member in value.items():
            if not (isinstance(key, str) and key.isascii()):
                raise CanonError(f"The key {key!a} at {path} is not ASCII text.")
            _check(member, depth + 1, f"{path}.{key}")
        return
    for member in value:
        _check(member, depth + 1, f"{path}[]")


def loads(data: bytes) -> Any:
    """The value of a strict JSON text; CanonError for anything that two readers could take differently."""
    try:
        text = data.decode("utf-8")
        plain = data.isascii() and b"\\u" not in data
        value = (_decode if plain else _decode_any_script)(text)
    except UnicodeDecodeError as fault:
        raise CanonError(f"Byte {fault.start + 1} is not UTF-8.") from fault
    except json.JSONDecodeError as fault:
        raise CanonError(f"This is not JSON: {fault.msg} at character {fault.pos + 1}.") from fault
    except RecursionError as fault:
        raise CanonError(f"The text is nested more than {MAX_DEPTH} levels deep.") from fault
    if data.count(b"[") + data.count(b"{") > MAX_DEPTH:
        _check_depth(value)
    if not plain:
        _to_bytes(value)  # an escape can spell half of a surrogate pair
    return value


def loads_canonical(data: bytes) -> Any:
    """The value of a text that is already in its canonical form; CanonError when any byte differs."""
    value = loads(data)
    if _to_bytes(value) != data:
        raise CanonError("The text is JSON but not in its canonical form.")
    return value


def sha256_hex(data: bytes) -> str:
    """The SHA-256 of the bytes as 64 lower-case hex digits."""
    return hashlib.sha256(data).hexdigest()


def _read_object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise CanonError(f"The key {twice!a} stands twice in one object.")
    return made


def _read_object_any_script(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = _read_object(pairs)
    if not "".join(made).isascii():
        raise CanonError("A key holds a character that is not ASCII.")
    return made


def _read_int(digits: str) -> int:
    if digits == "-0":
        raise CanonError("The number -0 has no canonical form; write 0.")
    if len(digits) > len(str(-MAX_INT)) or not -MAX_INT <= int(digits) <= MAX_INT:
        raise CanonError("A whole number is outside ±(2**53-1).")
    return int(digits)


def _refuse_number(digits: str) -> NoReturn:
    raise CanonError(f"The number {digits[:40]} is not a whole number; decimals are written as text.")


def _check_depth(value: Any) -> None:
    level = [value] if isinstance(value, dict | list) else []
    for _ in range(MAX_DEPTH):
        level = [
            member
            for holder in level
            for member in (holder.values() if isinstance(holder, dict) else holder)
            if isinstance(member, dict | list)
        ]
        if not level:
            return
    raise CanonError(f"The text is nested more than {MAX_DEPTH} levels deep.")


def _reader(read_object: Callable[[list[tuple[str, Any]]], dict[str, Any]]) -> Callable[[str], Any]:
    return json.JSONDecoder(
        object_pairs_hook=read_object,
        parse_int=_read_int,
        parse_float=_refuse_number,
        parse_constant=_refuse_number,
    ).decode


_decode = _reader(_read_object)
"""For ASCII bytes without code-point escapes, whose keys can hold nothing but ASCII: most records."""

_decode_any_script = _reader(_read_object_any_script)
