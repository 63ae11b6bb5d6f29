"""A compiled job as plain JSON and back, without loss: the form in which it is kept between compiling and walking.

For: opening a job without a YAML library or pydantic.
Must never: check a job again, or accept bytes that are not of this form.

Rules
1. A number is a text that keeps its trailing zeros; a mapping is a list of pairs that keeps its order.
2. A member too many, one missing, or a value of another sort is refused with its path.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal, InvalidOperation
from enum import Enum
from functools import cache
from typing import Any

from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.exact import plain

FORMAT = 1
"""Goes up with every change of the compiled form, so that an old cache is made anew."""


class CodecError(FerruleError):
    """The value is not a compiled job of this format."""


def job_to_json(job: Job) -> dict[str, Any]:
    """The job as plain values that JSON knows."""
    return {"format": FORMAT, "job": to_json(job)}


def job_from_json(stored: Mapping[str, Any]) -> Job:
    """The job that `job_to_json` wrote; CodecError for anything else."""
    if set(stored) != {"format", "job"} or stored["format"] != FORMAT:
        raise CodecError(f"This is not a compiled job of format {FORMAT}; compile it anew.")
    job = _read(Job, stored["job"], "job")
    if not isinstance(job, Job):
        raise CodecError("This is not a compiled job.")
    return job


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


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _read(kind: Any, stored: Any, path: str) -> Any:
    """The value of this type that is stored here."""
    origin = typing.get_origin(kind)
    if origin is not None:
        return _read_generic(origin, typing.get_args(kind), stored, path)
    if is_dataclass(kind) and isinstance(kind, type):
        return _read_dataclass(kind, stored, path)
    if kind is Decimal:
        return _read_decimal(stored, path)
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(stored)
        except ValueError:
            raise CodecError(f"At {path} stands no {kind.__name__}.") from None
    if type(stored) is not kind:
        raise CodecError(f"At {path} stands a {type(stored).__name__}; a {kind.__name__} is wanted.")
    return stored


def _read_generic(origin: Any, args: tuple[Any, ...], stored: Any, path: str) -> Any:
    if origin in (types.UnionType, typing.Union):
        (other,) = [arg for arg in args if arg is not types.NoneType]
        return None if stored is None else _read(other, stored, path)
    if not isinstance(stored, list):
        raise CodecError(f"At {path} stands no list.")
    if origin is tuple:
        return tuple(_read(args[0], part, f"{path}[{at}]") for at, part in enumerate(stored))
    if not all(isinstance(pair, list) and len(pair) == 2 and isinstance(pair[0], str) for pair in stored):
        raise CodecError(f"At {path} stands no list of pairs.")
    made = {key: _read(args[1], part, f"{path}.{key}") for key, part in stored}
    if len(made) != len(stored):
        raise CodecError(f"At {path} a key stands twice.")
    return made


def _read_dataclass(kind: type, stored: Any, path: str) -> Any:
    hints = _hints(kind)
    if not isinstance(stored, dict) or set(stored) != set(hints):
        raise CodecError(f"At {path} the members are not those of a {kind.__name__}.")
    return kind(**{name: _read(hint, stored[name], f"{path}.{name}") for name, hint in hints.items()})


def _read_decimal(stored: Any, path: str) -> Decimal:
    try:
        value = Decimal(stored) if isinstance(stored, str) else None
    except InvalidOperation:
        value = None
    if value is None or not value.is_finite() or plain(value) != stored:
        raise CodecError(f"At {path} stands no plain number.")
    return value
