"""Data classes that cost little to define: the standard decorator's behaviour without its code generation.

Why: the standard decorator writes and compiles six functions for each class, about half a millisecond, and the start
of a walk defines about a hundred; here the constructor is written at the first use and the rest is shared.
Type checkers see the standard decorator.
`fields`, `replace` and `is_dataclass` of the standard library work on these classes as they do on its own, and
`tests/light` holds that.
Options beyond `frozen`, `slots` and `eq` are not known here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    import dataclasses as _standard
    from operator import attrgetter

    @_standard.dataclass
    class _Probe:
        """Tells what the standard library marks a plain field with."""

        one: int = 0

    _PLAIN = _standard.fields(_Probe)[0]._field_type
    _NONE = object()

    def dataclass(cls=None, *, frozen: bool = False, slots: bool = False, eq: bool = True):
        """Return a class made from annotated fields, or a decorator that makes one."""

        def made(cls):
            names = [n for n, kind in vars(cls).get("__annotations__", {}).items() if "ClassVar" not in str(kind)]
            own = dict(cls.__dict__)
            found = {name: _field(name, own.pop(name, _NONE), cls.__annotations__[name]) for name in names}
            for gone in ("__dict__", "__weakref__"):
                own.pop(gone, None)
            own |= {"__match_args__": tuple(names), "__dataclass_fields__": found, "__init__": _first_use}
            own["_taken"] = _taker(names)
            if frozen:
                own |= {"__setattr__": _refuse, "__delattr__": _refuse}
            if slots:
                own |= {"__slots__": tuple(names), "__getstate__": _state, "__setstate__": _restore}
            own.setdefault("__repr__", _repr)
            if eq:
                own |= {"__eq__": _equal, "__hash__": _hash if frozen else None}
            new = type(cls)(cls.__name__, cls.__bases__, own)
            new.__qualname__ = cls.__qualname__
            return new

        return made if cls is None else made(cls)

    def _taker(names):
        """Return what takes the values of an object as a tuple; the standard getter is quicker than a loop."""
        if len(names) > 1:
            return staticmethod(attrgetter(*names))
        return staticmethod(lambda self: tuple(getattr(self, name) for name in names))

    def _field(name, given, kind):
        field = given if isinstance(given, _standard.Field) else None
        if field is None:
            field = _standard.field() if given is _NONE else _standard.field(default=given)
        field.name, field.type, field._field_type = name, kind, _PLAIN
        return field

    def _first_use(self, *args, **named):
        """Write the constructor of this class, then construct."""
        cls = type(self)
        for base in cls.__mro__:
            if base.__dict__.get("__init__") is _first_use:
                base.__init__ = _constructor(base)
        cls.__init__(self, *args, **named)

    def _constructor(cls):
        known: dict[str, Any] = {"_set": object.__setattr__, "_NONE": _NONE}
        heads, lines = [], []
        for name, field in cls.__dataclass_fields__.items():
            value = name
            if field.default_factory is not _standard.MISSING:
                known[f"_make_{name}"] = field.default_factory
                heads.append(f"{name}=_NONE")
                value = f"_make_{name}() if {name} is _NONE else {name}"
            elif field.default is not _standard.MISSING:
                known[f"_given_{name}"] = field.default
                heads.append(f"{name}=_given_{name}")
            else:
                heads.append(name)
            lines.append(f"    _set(self, {name!r}, {value})")
        if "__post_init__" in cls.__dict__:
            lines.append("    self.__post_init__()")
        exec(f"def __init__({', '.join(['self', *heads])}):\n" + "\n".join(lines or ["    pass"]), known)
        return known["__init__"]

    def _values(self):
        return type(self)._taken(self)

    def _repr(self):
        inside = ", ".join(f"{n}={getattr(self, n)!r}" for n in self.__dataclass_fields__)
        return f"{type(self).__qualname__}({inside})"

    def _equal(self, other):
        return _values(self) == _values(other) if type(other) is type(self) else NotImplemented

    def _hash(self):
        return hash(_values(self))

    def _refuse(_self, name, *_):
        raise _standard.FrozenInstanceError(f"cannot change field {name!r}")

    def _state(self):
        return list(_values(self))

    def _restore(self, state):
        for name, value in zip(self.__dataclass_fields__, state, strict=True):
            object.__setattr__(self, name, value)
