"""Operators on the procedures: steps dropped, swapped or given another act, cells and answers written otherwise."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from ferrule.engine.procedure.compiled import Cell, Procedure, Step
from ferrule.engine.procedure.compiled import State as Seen
from ferrule.engine.prover.moves import used_procedures
from ferrule.engine.walk.place import holds
from tests.mutation.mutant import Mutant, mutant
from tests.mutation.tables import Stated

BAD = ("fail", "over-range", "unstable", "conditional-fail", "voltage found", "indicator failed", "tripped")


def operators(stated: Stated) -> Iterator[Mutant]:
    """Every mutant of the procedures that the job uses."""
    job = stated.job
    for name in used_procedures(job):
        procedure = job.procedures[name]
        steps = tuple(step for step in procedure.steps if holds(step.when, job.card_facts))
        for step in steps:
            yield from _of_step(procedure, step, job.card_facts)
        for one, other in pairwise(steps):
            yield _swapped(procedure, one, other)
            if one.act != other.act:
                yield _step(procedure, one, "step does the next act", lambda s, act=other.act: replace(s, act=act))


def _of_step(procedure: Procedure, step: Step, card_facts: Mapping[str, str]) -> Iterator[Mutant]:
    if len(procedure.steps) > 1:
        yield _dropped(procedure, step)
    for cell in step.cells:
        if not holds(cell.when, card_facts):
            continue
        what = "reading" if cell.function or cell.figure else "question"
        yield _cell(procedure, step, cell, f"{what} dropped", lambda _: None)
        if cell.judge:
            yield _cell(procedure, step, cell, "reading not judged", lambda c: replace(c, judge=""))
        if cell.fails_as:
            yield _cell(procedure, step, cell, "failure not told apart", lambda c: replace(c, fails_as=""))
        if len({state.answer for state in cell.states}) > 1:
            yield _cell(procedure, step, cell, "states swapped", _states_swapped)
            yield _cell(procedure, step, cell, "every state passes", _all_pass)
        if step.points and not cell.once:
            yield _cell(procedure, step, cell, f"{what} asked once", lambda c: replace(c, once=True))
    for word, target in step.answers.items():
        if word in BAD and target != "next":
            yield _step(
                procedure, step, f"{word} leads on", lambda s, w=word: replace(s, answers={**s.answers, w: "next"})
            )
    for check in step.checks:
        kept = tuple(c for c in step.checks if c != check)
        yield _step(procedure, step, f"check {check.judge} dropped", lambda s, kept=kept: replace(s, checks=kept))


def _write(procedure: Procedure, step: Step, change: Callable[[Step], Step | None]) -> Callable[[Stated], Stated]:
    def written(stated: Stated) -> Stated:
        made = [change(s) if s.id == step.id else s for s in stated.job.procedures[procedure.id].steps]
        return stated.with_procedure(procedure.id, steps=tuple(s for s in made if s is not None))

    return written


def _step(procedure: Procedure, step: Step, operator: str, change: Callable[[Step], Step | None]) -> Mutant:
    where = f"{procedure.id}/{step.id}"
    return mutant(operator, where, _write(procedure, step, change), [step.act], steps=[where])


def _dropped(procedure: Procedure, step: Step) -> Mutant:
    return _step(procedure, step, "step dropped", lambda _: None)


def _swapped(procedure: Procedure, one: Step, other: Step) -> Mutant:
    def change(stated: Stated) -> Stated:
        order = {one.id: other, other.id: one}
        steps = tuple(order.get(s.id, s) for s in stated.job.procedures[procedure.id].steps)
        return stated.with_procedure(procedure.id, steps=steps)

    where = [f"{procedure.id}/{s.id}" for s in (one, other)]
    return mutant("steps swapped", " and ".join(where), change, [one.act, other.act], steps=where)


def _cell(procedure: Procedure, step: Step, cell: Cell, operator: str, change: Callable[[Cell], Cell | None]) -> Mutant:
    def written(now: Step) -> Step:
        cells = [change(c) if c.id == cell.id else c for c in now.cells]
        return replace(now, cells=tuple(c for c in cells if c is not None))

    where = f"{procedure.id}/{step.id}"
    return mutant(operator, f"{where} {cell.id}", _write(procedure, step, written), [step.act], steps=[where])


def _states_swapped(cell: Cell) -> Cell:
    """The first passing state and the first other one change their answers."""
    good = next((s for s in cell.states if s.answer == "pass"), cell.states[0])
    bad = next(s for s in cell.states if s.answer != good.answer)
    turned = {id(good): bad.answer, id(bad): good.answer}
    return replace(cell, states=tuple(Seen(s.seen, turned.get(id(s), s.answer)) for s in cell.states))


def _all_pass(cell: Cell) -> Cell:
    return replace(cell, states=tuple(Seen(s.seen, "pass") for s in cell.states))
