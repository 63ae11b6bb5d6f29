"""How far the instrument may be off: the allowance that a limits row asks for.

Two rules, fixed in the limits file before anything is measured (JCGM 106, ILAC-G8:09/2019 4.2.3):

- `uncertainty`: U = |reading| × error in percent ÷ 100 + error in digits × resolution, from the function's card.
  Where no card says how far the instrument may be off, the standard's ceiling stands in: ±30 % for ohms and
  megohms, 10 % for a trip time (IEC 61557; see uncertainty).
- `repeatability`: one digit of the display, half of it for each of two numbers.
  For a difference or a ratio of readings with one instrument, range and null.  The parts of the operating
  error that IEC 61557-1 names (position, temperature, battery) stay the same between such readings and drop
  out of the comparison; what stays is the step of the display.  Common practice; no published figure was found.

Nothing here knows a limit.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from ferrule.engine.electrics.limits import Compares, Guard, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.electrics.uncertainty import CEILING_PCT
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.interval import Interval
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.quantity.units import UNITS, convert

_HUNDRED = Decimal(100)
_HALF = Decimal("0.5")
_CEILINGS = {"resistance": CEILING_PCT["low resistance"], "time": CEILING_PCT["residual time"]}
"""The ceiling by the kind of unit; insulation, loop and continuity share one."""


@dataclass(frozen=True, slots=True)
class Allowance:
    """The stretch that the true number may lie in, and how far that is from the number shown."""

    stretch: Interval
    amount: Decimal | None
    """Largest distance from the number shown; None when it has no end."""
    by_ceiling: bool = False
    """True when the instrument's card is missing and the standard's ceiling stands in."""


def allowance(
    row: Row, compared: Decimal, first: Reading, second: Reading | None, function: Function | None
) -> Allowance | None:
    """The allowance round a compared number; None when the row wants one and the instrument's card has none.

    `first` is the reading judged; `second` the other one, when the row compares two readings.
    """
    if row.guard is Guard.NONE:
        return _round(compared, Decimal(0))
    off_first = _off(row, first, function, alone=second is None)
    off_second = Decimal(0) if second is None else _off(row, second, function, alone=False)
    if off_first is None or off_second is None:
        return None
    if row.compares is Compares.RATIO:
        made = _ratio(compared, first, off_first, second, off_second)
    else:
        made = _round(compared, off_first + off_second)
    return replace(made, by_ceiling=row.guard is Guard.UNCERTAINTY and function is None)


def number_in(reading: Reading, unit: str) -> Decimal:
    """The reading's number in a unit; for readings that have one."""
    if reading.value is None:
        raise ValueError("this reading has no number")
    return convert(reading.value, reading.unit, unit)


def _off(row: Row, reading: Reading, function: Function | None, *, alone: bool) -> Decimal | None:
    """How far one reading may be off, in the reading's own unit turned into the compared one."""
    unit = reading.unit if row.compares is Compares.RATIO else row.unit
    if row.guard is Guard.UNCERTAINTY:
        if function is None:
            ceiling = _CEILINGS.get(UNITS[unit].kind)
            return None if ceiling is None else abs(number_in(reading, unit)) * ceiling.value / _HUNDRED
        step = convert(function.resolution, function.unit, unit)
        return abs(number_in(reading, unit)) * function.error_pct / _HUNDRED + function.error_digits * step
    if reading.resolution is not None:
        step = convert(reading.resolution, reading.unit, unit)
    elif function is not None:
        step = convert(function.resolution, function.unit, unit)
    else:
        return None
    return step if alone else step * _HALF


def _round(compared: Decimal, off: Decimal) -> Allowance:
    """The stretch `off` to either side; a number that cannot be below zero is not taken below it."""
    low = compared - off
    if compared >= 0:
        low = max(low, Decimal(0))
    return Allowance(Interval(low, True, compared + off, True), off)


def _ratio(
    compared: Decimal,
    first: Reading,
    off_first: Decimal,
    second: Reading | None,
    off_second: Decimal,
) -> Allowance:
    """The stretch of a ratio when both its parts move as far as they may."""
    below = number_in(first, first.unit)
    if second is None:
        # The ratio is reading ÷ expected, so it moves in proportion with the reading.
        return _round(compared, compared * off_first / below if below else Decimal(0))
    above = number_in(second, first.unit)
    off_second = convert(off_second, second.unit, first.unit)
    low = max(above - off_second, Decimal(0)) / (below + off_first)
    if below <= off_first:
        return Allowance(Interval(low, True, None, False), None)
    high = (above + off_second) / (below - off_first)
    return Allowance(Interval(low, True, high, True), max(high - compared, compared - low))
