"""One reading against one limits row: the outcome, and the sentence with the numbers put in.

Rules of this room
1. Numbers are compared exactly; nothing is rounded before a comparison, only for a sentence.
2. A reading off the scale is a bound.  It holds an outcome of a `value` row only when that outcome covers
   everything the bound allows; a difference or ratio with it does not exist.
3. A limit, a figure or an instrument's error that is not known never lets a reading pass.
4. The allowance for the instrument turns a pass or a fail near its edge into the conditional one, never
   further; a band that is conditional in the limits file stays what it is.

What is compared: `value` the reading; `difference` its distance from the other reading, or from the nearest
end of the expected figure (0 inside a band); `ratio` the other reading ÷ this one, or, without another, this
one ÷ the nearest end of the expected figure (1 inside a band).
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import sentence as words
from ferrule.engine.electrics.figure import Figure, Unknown
from ferrule.engine.electrics.guard import Allowance, allowance, number_in
from ferrule.engine.electrics.laying import FigureOf, Laid, lay
from ferrule.engine.electrics.limits import Compares, Outcome, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.electrics.verdict import Verdict
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import exact
from ferrule.engine.quantity.interval import Interval
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import convert

__all__ = ["Verdict", "judge"]

_OFF_SCALE = (CellState.OVER_RANGE, CellState.UNDER_RANGE)
_CONDITIONAL = {
    Outcome.PASS: Outcome.CONDITIONAL_PASS,
    Outcome.FAIL: Outcome.CONDITIONAL_FAIL,
}


@dataclass(frozen=True, slots=True)
class Case:
    """All that one judgement was asked about."""

    reading: Reading
    row: Row
    expected: Figure | Unknown | None
    other: Reading | None
    function: Function | None


def judge(
    reading: Reading,
    row: Row,
    *,
    figure_of: FigureOf,
    expected: Figure | Unknown | None,
    other: Reading | None = None,
    function: Function | None = None,
) -> Verdict:
    """What the reading shows against the row; `figure_of` gives the figures that its bounds name."""
    case = Case(reading, row, expected, other, function)
    with exact():
        return _judge(case, figure_of)


def _judge(case: Case, figure_of: FigureOf) -> Verdict:
    if case.reading.value is None:
        return _verdict(case, None, Outcome.NOT_MEASURED, words.not_measured(case.reading, case.row))
    off_scale = case.reading.state in _OFF_SCALE
    if off_scale and case.row.compares is not Compares.VALUE:
        return _verdict(case, None, Outcome.OVER_RANGE, words.no_size(case.reading, case.row))
    laid = lay(case.row, figure_of)
    if isinstance(laid, Unknown):
        return _unknown(case, None, laid.reason)
    if off_scale:
        return _off_scale(case, laid)
    compared = _compared(case)
    if isinstance(compared, str):
        return _unknown(case, laid, compared)
    return _measured(case, laid, compared)


def _unknown(case: Case, laid: Laid | None, reason: str) -> Verdict:
    text = words.not_known(case.reading, case.row, reason)
    return _verdict(case, laid, Outcome.CONDITIONAL_FAIL, text)


def _off_scale(case: Case, laid: Laid) -> Verdict:
    """The outcome that covers all numbers beyond the end of the range, else over-range."""
    end = number_in(case.reading, case.row.unit)
    if case.reading.state is CellState.OVER_RANGE:
        stretch = Interval(end, True, None, False)
    else:
        stretch = Interval(min(Decimal(0), end), True, end, False)
    outcome = laid.only_outcome(stretch) or Outcome.OVER_RANGE
    return _verdict(case, laid, outcome, words.off_scale(case.reading, case.row, laid, outcome))


def _compared(case: Case) -> Decimal | str:
    """The number that the bands are laid over, or the reason that there is none."""
    number = number_in(case.reading, words.unit_of(case.reading, case.row))
    if case.row.compares is Compares.VALUE:
        return number
    if case.other is not None:
        if case.other.state is not CellState.VALUE:
            return "The other reading is not a plain number."
        if case.row.compares is Compares.DIFFERENCE:
            return abs(number - number_in(case.other, case.row.unit))
        if number == 0:
            return "A ratio to a reading of zero does not exist."
        return number_in(case.other, case.reading.unit) / number
    if case.expected is None:
        return "There is nothing to compare the reading with."
    if isinstance(case.expected, Unknown):
        return case.expected.reason
    return _from_expected(case, case.expected, number)


def _from_expected(case: Case, expected: Figure, number: Decimal) -> Decimal | str:
    unit = words.unit_of(case.reading, case.row)
    low, high = (convert(end, expected.unit, unit) for end in (expected.low, expected.high))
    nearest = min(max(number, low), high)
    if case.row.compares is Compares.DIFFERENCE:
        return abs(number - nearest)
    if nearest == number:
        return Decimal(1)
    return "A ratio to an expected zero does not exist." if nearest == 0 else number / nearest


def _measured(case: Case, laid: Laid, compared: Decimal) -> Verdict:
    plain_outcome = laid.outcome_of(compared)
    if plain_outcome is None:
        return _unknown(case, laid, "No band of the limits row holds this number.")
    second = case.other if case.row.compares is not Compares.VALUE else None
    allowed = allowance(case.row, compared, case.reading, second, case.function)
    outcome = _guarded(laid, plain_outcome, allowed)
    text = words.measured(
        case.reading,
        case.row,
        laid,
        outcome,
        compared=compared,
        against=words.against(case.row, second),
        held=words.expected(case.reading, case.row, case.expected, second),
        allowed=allowed,
    )
    return _verdict(case, laid, outcome, text, compared=compared, allowed=allowed)


def _guarded(laid: Laid, outcome: Outcome, allowed: Allowance | None) -> Outcome:
    """The outcome once the instrument's allowance is taken into account."""
    if allowed is None:
        return Outcome.CONDITIONAL_PASS if outcome is Outcome.PASS else outcome
    if outcome not in _CONDITIONAL or laid.only_outcome(allowed.stretch) is outcome:
        return outcome
    return _CONDITIONAL[outcome]


def _verdict(
    case: Case,
    laid: Laid | None,
    outcome: Outcome,
    text: str,
    *,
    compared: Decimal | None = None,
    allowed: Allowance | None = None,
) -> Verdict:
    row = case.row
    second = case.other if row.compares is not Compares.VALUE else None
    figures = [*(laid.figures if laid else ())]
    if isinstance(case.expected, Figure) and second is None:
        figures.append(case.expected)
    return Verdict(
        outcome=outcome,
        row=row.id,
        value=words.amount(case.reading, row),
        unit=words.unit_of(case.reading, row),
        limit=words.limit(laid, row) if laid else "",
        expected=words.expected(case.reading, row, case.expected, second),
        margin=words.margin(laid, compared),
        guard=words.guard(row, allowed),
        sentence=text,
        source="; ".join(dict.fromkeys([f"{row.source} ({row.basis})", *(figure.source for figure in figures)])),
        assumed=tuple(dict.fromkeys(field for figure in figures for field in figure.assumed)),
        reads=tuple(dict.fromkeys(key for figure in figures for key in figure.reads)),
    )
