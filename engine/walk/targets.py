"""Where an answer leads: the target that a step names for it, and the place that a target stands for.

For: the decision on an answer, and the prover, which follows answers without readings.
"""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job, Step


def target_of(step: Step, word: str, seen: str = "") -> str:
    """Return the target of an answer word; `seen` is the one state seen where the step asks for nothing else."""
    if seen in step.answers:
        return step.answers[seen]
    if word in step.answers:
        return step.answers[word]
    if word in ("pass", "done"):
        return "next"
    return "again" if word == "unstable" else "ask"


def where_to(job: Job, here: str, step: Step, target: str) -> str:
    """Return the step that a target leads to; empty where the procedure ends."""
    name = here.partition("/")[0]
    if target == "again":
        return here
    if target == "end" or (target == "next" and step.kind == "end"):
        return ""
    if target == "next":
        steps = job.procedures[name].steps
        index = next(i for i, s in enumerate(steps) if s.id == step.id)
        return f"{name}/{steps[index + 1].id}" if index + 1 < len(steps) else ""
    kind, _, found = target.partition(":")
    if kind == "step":
        return f"{name}/{found}"
    return f"{found}/{job.procedures[found].steps[0].id}"
