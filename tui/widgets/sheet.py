"""The one widget of a screen: rows that are changed in place, up to the last cell that differs.

For: a step that is painted soon and costs a slow line little; nothing is laid out again, and what stays is not sent.
Must never: send a row that looks as it did.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from ferrule.tui.widgets.paint import Painter, Rowed


class Sheet(Widget):
    """Rows as wide as the window."""

    DEFAULT_CSS = "Sheet { width: 100%; height: 100%; }"

    def __init__(self) -> None:
        super().__init__()
        self.painter = Painter()
        self._rows: Rowed = []

    def show(self, rows: Sequence[Strip]) -> None:
        """Show rows in place of those before."""
        before, self._rows = self._rows, list(rows)
        if len(before) != len(self._rows):
            self.refresh()
            return
        changed = [
            Region(0, y, changed_cells(old, new), 1)
            for y, (old, new) in enumerate(zip(before, self._rows, strict=True))
            if old is not new and old != new
        ]
        if changed:
            self.refresh(*changed)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Return the rows of a region; where the window grew and nothing is drawn yet, blank ones."""
        x, y, width, height = crop
        rows = self._rows[y : y + height]
        rows += [Strip.blank(x + width)] * (height - len(rows))
        return [row if (x, width) == (0, row.cell_length) else row.crop_extend(x, x + width, None) for row in rows]


def changed_cells(old: Strip, new: Strip) -> int:
    """Return how many cells from the left hold all that differs; all of them where the widths differ."""
    cells = new.cell_length
    if old.cell_length != cells:
        return cells
    for was, now in zip(reversed(old), reversed(new), strict=False):
        if was == now:
            cells -= now.cell_length
            continue
        if was.style == now.style:
            cells -= _same_end(was.text, now.text)
        break
    return cells


def _same_end(first: str, second: str) -> int:
    """Return the cells of the longest text that both end with."""
    same = 0
    for was, now in zip(reversed(first), reversed(second), strict=False):
        if was != now:
            break
        same += 1
    while same and not cell_len(second[-same]):
        same -= 1  # A sign that combines is painted with the cell before it.
    return cell_len(second[len(second) - same :]) if same else 0
