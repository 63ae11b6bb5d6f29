"""Pieces of text with their emphasis; nothing in them is ever read as markup."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from ferrule.engine.text import width
from ferrule.tui.signs import shown as on_terminal

Part = str | tuple[str, str]
"""A piece of text, plain or with an emphasis: one of the words in `paint.EMPHASIS`."""


def content(*parts: Part) -> Content:
    """Return pieces as one content; shown as the terminal can show it; line feeds of our own stay."""
    made: list[str | tuple[str, str]] = []
    for part in parts:
        text, style = (part, "") if isinstance(part, str) else part
        shown = on_terminal(text, keep_lf=True)
        made.append((shown, style) if style else shown)
    return Content.assemble(*made)


def rows(lines: Iterable[str]) -> Content:
    """Return whole lines below each other."""
    return content("\n".join(lines))


def cut(text: str, cells: int) -> str:
    """Return a text that fits a number of cells; what is cut leaves a mark."""
    text = on_terminal(text)
    if width(text) <= cells:
        return text
    while text and width(text) > cells - 1:
        text = text[:-1]
    return f"{text}…" if cells > 0 else ""


def pad(text: str, cells: int) -> str:
    """Return a text cut or filled to exactly a number of cells."""
    short = cut(text, cells)
    return short + " " * max(0, cells - width(short))
