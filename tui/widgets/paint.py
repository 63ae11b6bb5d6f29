"""Blocks of text made into painted rows: wrapped to the sheet's width, in the colours of a part of the theme.

For: one place where a part's name becomes a colour; what has not changed since the last drawing is not made again.
Must never: decide what a block says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from rich.segment import Segment
from textual.color import Color
from textual.content import Content
from textual.filter import LineFilter
from textual.strip import Strip
from textual.style import Style

from ferrule.engine.light import dataclass
from ferrule.tui.theme import PALETTES, Pair

EMPHASIS: Mapping[str, Style] = {
    "bold": Style(bold=True),
    "italic": Style(italic=True),
    "reverse bold": Style(reverse=True, bold=True),
}
"""What a piece of text may be set apart by; no word of it blinks."""


@dataclass(frozen=True, slots=True)
class Block:
    """Text in the colours of a part of the theme; without text it takes no row."""

    name: str
    part: str
    content: Content
    pad: int = 0
    """Blank cells at the left and at the right."""
    short: Content | None = None
    """What stands in its place where an area has too little room; nothing is lost that no key shows whole."""

    @property
    def shortened(self) -> Block:
        """The block in its short form, if it has one."""
        return self if self.short is None else Block(self.name, self.part, self.short, self.pad)


class Drawn(Protocol):
    """What is drawn for the room that there is; two that are equal look the same."""

    def drawn(self, cells: int, room: int) -> Content:
        """Return so many rows, or fewer."""


@dataclass(frozen=True, slots=True)
class Room:
    """A block that takes the rows that the others of its area leave."""

    name: str
    part: str
    drawn: Drawn
    least: int
    most: int = 0
    """The most rows that it takes; 0 is no bound."""
    pad: int = 0


Rowed = list[Strip]


class Painter:
    """Makes rows of blocks, in one theme, for one kind of terminal."""

    def __init__(self) -> None:
        self._pairs: Mapping[str, Pair] = {}
        self._filters: Sequence[LineFilter] = ()
        self._kept: dict[str, tuple[object, Content | None, Rowed]] = {}

    def use(self, theme: str, filters: Sequence[LineFilter]) -> None:
        """Paint in a theme from here on, every row through the filters."""
        if self._pairs is not PALETTES[theme]:
            self._pairs, self._filters = PALETTES[theme], filters
            self._kept.clear()

    def rows(self, block: Block, cells: int) -> Rowed:
        """Return a block as whole rows."""
        if not block.content.plain:
            return []
        key = (block.part, cells, block.pad)
        kept, before, rows = self._kept.get(block.name, (None, None, []))
        if kept == key and before is not None and _same(before, block.content):
            return rows
        rows = self._painted(block.part, block.content, cells, block.pad)
        self._kept[block.name] = (key, block.content, rows)
        return rows

    def room(self, block: Room, cells: int, height: int) -> Rowed:
        """Return a block as exactly so many rows."""
        key = (block.part, cells, block.pad, height, block.drawn)
        kept, _, rows = self._kept.get(block.name, (None, None, []))
        if kept == key:
            return rows
        found = block.drawn.drawn(cells - 2 * block.pad, height)
        rows = self._painted(block.part, found, cells, block.pad)[:height] if found.plain else []
        rows += [self.blank(cells, block.part)] * (height - len(rows))
        self._kept[block.name] = (key, None, rows)
        return rows

    def blank(self, cells: int, part: str = "page") -> Strip:
        """Return a row without text."""
        return self._row([], 0, cells, self._style(part))

    def _painted(self, part: str, found: Content, cells: int, pad: int) -> Rowed:
        style = self._style(part)
        return [
            self._row(
                [
                    Segment(text, (style + emphasis).rich_style)
                    for text, emphasis in line.render(Style.null(), "", EMPHASIS.__getitem__)  # type: ignore[arg-type]
                    if text
                ],
                pad,
                cells,
                style,
            )
            for line in found.wrap(cells - 2 * pad)
        ]

    def _row(self, pieces: list[Segment], pad: int, cells: int, style: Style) -> Strip:
        plain = style.rich_style
        strip = Strip([Segment(" " * pad, plain), *pieces] if pad else pieces).adjust_cell_length(cells, plain)
        for line_filter in self._filters:
            strip = strip.apply_filter(line_filter, style.background or Color(0, 0, 0))
        return strip

    def _style(self, part: str) -> Style:
        pair = self._pairs[part]
        return Style(background=Color.parse(pair.ground), foreground=Color.parse(pair.ink))


def _same(first: Content, second: Content) -> bool:
    return first == second and first.spans == second.spans
