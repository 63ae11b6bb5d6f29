"""What holds for readings: nothing is repaired, every state is itself, every refusal shows its place."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.canon import dumps, loads
from ferrule.engine.quantity.quantity import QuantityError
from ferrule.engine.quantity.reading import CellState, Reading, ReadingError, Relation, parse_reading

RANGE: dict[str, Any] = {
    "resolution": Decimal("0.01"),
    "full_scale": Decimal("99.99"),
    "lowest": Decimal("0.01"),
}

STARTS = "The number starts with a decimal point; write a zero before it, as in 0.5."
ENDS = "The number ends with a decimal point; write the digits after it or leave it out."
ASKED = '"1,000" can mean 1.000 or 1000; type 1.000 with a point, or 1000 without a mark.'
MARKED = '"1,000.5" may have a comma between thousands; type 1000.5 if that is meant.'
NOT_TOP = 'After ">" comes only the range\'s full scale, 99.99; type >99.99 or choose above range.'
NOT_LOW = 'After "<" comes only the lowest step that the instrument shows, 0.01; type <0.01 or choose below range.'

MALFORMED = [
    ("two points", "1.2.3", 4, "There are two decimal points."),
    ("leading point", ".5", 1, STARTS),
    ("trailing point", "5.", 2, ENDS),
    ("comma", "0,42", 2, "There is a comma; the decimal sign here is a point."),
    ("thousands", "1,000", 2, ASKED),
    ("thousands with point", "1,000.5", 2, MARKED),
    ("nothing", "", 1, "There is no number here."),
    ("blank only", " ", 1, "There is a blank here; a number has none."),
    ("blank before", " 5", 1, "There is a blank here; a number has none."),
    ("blank after", "5 ", 2, "There is a blank here; a number has none."),
    ("blank inside", "1 5", 2, "There is a blank here; a number has none."),
    ("no-break blank", "5\xa0", 2, "There is a blank (U+00A0) here; a number has none."),
    ("line feed", "5\n", 2, "There is a blank (U+000A) here; a number has none."),
    ("plus", "+5", 1, "A number here has no sign; write the digits only."),
    ("minus", "-5", 1, "A number here has no sign; write the digits only."),
    ("minus sign of print", "\u22125", 1, "A number here has no sign; write the digits only."),
    ("minus inside", "5-6", 2, "A sign stands inside the number; write the digits only."),
    ("exponent", "1e3", 2, "The number has an exponent; write it out in full."),
    ("negative exponent", "1E-3", 2, "The number has an exponent; write it out in full."),
    ("underscore", "1_0", 2, "There is an underscore in the number; write the digits without it."),
    ("apostrophe", "1'000", 2, "There is an apostrophe in the number; write the digits without it."),
    ("arabic digits", "\u0661\u0662", 1, '"\u0661" is not one of the digits 0 to 9.'),
    ("full-width digit", "1\uff15", 2, '"\uff15" is not one of the digits 0 to 9.'),
    ("raised two", "5\xb2", 2, '"\xb2" is not one of the digits 0 to 9.'),
    ("a half", "\xbd", 1, '"\xbd" is not one of the digits 0 to 9.'),
    ("unit", "5ohm", 2, 'Letters follow the number; type the number only, without "ohm".'),
    ("unit sign", "0.3Ω", 4, 'Letters follow the number; type the number only, without "Ω".'),
    ("per cent", "5%", 2, 'Letters follow the number; type the number only, without "%".'),
    ("nan", "nan", 1, '"nan" is not a number.'),
    ("infinity", "Infinity", 1, '"Infinity" is not a number.'),
    ("letter O", "1O", 2, 'The letter "O" stands where a digit should be; was 0 meant?'),
    ("letter l", "l.5", 1, 'The letter "l" stands where a digit should be; was 1 meant?'),
    ("hexadecimal", "0x10", 2, 'The letter "x" is not part of a number.'),
    ("stray letter", "abc", 1, 'The letter "a" is not part of a number.'),
    ("fraction", "1/2", 2, '"/" is not part of a number.'),
    ("hidden mark", "5\u202e", 2, "There is a hidden character (U+202E) here; take it out."),
    ("zero byte", "5\x00", 2, "There is a hidden character (U+0000) here; take it out."),
    ("seven digits", "1234567", 7, "More than 6 digits on one side of the point."),
    ("seven decimals", "0.1234567", 9, "More than 6 digits on one side of the point."),
    ("sign of bound behind", "5>", 2, '">" may stand only in front of the number, and only > or <.'),
    ("sign of bound twice", ">>5", 2, '">" may stand only in front of the number, and only > or <.'),
    ("at least", "\u22655", 1, '"\u2265" may stand only in front of the number, and only > or <.'),
    ("bound with leading point", ">.5", 2, STARTS),
    ("bound without number", ">", 2, "There is no number here."),
    ("not the full scale", ">50", 2, NOT_TOP),
    ("not the lowest step", "<0.02", 2, NOT_LOW),
    ("above the range", "100", 1, "This is above the range's full scale, 99.99; choose above range."),
    ("one decimal too many", "0.305", 5, "The instrument shows 2 decimals on this range; the text has 3."),
]


@pytest.mark.parametrize(("case", "text", "column", "message"), MALFORMED, ids=[row[0] for row in MALFORMED])
def test_a_malformed_number_is_refused_with_its_reason(case: str, text: str, column: int, message: str) -> None:
    """Each malformed text is refused with its own sentence at its own column. Shows: HI-06"""
    assert case
    with pytest.raises(ReadingError) as caught:
        parse_reading(text, "ohm", **RANGE)

    assert str(caught.value) == message
    assert caught.value.text == text
    assert caught.value.column == column


@pytest.mark.parametrize(
    ("text", "caret"),
    [
        ("1.2.3", "1.2.3\n   ^"),
        ("", "\n^"),
        ("5\u202e7", "5<U+202E>7\n ^^^^^^^^"),
        ("1\uff15", "1\uff15\n ^^"),
        (">50", ">50\n ^"),
        ("0.305", "0.305\n    ^"),
    ],
)
def test_the_caret_stands_under_the_fault(text: str, caret: str) -> None:
    """The two lines shown below the entry field are just these. Shows: HI-06"""
    with pytest.raises(ReadingError) as caught:
        parse_reading(text, "ohm", **RANGE)

    assert caught.value.caret() == caret


@pytest.mark.parametrize(
    ("text", "resolution", "column", "message"),
    [
        ("5.0", "1", 2, "The instrument shows no decimals on this range; the text has 1."),
        ("5.25", "0.1", 4, "The instrument shows 1 decimal on this range; the text has 2."),
        ("5.3", "0.5", 1, "The instrument shows steps of 0.5 only."),
        ("13", "5", 1, "The instrument shows steps of 5 only."),
    ],
)
def test_a_number_that_the_instrument_cannot_show_is_refused(
    text: str, resolution: str, column: int, message: str
) -> None:
    """More decimals, or a number between two steps, was not read from this instrument."""
    with pytest.raises(ReadingError) as caught:
        parse_reading(text, "ohm", resolution=Decimal(resolution))

    assert (str(caught.value), caught.value.column) == (message, column)


@pytest.mark.parametrize("sign", [">", "<"])
def test_a_bound_needs_a_known_end_of_range(sign: str) -> None:
    """Without the range's end nothing can be above or below it."""
    with pytest.raises(ReadingError, match="is not known for this reading") as caught:
        parse_reading(f"{sign}5", "ohm")

    assert caught.value.column == 1


