"""The sorts of value that a form's key may take, each with its reader and its description for editors.

For: reading one text of a file into a word, a number with unit, a date or a pair, or refusing it with a column.
Must never: use a float, or accept what another key's sort would accept.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from ferrule.engine.findings import Place, nearest
from ferrule.engine.procedure.form import Refused
from ferrule.engine.procedure.words import CARD_FACTS
from ferrule.engine.procedure.yamltext import Table, Text

LONGEST = 2_000
"""Characters of one text of a form: our figure, about a page (common practice)."""


class Sort:
    """A sort of value: how its text is read, and how editors are told."""

    def read(self, text: str) -> object:
        """The value of a text that is not empty; Refused when it is not of this sort."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """The JSON Schema of the value as files write it."""
        return {"type": "string", "minLength": 1}

    def take(self, value: object) -> object:
        """The value of a node; Refused when a list or table stands in place of a text."""
        if not isinstance(value, str):
            raise Refused(
                "wrong-type", f"Here stands a {'table' if isinstance(value, dict) else 'list'}; a text is wanted."
            )
        if not value:
            raise Refused("wrong-value", "Nothing stands here; a text is wanted.")
        if len(value) > LONGEST:
            raise Refused("too-large", f"This text has more than {LONGEST} characters.")
        return self.read(value)

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.take)

    def __get_pydantic_json_schema__(self, _core: CoreSchema, _handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return self.schema()


class _Words(Sort):
    """Words for a person, as written."""

    def read(self, text: str) -> str:
        if text != text.strip() and "\n" not in text:
            raise Refused("wrong-value", "The text begins or ends with a blank; take it out.")
        return str(text).rstrip("\n")


@dataclass(frozen=True)
class _Pattern(Sort):
    """Words of one pattern; `says` tells a person what it allows."""

    pattern: str
    says: str

    def read(self, text: str) -> str:
        if not re.fullmatch(self.pattern, text):
            raise Refused("wrong-value", f'"{cut(text)}" does not fit here: {self.says}.')
        return str(text)

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "integer"], "pattern": f"^{self.pattern}$", "description": self.says}


@dataclass(frozen=True)
class Choice(Sort):
    """One of a closed list of words."""

    words: tuple[str, ...]

    def read(self, text: str) -> str:
        if text not in self.words:
            near = nearest(text, self.words)
            message = f'"{cut(text)}" may not stand here; the words are: {", ".join(self.words)}.'
            raise Refused("wrong-value", message, hint=f'"{near}"' if near else "")
        return str(text)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.words)}


class _YesNo(Sort):
    """`true` or `false`."""

    def read(self, text: str) -> bool:
        if text not in ("true", "false"):
            raise Refused("wrong-value", f'"{cut(text)}" may not stand here; write true or false.')
        return text == "true"

    def schema(self) -> dict[str, Any]:
        return {"type": "boolean"}


class _Count(Sort):
    """A whole number above zero."""

    def read(self, text: str) -> int:
        if not re.fullmatch(r"[1-9][0-9]{0,5}", text):
            raise Refused("wrong-value", f'"{cut(text)}" is not a whole number from 1 on.')
        return int(text)

    def schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": 1}


class _Date(Sort):
    """A day as year-month-day."""

    def read(self, text: str) -> str:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            try:
                return datetime.date.fromisoformat(text).isoformat()
            except ValueError:
                raise Refused("wrong-value", f'There is no day "{text}" in the calendar.') from None
        raise Refused("wrong-value", f'"{cut(text)}" is not a day; write it as 2026-03-31.')

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


@dataclass(frozen=True)
class OrNone(Sort):
    """Another sort, or the word `none`, which is read as an empty text."""

    other: Sort

    def read(self, text: str) -> object:
        return "" if text == "none" else self.other.read(text)

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [self.other.schema(), {"const": "none"}]}


@dataclass(frozen=True)
class Minutes(Sort):
    """How long a wait takes: whole minutes, or `source` for the minutes that the card gives for each source."""

    def read(self, text: str) -> str:
        if text != "source" and not re.fullmatch(r"[1-9][0-9]{0,3}", text):
            raise Refused("wrong-value", f'"{cut(text)}" is neither a whole number of minutes nor the word source.')
        return str(text)

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"type": "integer", "minimum": 1}, {"const": "source"}]}


@dataclass(frozen=True, slots=True)
class Said:
    """`fact is value | value` as it was written, taken apart."""

    fact: str
    values: tuple[str, ...]
    text: Text

    def value_place(self, value: str) -> Place:
        """The place of one of the values."""
        at = self.text.find(value, len(self.fact) + 4)
        return self.text.spot(at + 1) if at >= 0 else self.text.place


class _Saying(Sort):
    """A line `fact is value`, or with alternatives `fact is value | value`."""

    def read(self, text: str) -> Said:
        fact, word, values = text.partition(" is ")
        listed = tuple(value.strip() for value in values.split("|"))
        if not word or not fact.strip() or not all(listed):
            message = f'"{cut(text)}" does not say a fact and its value.'
            raise Refused("wrong-value", message, hint="write it as: cover is open")
        return Said(fact, listed, text if isinstance(text, Text) else Text.at(text, Place("", 0, 0)))

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": "^.+ is .+$"}


class _CardSaying(_Saying):
    """A condition of the card: `circuit is ring`."""

    def read(self, text: str) -> Said:
        said = super().read(text)
        allowed = CARD_FACTS.get(said.fact)
        if allowed is None:
            near = nearest(said.fact, CARD_FACTS)
            hint = f'"{near}"' if near else f"one of: {', '.join(CARD_FACTS)}"
            raise Refused("unknown-fact", f'The card has no fact "{cut(said.fact)}".', hint=hint)
        for value in said.values:
            if value not in allowed:
                column = text.index(value, len(said.fact) + 4) + 1
                message = f'"{cut(value)}" is no value of "{said.fact}"; its values are: {", ".join(allowed)}.'
                raise Refused("wrong-value", message, column=column)
        return said

    def schema(self) -> dict[str, Any]:
        pairs = [f"{fact} is {value}" for fact, values in CARD_FACTS.items() for value in values]
        return {"type": "string", "pattern": "^.+ is .+$", "examples": pairs}


@dataclass(frozen=True, slots=True)
class Pair:
    """One line `left: right` of a list; a bare line has an empty right."""

    left: str
    right: Text
    left_place: Place
    right_place: Place


@dataclass(frozen=True)
class Pairs(Sort):
    """A line `left: right`; where `bare` is set, a line without a colon too."""

    bare: bool = False

    def take(self, value: object) -> Pair:
        if self.bare and isinstance(value, Text) and value:
            return Pair(str(value), Text.at("", value.place), value.place, value.place)
        if isinstance(value, Table) and len(value) == 1:
            ((left, right),) = value.items()
            if isinstance(right, Text) and right:
                return Pair(left, right, value.keys_at[left], right.place)
        raise Refused("wrong-type", "A line here is one pair of words.", hint="write it as: - first: second")

    def schema(self) -> dict[str, Any]:
        pair = {
            "type": "object",
            "minProperties": 1,
            "maxProperties": 1,
            "additionalProperties": {"type": "string"},
        }
        return {"anyOf": [pair, {"type": "string"}]} if self.bare else pair


def cut(text: str) -> str:
    """A text of a person short enough for a message."""
    return text if len(text) <= 60 else f"{text[:60]}…"


def names(words: Iterable[str]) -> Choice:
    """A choice of words from any collection."""
    return Choice(tuple(words))


Words = Annotated[str, _Words()]
Id = Annotated[str, _Pattern(r"[a-z0-9]+(?:-[a-z0-9]+)*", "lower-case letters, digits and single hyphens")]
ObjectId = Annotated[
    str, _Pattern(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*", "letters without accents, digits and single hyphens")
]
Head = Annotated[str, _Pattern(r"[0-9a-f]{64}", "the sum of the last line of a log, 64 digits and letters a to f")]
Slot = Annotated[
    str,
    _Pattern(
        r"[a-z0-9]+(?:-[a-z0-9]+)*(?:/[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*)?",
        "a name for the reading, such as r1 or fault-current/L-N",
    ),
]
YesNo = Annotated[bool, _YesNo()]
Count = Annotated[int, _Count()]
Day = Annotated[str, _Date()]
DayOrNone = Annotated[str, OrNone(_Date())]
Saying = Annotated[Said, _Saying()]
CardSaying = Annotated[Said, _CardSaying()]
PairLine = Annotated[Pair, Pairs()]
StateLine = Annotated[Pair, Pairs(bare=True)]
