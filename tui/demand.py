"""What confirms an act that cannot be taken back: a digit, or the line that says what is warned of (SP-11).

A warning that was met before asks for something else each time, in one fixed layout: the digit that is shown, then
the hazard picked out of three, then what avoids it picked out of three, and so on around.
Must never: be answered by Enter, or by the same key as the act before it in the same form.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import StepView
from ferrule.engine.walk.state import State
from ferrule.tui.words import NOTICE

_LINES = 3
"""Lines to pick from."""


@dataclass(frozen=True, slots=True)
class Demand:
    """The key that confirms, and what is asked for where a line has to be picked."""

    digit: str
    question: str = ""
    lines: tuple[str, ...] = ()


def demand_of(job: Job, state: State, step: StepView | None) -> Demand:
    """Return what confirms a step as it stands now."""
    digit = Demand(str(1 + (state.entries * 4 + 2) % 9))
    warned = [w for w in step.warnings if w.severity != NOTICE] if step is not None and step.critical else []
    if not warned:
        return digit
    warning = warned[0]
    form = _met(job, state, warning.hazard) % 3
    if form == 0:
        return digit
    if form == 1:
        return _pick("Which hazard is warned of here?", warning.hazard, _others(job, "hazard"), state) or digit
    return _pick("What avoids it?", warning.avoid, _others(job, "avoid"), state) or digit


def _met(job: Job, state: State, hazard: str) -> int:
    """Return how often a critical step with this hazard was answered before."""
    steps = (step_at(job, done.step) for done in state.done.values())
    return sum(step.critical and any(w.hazard == hazard for w in step.warnings) for step in steps if step is not None)


def _others(job: Job, part: str) -> list[str]:
    """Return what the warnings of the job say in one of their parts, in a fixed order."""
    warned: Iterable[Warned] = (w for p in job.procedures.values() for step in p.steps for w in step.warnings)
    return sorted({str(getattr(w, part)) for w in warned})


def _pick(question: str, right: str, every: list[str], state: State) -> Demand | None:
    """Return a demand to pick the right line out of three; None where the job has too few to choose from."""
    wrong = [said for said in every if said != right]
    if len(wrong) < _LINES - 1:
        return None
    first = state.entries % len(wrong)
    lines = [wrong[first], wrong[(first + 1 + state.entries % (len(wrong) - 1)) % len(wrong)]]
    at = state.entries % _LINES
    lines.insert(at, right)
    return Demand(str(at + 1), question, tuple(lines))
