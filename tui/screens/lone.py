"""The lone-work clock: whoever works alone shows by any key, now and then, that they are well.

For: a line beside the step that says for how long nobody touched a key, and whom to ring.
Must never: take anything from the screen, take the place of a key, or claim to have called anybody.
"""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words

LONE_SETTING = "lone-minutes"
LONE_MINUTES = 20
"""Minutes without a key after which the clock asks, where the limits file says nothing (common practice)."""


class LoneClock:
    """How long ago the last key was, for a job that one person does alone; 0 minutes as the limit is no clock."""

    def __init__(self, now_ms: int) -> None:
        self._heard_ms = now_ms
        self._rung = False

    def hear(self, now_ms: int) -> None:
        """Take any key as a sign of life."""
        self._heard_ms, self._rung = now_ms, False

    def line(self, job: Job, situation: Situation, now_ms: int) -> str:
        """Return what is to be said now; empty while nothing is."""
        quiet = (now_ms - self._heard_ms) // 60_000
        most = int(job.limits.settings.get(LONE_SETTING, LONE_MINUTES))
        watched = job.card.sign_off != "supervised" and not situation.outcome and situation.away_ms is None
        if not watched or not most or quiet < most:
            return ""
        others = [f"{p.name} ({', '.join(p.roles)})" for p in job.card.people if p.id != situation.operator]
        return screen_words.lone_words(quiet, others)

    def rings(self, line: str) -> bool:
        """True once, when the clock begins to ask."""
        first = bool(line) and not self._rung
        self._rung = bool(line)
        return first
