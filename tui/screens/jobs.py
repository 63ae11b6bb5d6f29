"""The first screen: jobs to take up again, and cards to start from.

Must never: open anything itself; it only returns what was chosen.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen

from ferrule.engine.shell.logfile import LogSummary
from ferrule.tui import screen_words, words
from ferrule.tui.screens.areas import QuestionArea
from ferrule.tui.screens.panes import Choice, Pick
from ferrule.tui.widgets.text import Text, content, cut


class JobsScreen(Screen[None]):
    """A list of jobs and cards."""

    def __init__(self, logs: Sequence[LogSummary], cards: Sequence[str]) -> None:
        super().__init__()
        self._names = [log.job_id for log in logs] + list(cards)
        choices = [
            Choice(
                ("go on", log.title, words.MODE_WORDS.get(log.mode, ""), log.last_wall[:16].replace("T", " ")),
                f"{log.job_id}, last entry at {log.last_wall}",
            )
            for log in logs
        ]
        choices += [Choice(("start", card, "", ""), "An example card of the package.") for card in cards]
        intro = () if choices else (screen_words.NO_JOBS,)
        self._pick = Pick("Jobs", intro, choices, self._chosen, (8, 0, 8, 16))

    def compose(self) -> ComposeResult:
        """Mount the list."""
        yield Text(id="head")
        yield QuestionArea(id="pane")
        yield Text(id="hint")
        yield Text(id="keys")

    def on_mount(self) -> None:
        """Draw for the first time."""
        self.draw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.draw()

    def on_key(self, event: events.Key) -> None:
        """Move, choose or leave."""
        event.stop()
        event.prevent_default()
        if event.key in ("escape", "f10", "q"):
            self.app.exit("")
        elif event.key in ("f9", "t"):
            self.app.action_next_theme()  # type: ignore[attr-defined]
        elif self._pick.key(event.key, event.character or ""):
            self.draw()

    def _chosen(self, at: int) -> None:
        self.app.exit(self._names[at])

    def draw(self) -> None:
        """Show the list."""
        cells = self.size.width
        if not self.is_mounted or not cells:
            return
        self.query_one("#head", Text).show(content((" ferrule", "bold"), "\n", screen_words.WHAT_IT_IS))
        self.query_one(QuestionArea).show(self._pick, cells)
        self.query_one("#hint", Text).show(content((cut(f" {screen_words.JOBS_HINT}", cells), "bold")))
        self.query_one("#keys", Text).show(content(cut(screen_words.JOBS_KEYS, cells)))
