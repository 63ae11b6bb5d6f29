"""A stretch of numbers laid over cells, level steps or powers of ten, with round ends.

Must never: put a larger number to the left of a smaller one, or leave a number without a column.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import plain

_STEPS = (1, 2, 5, 10)
_FAR_APART = 60
"""Numbers further apart than this are shown by powers of ten even where level steps are usual (our figure)."""


@dataclass(frozen=True, slots=True)
class Scale:
    """From a low to a high end over a number of cells."""

    low: Decimal
    high: Decimal
    cells: int
    log: bool

    def column(self, value: Decimal) -> int:
        """Return the column of a number; one beyond an end stands at that end."""
        if value <= self.low:
            return 0
        if value >= self.high:
            return self.cells - 1
        if self.log:
            share = math.log(value / self.low) / math.log(self.high / self.low)
        else:
            share = float((value - self.low) / (self.high - self.low))
        return round(share * (self.cells - 1))

    @property
    def ends(self) -> tuple[str, str]:
        """The two ends in digits."""
        return plain(self.low), plain(self.high)


def scale_of(values: Iterable[Decimal], cells: int, *, log: bool) -> Scale:
    """Return a scale that holds all the numbers, with round ends."""
    found = sorted(values)
    above = [value for value in found if value > 0]
    if not above:
        low = found[0] if found else Decimal(0)
        return Scale(-_round_up(-low) if low < 0 else Decimal(0), Decimal(1), max(2, cells), False)
    if found[0] >= 0 and (log or above[-1] / above[0] > _FAR_APART):
        low, high = _round_down(above[0] * Decimal("0.8")), _round_up(above[-1] * Decimal("1.2"))
        return Scale(low, high, max(2, cells), True)
    low = -_round_up(-found[0]) if found[0] < 0 else Decimal(0)
    return Scale(low, _round_up(above[-1] * Decimal("1.1")), max(2, cells), False)


def _round_up(value: Decimal) -> Decimal:
    power = Decimal(1).scaleb(value.adjusted())
    return next(step * power for step in _STEPS if step * power >= value)


def _round_down(value: Decimal) -> Decimal:
    power = Decimal(1).scaleb(value.adjusted())
    return next(step * power for step in reversed(_STEPS) if step * power <= value)
