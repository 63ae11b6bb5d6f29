"""What the entry area is at, told from the situation and from what is typed.

Must never: open or shut anything; the walk has decided, this only names it.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.situation import Situation
from ferrule.tui.demand import Demand
from ferrule.tui.screens.draft import Draft

CLOSED, AWAY, PENDING, BLOCKED, SHUT, HOLD, WAIT, START, RUNNING, FILL, READY = (
    "closed",
    "away",
    "pending",
    "blocked",
    "shut",
    "hold",
    "wait",
    "start",
    "running",
    "fill",
    "ready",
)
"""What the entry area is at: each has its own body and its own keys."""

DECISIONS = ("pass", "fail", "again")


@dataclass(frozen=True, slots=True)
class Look:
    """Everything that the step's area is drawn from."""

    job: Job
    situation: Situation
    draft: Draft
    mark: int | None
    """The marked line of a hold point or a decision."""
    demand: Demand
    """What confirms an act that cannot be taken back."""
    pictured: bool = False
    """Whether a picture stands in place of the table and of what matters less."""


def stage_of(situation: Situation, draft: Draft) -> str:
    """Return what the entry area is at."""
    step = situation.step
    if situation.outcome:
        return CLOSED
    if situation.away_ms is not None:
        return AWAY
    if situation.pending is not None:
        return PENDING
    if step is None:
        return BLOCKED
    if situation.missing:
        return SHUT
    if step.hold is not None:
        return HOLD
    if step.wait_left_ms > 0:
        return WAIT
    if step.must_start:
        return START
    if step.is_round and step.round_started_ms is not None and step.round_ended_ms is None:
        return RUNNING
    return READY if draft.ready else FILL
