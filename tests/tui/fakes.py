"""A session in memory that drives the real walk, and the screen as plain text."""

from __future__ import annotations

from typing import cast

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.pathrows import PathRow
from ferrule.engine.shell.session import Session, Taken
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import State
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.walk import WalkScreen

DAY = "2026-11-25"


class FakeSession:
    """What a screen needs of a session, without a file; `broken` makes the disk refuse."""

    def __init__(self, job: Job, state: State, *, mode: str = "work", now_ms: int = 720_000) -> None:
        self.job, self.state, self.mode, self.clock_ms = job, state, mode, now_ms
        self.resumed = ""
        self.notes: tuple[str, ...] = ()
        self.save_failed = False
        self.broken = False
        self.given: list[c.Command] = []
        self.refused: list[str] = []
        self.told: list[PathRow] = []

    def now_ms(self) -> int:
        """The time, moved by tests."""
        return self.clock_ms

    def stamp(self) -> c.Stamp:
        """The stamp of a command now."""
        return c.Stamp(self.clock_ms, DAY)

    def situation(self) -> Situation:
        """What is to be shown."""
        return situation(self.job, self.state, self.clock_ms)

    def submit(self, command: c.Command) -> Taken:
        """Decide and fold, as the session does, without a disk."""
        if self.broken:
            raise StoreError("The disk is full; the entry was not written.")
        found = decide(self.job, self.state, command)
        refusal = found if isinstance(found, Refusal) else None
        if refusal is not None:
            self.refused.append(refusal.code)
        if refusal is not None and not refusal.kept:
            return Taken(refusal, (), 0)
        events = refused_events(refusal, self.state.step) if refusal else cast("tuple[e.Event, ...]", found)
        self.given.append(command)
        self.refused += [event.code for event in events if isinstance(event, e.Refused) and refusal is None]
        self._tell(events)
        self.state = advance(self.state, command, events)
        return Taken(refusal, events, self.state.entries)

    def _tell(self, events: tuple[e.Event, ...]) -> None:
        for event in events:
            step = step_at(self.job, getattr(event, "step", ""))
            if isinstance(event, e.Answered) and step is not None:
                wall = f"{DAY}T09:00:00.000+00:00"
                self.told.append(PathRow(event.entry, wall, "tech", event.step, step.text, event.word, ""))

    def preview_correction(self, entry: int) -> tuple[e.Event, ...] | Refusal:
        """What a correction would lead to."""
        return decide(self.job, self.state, c.Correct(self.state.operator, self.stamp(), entry, "only looked at"))

    def rows(self) -> tuple[PathRow, ...]:
        """The path so far."""
        return tuple(self.told)

    def close(self) -> None:
        """Nothing to give back."""


def screen_of(session: FakeSession) -> WalkScreen:
    """Return the walk's screen for a session; keys may follow each other at once."""
    return WalkScreen(cast(Session, session), bounce_s=0.0)


def app_of(session: FakeSession) -> FerruleApp:
    """Return the application for a session, with nothing taken from the environment."""
    return FerruleApp(screen_of(session), {})


def text_of(app: FerruleApp) -> str:
    """Return the screen as lines of text."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)
