"""Steps that wait: how long, since when, until when, and whether one comes next.

Must never: read a clock; the time comes with the command or with whoever draws.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.walk.place import objects_of
from ferrule.engine.walk.state import State

WAIT = "wait"
"""The kind of a step that does nothing but let time pass."""
_CLOCK = slice(11, 19)
"""Where hours, minutes and seconds stand in a time of a log; a day without a time has nothing there."""
_DAY_S = 86_400


def wait_ms(job: Job, step: Step) -> int:
    """Return how long a step waits in milliseconds; 0 for a step without a wait."""
    if step.kind != WAIT:
        return 0
    times = {s.id: s.wait_min for s in job.card.sources}
    wanted = [times.get(of, "0") for of in objects_of(job, step)] if step.minutes == "source" else [step.minutes]
    return max((int(Decimal(w) * 60_000) for w in wanted), default=0)


def wait_left_ms(job: Job, state: State, step: Step, now_ms: int) -> int:
    """Return how many milliseconds of a wait are left; 0 for a step without one (TM-03)."""
    return max(0, state.entered_ms + wait_ms(job, step) - now_ms) if step.kind == WAIT else 0


@dataclass(frozen=True, slots=True)
class Wait:
    """The wait on screen: when it began and when it is over."""

    began_ms: int
    due_ms: int
    began_at: str
    """The same as times of day; empty where the time of day is not known."""
    due_at: str


def wait_now(job: Job, state: State, step: Step, now_ms: int, wall: str) -> Wait | None:
    """Return when the wait of a step began and when it is over; None for a step without one.

    `wall` is the time of day that belongs to `now_ms`, as in a log; the two times of day are counted from it.
    """
    length = wait_ms(job, step)
    if not length:
        return None
    began, due = state.entered_ms, state.entered_ms + length
    return Wait(began, due, time_of_day(wall, began - now_ms), time_of_day(wall, due - now_ms))


def time_of_day(wall: str, later_ms: int) -> str:
    """Return hours, minutes and seconds so long after a time as it stands in a log; empty where it is only a day."""
    clock = wall[_CLOCK]
    if not clock:
        return ""
    hours, minutes, seconds = (int(part) for part in clock.split(":"))
    at = (hours * 3600 + minutes * 60 + seconds + later_ms // 1000) % _DAY_S
    return f"{at // 3600:02d}:{at // 60 % 60:02d}:{at % 60:02d}"
