"""What every decision shares: the step asked for, its gate, the lapse of a proof, and where the walk stands then.

Must never: take a command; the modules beside it do, each its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.safety.acts import Effect, Need
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, indicator_lapsed
from ferrule.engine.walk.consequences import Ledger, results_of
from ferrule.engine.walk.place import gate, leads_on, next_place, step_at
from ferrule.engine.walk.state import State
from ferrule.engine.walk.waits import wait_ms

Decision = tuple[e.Event, ...] | Refusal

UNPROVED = (
    Effect("zone:busbar", "unproved"),
    Effect("zone:circuit", "unproved"),
    Effect("dead test", "none"),
)
"""What an absence, a hand-over or a stop takes back."""


def reason_given(reason: str) -> bool:
    return len(reason.strip()) >= 3


def _gate_words(needs: Sequence[Need], step: Step) -> str:
    listed = "; ".join(f"{n.fact.replace(':', ' ')} must be {' or '.join(n.values)}" for n in needs[:4])
    more = f"; and {len(needs) - 4} more" if len(needs) > 4 else ""
    return f"“{step.text}” is shut: {listed}{more}."


def at_step(job: Job, state: State, command: Any) -> Step | Refusal:
    step = step_at(job, state.step)
    if step is None:
        return Refusal("no-step", state.why_here or "There is no step to answer.")
    if command.step != state.step:
        return Refusal(
            "another-step", f"This answers “{command.step}”; the walk stands at “{state.step}”. Nothing was taken."
        )
    if state.pending is not None and not isinstance(command, c.Settle):
        return Refusal("decision-wanted", "The last answer is doubtful. It must be settled first.")
    return step


def shut(job: Job, state: State, step: Step) -> Refusal | None:
    missing = gate(job, step, state.facts)
    return Refusal("gate", _gate_words(missing, step), kept=True) if missing else None


def lapsed(job: Job, state: State, step: Step, at_ms: int) -> Decision | None:
    """Return the events of a proof of the indicator that has grown too old, or None."""
    if not indicator_lapsed(job, state, step, at_ms):
        return None
    ledger = Ledger(job, state.facts, at_ms)
    ledger.change([Effect("indicator", "unproved")], "the proof of the indicator is too old")
    ledger.add(e.Refused(state.step, "indicator-lapsed", "Prove the indicator again before this round."))
    return settle_place(ledger, state, state.step, heading=state.heading)


def settle_place(
    ledger: Ledger,
    state: State,
    wanted: str,
    why: str = "",
    *,
    stay: bool = False,
    doubt_stands: bool = True,
    heading: str = "",
) -> Decision:
    """Close a decision: find where the walk stands now, and say so when it moved.

    A doubtful answer waits while the walk stays, unless what happened takes away what it rested on.
    `heading` is the step of a search that is gone on with as soon as what is missing for it is there.
    """
    if state.pending is not None:
        if stay and doubt_stands:
            return tuple(ledger.events)
        _drop_undecided(ledger, state.pending.step)
    place = next_place(ledger.job, ledger.facts, wanted, why or state.why_here)
    if heading and not leads_on(ledger.job, ledger.facts, wanted):
        back = next_place(ledger.job, ledger.facts, heading, "What the search was waiting for is there.")
        place = place if back.missing else back
    if not heading or _same_procedure(place.step, heading) or place.missing:
        heading = ""
    if heading != state.heading:
        ledger.add(e.Headed(heading))
    if not stay or place.step != state.step or state.pending is not None:
        ledger.add(e.Moved(place.step, place.why, ledger.at_ms))
        _begin_wait(ledger, place.step)
    return tuple(ledger.events)


def _begin_wait(ledger: Ledger, where: str) -> None:
    """Say when a wait begins and when it is over, as soon as the walk stands at it (TM-01)."""
    step = step_at(ledger.job, where)
    length = wait_ms(ledger.job, step) if step else 0
    if length:
        ledger.add(e.WaitBegan(where, ledger.at_ms, ledger.at_ms + length))


def _same_procedure(one: str, other: str) -> bool:
    return one.partition("/")[0] == other.partition("/")[0]


def _drop_undecided(ledger: Ledger, where: str) -> None:
    """Make void what was left doubtful and undecided when the walk moved on."""
    step = step_at(ledger.job, where)
    names = results_of(step) if step else ()
    ledger.void([r for r in names if ledger.facts.get(f"result:{r}") == "refer"], "left undecided")


def stop_work(ledger: Ledger, person: str, reason: str) -> None:
    """Stop work: what was proved is no longer relied on."""
    ledger.add(e.Stopped(reason, person))
    ledger.change([Effect("work", "stopped")], "work was stopped")
    ledger.change(proved_only(ledger), "work was stopped")


def proved_only(ledger: Ledger) -> list[Effect]:
    """Return what takes back a proof; a zone that was last found live stays as it was found."""
    return [x for x in UNPROVED if ledger.facts.get(x.fact) in ("proved", "clear", "volts")]
