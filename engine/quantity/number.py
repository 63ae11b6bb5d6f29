"""Why a text is not a plain number: one sentence and one column for each way to go wrong.

For: typed readings and numbers in files, which share one grammar.
Must never: repair a text, or accept one; the grammars in reading.py and quantity.py decide that.
"""

from __future__ import annotations

import re
import unicodedata

from ferrule.engine.text import check_text, name_of

MAX_DIGITS = 6
"""Digits before and after the point of a typed reading: a rule of ferrule, wide enough for any range."""

_DIGITS = frozenset("0123456789")
_NAMES = frozenset({"nan", "inf", "infinity", "snan"})
_LOOK_ALIKE = {"o": "0", "l": "1", "i": "1"}
_EXPONENT = re.compile(r"[eE][+-]?[0-9]")


def explain(text: str, start: int, *, comma: bool, max_digits: int = MAX_DIGITS) -> tuple[str, int]:
    """What is wrong with the number that begins at index `start`, and the 1-based column of the fault.

    Called only for a text that the grammar has refused.
    """
    if start == len(text):
        return "There is no number here.", start + 1
    marks, mark_name = (".,", "decimal sign") if comma else (".", "decimal point")
    point_at: int | None = None
    run = 0
    for at in range(start, len(text)):
        char = text[at]
        if char in _DIGITS:
            run += 1
            if run > max_digits:
                return f"More than {max_digits} digits on one side of the point.", at + 1
        elif char in marks:
            if point_at is not None:
                return f"There are two {mark_name}s.", at + 1
            if at == start:
                return f"The number starts with a {mark_name}; write a zero before it, as in 0.5.", at + 1
            point_at, run = at, 0
        else:
            return _explain_char(text, start, at), at + 1
    return f"The number ends with a {mark_name}; write the digits after it or leave it out.", len(text)


def _explain_char(text: str, start: int, at: int) -> str:
    """The sentence for a character that is neither a digit nor a decimal point."""
    char = text[at]
    for sentence in (_hidden(char), _sign(char, at == start), _mark(char, text, at)):
        if sentence:
            return sentence
    if char.isdigit() or char.isnumeric():
        return f'"{char}" is not one of the digits 0 to 9.'
    if char.isalpha() or char in "%°":
        return _letters(text, start, at)
    return f'"{char}" is not part of a number.'


def _hidden(char: str) -> str:
    if char == " ":
        return "There is a blank here; a number has none."
    if char.isspace():
        return f"There is a blank ({name_of(char)}) here; a number has none."
    return f"There is a hidden character ({name_of(char)}) here; take it out." if check_text(char) else ""


def _sign(char: str, leading: bool) -> str:
    if char in "+±" or unicodedata.category(char) == "Pd" or char == "\u2212":
        where = "A number here has no sign" if leading else "A sign stands inside the number"
        return f"{where}; write the digits only."
    if char in "<>≤≥":
        return f'"{char}" may stand only in front of the number, and only > or <.'
    return ""


def _mark(char: str, text: str, at: int) -> str:
    if char == "_":
        return "There is an underscore in the number; write the digits without it."
    if char == ",":
        return "There is a comma; the decimal sign here is a point."
    if char in "'’‘`´":
        return "There is an apostrophe in the number; write the digits without it."
    if at > 0 and text[at - 1] in _DIGITS and _EXPONENT.match(text, at):
        return "The number has an exponent; write it out in full."
    return ""


def _letters(text: str, start: int, at: int) -> str:
    tail = text[at:]
    if tail.casefold() in _NAMES:
        return f'"{tail}" is not a number.'
    digit = _LOOK_ALIKE.get(text[at].casefold())
    if digit is not None and all(char in _DIGITS or char in ".," for char in tail[1:]):
        return f'The letter "{text[at]}" stands where a digit should be; was {digit} meant?'
    if at > start and not any(char in _DIGITS for char in tail):
        return f'Letters follow the number; type the number only, without "{tail[:20]}".'
    return f'The letter "{text[at]}" is not part of a number.'
