"""The lone-work clock: whoever works alone shows by any key, now and then, that they are well.

For: a line beside the step that says for how long nobody touched a key, and whom to ring.
Must never: take anything from the screen, take the place of a key, or claim to have called anybody.
"""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words

LONE_MINUTES = 20
"""Minutes without a key after which the clock asks (common practice; no published figure found)."""


class LoneClock:
    """How long ago the last key was, for a job that one person does alone."""

    def __init__(self, now_ms: int) -> None:
        self._heard_ms = now_ms
        self._rung = False

    def hear(self, now_ms: int) -> None:
        """Take any key as a sign of life."""
        self._heard_ms, self._rung = now_ms, False

    def line(self, job: Job, situation: Situation, now_ms: int) -> str:
        """Return what is to be said now; empty while nothing is."""
        quiet = (now_ms - self._heard_ms) // 60_000
        watched = job.card.sign_off != "supervised" and not situation.outcome and situation.away_ms is None
        if not watched or quiet < LONE_MINUTES:
            return ""
        others = [f"{p.name} ({', '.join(p.roles)})" for p in job.card.people if p.id != situation.operator]
        return screen_words.lone_words(quiet, others)

    def rings(self, line: str) -> bool:
        """True once, when the clock begins to ask."""
        first = bool(line) and not self._rung
        self._rung = bool(line)
        return first
