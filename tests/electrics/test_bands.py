"""Gaps and overlaps in the bands of a limits row."""

from __future__ import annotations

from decimal import Decimal

import pytest

from ferrule.engine.electrics.bands import BandTrouble, Trouble, check_row
from ferrule.engine.electrics.limits import Band, Bound, Compares, Guard, Outcome, Row

PASS, FAIL, MAYBE = Outcome.PASS, Outcome.FAIL, Outcome.CONDITIONAL_PASS


def bound(text: str | None) -> Bound | None:
    """`[x` or `x]` holds its number, `(x` or `x)` does not; x is a number or a figure."""
    if text is None:
        return None
    name = text.strip("[]()")
    closed = "[" in text or "]" in text
    return Bound(Decimal(name), "", closed) if name[0].isdigit() else Bound(None, name, closed)


def row(*bands: tuple[Outcome, str | None, str | None]) -> Row:
    """A row from its bands in short."""
    made = tuple(Band(outcome, bound(low), bound(high), f"{low} {high}") for outcome, low, high in bands)
    return Row("r", "R", "ohm", Compares.VALUE, made, Guard.NONE, False, "common practice", "common practice")


SOUND = [
    row((PASS, None, "0.05]"), (FAIL, "(0.05", None)),
    row((PASS, "[0", "0.05)"), (FAIL, "[0.05", None)),
    row((FAIL, None, "1)"), (MAYBE, "[1", "2)"), (PASS, "[2", None)),
    row((PASS, None, "loop.limit]"), (FAIL, "(loop.limit", None)),
    row(
        (FAIL, None, "supply.volts-low)"),
        (PASS, "[supply.volts-low", "supply.volts-high]"),
        (FAIL, "(supply.volts-high", None),
    ),
    row((PASS, None, "0.05]"), (MAYBE, "(0.05", "ring.limit]"), (FAIL, "(ring.limit", None)),
    row((PASS, "[0", "0]"), (FAIL, "(0", None)),
]


@pytest.mark.parametrize("limits", SOUND)
def test_a_sound_row_has_no_trouble(limits: Row) -> None:
    """Every number from zero up lies in just one band, also where bounds are figures."""
    assert check_row(limits) == ()


@pytest.mark.parametrize(
    ("limits", "trouble"),
    [
        (
            row((PASS, None, "0.05)"), (FAIL, "(0.05", None)),
            BandTrouble(Trouble.GAP, (0, 1), "exactly 0.05 ohm"),
        ),
        (
            row((PASS, None, "0.05]"), (FAIL, "[0.06", None)),
            BandTrouble(Trouble.GAP, (0, 1), "above 0.05 ohm to below 0.06 ohm"),
        ),
        (
            row(
                (PASS, None, "0.05]"),
            ),
            BandTrouble(Trouble.GAP, (0,), "above 0.05 ohm"),
        ),
        (
            row(
                (PASS, "[0.05", None),
            ),
            BandTrouble(Trouble.GAP, (0,), "from 0 ohm to below 0.05 ohm"),
        ),
        (
            row((PASS, None, "0.05]"), (FAIL, "[0.05", None)),
            BandTrouble(Trouble.OVERLAP, (0, 1), "exactly 0.05 ohm"),
        ),
        (
            row((PASS, None, "0.06]"), (FAIL, "(0.05", None)),
            BandTrouble(Trouble.OVERLAP, (0, 1), "above 0.05 ohm up to 0.06 ohm"),
        ),
        (
            row((PASS, None, "loop.limit)"), (FAIL, "(loop.limit", None)),
            BandTrouble(Trouble.GAP, (0, 1), "exactly loop.limit"),
        ),
        (
            row((PASS, None, "loop.limit]"), (FAIL, "[loop.limit", None)),
            BandTrouble(Trouble.OVERLAP, (0, 1), "exactly loop.limit"),
        ),
        (
            row(
                (PASS, None, "loop.limit]"),
            ),
            BandTrouble(Trouble.GAP, (0,), "above loop.limit"),
        ),
        (row(), BandTrouble(Trouble.GAP, (), "from 0 ohm")),
        (
            row((PASS, None, "1]"), (MAYBE, "(1", "1)"), (FAIL, "(1", None)),
            BandTrouble(Trouble.EMPTY, (1,), "(1 1)"),
        ),
        (
            row((PASS, None, "1]"), (FAIL, "(loop.limit", None)),
            BandTrouble(Trouble.UNORDERED, (0, 1), "1, loop.limit"),
        ),
        (
            row((PASS, "[a", "b]"), (FAIL, "[b", "a]")),
            BandTrouble(Trouble.UNORDERED, (0, 1), "a, b"),
        ),
    ],
)
def test_each_trouble_is_found_and_put_in_words(limits: Row, trouble: BandTrouble) -> None:
    """A hole, a double claim, an empty band and bounds without an order are each named, with the numbers."""
    assert check_row(limits) == (trouble,)


@pytest.mark.parametrize(
    ("resolution", "found"),
    [("0.01", 0), ("0.02", 0), ("0.001", 1), ("0.005", 1)],
)
def test_a_gap_between_two_steps_of_the_display_is_none(resolution: str, found: int) -> None:
    """Between 0.05 and 0.06 an instrument of 0.01 Ω shows nothing, one of 0.005 Ω does."""
    limits = row((PASS, None, "0.05]"), (FAIL, "[0.06", None))

    assert len(check_row(limits, Decimal(resolution))) == found


def test_a_gap_at_a_figure_counts_at_any_resolution() -> None:
    """Nobody knows which number a figure will have, so a hole at it is a hole."""
    limits = row((PASS, None, "loop.limit)"), (FAIL, "(loop.limit", None))

    assert len(check_row(limits, Decimal("0.01"))) == 1
