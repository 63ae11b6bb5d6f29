"""Walks that end otherwise than complete, for the tests of the ends: in the core, and as typed lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.needed import needed_texts
from ferrule.engine.shell.sets import packaged_set, set_texts
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.place import step_at
from tests.support.jobs import card_path
from tests.support.walker import Walker

Asked = Callable[[Walker], c.Command]
"""A command that a test gives instead of the sound one."""


@cache
def _set() -> tuple[tuple[str, str, str], ...]:
    return tuple((text.role, text.id, text.text) for text in set_texts(packaged_set()))


def text_with(name: str, changes: Mapping[str, str]) -> str:
    """Return a card's text with words of it changed."""
    text = card_path(name).read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def job_with(name: str, changes: Mapping[str, str]) -> Job:
    """Return a card's job with words of its text changed."""
    files = [("card", name, text_with(name, changes)), *_set()]
    wanted = needed_texts(files)
    return compile_job([f for f in files if (f[0], f[1]) in wanted])


def end_as(end: str) -> Asked:
    """Return the command that picks an end."""
    return lambda w: c.EndAs(w.state.operator, w.stamp(), end, "the device did not come")


def stop(w: Walker) -> c.Command:
    """Return the command that stops work."""
    return c.StopWork(w.state.operator, w.stamp(), "smoke somewhere")


def carry_on(w: Walker) -> c.Command:
    """Return the command that lets work go on."""
    who = next((p.id for p in w.job.card.people if "supervisor" in p.roles), w.state.operator)
    return c.CarryOn(who, w.stamp(), "it was the toaster")


def reports(what: str, of: str = "") -> Asked:
    """Return a report."""
    return lambda w: c.Report(w.state.operator, w.stamp(), what, of, "seen")


def answers(word: str) -> Asked:
    """Return an answer to the step on screen that gives this word at every place that can."""
    return lambda w: w.answer(word, lambda _: True)


def go(walker: Walker, until: str, most: int = 900) -> Walker:
    """Walk soundly until the walk stands at a step whose name begins so, or to the end."""
    for _ in range(most):
        if until and walker.state.step.startswith(until):
            return walker
        command = walker.healthy()
        if command is None:
            break
        found = walker.give(command)
        assert not isinstance(found, Refusal), f"{walker.state.step}: {found}"
    assert not until, f"never came to {until}"
    return walker


def ended(job: Job, *doings: tuple[str, Asked]) -> Walker:
    """Walk a job to its end; at each named step, in turn, a command is given instead of the sound one."""
    walker = Walker.begin(job)
    for where, asked in doings:
        go(walker, where)
        found = walker.give(asked(walker))
        assert not isinstance(found, Refusal), f"{where}: {found}"
    return go(walker, "")


def acts_of(walker: Walker) -> list[str]:
    """Return the act of each answered step of a walk, in order."""
    found = []
    for _, events in walker.trail:
        for event in events:
            if isinstance(event, e.Answered):
                step = step_at(walker.job, event.step)
                assert step is not None
                found.append(step.act)
    return found
