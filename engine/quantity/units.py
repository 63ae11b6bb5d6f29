"""The table of units, and exact conversion inside one kind.

For: files, limits and readings, which name a unit by the symbol in this table and no other way.
Must never: convert between kinds, or guess a unit from its spelling.
"""

from __future__ import annotations

from decimal import Context, Decimal, Inexact

from ferrule.engine.findings import nearest
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import EXACT, PRECISION, plain


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its symbol in files, on screen and in ASCII, its kind, and its size in the kind's base unit."""

    symbol: str
    shown: str
    ascii: str
    kind: str
    factor: Decimal


def _unit(symbol: str, shown: str, kind: str, factor: str, plain_letters: str = "") -> Unit:
    return Unit(symbol, shown, plain_letters or symbol, kind, Decimal(factor))


UNITS: dict[str, Unit] = {
    unit.symbol: unit
    for unit in (
        # Prefixes milli, centi, kilo, mega: exact by definition, SI Brochure table 7 (from memory).
        _unit("ohm", "Ω", "resistance", "1"),
        _unit("mohm", "mΩ", "resistance", "0.001"),
        _unit("kohm", "kΩ", "resistance", "1000"),
        _unit("Mohm", "MΩ", "resistance", "1000000"),
        _unit("mohm/m", "mΩ/m", "resistance per length", "0.001"),
        _unit("V", "V", "voltage", "1"),
        _unit("mV", "mV", "voltage", "0.001"),
        _unit("A", "A", "current", "1"),
        _unit("mA", "mA", "current", "0.001"),
        _unit("kA", "kA", "current", "1000"),
        # Minute, hour and day: exact, SI Brochure table 8 (from memory).
        _unit("s", "s", "time", "1"),
        _unit("ms", "ms", "time", "0.001"),
        _unit("min", "min", "time", "60"),
        _unit("h", "h", "time", "3600"),
        _unit("days", "days", "time", "86400"),
        _unit("m", "m", "length", "1"),
        _unit("mm", "mm", "length", "0.001"),
        _unit("mm2", "mm²", "area", "0.000001"),
        _unit("Nm", "N·m", "torque", "1", "N.m"),
        _unit("cNm", "cN·m", "torque", "0.01", "cN.m"),
        # 1 lbf = 4.4482216152605 N and 1 in = 0.0254 m, both exact: NIST SP 811 (from memory).
        _unit("lbfin", "lbf·in", "torque", "0.1129848290276167", "lbf.in"),
        _unit("C", "°C", "temperature", "1", "deg C"),
        _unit("1", "", "ratio", "1"),
        _unit("%", "%", "ratio", "0.01"),
        _unit("Hz", "Hz", "frequency", "1"),
        _unit("W", "W", "power", "1"),
        _unit("kW", "kW", "power", "1000"),
    )
}
"""Every unit by its symbol in files. One kind has one base unit, the one whose factor is 1 (area: m²)."""

_WIDE = Context(prec=4 * PRECISION, traps=[*(trap for trap, on in EXACT.traps.items() if on), Inexact])
"""Room for every exact product and quotient; a quotient that does not end raises Inexact."""

_LONGEST_NAMED = 20
"""A longer text that stands for a unit is cut in the message."""


def find_unit(symbol: str) -> Unit | None:
    """The unit with this symbol, or None; upper and lower case matter, because mohm is not Mohm."""
    return UNITS.get(symbol)


def unknown_unit(symbol: str) -> str:
    """The sentence that says that a symbol is no unit, with the spellings that may have been meant."""
    same = [known for known in UNITS if known.casefold() == symbol.casefold()]
    by_sign = [unit.symbol for unit in UNITS.values() if symbol and symbol in (unit.shown, unit.ascii)]
    near = nearest(symbol, UNITS)
    meant = same or by_sign or ([near] if near else [])
    named = symbol if len(symbol) <= _LONGEST_NAMED else f"{symbol[:_LONGEST_NAMED]}…"
    if not meant:
        return f'"{named}" is not a unit that ferrule knows; the units are: {", ".join(UNITS)}.'
    choices = " or ".join(f'"{known}"' for known in meant)
    return f'"{named}" is not a unit that ferrule knows; write {choices}, in just these letters.'


def convert(value: Decimal, from_unit: str, to_unit: str) -> Decimal:
    """The value in the other unit, exact where the quotient ends, else rounded half-even to 28 digits."""
    text = f"{plain(value)} {from_unit}"
    column = len(plain(value)) + 2
    source, target = find_unit(from_unit), find_unit(to_unit)
    if source is None or target is None:
        raise QuantityError(unknown_unit(from_unit if source is None else to_unit), text, column)
    if source.kind != target.kind:
        message = f"{from_unit} is a unit of {source.kind}; {to_unit} is a unit of {target.kind}."
        raise QuantityError(message, text, column)
    if source.symbol == target.symbol:
        return value
    product = _WIDE.multiply(value, source.factor)
    try:
        result = _WIDE.divide(product, target.factor)
    except Inexact:
        result = EXACT.divide(product, target.factor)
    return Decimal(plain(result.normalize(_WIDE)))
