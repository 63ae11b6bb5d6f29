"""The signs that pictures are made of, and what keeps every picture within its room.

For: box characters where the terminal has them, ASCII where it has not; the same picture in both.
Must never: draw wider than asked, or leave something out without saying so.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from ferrule.engine.light import dataclass
from ferrule.engine.text import visible, width
from ferrule.tui.signs import in_ascii


@dataclass(frozen=True, slots=True)
class Signs:
    """One set of signs; each is one cell wide."""

    flat: str
    upright: str
    top_left: str
    top_right: str
    bottom_left: str
    bottom_right: str
    cross: str
    right_tee: str
    """An upright with a line to its right."""
    passes: str
    guard: str
    limit: str
    full: str
    """Something typed or filled."""
    open: str
    block: str
    cut: str


BOX = Signs("─", "│", "┌", "┐", "└", "┘", "┼", "├", "═", "▒", "┃", "•", "o", "█", "…")
ASCII = Signs("-", "|", "+", "+", "+", "+", "+", "+", "=", "~", "|", "*", "o", "#", "~")


class Picture(Protocol):
    """Something that can be drawn in a room of cells and rows."""

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return at most so many rows, none of them wider than the cells."""


def shown(text: str, signs: Signs) -> str:
    """Return a text of the card as it may stand in a picture."""
    made = visible(text)
    return in_ascii(made) if signs is ASCII else made


def cut(text: str, cells: int, signs: Signs) -> str:
    """Return a text that fits; what is cut leaves a mark."""
    text = shown(text, signs)
    if width(text) <= cells:
        return text
    while text and width(text) > cells - 1:
        text = text[:-1]
    return f"{text}{signs.cut}" if cells > 0 else ""


def pad(text: str, cells: int, signs: Signs) -> str:
    """Return a text cut or filled to exactly so many cells."""
    short = cut(text, cells, signs)
    return short + " " * max(0, cells - width(short))


def within(lines: Sequence[str], cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
    """Return lines that keep to the room; rows that do not fit are counted in the last one."""
    fitting = [cut(line, cells, signs).rstrip() for line in lines]
    if len(fitting) <= rows:
        return tuple(fitting)
    left = len(fitting) - max(0, rows - 1)
    return (*fitting[: max(0, rows - 1)], cut(f"{signs.cut} {left_out(left, 'row')}", cells, signs))[:rows]


def wrapped(parts: Sequence[str], cells: int, signs: Signs) -> list[str]:
    """Return short texts set beside each other, as many lines as they need; none is parted."""
    lines: list[str] = []
    for part in (cut(p, cells, signs) for p in parts):
        if lines and width(lines[-1]) + 3 + width(part) <= cells:
            lines[-1] += f"   {part}"
        else:
            lines.append(part)
    return lines


def short_names(ids: Sequence[str]) -> dict[str, str]:
    """Return each id without the letters that all of them begin with; whole where nothing would be left."""
    shared = ids[0].rstrip("0123456789") if ids else ""
    same = shared and all(i.startswith(shared) and i != shared for i in ids)
    return {i: i.removeprefix(shared) if same else i for i in ids}


def left_out(count: int, what: str) -> str:
    """Return how many of something are not drawn."""
    return f"{count} {what}{'' if count == 1 else 's'} left out: too little room"


class Grid:
    """A field of cells that signs and texts are put into."""

    def __init__(self, cells: int, rows: int) -> None:
        self._rows = [[" "] * cells for _ in range(rows)]

    def put(self, row: int, column: int, text: str) -> None:
        """Put a text of one-cell signs at a place; what would lie outside is not drawn."""
        for at, sign in enumerate(text, column):
            if 0 <= row < len(self._rows) and 0 <= at < len(self._rows[row]):
                self._rows[row][at] = sign

    def line(self, row: int, first: int, last: int, sign: str) -> None:
        """Draw a level line from one column to another."""
        self.put(row, first, sign * max(0, last - first + 1))

    def lines(self) -> list[str]:
        """Return the field as lines."""
        return ["".join(row).rstrip() for row in self._rows]
