"""A log walked again on screen, one command after the other, read-only.

Must never: change anything, or leave a difference unnamed.
"""

from __future__ import annotations

from textual import events

from ferrule.engine.journal.replay import Moment, Replay
from ferrule.engine.shell.session import PRACTICE
from ferrule.engine.walk.situation import Situation, situation
from ferrule.tui import screen_words, words
from ferrule.tui.bindings import REPLAY_HELP
from ferrule.tui.screens.areas import page_area
from ferrule.tui.screens.frame import Frame, SheetScreen
from ferrule.tui.screens.panes import Page
from ferrule.tui.signature_words import signature_lines

FAR = 10
"""Commands that PageUp and PageDown pass over."""


class ReplayScreen(SheetScreen):
    """All moments of a log, one at a time."""

    def __init__(self, replay: Replay) -> None:
        super().__init__()
        self._replay = replay
        self._at = 0
        self._helping = False
        """While the keys are shown in place of the moment."""

    def on_key(self, event: events.Key) -> None:
        """Step through the log."""
        event.stop()
        event.prevent_default()
        moves = {
            "right": 1,
            "enter": 1,
            "space": 1,
            "left": -1,
            "backspace": -1,
            "pagedown": FAR,
            "pageup": -FAR,
            "home": -self._replay.count,
            "end": self._replay.count,
        }
        if self.too_small and event.key != "f10":
            return
        if event.key in ("f1", "question_mark") or (self._helping and event.key in ("escape", "enter", "space")):
            self._helping = not self._helping
            self.reach.home()
            self.draw()
        elif event.key in ("escape", "f10", "q"):
            self.app.exit(screen_words.REPLAY_DIFFERS if self._replay.differences() else 0)
        elif event.key in ("f9", "t"):
            self.app.action_next_theme()  # type: ignore[attr-defined]
        elif self._helping:
            if self.reach.turn(event.key):
                self.draw()
        elif event.key == "d":
            self._go(self._next_difference())
        elif event.key in moves:
            self._go(self._at + moves[event.key])
        elif self.reach.turn(event.key):
            self.draw()

    def _go(self, number: int) -> None:
        self._at = max(0, min(self._replay.count, number))
        self.reach.home()
        self.draw()

    def _next_difference(self) -> int:
        """Return the next moment that differs, from the first again after the last."""
        found = [m.number for m in self._replay.differences()]
        return next((n for n in found if n > self._at), found[0] if found else self._at)

    def put_all(self, *, follow: bool) -> None:
        """Show the moment."""
        moment, job, size = self._replay.at(self._at), self._replay.job, self.room
        walked = str(self._replay.opened.data["mode"])
        now_ms = moment.state.last_ms
        here = situation(job, moment.state, now_ms, moment.entry.wall if moment.entry else "")
        acting = words.person_name(job, moment.state.operator)
        said = (f"DIFFERENT x  {moment.difference}",) if moment.difference else ()
        mode, practice = f"REPLAY, {words.MODE_WORDS[walked]}", walked == PRACTICE
        frame = Frame(job, here, mode, practice, now_ms, acting, said)
        page, hint = Page(self._title(moment), self._lines(moment, here)), screen_words.REPLAY_HINT
        if self._helping:
            page, hint = Page("Keys", screen_words.answer_lines(REPLAY_HELP)), screen_words.JOBS_PAGE_HINT
        top, bottom = (frame.head(size), frame.strip(size)), (frame.verdict(size),)
        self.put(top, page_area(page), bottom, lambda: hint, screen_words.REPLAY_KEYS, follow=follow)

    def _title(self, moment: Moment) -> str:
        found = len(self._replay.differences())
        differ = f"{found} differ" if found else "all replay the same"
        return f"Entry {moment.number} of {self._replay.count}; {differ}"

    def _lines(self, moment: Moment, here: Situation) -> tuple[str, ...]:
        job, entry = self._replay.job, moment.entry
        if entry is None or moment.command is None:
            opened = self._replay.opened
            return (f"{opened.wall}: the log was opened by {words.person_name(job, str(opened.data['operator']))}.",)
        step = here.step
        lines = [f"{entry.wall}, {words.person_name(job, moment.command.person)}", ""]
        lines.append(words.command_words(moment.command, job))
        lines += ["", *(f"- {words.event_words(event, job)}" for event in moment.events)]
        lines += [f"- {notice}" for notice in words.notice_lines(here)]
        lines += ["", f"Then on screen: {step.text}" if step else "Then no step was open."]
        signed = signature_lines(self._replay.entries) if moment.number == self._replay.count else ()
        return (*lines, *(f"- {line}" for line in signed))
