"""What is refused in a file's text before any parser sees it: hidden characters and lines that speak to the parser.

For: files of people; both parsers must see the same text in the same way.
Must never: change the text.
"""

from __future__ import annotations

import re

from ferrule.engine.findings import Findings, Place
from ferrule.engine.text import check_text

MAX_SAME = 50
"""Findings of one kind that are shown for one file; the rest would only hide the first."""

_UNUSUAL = re.compile(r"[^\n\r -~]")
_LINE_BREAK = re.compile(r"\r\n|[\r\n]")


def check_characters(text: str, file: str, found: Findings) -> None:
    """Refuse hidden characters anywhere in the file, comments included, before lines are counted."""
    if _UNUSUAL.search(text) is None:
        return
    for number, line in enumerate(_LINE_BREAK.split(text), start=1):
        if _UNUSUAL.search(line) is None or len(found) >= MAX_SAME:
            continue
        reason = check_text(line)
        if reason:
            column = next(at for at, char in enumerate(line, start=1) if check_text(char))
            hint = "use blanks instead of a tab" if line[column - 1] == "\t" else ""
            found.add("text-policy", reason, Place(file, number, column), hint=hint)


def check_directives(text: str, file: str, found: Findings) -> None:
    """Refuse a line that speaks to the parser; one parser passes over what the other refuses."""
    for number, line in enumerate(_LINE_BREAK.split(text), start=1):
        if line.startswith("%") and len(found) < MAX_SAME:
            message = "The file uses a directive, which is not allowed here."
            found.add("yaml-forbidden", message, Place(file, number, 1), hint="leave the line with % out")
