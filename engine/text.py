"""Which characters a person's text may hold, and how a forbidden one is made visible.

For: the text policy at load and at entry, and the safe display of text that came from elsewhere.
Must never: repair a text in silence, or be used to judge a log that is already written (Unicode tables
differ between Python versions, so the policy belongs to entry and load only).
"""

from __future__ import annotations

import unicodedata

_HIDDEN_CATEGORIES = {
    "Cc": "a control character",
    "Cf": "a hidden format character",
    "Cs": "half of a broken character pair",
    "Co": "a private character that each machine shows differently",
    "Cn": "a character that no standard has assigned",
    "Zl": "a hidden line break",
    "Zp": "a hidden paragraph break",
}

_DIRECTION = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""The characters of Unicode's Bidi_Control property (from memory)."""

_INVISIBLE = frozenset(
    "\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180e\u180f\u3164\uffa0"
    + "".join(map(chr, range(0xFE00, 0xFE10)))
    + "".join(map(chr, range(0xE0100, 0xE01F0)))
)
"""Letters and marks that draw nothing: Unicode's Default_Ignorable_Code_Point outside Cf (from memory)."""


def _fault(char: str) -> str | None:
    """Say what is wrong with one character, or None when it may be shown as it is."""
    if char in _DIRECTION:
        return "a hidden mark that turns the direction of text"
    if char in _INVISIBLE:
        return "a character that draws nothing"
    return _HIDDEN_CATEGORIES.get(unicodedata.category(char))


def name_of(char: str) -> str:
    """The code point of a character, such as `U+202E`."""
    return f"U+{ord(char):04X}"


def check_text(text: str, *, long: bool = False) -> str | None:
    """The reason why a text is refused, as a sentence; None when it is allowed.

    A line feed is allowed only in a long text.
    """
    if text.isascii() and text.isprintable():
        return None
    for at, char in enumerate(text, start=1):
        if char == "\n" and long:
            continue
        fault = _fault(char)
        if fault is not None:
            return f"Character {at} is {name_of(char)}, {fault}; take it out."
    return None


def visible(text: str, *, keep_lf: bool = False) -> str:
    """The text with each character that the policy refuses turned into `<U+XXXX>`."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char if (char == "\n" and keep_lf) or _fault(char) is None else f"<{name_of(char)}>" for char in text
    )


def width(text: str) -> int:
    """How many terminal cells a visible text fills."""
    if text.isascii():
        return len(text)
    return sum(_cells(char) for char in text)


def _cells(char: str) -> int:
    if unicodedata.category(char) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def caret_lines(text: str, column: int, length: int = 1) -> str:
    """Two lines: the visible text, and carets under `length` characters from the 1-based column.

    A column behind the last character puts one caret just after the text.
    """
    before = visible(text[: column - 1])
    under = visible(text[column - 1 : column - 1 + length])
    return f"{visible(text)}\n{' ' * width(before)}{'^' * max(1, width(under))}"