def test_less_than_the_lowest_step_is_no_number_but_zero_is() -> None:
    """A display of zero is a reading; a number below the first step is not."""
    with pytest.raises(ReadingError, match="shows nothing below 12; choose below range"):
        parse_reading("5", "V", lowest=Decimal(12))

    assert parse_reading("0", "V", lowest=Decimal(12)).is_zero
    assert parse_reading("12", "V", lowest=Decimal(12)).value == 12


def test_the_full_scale_itself_is_a_number_that_was_shown() -> None:
    """Only what lies above the full scale is above the range."""
    assert parse_reading("99.99", "ohm", **RANGE).state is CellState.VALUE


def test_what_was_typed_and_what_was_understood_are_both_kept() -> None:
    """The text stays letter by letter beside the exact number. Shows: RI-03"""
    read = parse_reading("0.30", "ohm", **RANGE)

    assert read == Reading(CellState.VALUE, Decimal("0.30"), Relation.EQUAL, "ohm", Decimal("0.01"), "0.30")
    assert read.to_json()["value"] == "0.30"
    assert parse_reading("007", "ohm").entered == "007"


def test_a_bound_that_is_the_end_of_the_range_becomes_its_state() -> None:
    """>99.99 is over range and <0.01 is under range, each with its relation."""
    over = parse_reading(">99.99", "ohm", **RANGE)
    under = parse_reading("<0.01", "ohm", **RANGE)

    assert over == Reading.over_range(Decimal("99.99"), "ohm", resolution=Decimal("0.01"), entered=">99.99")
    assert under == Reading.under_range(Decimal("0.01"), "ohm", resolution=Decimal("0.01"), entered="<0.01")
    assert (over.relation, under.relation) == (Relation.ABOVE, Relation.BELOW)


