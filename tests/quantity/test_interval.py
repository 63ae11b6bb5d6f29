"""What holds for intervals: the laws of sets, gaps and overlaps, and the words that write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.quantity.interval import ANY, Interval, describe, gaps, overlaps, parse_interval
from ferrule.engine.quantity.quantity import QuantityError

ENDS = st.none() | st.integers(0, 6).map(Decimal)
INTERVALS = st.builds(
    lambda low, low_closed, high, high_closed: Interval(
        low, low_closed and low is not None, high, high_closed and high is not None
    ),
    ENDS,
    st.booleans(),
    ENDS,
    st.booleans(),
)
PROBES = [Decimal(step) / 2 for step in range(-3, 16)]
"""With whole ends from 0 to 6, two intervals that agree on each of these numbers are the same set."""

LAWS = settings(max_examples=120, derandomize=True)


def points(interval: Interval) -> set[Decimal]:
    """The probes that lie in an interval."""
    return {probe for probe in PROBES if interval.contains(probe)}


@LAWS
@given(INTERVALS)
def test_an_interval_is_empty_when_it_holds_nothing(one: Interval) -> None:
    """is_empty and contains tell the same."""
    assert one.is_empty == (points(one) == set())


@LAWS
@given(INTERVALS, INTERVALS, INTERVALS)
def test_the_laws_of_intersection(one: Interval, two: Interval, three: Interval) -> None:
    """What lies in both lies in each; order and grouping do not matter."""
    both = one.intersect(two)

    assert points(both) == points(one) & points(two)
    assert points(two.intersect(one)) == points(both)
    assert points(both.intersect(three)) == points(one.intersect(two.intersect(three)))
    assert one.intersect(one) == one
    assert one.intersect(ANY) == one


@LAWS
@given(st.lists(INTERVALS, max_size=4), INTERVALS)
def test_gaps_are_just_what_is_left(bands: list[Interval], within: Interval) -> None:
    """Bands and gaps together fill the whole, share nothing, and no gap is empty."""
    left = gaps(bands, within)
    covered = set().union(*map(points, bands))

    assert set().union(*map(points, left)) == points(within) - covered
    assert sum(len(points(gap)) for gap in left) == len(points(within) - covered)
    assert not any(gap.is_empty for gap in left)
    assert gaps([*bands, *left], within) == ()
    assert sorted(left, key=lambda gap: min(points(gap))) == list(left)


@LAWS
@given(st.lists(INTERVALS, max_size=4))
def test_overlaps_are_just_what_two_bands_share(bands: list[Interval]) -> None:
    """Each pair that shares a number is told once, with what it shares."""
    told = {(first, second): points(shared) for first, second, shared in overlaps(bands)}
    expect = {
        (first, second): points(bands[first]) & points(bands[second])
        for first in range(len(bands))
        for second in range(first + 1, len(bands))
        if points(bands[first]) & points(bands[second])
    }

    assert told == expect


def test_a_gap_of_one_number_is_found() -> None:
    """Between "below 0.05" and "above 0.05" just 0.05 is missing."""
    bands = [parse_interval("below 0.05 ohm")[0], parse_interval("above 0.05 ohm")[0]]
    (gap,) = gaps(bands, ANY)

    assert describe(gap, "ohm") == "exactly 0.05 ohm"
    assert overlaps(bands) == ()


def test_an_overlap_of_one_number_is_found() -> None:
    """ "up to 0.05" and "from 0.05" both hold 0.05."""
    bands = [parse_interval("up to 0.05 ohm")[0], parse_interval("from 0.05 ohm")[0]]
    ((first, second, shared),) = overlaps(bands)

    assert (first, second, describe(shared, "ohm")) == (0, 1, "exactly 0.05 ohm")
    assert gaps(bands, ANY) == ()


@pytest.mark.parametrize(
    ("low", "low_closed", "high", "high_closed"),
    [(None, True, None, False), (None, False, None, True), (Decimal("NaN"), True, None, False)],
)
def test_an_end_without_a_bound_is_open(
    low: Decimal | None, low_closed: bool, high: Decimal | None, high_closed: bool
) -> None:
    """There is one way to write each interval without bounds, so equal sets are equal values."""
    with pytest.raises(ValueError):
        Interval(low, low_closed, high, high_closed)


WORDS = [
    ("any", None, False, None, False),
    ("exactly 5 V", "5", True, "5", True),
    ("up to 0.05 V", None, False, "0.05", True),
    ("below 0.05 V", None, False, "0.05", False),
    ("from 1.00 V", "1.00", True, None, False),
    ("above 1 V", "1", False, None, False),
    ("from 1 V up to 2 V", "1", True, "2", True),
    ("from 1 V to below 2 V", "1", True, "2", False),
    ("above 1 V up to 2 V", "1", False, "2", True),
    ("above 1 V to below 2 V", "1", False, "2", False),
]


@pytest.mark.parametrize(("text", "low", "low_closed", "high", "high_closed"), WORDS)
def test_the_words_say_which_ends_belong(
    text: str, low: str | None, low_closed: bool, high: str | None, high_closed: bool
) -> None:
    """Each form of words gives its interval, and the interval gives the words back."""
    interval, unit = parse_interval(text)

    assert interval == Interval(
        None if low is None else Decimal(low),
        low_closed,
        None if high is None else Decimal(high),
        high_closed,
    )
    assert unit == ("" if text == "any" else "V")
    assert describe(interval, unit) == text


@LAWS
@given(INTERVALS, st.sampled_from(["ohm", "Mohm", "mohm/m", "%", "1"]))
def test_every_interval_can_be_said_and_read(interval: Interval, unit: str) -> None:
    """describe and parse_interval are each other's inverse."""
    said = describe(interval, unit)
    if interval.is_empty:
        assert said == "no number"
        return
    assert parse_interval(said) == (interval, "" if interval == ANY else unit)


