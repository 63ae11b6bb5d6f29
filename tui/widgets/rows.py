"""Rows of which one is marked: as many as there is room for, with the marked one in view.

The table of a round, a list to choose from and the path so far are all drawn by it.
"""

from __future__ import annotations

from textual.content import Content

from ferrule.engine.light import dataclass
from ferrule.tui.widgets.text import Part, content, cut, pad


@dataclass(frozen=True, slots=True)
class Row:
    """One row as columns."""

    columns: tuple[str, ...]
    style: str = ""


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows in columns, with a mark and a window that follows it."""

    rows: tuple[Row, ...]
    widths: tuple[int, ...]
    """Cells of each column; a width of 0 takes what is left of the line."""
    at: int

    def drawn(self, cells: int, room: int) -> Content:
        """Draw the window around the marked row."""
        total = len(self.rows)
        if total > room:
            room -= 1
        first = max(0, min(self.at - room // 2, total - room))
        parts: list[Part] = []
        for number in range(first, min(total, first + room)):
            parts += ["\n" if parts else "", self._line(number, cells)]
        if total > room:
            shown = f"  rows {first + 1} to {min(total, first + room)} of {total}"
            parts += ["\n", (cut(shown, cells), "italic")]
        return content(*parts)

    def _line(self, number: int, cells: int) -> Part:
        row = self.rows[number]
        here = number == self.at
        left = cells - 2 - sum(self.widths) - 2 * (len(self.widths) - 1)
        columns = [pad(text, width or max(1, left)) for text, width in zip(row.columns, self.widths, strict=True)]
        line = f"{'>' if here else ' '} {'  '.join(columns)}".rstrip()
        return (line, f"bold {row.style}".strip() if here else row.style) if here or row.style else line
