"""The areas of a screen that take turns, as blocks: the step, a question, a page to read.

None of them knows a session, and none keeps anything: the same look gives the same blocks.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from ferrule.engine.light import dataclass
from ferrule.engine.text import caret_lines
from ferrule.tui.pictures.base import ASCII, BOX, Picture
from ferrule.tui.screens import entry, stages, views
from ferrule.tui.screens.beside import BESIDE_CELLS, NOTHING, Shown
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.panes import Ask, Page, Pick
from ferrule.tui.signs import is_ascii
from ferrule.tui.widgets.paint import Block, Room
from ferrule.tui.widgets.rows import Rows
from ferrule.tui.widgets.text import content, rows

_NOT_TAKEN = "NOT TAKEN: "
_TABLE_ROWS, _LIST_ROWS, _PICTURE_ROWS = 2, 3, 6
"""The fewest rows of a table, of a list to choose from, and of a picture."""


@dataclass(frozen=True, slots=True)
class Area:
    """What stands between the strip and the verdict."""

    blocks: Sequence[Block | Room]
    beside: Room | None = None
    """A picture at the right of the blocks, as high as the area."""
    beside_cells: int = 0
    scrolled: bool = False
    """Whether what does not fit is reached by keys."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture as the terminal can show it."""

    picture: Picture
    left: int = 0
    """Blank cells before it."""

    def drawn(self, cells: int, room: int) -> Content:
        """Draw the picture in the room that is there."""
        found = self.picture.draw(cells - self.left, room, ASCII if is_ascii() else BOX)
        return rows(" " * self.left + row for row in found)


def step_area(look: stages.Look, cells: int, shown: Shown = NOTHING) -> Area:
    """Return the step that is to be done now, and what is typed for it, with its picture beside or within it.

    While scope and summary are read they have the room of what comes next and of the table (SP-04).
    """
    situation, draft = look.situation, look.draft
    cells = shown.text_cells(cells)
    blocks: list[Block | Room] = [
        Block("before", "page", content("") if look.pictured else views.before(situation, cells)),
        Block("warnings", "danger", views.warnings(situation, cells), pad=1),
        Block("now", "now", views.now(situation, cells)),
    ]
    opening = entry.shows_summary(look)
    if not look.pictured and not opening:
        blocks.append(Block("next", "page", views.after(situation, cells)))
        blocks.append(
            Block("here", "page", views.here(look.job, situation), 1, views.here_short(look.job, situation, cells))
        )
    blocks.append(Block("needs", "fault", views.needs(look.job, situation, cells), pad=1))
    filling = stages.stage_of(situation, draft) in (stages.FILL, stages.READY)
    if len(draft.places) > 1 and filling and not look.pictured and not opening:
        found, widths = entry.table(look, cells)
        table = Rows(tuple(found), widths, min(draft.at, len(found) - 1))
        blocks.append(Room("table", "page", table, _TABLE_ROWS, len(found)))
    if shown.picture is not None and not shown.beside:
        blocks.append(Room("picture", "page", Drawing(shown.picture), _PICTURE_ROWS, pad=1))
    blocks.append(Block("entry", "field", entry.entry(look, cells), pad=1))
    blocks.append(Block("fault", "fault", _fault(draft), pad=1))
    if shown.picture is None or not shown.beside:
        return Area(blocks, scrolled=True)
    return Area(blocks, Room("picture", "page", Drawing(shown.picture, left=1), 0), BESIDE_CELLS, scrolled=True)


def _fault(draft: Draft) -> Content:
    fault = draft.fault
    if fault is None or draft.here is None:
        return content("")
    text = draft.lines[draft.at].text
    lines = [_NOT_TAKEN + fault.reason]
    if fault.column and text:
        lines += [f"  {line}" for line in caret_lines(text, fault.column).split("\n")]
    return rows(lines)


def question_area(pane: Pick | Ask, cells: int) -> Area:
    """Return a list to choose from, or a line to type."""
    blocks: list[Block | Room] = [
        Block("title", "page", content((pane.title, "bold")), pad=1),
        Block("intro", "page", rows(pane.intro), pad=1),
    ]
    if isinstance(pane, Pick):
        blocks.append(Room("choices", "page", Rows(tuple(pane.rows()), pane.widths, pane.at), _LIST_ROWS))
        detail = pane.choices[pane.at].detail if pane.choices else ""
        blocks.append(Block("detail", "page", content(detail), pad=1))
        return Area(blocks)
    blocks.append(Block("detail", "page", content(_NOT_TAKEN + pane.fault if pane.fault else ""), pad=1))
    asked = f"{pane.prompt}{' (may be left empty)' if pane.optional else ''}"
    typed = f"[ {entry.with_cursor(pane.line, cells - 6)} ]"
    field = content(asked if asked.endswith("?") else f"{asked}:", "\n", (typed, "bold"))
    blocks.append(Block("field", "field", field, pad=1))
    return Area(blocks)


def page_area(page: Page) -> Area:
    """Return a page to read."""
    return Area(
        (
            Block("page-title", "page", content((page.title, "bold")), pad=1),
            Block("page-text", "page", rows(page.lines), pad=1),
        ),
        scrolled=True,
    )
