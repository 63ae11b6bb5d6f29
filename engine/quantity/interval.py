"""Open and closed intervals of exact numbers, and the words that write them.

For: the bands of a limits row: what they hold, where none holds, where two hold.
Must never: round, or guess on which side of a bound an end lies.

The words: `any`, `exactly X`, `up to X`, `below X`, `from X`, `above X`, and `from X` or `above X` followed
by `up to Y` or `to below Y`. `from`, `up to` and `exactly` hold their number; `above` and `below` do not.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.quantity import Quantity, parse_quantity
from ferrule.engine.quantity.units import UNITS


@dataclass(frozen=True, slots=True)
class Interval:
    """All numbers from low to high; None is no bound, and an end that is not closed is left out."""

    low: Decimal | None
    low_closed: bool
    high: Decimal | None
    high_closed: bool

    def __post_init__(self) -> None:
        if (self.low is None and self.low_closed) or (self.high is None and self.high_closed):
            raise ValueError("An end without a bound is open.")
        if any(end is not None and not end.is_finite() for end in (self.low, self.high)):
            raise ValueError("The bounds of an interval are finite numbers, or None.")

    def contains(self, value: Decimal) -> bool:
        """True when the number lies in the interval."""
        above = self.low is None or value > self.low or (self.low_closed and value == self.low)
        below = self.high is None or value < self.high or (self.high_closed and value == self.high)
        return above and below

    @property
    def is_empty(self) -> bool:
        """True when no number lies in the interval."""
        if self.low is None or self.high is None:
            return False
        return self.low > self.high or (self.low == self.high and not (self.low_closed and self.high_closed))

    def intersect(self, other: Interval) -> Interval:
        """The numbers that lie in both; it may be empty."""
        low = max((self.low, self.low_closed), (other.low, other.low_closed), key=_low_order)
        high = min((self.high, self.high_closed), (other.high, other.high_closed), key=_high_order)
        return Interval(*low, *high)


ANY = Interval(None, False, None, False)
"""Every number."""


def _low_order(end: tuple[Decimal | None, bool]) -> tuple[bool, Decimal, bool]:
    """Sorts lower ends: no bound first, and at the same number the closed one first."""
    bound, closed = end
    return (bound is not None, bound if bound is not None else Decimal(0), not closed)


def _high_order(end: tuple[Decimal | None, bool]) -> tuple[bool, Decimal, bool]:
    """Sorts upper ends: no bound last, and at the same number the closed one last."""
    bound, closed = end
    return (bound is None, bound if bound is not None else Decimal(0), closed)


def _without(whole: Interval, taken: Interval) -> tuple[Interval, ...]:
    """The parts of `whole` that lie outside `taken`, from low to high."""
    if taken.is_empty:
        return (whole,)
    parts = []
    if taken.low is not None:
        parts.append(whole.intersect(Interval(None, False, taken.low, not taken.low_closed)))
    if taken.high is not None:
        parts.append(whole.intersect(Interval(taken.high, not taken.high_closed, None, False)))
    return tuple(part for part in parts if not part.is_empty)


def gaps(intervals: Iterable[Interval], within: Interval) -> tuple[Interval, ...]:
    """The parts of `within` that no interval holds, from low to high."""
    left: tuple[Interval, ...] = () if within.is_empty else (within,)
    for taken in intervals:
        left = tuple(part for whole in left for part in _without(whole, taken))
    return left


def overlaps(intervals: Sequence[Interval]) -> tuple[tuple[int, int, Interval], ...]:
    """Each pair of positions whose intervals share numbers, with the numbers that they share."""
    return tuple(
        (first, second, shared)
        for first in range(len(intervals))
        for second in range(first + 1, len(intervals))
        if not (shared := intervals[first].intersect(intervals[second])).is_empty
    )


_FORM = re.compile(
    r"(?:exactly (?P<point>.*)"
    r"|(?P<low_word>from|above) (?P<low>.*?)(?: (?P<then>up to|to below|to) (?P<then_high>.*))?"
    r"|(?P<high_word>up to|below) (?P<high>.*))",
    re.DOTALL,
)

_WORDS = "Write any, exactly X, up to X, below X, from X, above X, or from X to below Y."


def parse_interval(text: str) -> tuple[Interval, str]:
    """The interval that the words write and its unit (empty for `any`); QuantityError with the column."""
    if text == "any":
        return ANY, ""
    form = _FORM.fullmatch(text)
    if form is None:
        raise QuantityError(f"These words do not say which numbers are meant. {_WORDS}", text)
    if form["point"] is not None:
        point = _bound(text, form, "point")
        return Interval(point.value, True, point.value, True), point.unit
    if form["high_word"] is not None:
        high = _bound(text, form, "high")
        return Interval(None, False, high.value, form["high_word"] == "up to"), high.unit
    low = _bound(text, form, "low")
    if form["then"] is None:
        return Interval(low.value, form["low_word"] == "from", None, False), low.unit
    return _two_ended(text, form, low), low.unit


def _two_ended(text: str, form: re.Match[str], low: Quantity) -> Interval:
    if form["then"] == "to":
        message = 'Does the upper end belong to it? Write "up to" if it does and "to below" if not.'
        raise QuantityError(message, text, form.start("then") + 1)
    high = _bound(text, form, "then_high")
    column = form.start("then_high") + 1
    if high.unit != low.unit:
        raise QuantityError(f"Both ends want one unit, not {low.unit} and {high.unit}.", text, column)
    made = Interval(low.value, form["low_word"] == "from", high.value, form["then"] == "up to")
    if made.is_empty:
        raise QuantityError("No number lies between these two ends.", text, column)
    return made


def _bound(text: str, form: re.Match[str], group: str) -> Quantity:
    """The quantity in one part of the words, its fault moved to the column in the whole text."""
    try:
        return parse_quantity(form[group])
    except QuantityError as fault:
        raise QuantityError(str(fault), text, form.start(group) + fault.column) from None


def describe(interval: Interval, unit: str, *, shown: bool = False) -> str:
    """The interval in the words that parse_interval reads; `shown` writes the unit's sign for a screen."""
    if interval.is_empty:
        return "no number"
    if interval.low is not None and interval.low == interval.high:
        return f"exactly {_amount(interval.low, unit, shown)}"
    low, high = "", ""
    if interval.low is not None:
        low = f"{'from' if interval.low_closed else 'above'} {_amount(interval.low, unit, shown)}"
    if interval.high is not None:
        word = "up to" if interval.high_closed else ("to below" if low else "below")
        high = f"{word} {_amount(interval.high, unit, shown)}"
    return f"{low} {high}".strip() or "any"


def _amount(value: Decimal, unit: str, shown: bool) -> str:
    sign = UNITS[unit].shown if shown else unit
    return f"{plain(value)} {sign}".rstrip()
