"""A picture that fills the room it is given, drawn anew only when the picture or the room changes."""

from __future__ import annotations

from textual.app import RenderResult
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget

from ferrule.tui.pictures.base import ASCII, BOX, Picture
from ferrule.tui.signs import is_ascii
from ferrule.tui.widgets.text import rows


class Drawing(Widget):
    """One picture."""

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Without bars nothing has to be laid out again when the picture grows."""
    DEFAULT_CSS = """
    Drawing { height: 1fr; min-height: 6; width: 100%; padding: 0 1; display: none; }
    Drawing.beside { dock: right; width: 54; height: 100%; padding: 0 0 0 1; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._picture: Picture | None = None

    def show(self, picture: Picture | None, *, beside: bool) -> None:
        """Show a picture beside the step or within it; none takes no room."""
        if self.display != (picture is not None):
            self.display = picture is not None
        if self.has_class("beside") != beside:
            self.set_class(beside, "beside")
        if picture != self._picture:
            self._picture = picture
            self.refresh()

    def render(self) -> RenderResult:
        """Draw the picture in the room that is there."""
        if self._picture is None:
            return ""
        width, height = self.content_size
        return rows(self._picture.draw(width, height, ASCII if is_ascii() else BOX))
