"""What holds for texts from outside: which are refused, and how they are shown."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.text import caret_lines, check_text, visible, width

REFUSED = {
    "escape": "\x1b",
    "tab": "\t",
    "carriage return": "\r",
    "delete": "\x7f",
    "next line": "\x85",
    "soft hyphen": "\xad",
    "zero width space": "\u200b",
    "zero width joiner": "\u200d",
    "byte order mark": "\ufeff",
    "right-to-left override": "\u202e",
    "isolate": "\u2067",
    "arabic letter mark": "\u061c",
    "line separator": "\u2028",
    "variation selector": "\ufe0f",
    "hangul filler": "\u3164",
    "lone surrogate": "\ud800",
    "private use": "\ue000",
    "unassigned": "\u0378",
    "non-character": "\uffff",
    "language tag": "\U000e0041",
}


@pytest.mark.parametrize("char", REFUSED.values(), ids=REFUSED.keys())
@pytest.mark.parametrize("long", [False, True])
def test_a_character_that_hides_is_refused_and_named(char: str, long: bool) -> None:
    """The reason names the position and the code point, and the display form shows it."""
    reason = check_text(f"ab{char}c", long=long)

    assert reason is not None
    assert reason.startswith(f"Character 3 is U+{ord(char):04X}, ")
    assert visible(f"ab{char}c") == f"ab<U+{ord(char):04X}>c"


@pytest.mark.parametrize("text", ["", "Kiln 2, way 4", "Ω × 0.8 – pass", "Žluťoučký kůň", "陶器", "نص"])
def test_texts_that_people_write_are_allowed_and_shown_unchanged(text: str) -> None:
    """Signs of the trade and other scripts pass."""
    assert check_text(text) is None
    assert visible(text) == text


def test_a_line_feed_is_for_long_texts_only() -> None:
    """A title has one line; a note may have more."""
    assert check_text("a\nb") is not None
    assert check_text("a\nb", long=True) is None
    assert visible("a\nb") == "a<U+000A>b"
    assert visible("a\nb", keep_lf=True) == "a\nb"


@settings(max_examples=100, derandomize=True)
@given(st.text(st.characters(codec=None), max_size=30))
def test_what_is_shown_is_always_allowed(text: str) -> None:
    """No text whatever can pass the display with a refused character left in it."""
    shown = visible(text, keep_lf=True)

    assert check_text(shown, long=True) is None
    assert (shown == text) == (check_text(text, long=True) is None)


def test_every_control_and_format_character_of_unicode_is_refused() -> None:
    """The policy holds for whole categories, not for a list of known tricks."""
    hidden = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
    passed = [
        code for code in range(0x3000) if unicodedata.category(chr(code)) in hidden and check_text(chr(code)) is None
    ]

    assert passed == []


def test_the_caret_stands_below_the_column_whatever_comes_before() -> None:
    """Wide, combining and hidden characters move the caret by what they fill on screen."""
    assert width("漢e\u0301") == 3
    assert caret_lines("漢e\u0301x", 4) == "漢e\u0301x\n   ^"
    assert caret_lines("\u202ex", 2) == "<U+202E>x\n        ^"
    assert caret_lines("ab", 3) == "ab\n  ^"
    assert caret_lines("abcd", 2, 2) == "abcd\n ^^"