@pytest.mark.parametrize(
    ("text", "value"),
    [("0,42", "0.42"), ("12,5", "12.5"), ("0,125", "0.125"), ("1.234", "1.234"), ("7", "7")],
)
def test_a_comma_is_read_where_the_card_says_so(text: str, value: str) -> None:
    """With the card's leave a comma is a decimal sign; the point stays one."""
    read = parse_reading(text, "ohm", comma=True)

    assert (str(read.value), read.entered) == (value, text)


@pytest.mark.parametrize("comma", [True, False])
@pytest.mark.parametrize("text", ["1,000", "12,345", "999,000", "1,234,567", ">1,000", "1,000.5"])
def test_a_comma_before_three_digits_is_asked_back(text: str, comma: bool) -> None:
    """A text that may mean thousands is never taken, with or without the card's leave. Shows: HI-06"""
    with pytest.raises(ReadingError, match="type ") as caught:
        parse_reading(text, "ohm", comma=comma)

    assert caught.value.column == text.index(",") + 1


@pytest.mark.parametrize(("text", "column", "sign"), [("1,2,3", 4, "two"), (",5", 1, "starts"), ("5,", 2, "ends")])
def test_with_a_comma_the_same_faults_are_found(text: str, column: int, sign: str) -> None:
    """Leave for a comma is leave for one comma between digits."""
    with pytest.raises(ReadingError, match=f"{sign} .*decimal sign") as caught:
        parse_reading(text, "ohm", comma=True)

    assert caught.value.column == column


STATES = {
    "blank": Reading.blank("Mohm"),
    "zero": Reading.measured(Decimal("0.00"), "Mohm", resolution=Decimal("0.01")),
    "value": Reading.measured(Decimal("0.30"), "Mohm", entered="0,30"),
    "over range": Reading.over_range(Decimal("999"), "Mohm"),
    "full scale": Reading.measured(Decimal("999"), "Mohm"),
    "under range": Reading.under_range(Decimal("0.01"), "Mohm"),
    "not measured": Reading.not_measured("Mohm"),
    "not applicable": Reading.not_applicable("Mohm"),
}


@pytest.mark.parametrize("reading", STATES.values(), ids=STATES.keys())
def test_each_state_comes_back_from_its_bytes(reading: Reading) -> None:
    """Saved and read again, each cell is what it was, to the last zero. Shows: DV-10"""
    stored = dumps(reading.to_json())
    again = Reading.from_json(loads(stored))

    assert again == reading
    assert dumps(again.to_json()) == stored
    assert str(again.value) == str(reading.value)


def test_no_two_states_are_stored_alike() -> None:
    """Blank, zero, not measured, over range and not applicable differ in the stored bytes. Shows: DV-10"""
    assert len({dumps(reading.to_json()) for reading in STATES.values()}) == len(STATES)
    assert len(set(STATES.values())) == len(STATES)
    assert [name for name, reading in STATES.items() if reading.is_zero] == ["zero"]


