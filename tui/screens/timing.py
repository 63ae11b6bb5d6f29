"""What time changes at a step: said beside it, with nothing taken from the screen (TM-11).

Must never: give a command, or change what is typed; the walk itself refuses what came too late.
"""

from __future__ import annotations

from ferrule.engine.walk.situation import Situation

TOO_OLD = "The proof of the voltage indicator is too old: this round is shut. Prove the indicator again first."
WAITED = "The wait is over."


def ran_out(before: Situation, now: Situation) -> tuple[str, ...]:
    """Return what ran out between two moments at the same step."""
    if before.step is None or now.step is None or before.step.where != now.step.where:
        return ()
    said = []
    if now.lapsed and not before.lapsed:
        said.append(TOO_OLD)
    if before.step.wait_left_ms > 0 and now.step.wait_left_ms <= 0:
        said.append(WAITED)
    return tuple(said)
