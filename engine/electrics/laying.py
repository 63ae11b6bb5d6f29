"""The bands of a limits row laid over numbers: figures replaced by their values, outcomes looked up.

Limits are never rounded here.  A bound that is not known makes the whole row unknown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal

from ferrule.engine.electrics.figure import Figure, Unknown
from ferrule.engine.electrics.limits import Bound, Outcome, Row
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.interval import Interval, gaps
from ferrule.engine.quantity.units import convert

FigureOf = Callable[[str], Figure | Unknown]


@dataclass(frozen=True, slots=True)
class Laid:
    """A row with numbers for all its bounds, and the figures that gave them."""

    bands: tuple[tuple[Outcome, Interval], ...]
    figures: tuple[Figure, ...]

    def outcome_of(self, value: Decimal) -> Outcome | None:
        """The outcome whose band holds the number; None in a gap."""
        return next((outcome for outcome, band in self.bands if band.contains(value)), None)

    def only_outcome(self, stretch: Interval) -> Outcome | None:
        """The one outcome that holds for every number of the stretch; None when there is no such one."""
        touched = {outcome for outcome, band in self.bands if not band.intersect(stretch).is_empty}
        if len(touched) != 1 or gaps([band for _, band in self.bands], stretch):
            return None
        return touched.pop()

    def passing(self) -> tuple[Interval, ...]:
        """The numbers that pass, with bands that touch joined into one."""
        return joined(band for outcome, band in self.bands if outcome is Outcome.PASS)


def lay(row: Row, figure_of: FigureOf) -> Laid | Unknown:
    """The row with its figures put in, or the first figure that is not known."""
    used: dict[str, Figure] = {}
    for band in row.bands:
        for bound in (band.low, band.high):
            if bound is None or bound.value is not None or bound.figure in used:
                continue
            figure = figure_of(bound.figure)
            if isinstance(figure, Unknown):
                return figure
            if figure.low != figure.high:
                return Unknown(bound.figure, f"The figure {bound.figure} is a band here, not one number.")
            used[bound.figure] = figure
    bands = tuple((band.outcome, _interval(band.low, band.high, row.unit, used)) for band in row.bands)
    return Laid(bands, tuple(used.values()))


def _interval(low: Bound | None, high: Bound | None, unit: str, used: dict[str, Figure]) -> Interval:
    return Interval(
        None if low is None else _number(low, unit, used),
        low is not None and low.closed,
        None if high is None else _number(high, unit, used),
        high is not None and high.closed,
    )


def _number(bound: Bound, unit: str, used: dict[str, Figure]) -> Decimal:
    if bound.value is not None:
        return bound.value
    figure = used[bound.figure]
    return convert(figure.value, figure.unit, unit)


def joined(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """The same numbers in as few intervals as possible, from low to high."""
    result: list[Interval] = []
    for interval in sorted((item for item in intervals if not item.is_empty), key=_low_order):
        if result and _touch(result[-1], interval):
            result[-1] = _union(result[-1], interval)
        else:
            result.append(interval)
    return tuple(result)


def _low_order(interval: Interval) -> tuple[bool, Decimal, bool]:
    return interval.low is not None, interval.low or Decimal(0), not interval.low_closed


def _touch(first: Interval, second: Interval) -> bool:
    """True when no number lies between two intervals, the first of which begins no later."""
    if first.high is None or second.low is None:
        return True
    return second.low < first.high or (second.low == first.high and (first.high_closed or second.low_closed))


def _union(first: Interval, second: Interval) -> Interval:
    if first.high is None or second.high is None:
        return Interval(first.low, first.low_closed, None, False)
    high, closed = max((first.high, first.high_closed), (second.high, second.high_closed))
    return Interval(first.low, first.low_closed, high, closed)
