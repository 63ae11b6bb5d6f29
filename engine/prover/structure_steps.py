"""The steps of one procedure as a graph: what can be reached, what comes to an end, what leads back.

For: the shape of procedures.
Must never: walk; conditions of the card may hold or not, so a step with one may be done or passed over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.compiled import Procedure, Step
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import step_key
from ferrule.engine.safety.acts import ACTS

END = -1
"""The position behind the last step, and every way out of the procedure."""


def edges(procedure: Procedure) -> tuple[frozenset[int], ...]:
    """For each step the positions that it can lead to; `again` and `ask supervisor` lead nowhere by themselves."""
    position = {step.id: at for at, step in enumerate(procedure.steps)}
    return tuple(frozenset(_leads_to(at, step, position)) for at, step in enumerate(procedure.steps))


def _leads_to(at: int, step: Step, position: Mapping[str, int]) -> Iterator[int]:
    following = at + 1 if at + 1 < len(position) else END
    if step.kind == "end":
        yield END
    if step.when or step.not_applicable:
        yield following
    for target in step.answers.values():
        kind, _, name = target.partition(":")
        if target == "next":
            yield following
        elif kind == "step":
            if name in position:
                yield position[name]
        elif target not in ("again", "ask"):
            yield END


def _reached(leads: Sequence[frozenset[int]], start: int) -> set[int]:
    seen: set[int] = set()
    waiting = [start]
    while waiting:
        at = waiting.pop()
        if at not in seen and at < len(leads):
            seen.add(at)
            waiting.extend(leads[at] if at != END else ())
    return seen


def unreachable_steps(parts: Parts) -> Iterator[Finding]:
    """A step that no way from the first step leads to."""
    for procedure in parts.procedures.values():
        seen = _reached(edges(procedure), 0)
        for at, step in enumerate(procedure.steps):
            if at not in seen:
                message = f'No way from the first step of "{procedure.id}" leads to "{step.id}".'
                hint = "lead an answer here, or take the step out"
                yield _finding("unreachable-step", message, parts, procedure, step, hint=hint)


def missing_ends(parts: Parts) -> Iterator[Finding]:
    """A step that can be reached and from which no answer leads to an end."""
    for procedure in parts.procedures.values():
        leads = edges(procedure)
        for at in sorted(_reached(leads, 0) - {END}):
            if at < len(procedure.steps) and END not in _reached(leads, at):
                step = procedure.steps[at]
                message = f'From "{step.id}" no way leads to the end of "{procedure.id}".'
                hint = "one answer must lead on: next, end, stop or a later step"
                yield _finding("missing-end", message, parts, procedure, step, hint=hint)


def backward_answers(parts: Parts) -> Iterator[Finding]:
    """An answer that leads to its own or an earlier step."""
    for procedure in parts.procedures.values():
        position = {step.id: at for at, step in enumerate(procedure.steps)}
        for at, step in enumerate(procedure.steps):
            for word, target in step.answers.items():
                kind, _, name = target.partition(":")
                if kind == "step" and position.get(name, at + 1) <= at:
                    message = f'The answer "{word}" of "{step.id}" leads back to "{name}".'
                    hint = '"again" for the same step, "end" to go by the goals, or a procedure'
                    yield _finding("backward-answer", message, parts, procedure, step, f"target/{word}", hint)


def unmarked_steps(parts: Parts) -> Iterator[Finding]:
    """A step with a critical act that does not say so (PA-18)."""
    for procedure in parts.procedures.values():
        for step in procedure.steps:
            act = ACTS.get(step.act)
            if act is not None and act.critical and not step.critical:
                why = act.hazard or "it cannot be undone"
                message = f'The act "{act.name}" is critical ({why}); the step does not say so.'
                yield _finding("critical-not-marked", message, parts, procedure, step, "act", '"critical: true"')


def _finding(
    code: str, message: str, parts: Parts, procedure: Procedure, step: Step, part: str = "", hint: str = ""
) -> Finding:
    key, own = step_key(procedure.id, step.id, part), step_key(procedure.id, step.id)
    return Finding(code, Level.ERROR, message, parts.places.get(key) or parts.places.get(own), hint)
