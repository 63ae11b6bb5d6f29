"""A judgement in words: the reading, what was expected, the limit, the margin and the outcome.

Numbers are rounded here only, for reading; a conductor is never called dead or safe.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics.figure import Figure, Unknown, said
from ferrule.engine.electrics.guard import Allowance, number_in
from ferrule.engine.electrics.laying import Laid
from ferrule.engine.electrics.limits import Compares, Guard, Outcome, Row
from ferrule.engine.quantity.exact import EXACT, plain
from ferrule.engine.quantity.interval import Interval, describe
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import UNITS, convert

_BEFORE = {CellState.OVER_RANGE: "> ", CellState.UNDER_RANGE: "< "}
_SPOKEN = {CellState.OVER_RANGE: "above ", CellState.UNDER_RANGE: "below "}
_EMPTY = {
    CellState.BLANK: "has been left blank",
    CellState.NOT_MEASURED: "was not measured",
    CellState.NOT_APPLICABLE: "does not apply here",
}
_GUARDS = {Guard.UNCERTAINTY: "instrument error", Guard.REPEATABILITY: "repeatability"}
_NO_GUARD = {
    Guard.UNCERTAINTY: "the instrument's error is not on its card",
    Guard.REPEATABILITY: "the step of the display is not on the card",
}


def unit_of(reading: Reading, row: Row) -> str:
    """The unit that the reading is spoken in: the row's, or its own where the row holds a plain ratio."""
    return reading.unit if row.compares is Compares.RATIO else row.unit


def amount(reading: Reading, row: Row) -> str:
    """The reading as plain decimals in its unit, with its bound sign; empty when it has no number."""
    if reading.value is None:
        return ""
    return _BEFORE.get(reading.state, "") + plain(number_in(reading, unit_of(reading, row)))


def limit(laid: Laid, row: Row) -> str:
    """What passes, exact, in the words of a limits file."""
    return " or ".join(describe(interval, row.unit) for interval in laid.passing())


def expected(reading: Reading, row: Row, figure: Figure | Unknown | None, second: Reading | None) -> str:
    """What the reading is compared with, rounded for reading; empty without it."""
    unit = unit_of(reading, row)
    if second is not None:
        return "" if second.value is None else _BEFORE.get(second.state, "") + plain(number_in(second, unit))
    if not isinstance(figure, Figure):
        return ""
    low, high = (said(convert(end, figure.unit, unit)) for end in (figure.low, figure.high))
    return low if low == high else f"{low} to {high}"


def _distance(laid: Laid | None, compared: Decimal | None) -> Decimal | None:
    """How far a number lies inside the passing ones (negative: outside); zero is no edge."""
    if laid is None or compared is None:
        return None
    passing = laid.passing()
    inside = next((interval for interval in passing if interval.contains(compared)), None)
    if inside is not None:
        low = None if inside.low is None or inside.low <= 0 else compared - inside.low
        high = None if inside.high is None else inside.high - compared
        return min((room for room in (low, high) if room is not None), default=None)
    ends = [end for interval in passing for end in (interval.low, interval.high) if end is not None]
    return -min(abs(compared - end) for end in ends) if ends else None


def margin(laid: Laid | None, compared: Decimal | None) -> str:
    """The distance inside the passing numbers as text, negative when outside; empty without one."""
    distance = _distance(laid, compared)
    return "" if distance is None else said(distance)


def guard(row: Row, allowed: Allowance | None) -> str:
    """The allowance as text; empty when there is none."""
    if row.guard is Guard.NONE or allowed is None or allowed.amount is None:
        return ""
    return said(allowed.amount.normalize(EXACT))


def _with_unit(number: str, unit: str) -> str:
    return f"{number} {UNITS[unit].shown}".rstrip()


def _subject(reading: Reading, row: Row) -> str:
    unit = unit_of(reading, row)
    number = plain(number_in(reading, unit))
    return f"{row.title} {_SPOKEN.get(reading.state, '')}{_with_unit(number, unit)}"


def against(row: Row, second: Reading | None) -> tuple[str, str]:
    """The words for what the reading is held against, and for the number that comes of it."""
    if row.compares is Compares.VALUE:
        return "expected", ""
    word = "difference" if row.compares is Compares.DIFFERENCE else "ratio"
    return ("expected" if second is None else "against"), word


def _limit_words(laid: Laid, row: Row) -> str:
    """The passing numbers for a sentence, with the figures behind them in brackets."""
    passing = laid.passing()
    if not passing:
        return "nothing passes"
    spoken = " or ".join(describe(_rounded(interval), row.unit, shown=True) for interval in passing)
    behind = [
        figure.put_in
        for figure in laid.figures
        if not figure.put_in.startswith(f"{said(figure.low)} {UNITS[figure.unit].shown}")
    ]
    return f"limit {spoken} ({'; '.join(behind)})" if behind else f"limit {spoken}"


def _rounded(interval: Interval) -> Interval:
    low = None if interval.low is None else Decimal(said(interval.low))
    high = None if interval.high is None else Decimal(said(interval.high))
    return Interval(low, interval.low_closed, high, interval.high_closed)


def _outcome(outcome: Outcome) -> str:
    return outcome.value.replace("-", " ")


def measured(
    reading: Reading,
    row: Row,
    laid: Laid,
    outcome: Outcome,
    *,
    compared: Decimal,
    against: tuple[str, str],
    held: str,
    allowed: Allowance | None,
) -> str:
    """The sentence for a number that was read and compared."""
    parts = [_subject(reading, row)]
    word, name = against
    if held:
        parts.append(f"{word} {_with_unit(held, unit_of(reading, row))}")
    if name:
        parts.append(f"{name} {_with_unit(said(compared), row.unit)}")
    parts.append(_limit_words(laid, row))
    distance = _distance(laid, compared)
    if distance is not None:
        sign = "margin" if distance >= 0 else "outside by"
        parts.append(f"{sign} {_with_unit(said(abs(distance)), row.unit)}")
    if row.guard is not Guard.NONE:
        room = guard(row, allowed)
        ceiling = " by the standard's ceiling" if allowed is not None and allowed.by_ceiling else ""
        words = f"{_GUARDS[row.guard]}{ceiling} {_with_unit(room, row.unit)}"
        parts.append(words if room else _NO_GUARD[row.guard])
    return f"{', '.join(parts)}: {_outcome(outcome)}."


def off_scale(reading: Reading, row: Row, laid: Laid, outcome: Outcome) -> str:
    """The sentence for a bound: it holds an outcome, or it leaves the question open."""
    start = f"{_subject(reading, row)}, {_limit_words(laid, row)}"
    if outcome is not Outcome.OVER_RANGE:
        return f"{start}: {_outcome(outcome)}."
    return f"{start}: off the scale, and the limit lies beyond what the instrument showed."


def no_size(reading: Reading, row: Row) -> str:
    """The sentence for a bound where a size is needed."""
    return f"{_subject(reading, row)}: off the scale, so there is no number to compare."


def not_known(reading: Reading, row: Row, reason: str) -> str:
    """The sentence for a judgement that lacks something; it never passes."""
    return f"{_subject(reading, row)}: {_outcome(Outcome.CONDITIONAL_FAIL)}, because it cannot be judged. {reason}"


def not_measured(reading: Reading, row: Row) -> str:
    """The sentence for a cell without a number."""
    return f"{row.title} {_EMPTY[reading.state]}: {_outcome(Outcome.NOT_MEASURED)}."
