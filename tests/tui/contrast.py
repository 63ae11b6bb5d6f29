"""The contrast of what is painted, and the styles of a screen as text."""

from __future__ import annotations

from collections.abc import Iterator

from rich.segment import Segment

from ferrule.tui.app import FerruleApp
from ferrule.tui.theme import Pair

LEAST = 7
"""WCAG 2.2, 1.4.6 (from memory)."""


def luminance(colour: str) -> float:
    """Return the relative luminance, WCAG 2.2 definition (from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(pair: Pair) -> float:
    """Return the contrast of text on its ground, WCAG 2.2 definition (from memory)."""
    bright, dark = sorted((luminance(pair.ink), luminance(pair.ground)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def segments_of(app: FerruleApp) -> Iterator[Segment]:
    """Yield what is painted, piece by piece."""
    for strip in app.screen._compositor.render_strips():
        yield from strip


def pair_of(segment: Segment) -> Pair:
    """Return ink and ground of a piece as they are painted."""
    style = segment.style
    assert style is not None
    assert style.color is not None
    assert style.bgcolor is not None
    ink, ground = style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex
    return Pair(ground, ink) if style.reverse else Pair(ink, ground)


def styled_of(app: FerruleApp) -> str:
    """Return a screen with the style before each piece of text that has another one than the piece before."""
    lines = []
    for strip in app.screen._compositor.render_strips():
        line, last = "", ""
        for segment in strip.simplify():
            if not segment.text.strip():
                line += segment.text
                continue
            pair = pair_of(segment)
            style = f"{pair.ink} on {pair.ground}{' bold' if segment.style and segment.style.bold else ''}"
            line += segment.text if style == last else f"{{{style}}}{segment.text}"
            last = style
        lines.append(line.rstrip())
    return "\n".join(lines) + "\n"
