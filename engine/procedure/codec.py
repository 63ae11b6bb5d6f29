"""A compiled job as plain JSON and back, without loss: the form in which it is kept between compiling and walking.

For: opening a job without a YAML library or pydantic.
Must never: check a job again, or accept bytes that are not of this form.

Rules
1. A number is a text that keeps its trailing zeros; a mapping is a list of pairs that keeps its order.
2. A member too many, one missing, or a value of another sort is refused.
"""

from __future__ import annotations

import sys
import types
import typing
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal, InvalidOperation
from enum import Enum
from functools import cache
from typing import Any

from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.compiled import Job, Procedure
from ferrule.engine.quantity.exact import plain

FORMAT = 6
"""Goes up with every change of the compiled form, so that an old cache is made anew."""


class CodecError(FerruleError, ValueError):
    """The value is not a compiled job of this format."""


def job_to_json(job: Job) -> dict[str, Any]:
    """The job as plain values that JSON knows."""
    return {"format": FORMAT, "job": to_json(job)}


def job_from_json(stored: Mapping[str, Any]) -> Job:
    """The job that `job_to_json` wrote; CodecError for anything else."""
    if set(stored) != {"format", "job"} or stored["format"] != FORMAT:
        raise CodecError(f"This is not a compiled job of format {FORMAT}; compile it anew.")
    whole = stored["job"]
    if type(whole) is not dict or "procedures" not in whole:
        raise CodecError("The members are not those of a Job.")
    job: Job = _reader(Job)({**whole, "procedures": []})
    return replace(job, procedures=Unread(whole["procedures"]))


class Unread(Mapping[str, Procedure]):
    """Procedures that are read from their stored form when somebody asks for them: a walk starts with one."""

    def __init__(self, stored: Any) -> None:
        pairs: dict[str, Any] = _reader(Mapping[str, dict])(stored)  # type: ignore[type-arg]
        self._stored = pairs
        self._read: dict[str, Procedure] = {}

    def __getitem__(self, name: str) -> Procedure:
        found = self._read.get(name)
        if found is None:
            found = self._read[name] = _reader(Procedure)(self._stored[name])
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._stored)

    def __len__(self) -> int:
        return len(self._stored)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and dict(self) == dict(other)


def to_json(value: object) -> Any:
    """Any compiled value as plain values."""
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, Mapping):
        return [[key, to_json(part)] for key, part in value.items()]
    if isinstance(value, tuple):
        return [to_json(part) for part in value]
    if is_dataclass(value):
        return {field.name: to_json(getattr(value, field.name)) for field in fields(value)}
    raise CodecError(f"A {type(value).__name__} has no place in a compiled job.")


_Reader = Callable[[Any], Any]


@cache
def _reader(kind: Any) -> _Reader:
    """What reads a stored value of this type; built once for each type."""
    origin = typing.get_origin(kind)
    if origin in (types.UnionType, typing.Union):
        return _optional(kind)
    if origin is tuple:
        return _tuple(typing.get_args(kind)[0])
    if origin is not None:
        return _mapping(typing.get_args(kind)[1])
    if is_dataclass(kind) and isinstance(kind, type):
        return _dataclass(kind)
    if kind is Decimal:
        return _read_decimal
    if isinstance(kind, type) and issubclass(kind, Enum):
        return _enum(kind)
    return _same(kind)


def _optional(kind: Any) -> _Reader:
    (other,) = [arg for arg in typing.get_args(kind) if arg is not types.NoneType]
    read = _reader(other)
    return lambda stored: None if stored is None else read(stored)


def _tuple(kind: Any) -> _Reader:
    read = _reader(kind)

    def take(stored: Any) -> Any:
        if type(stored) is not list:
            raise CodecError("Here stands no list.")
        return tuple([read(part) for part in stored])

    return take


def _mapping(kind: Any) -> _Reader:
    read = _reader(kind)

    def take(stored: Any) -> Any:
        if type(stored) is not list or not all(
            type(pair) is list and len(pair) == 2 and type(pair[0]) is str for pair in stored
        ):
            raise CodecError("Here stands no list of pairs.")
        made = {key: read(part) for key, part in stored}
        if len(made) != len(stored):
            raise CodecError("A key stands twice.")
        return made

    return take


def _dataclass(kind: type) -> _Reader:
    readers = {field.name: _reader(_hint(str(field.type), kind.__module__)) for field in fields(kind)}
    names = set(readers)

    def take(stored: Any) -> Any:
        if type(stored) is not dict or stored.keys() != names:
            raise CodecError(f"The members are not those of a {kind.__name__}.")
        try:
            return kind(*[read(stored[name]) for name, read in readers.items()])
        except CodecError as fault:
            raise CodecError(f"{kind.__name__}: {fault}") from None

    return take


@cache
def _hint(written: str, module: str) -> Any:
    """The type that an annotation of our own modules names; each wording is looked up once (it is most of the cost)."""
    return eval(written, vars(sys.modules[module]))


def _enum(kind: type[Enum]) -> _Reader:
    members = {member.value: member for member in kind}

    def take(stored: Any) -> Any:
        if type(stored) is not str or stored not in members:
            raise CodecError(f"Here stands no {kind.__name__}.")
        return members[stored]

    return take


def _same(kind: Any) -> _Reader:
    def take(stored: Any) -> Any:
        if type(stored) is not kind:
            raise CodecError(f"Here stands a {type(stored).__name__}; a {kind.__name__} is wanted.")
        return stored

    return take


def _read_decimal(stored: Any) -> Decimal:
    try:
        value = Decimal(stored) if type(stored) is str else None
    except InvalidOperation:
        value = None
    if value is None or not value.is_finite() or plain(value) != stored:
        raise CodecError("Here stands no plain number.")
    return value
