"""Every painted line in as few pieces as it needs: each piece costs a terminal its own change of style.

For: slow lines and fast steps; blank cells look the same in any colour of letters, so they go with their neighbours.
Must never: change what a cell shows.
"""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter


class FewerPieces(LineFilter):
    """Joins pieces of one look, and blanks with the piece before or behind them on the same ground."""

    def apply(self, segments: list[Segment], _background: Color) -> list[Segment]:
        """Return the same cells in fewer segments."""
        joined: list[Segment] = []
        for segment in segments:
            last = joined[-1] if joined else None
            if last is None or last.control or segment.control:
                joined.append(segment)
                continue
            style = _style_of_both(last, segment)
            if style is _NEITHER:
                joined.append(segment)
            else:
                joined[-1] = Segment(last.text + segment.text, style)
        return joined


_NEITHER = Style(blink2=True)
"""Stands for: these two cannot share a style; no screen of ours blinks."""


def _style_of_both(first: Segment, second: Segment) -> Style | None:
    if first.style == second.style:
        return first.style
    if first.style is None or second.style is None or first.style.bgcolor != second.style.bgcolor:
        return _NEITHER
    if _is_blank(second) and not _marks_blanks(first.style):
        return first.style
    if _is_blank(first) and not _marks_blanks(second.style):
        return second.style
    return _NEITHER


def _is_blank(segment: Segment) -> bool:
    return segment.text.isspace() and not _marks_blanks(segment.style)


def _marks_blanks(style: Style | None) -> bool:
    """True for a style that shows on a cell without a letter."""
    return style is not None and bool(style.reverse or style.underline or style.underline2 or style.strike)
