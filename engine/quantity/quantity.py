"""A number with its unit, as files write it: `0.05 ohm`.

For: limits, cards and figures. The grammar is [-]digits[.digits] BLANK unit; a minus only for C.
Must never: accept an exponent, an underscore, digits of another script, or more than one blank.
"""

from __future__ import annotations

import re
from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.number import explain
from ferrule.engine.quantity.units import UNITS, convert, find_unit, unknown_unit

__all__ = ["MAX_FILE_DIGITS", "Quantity", "QuantityError", "parse_quantity"]

MAX_FILE_DIGITS = 12
"""Digits on each side of the point; together they stay inside the 28 digits of every sum."""

_NUMBER = re.compile(rf"[0-9]{{1,{MAX_FILE_DIGITS}}}(?:\.[0-9]{{1,{MAX_FILE_DIGITS}}})?")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A finite number and the symbol of its unit; two are equal only when written in the same unit."""

    value: Decimal
    unit: str

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise QuantityError(unknown_unit(self.unit), self.unit)
        if not self.value.is_finite():
            raise QuantityError("A quantity is a finite number.", str(self.value))

    def in_unit(self, unit: str) -> Quantity:
        """The same size in another unit of the same kind; QuantityError for another kind."""
        return Quantity(convert(self.value, self.unit, unit), unit)

    def __str__(self) -> str:
        return f"{plain(self.value)} {self.unit}"


def parse_quantity(text: str) -> Quantity:
    """The quantity that the text writes; QuantityError with the column when it breaks the grammar."""
    minus = text.startswith("-")
    start = 1 if minus else 0
    end = text.find(" ", start)
    number = text[start:] if end == -1 else text[start:end]
    if text.startswith(" ", start):
        raise QuantityError("A blank stands where the number should begin.", text, start + 1)
    if not _NUMBER.fullmatch(number):
        message, column = explain(text[: start + len(number)], start, comma=False, max_digits=MAX_FILE_DIGITS)
        raise QuantityError(_with_unit_hint(message, number), text, column)
    if end == -1 or end == len(text) - 1:
        raise QuantityError("A number stands here without its unit, as in 0.05 ohm.", text, len(text) + 1)
    symbol = text[end + 1 :]
    if symbol[0].isspace():
        raise QuantityError("Just one blank stands between number and unit.", text, end + 2)
    if find_unit(symbol) is None:
        raise QuantityError(unknown_unit(symbol), text, end + 2)
    if minus and symbol != "C":
        raise QuantityError(f"Only a temperature may be below zero, not {symbol}.", text)
    value = Decimal(number)
    return Quantity(value.copy_negate() if minus and value else value, symbol)


def _with_unit_hint(message: str, number: str) -> str:
    """Say what to write when the only fault is a missing blank before a known unit."""
    cut = re.match(r"[0-9]+(?:\.[0-9]+)?", number)
    if cut and number[cut.end() :] in UNITS:
        return f'A blank is missing before the unit; write "{cut.group()} {number[cut.end() :]}".'
    return message
