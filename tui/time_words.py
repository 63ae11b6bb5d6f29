"""Lengths of time and the two ends of a wait in words, the same on screen, in plain mode and in a replay.

Must never: round a wait down; a time that is said is never over before it was waited for.
"""

from __future__ import annotations

from ferrule.engine.walk.situation import Situation
from ferrule.engine.walk.waits import Wait


def length_words(ms: int) -> str:
    """Return a length of time in minutes and seconds begun."""
    minutes, seconds = divmod(-(-ms // 1000), 60)
    if not minutes:
        return f"{seconds} s"
    return f"{minutes} min {seconds:02d} s" if seconds else f"{minutes} min"


def wait_ends(wait: Wait) -> str:
    """Return when a wait began and when it is over: by the time of day where it is known, else since the opening."""
    if wait.began_at:
        return f"The wait began at {wait.began_at} and is over at {wait.due_at}."
    return f"{since_opening(wait.began_ms, wait.due_ms)}."


def since_opening(start_ms: int, due_ms: int) -> str:
    """Return the two ends of a wait, counted from the opening of the log."""
    return (
        f"The wait began {length_words(start_ms)} after the log was opened and is over {length_words(due_ms)} after it"
    )


def next_words(situation: Situation) -> str:
    """Return what comes next; before a wait with how long it is, first, so that no row cuts it (TM-01)."""
    if not situation.next_wait_ms:
        return situation.next
    return f"{length_words(situation.next_wait_ms)} to wait: {situation.next}"
