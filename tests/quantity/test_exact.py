"""What holds for exact decimals: one context, plain text, and rounding for display only."""

from __future__ import annotations

from decimal import Context, Decimal, DivisionByZero, InvalidOperation, localcontext

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.quantity.exact import decimals, divide, exact, plain, shown

NUMBERS = st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**9), max_value=10**9, places=6)


def test_the_callers_context_does_not_change_a_result() -> None:
    """A thread with three digits of precision still gets the engine's 28."""
    with localcontext(Context(prec=3)):
        third = divide(Decimal(1), Decimal(3))
        with exact():
            product = Decimal("0.8") * Decimal("1.37")

    assert third == Decimal("0.3333333333333333333333333333")
    assert product == Decimal("1.096")


def test_operations_without_meaning_raise() -> None:
    """No NaN and no infinity can come out of a sum."""
    with pytest.raises(DivisionByZero):
        divide(Decimal(1), Decimal(0))
    with exact(), pytest.raises(InvalidOperation):
        Decimal(0) * Decimal("Infinity")


@pytest.mark.parametrize(
    ("given_text", "expect"),
    [
        ("0.30", "0.30"),
        ("1E+3", "1000"),
        ("1E-7", "0.0000001"),
        ("-0.00", "0.00"),
        ("-5.50", "-5.50"),
        ("123456789012345678901234567890.10", "123456789012345678901234567890.10"),
    ],
)
def test_plain_has_no_exponent_and_keeps_zeros(given_text: str, expect: str) -> None:
    """A number is stored as a person would write it. Shows: RI-03"""
    assert plain(Decimal(given_text)) == expect


@pytest.mark.parametrize("text", ["NaN", "sNaN", "Infinity", "-Infinity"])
def test_what_is_not_a_number_has_no_plain_form(text: str) -> None:
    """NaN and infinity cannot be stored."""
    with pytest.raises(ValueError, match="finite"):
        plain(Decimal(text))
    with pytest.raises(ValueError, match="finite"):
        decimals(Decimal(text))


@settings(max_examples=100, derandomize=True)
@given(NUMBERS)
def test_plain_text_gives_the_number_back(value: Decimal) -> None:
    """Writing and reading changes neither size nor decimals."""
    again = Decimal(plain(value))

    assert again == value
    assert plain(again) == plain(value)


@pytest.mark.parametrize(
    ("value", "resolution", "expect"),
    [
        ("1.096", "0.01", "1.10"),
        ("0.005", "0.01", "0.01"),
        ("0.015", "0.01", "0.02"),
        ("0.025", "0.01", "0.03"),
        ("-0.005", "0.01", "-0.01"),
        ("2.4", "0.5", "2.5"),
        ("7", "5", "5"),
        ("12", "1E+1", "10"),
        ("0.3", "0.010", "0.30"),
        ("-0.001", "0.01", "0.00"),
    ],
)
def test_the_display_rounds_half_up_to_a_multiple(value: str, resolution: str, expect: str) -> None:
    """The shown number is a multiple of the resolution with as many decimals as it has."""
    assert shown(Decimal(value), Decimal(resolution)) == expect


@pytest.mark.parametrize("resolution", ["0", "-0.1", "NaN"])
def test_a_resolution_is_above_zero(resolution: str) -> None:
    """A display step that is no step is refused."""
    with pytest.raises(ValueError, match="above zero"):
        shown(Decimal(1), Decimal(resolution))


@settings(max_examples=100, derandomize=True)
@given(NUMBERS, st.sampled_from(["0.001", "0.01", "0.05", "0.5", "1", "20"]))
def test_the_shown_number_is_never_off_by_more_than_half_a_step(value: Decimal, step: str) -> None:
    """Rounding for display moves a number by half a step at most."""
    assert abs(Decimal(shown(value, Decimal(step))) - value) * 2 <= Decimal(step)
