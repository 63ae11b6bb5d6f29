"""Whether the picture of a step is shown, and whether there is room for it beside the text.

Pictures are imported when the first one is shown, so that a walk starts without them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.geometry import Size

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import events as e
from ferrule.engine.walk.state import State
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.has_picture import has_picture

if TYPE_CHECKING:
    from ferrule.tui.pictures.base import Picture
    from ferrule.tui.pictures.gauge import Gauge

BESIDE_CELLS = 54
_WIDE, _TALL = 110, 30
_GAUGE_ROWS = ((34, 4), (24, 2), (0, 0))
"""Rows of the gauge from a height on."""


@dataclass(frozen=True, slots=True)
class Shown:
    """The picture of the step as it is shown now."""

    picture: Picture | None = None
    beside: bool = False

    def text_cells(self, cells: int) -> int:
        """Return the cells that are left for the step."""
        return cells - BESIDE_CELLS if self.picture is not None and self.beside else cells


NOTHING = Shown()


@dataclass
class Pictures:
    """What a person chose: shown, hidden, or not chosen, when the room decides."""

    wanted: bool | None = None

    def on(self, size: Size) -> bool:
        """True when a step's picture is to be shown in a window of this size."""
        return _is_wide(size) if self.wanted is None else self.wanted

    def turn(self, size: Size) -> None:
        """Show what is hidden, hide what is shown."""
        self.wanted = not self.on(size)

    def hint(self, job: Job, state: State, size: Size) -> str:
        """Return the key that shows or hides the picture, where there is one."""
        if not has_picture(job, state):
            return ""
        return "  Tab text" if self.on(size) else "  Tab picture"

    def instead(self, job: Job, state: State, size: Size) -> bool:
        """True while the picture stands in place of the text that matters less."""
        return self.on(size) and not _is_wide(size) and has_picture(job, state)

    def of(self, job: Job, state: State, draft: Draft, size: Size) -> Shown:
        """Return the picture of the step on screen as it is to be shown."""
        if not (self.on(size) and has_picture(job, state)):
            return NOTHING
        from ferrule.tui.pictures.pick import picture_of

        return Shown(picture_of(job, state, draft), _is_wide(size))


def _is_wide(size: Size) -> bool:
    return size.width >= _WIDE and size.height >= _TALL


def gauge_after(events: Sequence[e.Event], job: Job, state: State) -> Gauge | None:
    """Return the gauge of an answer that was just taken; None where no reading was judged."""
    if not any(isinstance(x, e.Answered) and (x.checks or any(r.verdict for r in x.cells)) for x in events):
        return None
    from ferrule.tui.pictures.gauge_of import gauge_of

    return gauge_of(events, amended_job(job, state.amendments))


def gauge_lines(gauge: Gauge | None, size: Size) -> tuple[str, ...]:
    """Return the gauge in as many rows as a window of this size has for it."""
    most = next(rows for least, rows in _GAUGE_ROWS if size.height >= least)
    if gauge is None or not most:
        return ()
    from ferrule.tui.pictures.base import ASCII, BOX
    from ferrule.tui.signs import is_ascii

    return gauge.draw(size.width - 2, most, ASCII if is_ascii() else BOX)
