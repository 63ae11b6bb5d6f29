"""Commands and events as plain JSON objects and back, strictly: an unknown name or member is refused.

One table serves both, so that what the log holds and what the core reads cannot drift apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from ferrule.engine.findings import FerruleError


class WireError(FerruleError):
    """A stored command or event that this version does not know."""


def to_wire(value: Any) -> Any:
    """Return a value as JSON: dataclasses become objects, tuples become lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_wire(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [to_wire(v) for v in value]
    if isinstance(value, Mapping):
        return {k: to_wire(v) for k, v in value.items()}
    return value


_HINTS: dict[type, dict[str, Any]] = {}


def from_wire(kind: Any, value: Any) -> Any:
    """Return a value of the given type from JSON; WireError for anything that is not of its shape."""
    if isinstance(kind, type) and is_dataclass(kind):
        return _object(kind, value)
    origin = get_origin(kind)
    if origin is tuple:
        return _list(kind, value)
    if origin in (Union, UnionType):
        return _either(kind, value)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(kind, value)
    if kind is Any:
        return value
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise WireError(f"A stored value is {value!r}, expected {getattr(kind, '__name__', kind)}.")
    return value


def _object(kind: type, value: Any) -> Any:
    if not isinstance(value, dict):
        raise WireError(f"A stored {kind.__name__} is {value!r}, expected an object.")
    hints = _HINTS.get(kind)
    if hints is None:
        hints = _HINTS[kind] = get_type_hints(kind)
    if value.keys() != hints.keys():
        odd = sorted(value.keys() ^ hints.keys())
        raise WireError(f"A stored {kind.__name__} has other members than this version knows: {', '.join(odd)}.")
    return kind(**{name: from_wire(hint, value[name]) for name, hint in hints.items()})


def _list(kind: Any, value: Any) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise WireError(f"A stored list is {value!r}.")
    inside = get_args(kind)
    if len(inside) == 2 and inside[1] is Ellipsis:
        return tuple(from_wire(inside[0], v) for v in value)
    if len(inside) != len(value):
        raise WireError(f"A stored list has {len(value)} members, expected {len(inside)}.")
    return tuple(from_wire(k, v) for k, v in zip(inside, value, strict=True))


def _either(kind: Any, value: Any) -> Any:
    if value is None and type(None) in get_args(kind):
        return None
    for option in get_args(kind):
        if option is not type(None):
            return from_wire(option, value)
    raise WireError(f"A stored value is {value!r}, expected one of {kind}.")


def _mapping(kind: Any, value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise WireError(f"A stored mapping is {value!r}.")
    inside = get_args(kind)[1]
    return {str(k): from_wire(inside, v) for k, v in value.items()}


def named(kinds: Iterable[type]) -> dict[str, type]:
    """Return kinds by the name they have in a log: words in lower case with hyphens."""
    return {wire_name(kind): kind for kind in kinds}


def wire_name(kind: type) -> str:
    """Return the log's name of a command or event: `StepAway` is `step-away`."""
    return "".join(f"-{c.lower()}" if c.isupper() and i else c.lower() for i, c in enumerate(kind.__name__))
