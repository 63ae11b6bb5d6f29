"""The base of all forms: a table of a file read into a frozen value, with every fault kept at its place.

For: the step between the tree of a text and the forms, so that one reading reports all faults of a file.
Must never: stop at the first fault, or say a place that the file does not have.

Rules
1. A form keeps the table that it was read from; a place is asked of it by the key.
2. A fault is kept by the innermost form that sees it; the forms around it stay silent about it (`Told`).
3. A part of a list that cannot be read is left out after its fault was kept, so that the other parts are checked.
4. A missing key that has a stand-in is replaced after the fault was kept; nothing read that way is ever compiled.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Self, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    ModelWrapValidatorHandler,
    PrivateAttr,
    ValidationError,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    WrapValidator,
    model_validator,
)

from ferrule.engine.findings import Findings, Place, nearest
from ferrule.engine.procedure.yamltext import Node, Series, Table, Text

FormT = TypeVar("FormT", bound="Form")
PartT = TypeVar("PartT")


class Refused(ValueError):  # noqa: N818 - the value is refused; pydantic wants a ValueError
    """A value that a key does not take: the code, the sentence, the column inside the text, and what to try."""

    def __init__(self, code: str, message: str, *, column: int = 0, hint: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.column = column
        self.hint = hint


class Told(ValueError):  # noqa: N818 - not an error of its own, only the echo of one
    """A fault further in that has been kept already."""


_FEW = 12
"""So many keys are listed in a hint; a longer list helps nobody."""


class Form(BaseModel):
    """A table of a file, read."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")

    stand_ins: ClassVar[Mapping[str, str]] = {}
    """Texts that take the place of missing or faulty keys, so that the rest can still be looked at."""

    _table: Table = PrivateAttr()

    @model_validator(mode="wrap")
    @classmethod
    def _read(cls, value: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        if not isinstance(value, Table):
            raise Refused("wrong-type", f"Here stands {_sort(value)}; a table of keys is wanted.")
        found = _collector(info)
        known = {name: value[name] for name in value if name in cls.key_names()}
        for name in value:
            if name not in known:
                cls.unknown_key(name, value, found)
        try:
            made = handler(known)
        except ValidationError as fault:
            keep_faults(fault, value, found)
            made = cls._stood_in(known, fault, handler)
        made._table = value
        return made

    @classmethod
    def _stood_in(
        cls, known: dict[str, Node], fault: ValidationError, handler: ModelWrapValidatorHandler[Self]
    ) -> Self:
        """The form with stand-ins for what was faulty, or Told when it cannot be made up."""
        faulty = {str(error["loc"][0]) for error in fault.errors(include_url=False) if error["loc"]}
        optional = {name for name in faulty if name not in cls.stand_ins}
        patched: dict[str, Any] = {name: part for name, part in known.items() if name not in optional}
        patched.update({name: cls.stand_ins[name] for name in faulty - optional})
        try:
            return handler(patched)
        except ValidationError:
            raise Told from None

    @classmethod
    def key_names(cls) -> tuple[str, ...]:
        """The keys as files write them."""
        return tuple(field.alias or name for name, field in cls.model_fields.items())

    @classmethod
    def unknown_key(cls, name: str, table: Table, found: Findings) -> None:
        """Keep the finding for a key that the form does not have."""
        near = nearest(name, cls.key_names())
        few = len(cls.key_names()) <= _FEW
        hint = f'"{near}"' if near else f"one of: {', '.join(cls.key_names())}" if few else ""
        found.add("unknown-key", f'"{name}" is not a key that may stand here.', table.keys_at[name], hint=hint)

    @property
    def table(self) -> Table:
        """The table that the form was read from."""
        return self._table

    def has(self, key: str) -> bool:
        """True when the file holds the key here."""
        return key in self._table

    def is_whole(self, key: str) -> bool:
        """True when no part of a list was left out because it could not be read."""
        part, read = self._table.get(key), getattr(self, key.replace(" ", "_"), None)
        return isinstance(part, Series) and isinstance(read, list) and len(part) == len(read)

    def place(self, key: str = "") -> Place:
        """The place of a key's value; of the form itself for no key or one that is not there."""
        part = self._table.get(key)
        return self._table.place if part is None else part.place

    def key_place(self, key: str) -> Place:
        """The place of a key; of the form itself for one that is not there."""
        return self._table.keys_at.get(key, self._table.place)

    def spot(self, key: str, column: int) -> Place:
        """The place of a 1-based column inside a key's text."""
        part = self._table.get(key)
        return part.spot(column) if isinstance(part, Text) else self.place(key)


def _collector(info: ValidationInfo) -> Findings:
    """The collector of this reading."""
    if not isinstance(info.context, Findings):
        raise TypeError("A form is read with a collector of findings as its context.")
    return info.context


def _each(value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
    """Read a list part by part, keeping the fault of a part and leaving it out."""
    if not isinstance(value, Series):
        raise Refused("wrong-type", f"Here stands {_sort(value)}; a list is wanted.", hint="lines that begin with -")
    read = []
    for part in value:
        try:
            read.extend(handler([part]))
        except ValidationError as fault:
            keep_faults(fault, part, _collector(info), inside=1)
    return read


Several = Annotated[list[PartT], WrapValidator(_each)]
"""A list whose parts are read one by one."""


def keep_faults(fault: ValidationError, node: Node, found: Findings, *, inside: int = 0) -> None:
    """Keep each fault of a reading at its place; `inside` counts the steps of the way that lie outside the node."""
    for error in fault.errors(include_url=False):
        raised = error.get("ctx", {}).get("error")
        if isinstance(raised, Told):
            continue
        way = error["loc"][inside:]
        if error["type"] == "missing":
            code = "no-source" if way[-1] == "source" else "missing-key"
            found.add(code, f'The key "{way[-1]}" is missing here.', _at(node, way[:-1]).place)
        elif isinstance(raised, Refused):
            found.add(raised.code, raised.message, _spot(_at(node, way), raised.column), hint=raised.hint)
        else:
            found.add("wrong-type", f"What stands here cannot be read: {error['msg']}.", _at(node, way).place)


def _at(node: Node, way: tuple[int | str, ...]) -> Node:
    """The node at the end of a way, or the last one on it that is there."""
    for step in way:
        inner: Node | None = None
        if isinstance(node, Table):
            inner = node.get(str(step))
        elif isinstance(node, Series) and isinstance(step, int) and step < len(node):
            inner = node[step]
        if inner is None:
            return node
        node = inner
    return node


def _spot(node: Node, column: int) -> Place:
    return node.spot(column) if isinstance(node, Text) and column else node.place


def _sort(value: object) -> str:
    """What sort of thing a value is, in words."""
    if isinstance(value, dict):
        return "a table of keys"
    return "a list" if isinstance(value, list) else "a text" if value else "nothing"


def read_form(form: type[FormT], node: Node | None, file: str, found: Findings) -> FormT | None:
    """The form of a whole file, or None when not even stand-ins help; faults are kept."""
    if not isinstance(node, Table) or not node:
        place = Place(file, 1, 1) if node is None else node.place
        found.add("wrong-type", f"The file holds {_sort(node)}; it should hold a table of keys.", place)
        return None
    try:
        return form.model_validate(node, context=found)
    except ValidationError as fault:
        keep_faults(fault, node, found)
        return None