def test_on_screen_the_unit_is_its_sign() -> None:
    """The same words carry the sign of the unit when they are shown."""
    interval, unit = parse_interval("above 1 Mohm up to 2 Mohm")

    assert describe(interval, unit, shown=True) == "above 1 MΩ up to 2 MΩ"
    assert describe(parse_interval("up to 0.8 1")[0], "1", shown=True) == "up to 0.8"


@pytest.mark.parametrize(
    ("text", "column", "words"),
    [
        ("", 1, "do not say which numbers"),
        ("at most 3 V", 1, "do not say which numbers"),
        ("Up to 3 V", 1, "do not say which numbers"),
        ("up to  3 V", 7, "blank stands where"),
        ("up to 3", 8, "without its unit"),
        ("below x V", 7, "not part of a number"),
        ("from 1 V to 2 V", 10, "Does the upper end belong to it?"),
        ("from 2 V up to 1 V", 16, "No number lies between"),
        ("above 1 V up to 1 V", 17, "No number lies between"),
        ("from 1 V up to 3 A", 16, "Both ends want one unit, not V and A."),
        ("from 50 mohm up to 0.1 ohm", 20, "Both ends want one unit"),
        ("from 1 V up to 2 Volt", 18, '"Volt" is not a unit'),
        ("any ", 1, "do not say which numbers"),
    ],
)
def test_words_that_do_not_say_enough_are_refused_at_their_column(text: str, column: int, words: str) -> None:
    """No end is taken as closed or open by guess."""
    with pytest.raises(QuantityError) as caught:
        parse_interval(text)

    assert words in str(caught.value)
    assert (caught.value.text, caught.value.column) == (text, column)


def outcome(text: str) -> tuple[Interval, str] | QuantityError:
    """What the reader makes of a text."""
    try:
        return parse_interval(text)
    except QuantityError as fault:
        return fault


@settings(max_examples=150, derandomize=True)
@given(
    st.lists(
        st.sampled_from(["from", "above", "up to", "to below", "to", "below", "exactly", "any", "1 V", "2 V", "3"])
        | st.text(max_size=3),
        max_size=5,
    ).map(" ".join)
)
def test_any_words_give_an_interval_or_our_error(text: str) -> None:
    """No text breaks the reader, and what it takes is never empty."""
    read = outcome(text)
    if isinstance(read, QuantityError):
        assert 1 <= read.column <= len(text) + 1
        return
    assert not read[0].is_empty
    assert parse_interval(describe(*read)) == read
