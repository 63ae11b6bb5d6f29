"""What holds for every card and every reading, tried on many."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.electrics import ring, torque
from ferrule.engine.electrics.bands import check_row
from ferrule.engine.electrics.figure import Unknown
from ferrule.engine.electrics.judge import judge
from ferrule.engine.electrics.laying import Laid, joined, lay
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, Outcome, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.electrics.tables import MOHM_PER_M
from ferrule.engine.quantity.interval import Interval
from ferrule.engine.quantity.reading import Reading

QUICK = settings(max_examples=60, derandomize=True, deadline=None)


def tenths(low: int, high: int, places: int = 2) -> st.SearchStrategy[Decimal]:
    """Numbers with a fixed count of decimals."""
    return st.integers(low, high).map(lambda steps: Decimal(steps).scaleb(-places))


OHMS = tenths(1, 300)
SHARES = tenths(0, 100)
OUTCOMES = st.sampled_from([Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_FAIL, Outcome.FAIL])
WORST_FIRST = [Outcome.FAIL, Outcome.CONDITIONAL_FAIL, Outcome.CONDITIONAL_PASS, Outcome.PASS]


@st.composite
def rows(draw: st.DrawFn) -> Row:
    """Rows whose bands cut the whole line at up to four numbers, each cut closed on one side."""
    cuts = sorted(draw(st.sets(tenths(1, 200), max_size=4)))
    closed = [draw(st.booleans()) for _ in cuts]
    lows: list[Bound | None] = [None, *(Bound(cut, "", not c) for cut, c in zip(cuts, closed, strict=True))]
    highs: list[Bound | None] = [*(Bound(cut, "", c) for cut, c in zip(cuts, closed, strict=True)), None]
    bands = tuple(Band(draw(OUTCOMES), low, high, "") for low, high in zip(lows, highs, strict=True))
    return Row("r", "R", "ohm", Compares.VALUE, bands, Guard.UNCERTAINTY, False, "own", "common practice")


def outcome(reading: Reading, limits: Row, function: Function | None = None) -> Outcome:
    """The outcome of a reading against a row without figures."""
    return judge(reading, limits, figure_of=no_figure, expected=None, function=function).outcome


def no_figure(name: str) -> Unknown:
    """For rows whose bounds are all numbers."""
    raise AssertionError(name)


def passing(limits: Row) -> tuple[Interval, ...]:
    """The stretches of numbers that pass."""
    laid = lay(limits, no_figure)
    assert isinstance(laid, Laid)
    return laid.passing()


def meter(digits: int) -> Function:
    """An instrument of 0.01 Ω with an error of so many digits."""
    return Function("f", "ohm", Decimal("0.01"), None, None, Decimal(0), Decimal(digits), "own")


def plain(value: Decimal) -> Reading:
    """A reading with two decimals."""
    return Reading.measured(value, "ohm", resolution=Decimal("0.01"))


@QUICK
@given(tenths(0, 10_000), tenths(0, 10_000), st.sampled_from(sorted(MOHM_PER_M)))
def test_resistance_grows_with_length(one: Decimal, other: Decimal, size: Decimal) -> None:
    """The longer cable never has the smaller resistance, and the length is found back from it."""
    per_m = MOHM_PER_M[size].value
    near, far = sorted((one, other))

    assert ring.conductor_ohm(near, per_m) <= ring.conductor_ohm(far, per_m)
    assert abs(ring.length_from_ohm(ring.conductor_ohm(far, per_m), per_m) - far) < Decimal("1e-20")


@QUICK
@given(OHMS, OHMS, SHARES)
def test_step_three_lies_in_its_band(r1: Decimal, r2: Decimal, share: Decimal) -> None:
    """Everywhere on the ring from r1·r2/(r1 + r2) to (r1 + r2)/4, alike from both ends."""
    here = ring.crossed_at(r1, r2, share)
    tiny = Decimal("1e-20")

    assert ring.crossed_board(r1, r2) - tiny <= here <= ring.crossed_mid(r1, r2) + tiny
    assert abs(here - ring.crossed_at(r1, r2, 1 - share)) < tiny
    assert ring.joined_at(r1 + r2, share) <= here + tiny


@QUICK
@given(OHMS, SHARES)
def test_step_two_of_equal_conductors_is_the_same_everywhere(r1: Decimal, share: Decimal) -> None:
    """With r1 = rn, each socket reads (r1 + rn)/4."""
    assert abs(ring.crossed_at(r1, r1, share) - ring.crossed_mid(r1, r1)) < Decimal("1e-20")


@QUICK
@given(rows(), tenths(0, 250), st.integers(0, 20))
def test_guard_only_makes_outcomes_conditional(limits: Row, value: Decimal, digits: int) -> None:
    """A guard never turns a fail into a pass, nor a pass into a fail; it changes each only to its conditional."""
    bare = outcome(plain(value), replace(limits, guard=Guard.NONE))
    guarded = outcome(plain(value), limits, meter(digits))
    softened = {Outcome.PASS: Outcome.CONDITIONAL_PASS, Outcome.FAIL: Outcome.CONDITIONAL_FAIL}

    assert guarded in (bare, softened.get(bare))
    assert not (bare is Outcome.FAIL and guarded in (Outcome.PASS, Outcome.CONDITIONAL_PASS))


@QUICK
@given(rows(), tenths(0, 250), st.integers(0, 20), st.integers(0, 20))
def test_guard_widens_with_the_error(limits: Row, value: Decimal, one: int, other: int) -> None:
    """What is a clear pass or fail with the worse instrument is one with the better."""
    better, worse = sorted((one, other))
    clear = outcome(plain(value), limits, meter(worse))

    if clear in (Outcome.PASS, Outcome.FAIL):
        assert outcome(plain(value), limits, meter(better)) is clear


@QUICK
@given(rows(), tenths(1, 250), tenths(0, 250))
def test_a_bound_holds_for_every_number_it_allows(limits: Row, end: Decimal, beyond: Decimal) -> None:
    """When "above r" has an outcome, every reading above r has it too."""
    bare = replace(limits, guard=Guard.NONE)
    held = outcome(Reading.over_range(end, "ohm"), bare)

    if held is not Outcome.OVER_RANGE:
        assert outcome(plain(end + beyond), bare) is held


@QUICK
@given(rows(), tenths(0, 250))
def test_cut_lines_have_no_trouble_and_one_outcome(limits: Row, value: Decimal) -> None:
    """A line cut at numbers has neither gap nor overlap, and the passing stretches are those that pass."""
    assert check_row(limits) == ()
    passes = any(interval.contains(value) for interval in passing(limits))

    assert passes == (outcome(plain(value), replace(limits, guard=Guard.NONE)) is Outcome.PASS)


@QUICK
@given(rows())
def test_passing_stretches_do_not_touch(limits: Row) -> None:
    """Bands that touch are told as one stretch, so a margin never stops at an inner edge."""
    for first, second in pairwise(passing(limits)):
        assert first.high is not None
        assert second.low is not None
        assert first.high < second.low or not (first.high_closed or second.low_closed)


def test_stretches_that_leave_a_number_out_stay_two() -> None:
    """Below 1 and above 1 are two stretches, because 1 is in neither; up to 1 and above 1 are one."""
    one = Decimal(1)
    below, above = Interval(None, False, one, False), Interval(one, False, None, False)

    assert joined([above, below]) == (below, above)
    assert joined([above, Interval(None, False, one, True)]) == (Interval(None, False, None, False),)


@QUICK
@given(tenths(10, 400, 1), tenths(0, 100, 1), tenths(1, 100, 1), tenths(1, 10, 1))
def test_marks_inside_a_band_are_all_the_marks_inside(
    low: Decimal, width: Decimal, first: Decimal, step: Decimal
) -> None:
    """Counting marks one by one from the lowest finds the same ones."""
    high, last = low + width, first + 40 * step
    slow = [first + count * step for count in range(41)]
    inside = tuple(mark for mark in slow if low <= mark <= high)

    marks = torque.marks_inside(low, high, first_nm=first, last_nm=last, step_nm=step)

    assert marks == inside
    if marks:
        chosen = torque.nearest_middle(marks, low, high)
        assert all(abs(2 * chosen - low - high) <= abs(2 * mark - low - high) for mark in marks)
