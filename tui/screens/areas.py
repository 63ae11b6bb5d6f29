"""The areas of the walk screen that take turns: the step, a question, a page to read.

Each mounts its blocks once and shows what it is given; none of them knows a session.
"""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive

from ferrule.engine.text import caret_lines
from ferrule.tui.screens import entry, stages, views
from ferrule.tui.screens.beside import NOTHING, Shown
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.panes import Ask, Page, Pick
from ferrule.tui.widgets.drawing import Drawing
from ferrule.tui.widgets.rows import Rows
from ferrule.tui.widgets.text import Text, content, rows

_NOT_TAKEN = "NOT TAKEN: "
_MATTERS_LESS = ("before", "next", "here")
"""Blocks that a picture may stand in place of; warnings, notices and what is missing always stay."""


class Reading(VerticalScroll):
    """An area that may be longer than the screen; it is scrolled by keys and shows no bar."""

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Without bars nothing has to be laid out again when the content grows."""

    def turn(self, name: str) -> bool:
        """Scroll by a key; False when it is another one."""
        moves = {
            "up": self.scroll_up,
            "down": self.scroll_down,
            "pageup": self.scroll_page_up,
            "pagedown": self.scroll_page_down,
            "home": self.scroll_home,
            "end": self.scroll_end,
        }
        if name not in moves:
            return False
        moves[name](animate=False)
        return True

    @property
    def more_below(self) -> bool:
        """True when something stands below what is in sight."""
        return self.max_scroll_y > self.scroll_offset.y


class StepArea(Reading):
    """The step that is to be done now."""

    def compose(self) -> ComposeResult:
        """Mount every block of a step, of whatever kind."""
        for name in ("before", "warnings", "now", "next", "here", "needs"):
            yield Text(id=name)
        yield Rows(id="table")
        yield Drawing(id="picture")
        yield Text(id="entry")
        yield Text(id="fault")

    def show(self, look: stages.Look, cells: int, shown: Shown = NOTHING) -> None:
        """Show a step and what is typed for it, with its picture beside the text or in place of some of it."""
        situation, whole = look.situation, cells
        cells = shown.text_cells(cells)
        blocks = {
            "before": views.before(situation, cells),
            "warnings": views.warnings(situation, cells),
            "now": views.now(situation, cells),
            "next": views.after(situation, cells),
            "here": views.here(situation),
            "needs": views.needs(look.job, situation, cells),
        }
        if look.pictured:
            blocks |= dict.fromkeys(_MATTERS_LESS, content(""))
        for name, block in blocks.items():
            self.query_one(f"#{name}", Text).show(block)
        self.show_entry(look, whole, shown)

    def show_entry(self, look: stages.Look, cells: int, shown: Shown = NOTHING) -> None:
        """Show only what is typed and marked, and its picture; the rest of the step stays as it is."""
        cells = shown.text_cells(cells)
        self.query_one(Drawing).show(shown.picture, beside=shown.beside)
        self.query_one("#entry", Text).show(entry.entry(look, cells))
        self.query_one("#fault", Text).show(_fault(look.draft))
        table = self.query_one(Rows)
        stage = stages.stage_of(look.situation, look.draft)
        several = len(look.draft.places) > 1 and stage in (stages.FILL, stages.READY)
        table.display = several and not look.pictured
        if table.display:
            found, widths = entry.table(look, cells)
            table.show(found, widths, min(look.draft.at, len(found) - 1))
            table.most = len(found)

    def follow(self) -> None:
        """Bring the field and what was refused in it into sight."""
        if self.more_below:
            self.scroll_end(animate=False)

    @property
    def warnings_in_sight(self) -> bool:
        """True when the warnings are in sight to their end (SP-01)."""
        block = self.query_one("#warnings", Text)
        return not block.display or block.virtual_region.bottom <= self.scroll_offset.y + self.size.height


def _fault(draft: Draft) -> Content:
    fault = draft.fault
    if fault is None or draft.here is None:
        return content("")
    text = draft.lines[draft.at].text
    lines = [_NOT_TAKEN + fault.reason]
    if fault.column and text:
        lines += [f"  {line}" for line in caret_lines(text, fault.column).split("\n")]
    return rows(lines)


class QuestionArea(Vertical):
    """A list to choose from, or a line to type."""

    def compose(self) -> ComposeResult:
        """Mount the blocks of a question."""
        yield Text(id="title")
        yield Text(id="intro")
        yield Rows(id="choices")
        yield Text(id="detail")
        yield Text(id="field")

    def show(self, pane: Pick | Ask, cells: int) -> None:
        """Show a question."""
        choices = self.query_one(Rows)
        choices.display = isinstance(pane, Pick)
        if isinstance(pane, Pick):
            choices.show(pane.rows(), pane.widths, pane.at)
            detail, field = content(pane.choices[pane.at].detail if pane.choices else ""), content("")
        else:
            detail = content(_NOT_TAKEN + pane.fault if pane.fault else "")
            left_empty = " (may be left empty)" if pane.optional else ""
            typed = f"[ {entry.with_cursor(pane.line, cells - 6)} ]"
            asked = f"{pane.prompt}{left_empty}"
            field = content(asked if asked.endswith("?") else f"{asked}:", "\n", (typed, "bold"))
        blocks = {"title": content((pane.title, "bold")), "intro": rows(pane.intro), "detail": detail, "field": field}
        for name, shown in blocks.items():
            self.query_one(f"#{name}", Text).show(shown)


class PageArea(Reading):
    """A page to read."""

    def compose(self) -> ComposeResult:
        """Mount title and text."""
        yield Text(id="page-title")
        yield Text(id="page-text")

    def show(self, page: Page) -> None:
        """Show a page."""
        self.query_one("#page-title", Text).show(content((page.title, "bold")))
        self.query_one("#page-text", Text).show(rows(page.lines))
