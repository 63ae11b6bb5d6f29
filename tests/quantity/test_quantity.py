"""What holds for quantities in files: one grammar, and a column for each way to break it."""

from __future__ import annotations

from decimal import Context, Decimal, localcontext

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.quantity.quantity import Quantity, QuantityError, parse_quantity
from ferrule.engine.quantity.units import UNITS

REFUSED = [
    ("", 1, "no number"),
    (" 5 V", 1, "blank stands where the number"),
    ("5", 2, "without its unit"),
    ("5 ", 3, "without its unit"),
    ("5  V", 3, "Just one blank"),
    ("5\tV", 2, "blank (U+0009)"),
    ("5 V ", 3, '"V "'),
    ("0.05ohm", 5, 'write "0.05 ohm"'),
    ("0.05 Ohm", 6, 'write "ohm"'),
    ("5 \u202eV", 3, "<U+202E>V"),
    ("-5 V", 1, "Only a temperature"),
    ("+5 V", 1, "no sign"),
    ("- 5 C", 2, "blank stands where"),
    ("--5 C", 2, "no sign"),
    ("\u22125 C", 1, "no sign"),
    (".5 V", 1, "starts with a decimal point"),
    ("5. V", 2, "ends with a decimal point"),
    ("1.2.3 V", 4, "two decimal points"),
    ("1,5 V", 2, "comma"),
    ("1_0 V", 2, "underscore"),
    ("1e3 V", 2, "exponent"),
    ("NaN V", 1, "not a number"),
    ("٣ V", 1, "digits 0 to 9"),
    ("1234567890123 V", 13, "More than 12 digits"),
    ("up V", 1, "not part of a number"),
]


@pytest.mark.parametrize(("text", "column", "words"), REFUSED, ids=[ascii(row[0]) for row in REFUSED])
def test_a_malformed_quantity_is_refused_at_its_column(text: str, column: int, words: str) -> None:
    """Each fault has its own sentence and its own column. Shows: HI-06"""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text)

    assert words in str(caught.value)
    assert (caught.value.text, caught.value.column) == (text, column)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("0.05 ohm", "0.05", "ohm"),
        ("0.30 ohm", "0.30", "ohm"),
        ("-5 C", "-5", "C"),
        ("-0 C", "0", "C"),
        ("80 %", "80", "%"),
        ("0.8 1", "0.8", "1"),
        ("7.41 mohm/m", "7.41", "mohm/m"),
        ("123456789012.123456789012 V", "123456789012.123456789012", "V"),
    ],
)
def test_a_quantity_is_read_exactly(text: str, value: str, unit: str) -> None:
    """The number keeps its trailing zeros, whatever the caller's context. Shows: RI-03"""
    with localcontext(Context(prec=2)):
        read = parse_quantity(text)

    assert str(read.value) == value
    assert read.unit == unit
    assert str(read) == f"{value} {unit}"


def test_a_quantity_changes_its_unit_exactly() -> None:
    """in_unit converts inside the kind and refuses outside."""
    assert parse_quantity("0.30 ohm").in_unit("mohm") == Quantity(Decimal(300), "mohm")
    with pytest.raises(QuantityError, match="unit of time"):
        parse_quantity("40 ms").in_unit("V")


@pytest.mark.parametrize(("value", "unit"), [("1", "furlong"), ("NaN", "V"), ("Infinity", "V")])
def test_a_quantity_without_meaning_cannot_be_made(value: str, unit: str) -> None:
    """Code too cannot make a quantity of an unknown unit or without a finite number."""
    with pytest.raises(QuantityError):
        Quantity(Decimal(value), unit)


@settings(max_examples=100, derandomize=True)
@given(st.decimals(min_value=0, max_value=10**9, places=4), st.sampled_from(sorted(UNITS)))
def test_what_is_written_is_read_again(value: Decimal, unit: str) -> None:
    """str and parse_quantity are each other's inverse."""
    made = Quantity(value, unit)
    again = parse_quantity(str(made))

    assert again == made
    assert str(again) == str(made)


def outcome(text: str) -> Quantity | QuantityError:
    """What the reader makes of a text."""
    try:
        return parse_quantity(text)
    except QuantityError as fault:
        return fault


@settings(max_examples=200, derandomize=True)
@given(st.text(max_size=14) | st.text("0123456789.,-+ _eEVCohm%\u202e٣", max_size=14))
def test_any_text_gives_a_quantity_or_our_error(text: str) -> None:
    """No text breaks the reader, and a text that it takes is written back as it was."""
    read = outcome(text)
    if isinstance(read, QuantityError):
        assert 1 <= read.column <= len(text) + 1
        assert len(read.caret().split("\n")) == 2
        return
    assert text.isascii()
    assert parse_quantity(str(read)) == read
