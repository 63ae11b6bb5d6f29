"""What a goal's procedure will ask, to be read ahead of time.

Must never: change or open anything; steps that the card rules out are left out, as the walk does.
"""

from __future__ import annotations

from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Goal, Job
from ferrule.engine.walk.marks import IN_PROGRESS, NOT_STARTED, step_state
from ferrule.engine.walk.place import every_goal, holds
from ferrule.engine.walk.state import State
from ferrule.tui.words import NOTICE, SEVERITY_WORDS

ONLY_A_LOOK = "Only a look ahead: nothing is opened, answered or changed by it."
_HERE = "here now"
"""The word for the one step that is in progress."""


def goals_of(job: Job, state: State) -> tuple[Goal, ...]:
    """Return the goals of a job in the order of its list."""
    return every_goal(amended_job(job, state.amendments), state.facts)


def ahead_lines(job: Job, state: State, name: str) -> tuple[str, ...]:
    """Return the steps of a procedure in order, with where each stands and its signal words (SP-17)."""
    job = amended_job(job, state.amendments)
    procedure = job.procedures[name]
    lines = [ONLY_A_LOOK, f"Purpose: {procedure.purpose}", *(f"Before it: {said}" for said in procedure.prerequisites)]
    section = ""
    steps = [step for step in procedure.steps if holds(step.when, job.card_facts)]
    for number, step in enumerate(steps, 1):
        if step.section != section:
            section = step.section
            lines += ["", section]
        signals = [SEVERITY_WORDS.get(w.severity, w.severity) for w in step.warnings if w.severity != NOTICE]
        stands = step_state(job, state, f"{name}/{step.id}")
        here = "" if stands == NOT_STARTED else f"({_HERE if stands == IN_PROGRESS else stands}) "
        lines.append(f"{number:>3}  {here}{step.text}{''.join(f' [{signal}]' for signal in dict.fromkeys(signals))}")
    return tuple(lines)
