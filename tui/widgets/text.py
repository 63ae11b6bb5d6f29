"""Text that is changed in place, and only when it differs; nothing in it is ever read as markup."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Static

from ferrule.engine.text import width
from ferrule.tui.signs import shown as on_terminal

Part = str | tuple[str, str]
"""A piece of text, plain or with a style."""


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


class Text(Static):
    """A block of text."""

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Without this a block that grew would have the whole screen laid out a second time, for bars that it has not."""

    def __init__(self, *, id: str, classes: str = "") -> None:
        super().__init__("", id=id, classes=classes, markup=False)
        self._shown: Content | None = None

    def show(self, shown: Content) -> None:
        """Show a content; an empty block takes no room, and one of the same height moves nothing."""
        if self._shown is not None and shown == self._shown and shown.spans == self._shown.spans:
            return
        self._shown = shown
        full = bool(shown.plain)
        if self.display != full:
            self.display = full
        self.update(shown, layout=not self._same_height(shown))

    def _same_height(self, shown: Content) -> bool:
        width, height = self.content_size
        return bool(width) and shown.get_height({}, width) == height
