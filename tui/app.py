"""Starts a screen for a session, a replay or the choice of a job; the one place where the screen library is run.

Must never: hold a job's truth, or leave the terminal or the log's lock behind when it is ended from outside.
"""

from __future__ import annotations

import asyncio
import gc
import os
import signal
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual import constants
from textual.app import App
from textual.binding import Binding, BindingType
from textual.filter import LineFilter
from textual.screen import Screen

from ferrule.engine.shell.session import Session
from ferrule.tui.bindings import LEAVE_KEYS
from ferrule.tui.fewer import FewerPieces
from ferrule.tui.no_colour import NoColour
from ferrule.tui.screens.frame import SheetScreen
from ferrule.tui.screens.walk import WalkScreen
from ferrule.tui.signs import set_ascii, wants_ascii
from ferrule.tui.theme import first_theme, next_theme
from ferrule.tui.warm import warmed

if TYPE_CHECKING:
    from ferrule.engine.journal.replay import Replay
    from ferrule.tui.screens.jobs import Chosen, Offer

INTERRUPTED = 130
SETTLE_S = 1.0
"""Memory is settled when the first screen has long been painted: it takes about as long as painting one."""
WARM_S = 0.05
"""Between one module that is brought in ahead and the next: a key that comes then is taken first."""


class FerruleApp(App[int | str]):
    """One screen, by keys alone."""

    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(",".join(LEAVE_KEYS), "interrupt", show=False, priority=True),
    ]

    def __init__(self, first: SheetScreen, environ: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self._first = first
        self._environ = os.environ if environ is None else environ
        self._warmed = warmed() if isinstance(first, WalkScreen) else iter(())
        self.theme_name = first_theme(self._environ)
        self._uncoloured = bool(self._environ.get("NO_COLOR"))
        self._line_filters = (NoColour(), FewerPieces()) if self._uncoloured else (FewerPieces(),)
        set_ascii(wants_ascii(self._environ))

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return what every painted line goes through; colours are our own and stay, where they are wanted."""
        return self._line_filters

    def get_default_screen(self) -> Screen[None]:
        """Return the one screen."""
        return self._first

    def on_mount(self) -> None:
        """Take what ends a program from outside, and settle the memory after the first frame."""
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, getattr(signal, "SIGHUP", None)):
            if number is not None:
                with suppress(NotImplementedError, RuntimeError, ValueError):
                    loop.add_signal_handler(number, self.action_interrupt)
        self.set_timer(SETTLE_S, self._settle)

    def _settle(self) -> None:
        """Bring in what the first readings need, a little at a time; then set apart what start-up made.

        Only where start-up ran without collection is there anything to set apart.
        """
        if next(self._warmed, ""):
            self.set_timer(WARM_S, self._settle)
        elif not gc.isenabled():
            gc.collect()
            gc.freeze()
            gc.enable()

    def action_interrupt(self) -> None:
        """End from outside; every command that was taken is in the log."""
        self.exit(INTERRUPTED)

    def action_next_theme(self) -> None:
        """Change between day, night and mono; where colour is unwanted it stays mono."""
        if self._uncoloured:
            return
        self.theme_name = next_theme(self.theme_name)
        self._first.draw()


def _run(screen: SheetScreen) -> int | str:
    # Keys are taken as every terminal sends them; the extended protocol would be asked for otherwise.
    constants.DISABLE_KITTY_KEY = True  # type: ignore[misc]
    # A size that a shell exported once would be believed instead of the window's own, and no resizing seen.
    for name in ("COLUMNS", "LINES"):
        os.environ.pop(name, None)
    found = FerruleApp(screen).run(mouse=False)
    return INTERRUPTED if found is None else found


def run_walk(session: Session, person: str = "") -> int:
    """Walk a job on screen; return 0 when it was closed or left, 130 when it was ended from outside."""
    try:
        return int(_run(WalkScreen(session, person)))
    finally:
        session.close()


def run_replay(replay: Replay) -> int:
    """Walk a log again on screen, read-only; return 0 when it replays the same, 1 with differences."""
    from ferrule.tui.screens.replay import ReplayScreen

    return int(_run(ReplayScreen(replay)))


def run_jobs(offer: Offer) -> Chosen | None:
    """Return what was chosen on the first screen; None when nothing was."""
    from ferrule.tui.screens.jobs import JobsScreen

    screen = JobsScreen(offer)
    _run(screen)
    return screen.chosen
