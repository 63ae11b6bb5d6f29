"""The sorts of value that are numbers with units: amounts, amounts and how they are known, torques, errors.

For: reading a number of a file exactly, in the unit that is wanted, or refusing it with a column.
Must never: use a float, or take a unit of another kind.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ferrule.engine.electrics.model import How, Known
from ferrule.engine.procedure.fields import Sort, cut
from ferrule.engine.procedure.form import Refused
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.quantity import parse_quantity


@dataclass(frozen=True)
class Amount(Sort):
    """A number with a unit of one kind, read into the wanted unit."""

    unit: str
    above_zero: bool = True

    def read(self, text: str) -> Decimal:
        value = quantity_in(text, self.unit)
        if self.above_zero and value <= 0:
            raise Refused("wrong-value", f"{cut(text)} may not stand here; the number is above zero.")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": [f"1.5 {self.unit}"]}


@dataclass(frozen=True)
class KnownAmount(Sort):
    """A number with unit and the way it is known: `60 m, record`; `unknown` alone says that there is none."""

    unit: str

    def read(self, text: str) -> Known:
        if text == How.UNKNOWN.value:
            return Known(None, How.UNKNOWN)
        number, comma, how = text.rpartition(", ")
        ways = [way.value for way in How if way is not How.UNKNOWN]
        if not comma or how not in ways:
            message = f'"{cut(text)}" does not say how the number is known.'
            hint = f'"{number or text}, record"; the ways are: {", ".join(ways)}; or "unknown" alone'
            raise Refused("wrong-value", message, column=len(number) + 3 if comma else 0, hint=hint)
        return Known(quantity_in(number, self.unit), How(how))

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": [f"1.5 {self.unit}, record", "unknown"]}


def quantity_in(text: str, unit: str, *, shift: int = 0) -> Decimal:
    """The number of a text in the wanted unit; Refused with the column (moved by `shift`)."""
    try:
        quantity = parse_quantity(text)
    except QuantityError as fault:
        raise Refused("bad-quantity", str(fault), column=fault.column + shift) from None
    try:
        return quantity.in_unit(unit).value
    except QuantityError as fault:
        column = text.index(" ") + 2 + shift
        raise Refused("unit-mismatch", str(fault), column=column, hint=f"a number in {unit}") from None


@dataclass(frozen=True)
class Torque(Sort):
    """A torque: a band, a nominal value, or `unknown`; read as low, high, nominal."""

    def read(self, text: str) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
        if text == How.UNKNOWN.value:
            return None, None, None
        low, word, high = text.partition(" to ")
        first = Amount("Nm").read(low)
        if not word:
            return None, None, first
        second = quantity_in(high, "Nm", shift=len(low) + len(word))
        if second < first:
            raise Refused("wrong-value", f"The band ends below its beginning: {plain(second)} Nm.", column=len(low) + 5)
        return first, second, None

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": ["2.0 Nm to 2.5 Nm", "1.2 Nm", "unknown"]}


@dataclass(frozen=True)
class ErrorOf(Sort):
    """An instrument's error, `3 % + 3 digits`, `5 %` or `2 digits`; read as percent and digits."""

    def read(self, text: str) -> tuple[Decimal, Decimal]:
        form = re.fullmatch(r"(?:(?P<pct>[0-9.]+) %)?(?: \+ )?(?:(?P<digits>[0-9.]+) digits?)?", text)
        if form is None or ("+" in text) is not (form["pct"] is not None and form["digits"] is not None):
            raise Refused("bad-quantity", f'"{cut(text)}" is not an error; write it as "3 % + 3 digits".')
        pct = quantity_in(f"{form['pct']} %", "%") if form["pct"] else Decimal(0)
        digits = quantity_in(f"{form['digits']} 1", "1") if form["digits"] else Decimal(0)
        return pct, digits

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": ["3 % + 3 digits"]}
