"""Calls inlined: each step of a called procedure becomes a step of the caller, so that no stack is needed.

For: compiling a job once all procedures are there.
Must never: go round in a circle, or change what a called step needs or does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ferrule.engine.findings import Findings, Place
from ferrule.engine.procedure.compiled import Procedure, Step
from ferrule.engine.procedure.places import Places, step_key
from ferrule.engine.procedure.words import LISTS, WIDER_FAMILY

MAX_STEPS = 500
"""Steps of one procedure after inlining: our figure; the packaged ones stay far below."""


def inline_calls(procedures: Mapping[str, Procedure], found: Findings, places: Places) -> dict[str, Procedure]:
    """All procedures with their calls inlined; calls in a circle or to nowhere are kept as findings and left out."""
    done: dict[str, Procedure] = {}
    for name in procedures:
        _inline(name, procedures, done, (), found, places)
    return done


def _inline(
    name: str,
    procedures: Mapping[str, Procedure],
    done: dict[str, Procedure],
    within: tuple[str, ...],
    found: Findings,
    places: Places,
) -> Procedure | None:
    if name in done:
        return done[name]
    procedure = procedures.get(name)
    if procedure is None:
        return None
    blocks: list[tuple[Step, tuple[Step, ...]]] = []
    for step in procedure.steps:
        if step.kind != "call":
            blocks.append((step, (step,)))
            continue
        place = places.get(step_key(name, step.id, "call"))
        if step.text in (*within, name):
            way = " → ".join((*within, name, step.text))
            found.add("cyclic-steps", f"This call leads back to itself: {way}.", place)
            continue
        called = _inline(step.text, procedures, done, (*within, name), found, places)
        if called is not None:
            _check_list(step, called, place, found)
            blocks.append((step, _called_steps(name, step, called, places)))
    if sum(len(steps) for _, steps in blocks) > MAX_STEPS:
        message = f"With its calls the procedure has more than {MAX_STEPS} steps."
        found.add("too-large", message, places.get(step_key(name)))
        blocks = []
    done[name] = replace(procedure, steps=_joined(blocks))
    return done[name]


def _called_steps(name: str, call: Step, called: Procedure, places: Places) -> tuple[Step, ...]:
    """The steps of a called procedure under the caller's names; its bare end is the way on in the caller."""
    steps = []
    known = _places_in(called.id, places)
    for step in called.steps:
        if _is_bare_end(step):
            continue
        moved = f"{call.id}.{step.id}"
        _copy_places(step_key(called.id, step.id), step_key(name, moved), known, places)
        answers = {word: _moved(target, call, called) for word, target in step.answers.items()}
        when = (*call.when, *step.when)
        points = call.points if call.points and step.points else step.points
        section = step.section or called.title
        steps.append(replace(step, id=moved, answers=answers, when=when, points=points, section=section))
    return tuple(steps)


def _check_list(call: Step, called: Procedure, place: Place | None, found: Findings) -> None:
    """Keep a finding where a call sends the rounds of a procedure through a list of another sort."""
    if not call.points:
        return
    sort = _sort(call.points)
    own = [step.points for step in called.steps if step.points]
    if not own or any(_sort(points) != sort for points in own):
        message = f'The rounds of "{called.id}" go through {", ".join(own) or "no list"}, not through another sort.'
        found.add("wrong-value", message, place, hint='a list of the same sort, or leave "through" out')


def _sort(points: str) -> str:
    family = LISTS[points]
    return WIDER_FAMILY.get(family, family)


def _is_bare_end(step: Step) -> bool:
    return step.kind == "end" and not step.act


def _moved(target: str, call: Step, called: Procedure) -> str:
    """A target of a called step as the caller names it; `end` becomes the step behind the call."""
    kind, _, step_id = target.partition(":")
    if target == "end" or (kind == "step" and any(s.id == step_id and _is_bare_end(s) for s in called.steps)):
        return f"after:{call.id}"
    return f"step:{call.id}.{step_id}" if kind == "step" else target


def _joined(blocks: list[tuple[Step, tuple[Step, ...]]]) -> tuple[Step, ...]:
    """All steps in order, with `after` resolved and a call's id leading to its first step."""
    first = {step.id: steps[0].id for step, steps in blocks if steps}
    after: dict[str, str] = {}
    following = "end"
    for step, steps in reversed(blocks):
        after[step.id] = following
        following = f"step:{steps[0].id}" if steps else following
    joined = []
    for _, steps in blocks:
        for part in steps:
            answers = {word: _resolved(target, first, after) for word, target in part.answers.items()}
            joined.append(replace(part, answers=answers) if answers != part.answers else part)
    return tuple(joined)


def _resolved(target: str, first: Mapping[str, str], after: Mapping[str, str]) -> str:
    kind, _, step_id = target.partition(":")
    if kind == "after":
        return after.get(step_id, target)
    return f"step:{first[step_id]}" if kind == "step" and step_id in first else target


def _places_in(procedure: str, places: Places) -> Places:
    prefix = step_key(procedure).removesuffix("|")
    return {key: place for key, place in places.items() if key.startswith(prefix)}


def _copy_places(step: str, moved: str, known: Places, places: Places) -> None:
    for key, place in known.items():
        if key.startswith(step):
            places[moved + key[len(step) :]] = place
