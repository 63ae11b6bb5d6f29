"""The screens without any colour: what the mono theme shows as black on white becomes reversed text.

For: a person or a terminal that asks for no colour (NO_COLOR).
Must never: send a colour to the terminal.
"""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter

_PAGE = Color.parse("#000000")
"""The ground of the mono theme's page."""


class NoColour(LineFilter):
    """Takes the colours out and keeps bold, italic, and what is set apart by its ground."""

    def apply(self, segments: list[Segment], _background: Color) -> list[Segment]:
        """Return the segments without a colour."""
        return [Segment(text, style and _without(style), control) for text, style, control in segments]


def _without(style: Style) -> Style:
    ground = Color.from_rich_color(style.bgcolor) if style.bgcolor is not None else _PAGE
    apart = ground.rgb != _PAGE.rgb
    return Style(
        bold=style.bold, italic=style.italic, underline=style.underline, reverse=apart != bool(style.reverse) or None
    )
