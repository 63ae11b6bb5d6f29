"""What an instrument showed, and the one way from typed text to it.

For: the entry field and the log. A reading keeps the text as entered beside what was understood.
Must never: repair a text, take a blank for zero, or fold two of the states into one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.errors import QuantityError, ReadingError
from ferrule.engine.quantity.exact import decimals, exact, plain
from ferrule.engine.quantity.number import explain
from ferrule.engine.quantity.units import UNITS, unknown_unit

__all__ = ["CellState", "Reading", "ReadingError", "Relation", "parse_reading"]


class Relation(StrEnum):
    """How the true value stands to the number: equal to it, above it or below it."""

    EQUAL = "="
    ABOVE = ">"
    BELOW = "<"


class CellState(StrEnum):
    """What a place for a reading holds; zero is a VALUE, and none of the others is a zero."""

    BLANK = "blank"
    VALUE = "value"
    OVER_RANGE = "over-range"
    UNDER_RANGE = "under-range"
    NOT_MEASURED = "not-measured"
    NOT_APPLICABLE = "not-applicable"


_RELATION_OF = {CellState.OVER_RANGE: Relation.ABOVE, CellState.UNDER_RANGE: Relation.BELOW}
_NUMBERED = frozenset({CellState.VALUE, CellState.OVER_RANGE, CellState.UNDER_RANGE})
_STORED = re.compile(r"-?[0-9]{1,24}(?:\.[0-9]{1,24})?")
_MEMBERS = frozenset({"state", "value", "relation", "unit", "resolution", "entered"})


@dataclass(frozen=True, slots=True)
class Reading:
    """One cell of a record: its state, its number if the state has one, and the text as entered."""

    state: CellState
    value: Decimal | None
    relation: Relation
    unit: str
    resolution: Decimal | None
    entered: str

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise QuantityError(unknown_unit(self.unit), self.unit)
        if (self.value is not None) != (self.state in _NUMBERED):
            rule = "needs a number" if self.value is None else "holds no number"
            raise QuantityError(f'A cell in the state "{self.state}" {rule}.', self.entered)
        if self.relation is not _RELATION_OF.get(self.state, Relation.EQUAL):
            message = f'A cell in the state "{self.state}" does not go with the relation {self.relation}.'
            raise QuantityError(message, self.entered)
        if self.value is not None and not self.value.is_finite():
            raise QuantityError("A reading is a finite number.", self.entered)
        if self.value is not None and self.relation is not Relation.EQUAL and self.value <= 0:
            raise QuantityError("The end of a range is above zero.", self.entered)
        if self.resolution is not None and not (self.resolution.is_finite() and self.resolution > 0):
            raise QuantityError("A resolution is a number above zero.", self.entered)

    @classmethod
    def measured(
        cls, value: Decimal, unit: str, *, resolution: Decimal | None = None, entered: str | None = None
    ) -> Reading:
        """A number that the instrument showed; zero too is such a number."""
        text = plain(value) if entered is None else entered
        return cls(CellState.VALUE, value, Relation.EQUAL, unit, resolution, text)

    @classmethod
    def over_range(
        cls, full_scale: Decimal, unit: str, *, resolution: Decimal | None = None, entered: str = ""
    ) -> Reading:
        """The instrument showed more than its range's full scale."""
        return cls(CellState.OVER_RANGE, full_scale, Relation.ABOVE, unit, resolution, entered)

    @classmethod
    def under_range(
        cls, lowest: Decimal, unit: str, *, resolution: Decimal | None = None, entered: str = ""
    ) -> Reading:
        """The instrument showed nothing: the true value is below its lowest step, not known to be zero."""
        return cls(CellState.UNDER_RANGE, lowest, Relation.BELOW, unit, resolution, entered)

    @classmethod
    def blank(cls, unit: str) -> Reading:
        """A cell that nobody has filled yet."""
        return cls._empty(CellState.BLANK, unit)

    @classmethod
    def not_measured(cls, unit: str) -> Reading:
        """A cell that should hold a reading, and somebody said that it was not taken."""
        return cls._empty(CellState.NOT_MEASURED, unit)

    @classmethod
    def not_applicable(cls, unit: str) -> Reading:
        """A cell that this job has no use for."""
        return cls._empty(CellState.NOT_APPLICABLE, unit)

    @classmethod
    def _empty(cls, state: CellState, unit: str) -> Reading:
        return cls(state, None, Relation.EQUAL, unit, None, "")

    @property
    def is_zero(self) -> bool:
        """True only for a number that was shown and is zero; the bounds of a range are above zero."""
        return self.value == 0

    def to_json(self) -> dict[str, str | None]:
        """The reading as texts; decimals keep their trailing zeros."""
        return {
            "state": self.state.value,
            "value": None if self.value is None else plain(self.value),
            "relation": self.relation.value,
            "unit": self.unit,
            "resolution": None if self.resolution is None else plain(self.resolution),
            "entered": self.entered,
        }

    @classmethod
    def from_json(cls, stored: Mapping[str, object]) -> Reading:
        """The reading that to_json wrote; QuantityError for anything else."""
        if set(stored) != _MEMBERS:
            message = f"A stored reading has just the members {', '.join(sorted(_MEMBERS))}."
            raise QuantityError(message, ", ".join(map(str, stored)))
        state, relation = _stored_text(stored, "state"), _stored_text(stored, "relation")
        if state not in set(CellState) or relation not in set(Relation):
            raise QuantityError("A stored reading has an unknown state or relation.", f"{state} {relation}")
        return cls(
            CellState(state),
            _stored_number(stored, "value"),
            Relation(relation),
            _stored_text(stored, "unit"),
            _stored_number(stored, "resolution"),
            _stored_text(stored, "entered"),
        )