@pytest.mark.parametrize(
    ("state", "value", "relation", "unit", "resolution"),
    [
        (CellState.BLANK, Decimal(0), Relation.EQUAL, "ohm", None),
        (CellState.NOT_MEASURED, Decimal(0), Relation.EQUAL, "ohm", None),
        (CellState.NOT_APPLICABLE, Decimal(0), Relation.EQUAL, "ohm", None),
        (CellState.VALUE, None, Relation.EQUAL, "ohm", None),
        (CellState.OVER_RANGE, None, Relation.ABOVE, "ohm", None),
        (CellState.VALUE, Decimal(1), Relation.ABOVE, "ohm", None),
        (CellState.OVER_RANGE, Decimal(1), Relation.EQUAL, "ohm", None),
        (CellState.UNDER_RANGE, Decimal(1), Relation.ABOVE, "ohm", None),
        (CellState.BLANK, None, Relation.BELOW, "ohm", None),
        (CellState.OVER_RANGE, Decimal(0), Relation.ABOVE, "ohm", None),
        (CellState.UNDER_RANGE, Decimal(-1), Relation.BELOW, "ohm", None),
        (CellState.VALUE, Decimal("NaN"), Relation.EQUAL, "ohm", None),
        (CellState.VALUE, Decimal(1), Relation.EQUAL, "ohms", None),
        (CellState.VALUE, Decimal(1), Relation.EQUAL, "ohm", Decimal(0)),
    ],
)
def test_a_state_cannot_be_made_with_the_wrong_parts(
    state: CellState, value: Decimal | None, relation: Relation, unit: str, resolution: Decimal | None
) -> None:
    """A blank cell holds no number and an over-range cell no equality. Shows: DV-10"""
    with pytest.raises(QuantityError):
        Reading(state, value, relation, unit, resolution, "")


GOOD = Reading.measured(Decimal("0.30"), "ohm").to_json()


@pytest.mark.parametrize(
    "change",
    [
        {"state": "zero"},
        {"relation": "=="},
        {"value": "3e-1"},
        {"value": "NaN"},
        {"value": "0_3"},
        {"value": "0.3\n"},
        {"value": 3},
        {"value": None},
        {"unit": "Ohm"},
        {"unit": None},
        {"entered": None},
        {"resolution": "0"},
        {"more": "x"},
    ],
)
def test_a_stored_reading_that_was_not_written_by_us_is_refused(change: dict[str, Any]) -> None:
    """A changed or added member gives our error, never another value."""
    with pytest.raises(QuantityError):
        Reading.from_json({**GOOD, **change})
    with pytest.raises(QuantityError):
        Reading.from_json(
            {name: value for name, value in GOOD.items() if name not in change or name == "more"} | {"x": ""}
        )


@pytest.mark.parametrize("name", GOOD)
def test_a_stored_reading_without_one_of_its_members_is_refused(name: str) -> None:
    """Nothing is filled in for a member that is gone."""
    with pytest.raises(QuantityError, match="has just the members"):
        Reading.from_json({member: value for member, value in GOOD.items() if member != name})


@settings(max_examples=150, derandomize=True)
@given(
    st.integers(0, 999_999).map(str),
    st.sampled_from(["", "0", "00"]),
    st.none() | st.text("0123456789", min_size=1, max_size=6),
)
def test_every_text_of_the_grammar_is_read_exactly(whole: str, zeros: str, fraction: str | None) -> None:
    """The number is the text's number, and its last zeros come back from the store. Shows: RI-03"""
    number = whole if fraction is None else f"{whole}.{fraction}"
    text = f"{zeros}{number}" if len(zeros + whole) <= 6 else number
    read = parse_reading(text, "ohm")

    assert read.entered == text
    assert read.to_json()["value"] == number
    assert Reading.from_json(read.to_json()) == read


def outcome(text: str, comma: bool) -> Reading | ReadingError:
    """What the entry field makes of a text."""
    try:
        return parse_reading(text, "ohm", comma=comma, **RANGE)
    except ReadingError as fault:
        return fault


@settings(max_examples=300, derandomize=True)
@given(st.text(max_size=12) | st.text("0123456789.,<>-+ _eEO'Ω\u202e٣", max_size=10), st.booleans())
def test_any_text_gives_a_reading_or_our_error(text: str, comma: bool) -> None:
    """No text breaks the reader, and nothing outside the grammar is ever taken. Shows: HI-06"""
    read = outcome(text, comma)
    if isinstance(read, ReadingError):
        assert 1 <= read.column <= len(text) + 1
        assert read.text == text
        assert len(read.caret().split("\n")) == 2
        return
    assert re.fullmatch(r"[<>]?[0-9]{1,6}([.,][0-9]{1,6})?", text, re.ASCII)
    assert read.entered == text


def test_an_unknown_unit_is_not_the_typists_fault() -> None:
    """A field whose unit does not exist raises for its maker, before the text is looked at."""
    with pytest.raises(QuantityError, match="not a unit"):
        parse_reading("5", "ohms")
