"""Place-keeping: each step is marked when it is begun and marked again when it is done (SP-17, SP-13).

For: the call that ends a section, and whoever lists the steps of a procedure.
Must never: open or shut anything; gates read facts, and a mark is none.
"""

from __future__ import annotations

from dataclasses import replace

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.facts import family_of
from ferrule.engine.walk.consequences import results_of
from ferrule.engine.walk.place import holds, is_so_already, step_at
from ferrule.engine.walk.state import State

NOT_STARTED, IN_PROGRESS, DONE, NOT_APPLICABLE, DEFERRED, VOID, STALE = STATES = (
    "not started",
    "in progress",
    "done",
    "not applicable",
    "deferred",
    "void",
    "stale",
)
"""Where a step stands, each by its own word.

Deferred: begun, and left without an answer.  Void: its answer was struck out, or its result no longer counts.
Stale: done, and what it brought about has fallen back since.
"""

ANSWERED, PASSED_OVER, PASSED_BY, LEFT, STRUCK = "answered", "passed over", "passed by", "left", "struck"
"""The second mark of a step; the first is that the walk stands at it.

Passed by is a step that the answers of its section did not lead to.
"""


@dataclass(frozen=True, slots=True)
class Tally:
    """The steps of a section by where they stand."""

    done: tuple[str, ...]
    not_applicable: tuple[str, ...]
    deferred: tuple[str, ...]
    open: tuple[str, ...]


def step_state(job: Job, state: State, where: str) -> str:
    """Return where a step stands, in one of the words of `STATES`."""
    step = step_at(job, where)
    if step is None:
        raise KeyError(where)
    if where == state.step:
        return IN_PROGRESS
    mark, entry = state.marks.get(where, ("", 0))
    if not mark:
        beside = not holds(step.when, job.card_facts) or is_so_already(job, step, state.facts)
        return NOT_APPLICABLE if beside else NOT_STARTED
    if mark == ANSWERED and step.kind == "hold":
        name = step.act.removeprefix("release hold point ")
        return DONE if state.facts.get(f"hold:{name}") == "signed" else DEFERRED if name in state.signed else STALE
    if mark == ANSWERED:
        if any(state.facts.get(f"result:{result}") == "void" for result in results_of(step)):
            return VOID
        return STALE if _fell(state, entry) else DONE
    return {PASSED_OVER: NOT_APPLICABLE, PASSED_BY: NOT_APPLICABLE, LEFT: DEFERRED, STRUCK: VOID}[mark]


def _fell(state: State, entry: int) -> bool:
    """True when something that an entry brought about stands at its worst value again."""
    for fact, value in state.done[entry].changes:
        family = family_of(fact)
        if family is not None and value != family.values[0] == state.facts.get(fact):
            return True
    return False


def tally(job: Job, state: State, procedure: str) -> Tally:
    """Return what is done, not applicable, deferred and open of a procedure whose last answer led out of it.

    A step that no answer led to does not apply; a step whose work has served its purpose and was undone is done.
    """
    out = replace(state, step="")
    found: dict[str, list[str]] = {word: [] for word in (DONE, NOT_APPLICABLE, DEFERRED, VOID)}
    for step in job.procedures[procedure].steps:
        where = step_state(job, out, f"{procedure}/{step.id}")
        found[{NOT_STARTED: NOT_APPLICABLE, STALE: DONE}.get(where, where)].append(step.id)
    return Tally(*(tuple(ids) for ids in found.values()))
