"""A screen as a small picture: text in cells, nothing fetched from elsewhere."""

from __future__ import annotations

import re
from html import escape

from rich.segment import Segment
from rich.style import Style

from ferrule.engine.text import width
from ferrule.tui.app import FerruleApp
from ferrule.tui.theme import PALETTES

CELL, LINE, BASE = 8, 17, 13
SIZE = "13.29"
"""So that a sign of an advance of 0.602 em fills a cell (measured on one font); others are fitted by their length."""
_FONT = "ui-monospace, 'DejaVu Sans Mono', 'Liberation Mono', Menlo, Consolas, monospace"
_WORDS = re.compile(r"\S+(?: \S+)*")
"""What stands together; wider gaps are left by the place of the next, since viewers differ in keeping them."""
Look = tuple[str, str, bool]
"""Ink, ground, bold."""


def svg_of(app: FerruleApp) -> str:
    """Return the screen of an application as SVG."""
    strips = app.screen._compositor.render_strips()
    columns, page = app.size.width, PALETTES[app.theme_name]["page"].ground
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {columns * CELL} {len(strips) * LINE}" '
        f'font-family="{_FONT}" font-size="{SIZE}">',
        f'<rect width="100%" height="100%" fill="{page}"/>',
    ]
    for row, strip in enumerate(strips):
        lines += _row(row, list(strip), page)
    return "\n".join([*lines, "</svg>", ""])


def _row(row: int, segments: list[Segment], page: str) -> list[str]:
    """Return grounds and texts of one row, runs of one look together."""
    runs: list[tuple[int, str, Look]] = []
    at = 0
    for segment in segments:
        look = _look(segment.style or Style.null(), page)
        if runs and runs[-1][2] == look:
            runs[-1] = (runs[-1][0], runs[-1][1] + segment.text, look)
        else:
            runs.append((at, segment.text, look))
        at += width(segment.text)
    drawn = []
    for first, text, (ink, ground, bold) in runs:
        left, cells = first * CELL, width(text)
        if ground != page:
            drawn.append(f'<rect x="{left}" y="{row * LINE}" width="{cells * CELL}" height="{LINE}" fill="{ground}"/>')
        weight = ' font-weight="bold"' if bold else ""
        for words in _WORDS.finditer(text):
            x, shown = (first + width(text[: words.start()])) * CELL, words[0]
            place = f'x="{x}" y="{row * LINE + BASE}" textLength="{width(shown) * CELL}"'
            drawn.append(f'<text {place} fill="{ink}"{weight}>{escape(shown)}</text>')
    return drawn


def _look(style: Style, page: str) -> Look:
    ink = _hex(style, ground=False) or "#000000"
    ground = _hex(style, ground=True) or page
    return (ground, ink, bool(style.bold)) if style.reverse else (ink, ground, bool(style.bold))


def _hex(style: Style, *, ground: bool) -> str:
    color = style.bgcolor if ground else style.color
    return color.get_truecolor().hex if color is not None and not color.is_default else ""
