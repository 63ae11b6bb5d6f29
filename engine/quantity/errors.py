"""The two errors of this room: each carries the text as written and the column of the fault.

For: showing a person where in their text the fault stands.
Must never: be raised without a text to point into.
"""

from __future__ import annotations

from ferrule.engine.findings import FerruleError
from ferrule.engine.text import caret_lines, visible


class TextError(FerruleError):
    """A fault at a 1-based column of a text that a person wrote."""

    def __init__(self, message: str, text: str, column: int = 1) -> None:
        super().__init__(visible(message))
        self.text = text
        self.column = column

    def caret(self) -> str:
        """Two lines: the text with hidden characters made visible, and a caret under the fault."""
        return caret_lines(self.text, self.column)


class QuantityError(TextError):
    """A number with unit, a band or a conversion that has no meaning."""


class ReadingError(TextError):
    """A typed reading that is refused; it is never repaired."""
