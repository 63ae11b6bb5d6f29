"""A block of rows of which one is marked; it shows as many as there is room for and keeps the marked one in view.

One widget, one repaint: a table of a round, a list to choose from and the path so far are all drawn by it.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import RenderResult
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget

from ferrule.engine.light import dataclass
from ferrule.tui.widgets.text import Part, content, cut, pad


@dataclass(frozen=True, slots=True)
class Row:
    """One row as columns."""

    columns: tuple[str, ...]
    style: str = ""


class Rows(Widget):
    """Rows in columns, with a mark and a window that follows it."""

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Without bars nothing has to be laid out again when the block grows."""
    DEFAULT_CSS = "Rows { height: 1fr; min-height: 3; }"

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._rows: tuple[Row, ...] = ()
        self._widths: tuple[int, ...] = ()
        self._at = 0
        self._most = 0

    def show(self, rows: Sequence[Row], widths: Sequence[int], at: int) -> None:
        """Show rows; a width of 0 takes what is left of the line."""
        if (tuple(rows), tuple(widths), at) == (self._rows, self._widths, self._at):
            return
        self._rows, self._widths, self._at = tuple(rows), tuple(widths), at
        self.refresh()

    @property
    def most(self) -> int:
        """The most rows that the block takes."""
        return self._most

    @most.setter
    def most(self, most: int) -> None:
        if most != self._most:
            self._most = most
            self.styles.max_height = most

    @property
    def room(self) -> int:
        """How many rows fit."""
        return max(1, self.size.height)

    def render(self) -> RenderResult:
        """Draw the window around the marked row."""
        room = self.room
        total = len(self._rows)
        if total > room:
            room -= 1
        first = max(0, min(self._at - room // 2, total - room))
        parts: list[Part] = []
        for number in range(first, min(total, first + room)):
            parts.append(self._line(number))
            parts.append("\n")
        if total > room:
            shown = f"  rows {first + 1} to {min(total, first + room)} of {total}"
            parts.append((cut(shown, self.size.width), "italic"))
        return content(*parts)

    def _line(self, number: int) -> Part:
        row = self._rows[number]
        here = number == self._at
        left = self.size.width - 2 - sum(self._widths) - 2 * (len(self._widths) - 1)
        cells = [pad(text, width or max(1, left)) for text, width in zip(row.columns, self._widths, strict=True)]
        line = f"{'>' if here else ' '} {'  '.join(cells)}".rstrip()
        return (line, f"bold {row.style}".strip() if here else row.style) if here or row.style else line
