"""The walk's one screen, driven by keys alone.

Rules
1. A key becomes typed text, a mark, a command for the session, or nothing.
2. Enter never confirms an act that cannot be taken back, and a key held down counts once.
"""

from __future__ import annotations

from collections.abc import Callable

from textual import events

from ferrule.engine.shell.session import Session
from ferrule.engine.walk import commands as c
from ferrule.tui import screen_words
from ferrule.tui.bindings import BY_FUNCTION, BY_LETTER
from ferrule.tui.screens import add_point, flows, menu, stages, turning
from ferrule.tui.screens.desk import WalkDesk
from ferrule.tui.screens.panes import Ask, Bounce, Page, Pick, moved_mark


class WalkScreen(WalkDesk):
    """One job at work, by keys."""

    def __init__(self, session: Session, person: str = "", *, bounce_s: float = 0.05) -> None:
        super().__init__(session, person)
        self._bounce = Bounce(bounce_s)

    async def on_key(self, event: events.Key) -> None:
        """Take every key of the screen."""
        char = event.character or ""
        event.stop()
        event.prevent_default()
        self._hear()
        if event.key in BY_FUNCTION:
            self.act(BY_FUNCTION[event.key])
        elif self.too_small:
            if char in BY_LETTER and BY_LETTER[char] in ("stop", "leave"):
                self.act(BY_LETTER[char])
        elif self._far and (self._pane is not None or event.key in ("pageup", "pagedown")):
            return
        elif self._pane is not None:
            self._pane_key(event.key, char)
        else:
            self._step_key(event.key, char)

    def _hear(self) -> None:
        """Take a key as a sign of life, whatever else it does."""
        self._lone.hear(self.session.now_ms())
        if self._lone_line:
            self._lone_line = ""
            self.draw()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text where text is typed; its first line only."""
        text = event.text.split("\n")[0]
        if isinstance(self._pane, Ask):
            self._pane.line.put(text)
        elif self._pane is None and stages.stage_of(self.situation, self._draft) == stages.FILL:
            self._draft.paste(text)
        self.draw()

    def act(self, action: str) -> None:
        """Do what a command key stands for."""
        actions: dict[str, Callable[[], None]] = {
            "help": lambda: self.open(Page("Keys", screen_words.help_lines())),
            "list": lambda: flows.whole(self),
            "path": lambda: turning.path(self),
            "remark": lambda: flows.remark(self, self._pane.step if isinstance(self._pane, Pick) else ""),
            "why": lambda: turning.why(self),
            "far": self._turn_far,
            "report": lambda: flows.report(self),
            "picture": self._turn_picture,
            "point": lambda: add_point.add_point(self),
            "away": lambda: flows.away(self),
            "theme": self.app.action_next_theme,  # type: ignore[attr-defined]
            "leave": self._leave,
            "more": lambda: menu.more(self),
            "stop": lambda: flows.stop(self),
        }
        actions[action]()

    def _leave(self) -> None:
        """Leave; where something is typed it is asked first, except in a window that could not show the question."""
        begun = self._draft.begun and not self.too_small
        flows.leave(self, self._draft.filled, len(self._draft.places), begun)

    def _pane_key(self, name: str, char: str) -> None:
        pane = self._pane
        if name == "escape":
            self.back()
        elif isinstance(pane, Page):
            if name in ("enter", "space"):
                self.back()
            elif self.reach.turn(name):
                self.draw()
            else:
                self._letter(char)
        elif pane is not None and pane.key(name, char):
            self.draw()
        elif isinstance(pane, Pick):
            self._letter(char)

    def _turn_picture(self) -> None:
        """Show or hide the picture; what is typed stays as it is."""
        if self.turned is not None:
            self.say(screen_words.HIDDEN)
        elif self._pictures.hint(self.session.job, self.session.state, self.room):
            self._pictures.turn(self.room)
            self.draw()
        elif self._pane is None:
            self.say(screen_words.NO_PICTURE)

    def _turn_far(self) -> None:
        """Show the step in large letters, or as it was; a question that is open stays open behind it."""
        self._far = not self._far
        self.draw()

    def _letter(self, char: str) -> None:
        """Do what a letter stands for, where nothing is being typed."""
        if char in BY_LETTER:
            self.act(BY_LETTER[char])

    def _step_key(self, name: str, char: str) -> None:
        stage = stages.stage_of(self.situation, self._draft)
        if name in ("pageup", "pagedown"):
            self.reach.turn(name)
            self.draw()
            return
        if stage in (stages.FILL, stages.READY) and turning.is_wanted(self) and self._answers(name, char):
            turning.hand_over(self)
            return
        if self._confirming(stage, name, char) and self._bounce.is_repeat(name):
            return
        if stage == stages.FILL and name != "up" and self._typed(name, char):
            return
        if stage in (stages.FILL, stages.READY) and name in ("up", "down"):
            self._draft.key(name, char)
            self._follow()
        elif stage in (stages.PENDING, stages.HOLD):
            self._mark_key(stage, name, char)
        elif stage == stages.READY and self._confirms(name, char):
            self._record()
        elif stage in (stages.START, stages.RUNNING) and name in ("enter", "space"):
            self._stamp("start" if stage == stages.START else "end")
        else:
            self._letter(char)

    @staticmethod
    def _answers(name: str, char: str) -> bool:
        """True for a key that would begin an answer, and is no command."""
        return name in ("enter", "space") or (bool(char) and char not in BY_LETTER)

    def _typed(self, name: str, char: str) -> bool:
        """Take a key into the place with the cursor; True when it belonged there."""
        only_one = len(self._draft.places) == 1
        if not self._draft.key(name, char):
            return False
        step = self.situation.step
        if self._draft.ready and only_one and step is not None and not step.critical and name == "enter":
            self._record()
        else:
            self._follow()
        return True

    def _follow(self) -> None:
        """Draw with what is typed in sight, once the warnings were read."""
        if not self._far:
            self._read = self._read or self._warnings_in_sight
        self.draw(follow=self._read and not self._far)

    @property
    def _warnings_in_sight(self) -> bool:
        """True when the warnings were in sight to their end (SP-01)."""
        return self.ends_in_sight("warnings")

    def _confirming(self, stage: str, name: str, char: str) -> bool:
        """True for a key that records something or goes on by itself."""
        place = self._draft.here
        choosing = stage == stages.FILL and place is not None and (place.kind == "state" or char in "+-*/")
        return name in ("enter", "space") or stage in (stages.READY, stages.PENDING, stages.HOLD) or choosing

    def _confirms(self, name: str, char: str) -> bool:
        step = self.situation.step
        if step is not None and step.critical:
            if self._demand.lines and char != self._digit and char in ("1", "2", "3"):
                self.say(screen_words.WRONG_LINE)
            return char == self._digit
        return name in ("enter", "space")

    def _mark_key(self, stage: str, name: str, char: str) -> None:
        step = self.situation.step
        choices = (
            screen_words.signers(step.hold, self.session.job) if stage == stages.HOLD and step and step.hold else ()
        )
        count = len(choices) if stage == stages.HOLD else len(stages.DECISIONS)
        moved = moved_mark(self._mark, count, name, char)
        if moved is not None:
            self._mark = moved
            self.draw()
        elif name == "enter" and self._mark is not None:
            if not self._warned():
                return
            if stage == stages.HOLD:
                turning.sign(self, choices[self._mark])
            else:
                flows.settle(self, stages.DECISIONS[self._mark])
        else:
            self._letter(char)

    def _warned(self) -> bool:
        """True once the warnings of this step were in sight to their end; else the page goes on (SP-01)."""
        if self._far:
            return False
        if self._read or self._warnings_in_sight:
            self._read = True
            return True
        self.reach.turn("pagedown")
        self.say(screen_words.READ_ON)
        return False

    def _stamp(self, mark: str) -> None:
        step = self.situation.step
        if step is not None and self._warned():
            self.give(c.StampRound(self.person, self.session.stamp(), step.where, mark))
            self._follow()

    def _record(self) -> None:
        """Give what is typed as the answer to the step."""
        step = self.situation.step
        if step is None or not self._warned():
            return
        self.give(c.Answer(self.person, self.session.stamp(), step.where, self._draft.answers()))