def _stored_text(stored: Mapping[str, object], name: str) -> str:
    text = stored[name]
    if not isinstance(text, str):
        raise QuantityError(f"The member {name} of a stored reading is not text.", str(text))
    return text


def _stored_number(stored: Mapping[str, object], name: str) -> Decimal | None:
    if stored[name] is None:
        return None
    text = _stored_text(stored, name)
    if not _STORED.fullmatch(text):
        raise QuantityError(f"The member {name} of a stored reading is not a plain number.", text)
    return Decimal(text)


_TYPED = re.compile(r"([<>]?)([0-9]{1,6}(?:[.,][0-9]{1,6})?)")
"""The grammar of a typed reading: the digits 0 to 9, one decimal sign, and > or < in front."""

_THOUSANDS = re.compile(r"[<>]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")
"""A text whose comma may part thousands; after a leading zero it cannot."""


def parse_reading(
    text: str,
    unit: str,
    *,
    resolution: Decimal | None = None,
    full_scale: Decimal | None = None,
    lowest: Decimal | None = None,
    comma: bool = False,
) -> Reading:
    """The reading that was typed, with the text kept as entered; ReadingError with the column if refused.

    `full_scale` and `lowest` are the range's ends, and `comma` says whether the card allows a decimal comma.
    """
    if unit not in UNITS:
        raise QuantityError(unknown_unit(unit), unit)
    if _THOUSANDS.fullmatch(text):
        raise ReadingError(_ask_back(text), text, text.index(",") + 1)
    typed = _TYPED.fullmatch(text)
    if typed is None or ("," in text and not comma):
        message, column = explain(text, 1 if text[:1] in ("<", ">") else 0, comma=comma)
        raise ReadingError(message, text, column)
    bound, number = typed.groups()
    value = Decimal(number.replace(",", "."))
    _check_resolution(text, value, len(bound), resolution)
    if bound == ">":
        _check_bound(text, value, full_scale, "the range's full scale", "above range")
        return Reading.over_range(value, unit, resolution=resolution, entered=text)
    if bound == "<":
        _check_bound(text, value, lowest, "the lowest step that the instrument shows", "below range")
        return Reading.under_range(value, unit, resolution=resolution, entered=text)
    _check_range(text, value, full_scale, lowest)
    return Reading.measured(value, unit, resolution=resolution, entered=text)


def _ask_back(text: str) -> str:
    whole = text.replace(",", "")
    if text.count(",") == 1 and "." not in text:
        point = text.replace(",", ".")
        return f'"{text}" can mean {point} or {whole}; type {point} with a point, or {whole} without a mark.'
    return f'"{text}" may have a comma between thousands; type {whole} if that is meant.'


def _check_resolution(text: str, value: Decimal, start: int, resolution: Decimal | None) -> None:
    """Refuse a number that the instrument cannot have shown."""
    if resolution is None:
        return
    places = decimals(resolution)
    at = max(text.find("."), text.find(","))
    if at >= 0 and len(text) - at - 1 > places:
        kept = f"{places} decimal{'' if places == 1 else 's'}" if places else "no decimals"
        message = f"The instrument shows {kept} on this range; the text has {len(text) - at - 1}."
        raise ReadingError(message, text, at + 2 + places if places else at + 1)
    with exact():
        off_step = value % resolution != 0
    if off_step:
        raise ReadingError(f"The instrument shows steps of {plain(resolution)} only.", text, start + 1)


def _check_bound(text: str, value: Decimal, end: Decimal | None, name: str, choice: str) -> None:
    """Refuse a bound that is not just the end of the range."""
    if end is None:
        raise ReadingError(f'Here "{text[0]}" has no meaning: {name} is not known for this reading.', text)
    if value != end:
        typed = f"{text[0]}{plain(end)}"
        message = f'After "{text[0]}" comes only {name}, {plain(end)}; type {typed} or choose {choice}.'
        raise ReadingError(message, text, 2)


def _check_range(text: str, value: Decimal, full_scale: Decimal | None, lowest: Decimal | None) -> None:
    """Refuse a number outside what the range can show; zero stays a number."""
    if full_scale is not None and value > full_scale:
        message = f"This is above the range's full scale, {plain(full_scale)}; choose above range."
        raise ReadingError(message, text)
    if lowest is not None and 0 < value < lowest:
        message = f"The instrument shows nothing below {plain(lowest)}; choose below range."
        raise ReadingError(message, text)
