"""The physical hazard is found whenever something that makes the work safe is left out, and never otherwise."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest

from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.prover.prove import Broken, prove_hazard
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.pairs import PAIRS
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import step_at
from tests.support.jobs import job_of

DAY = "2026-11-25"
REFERENCE = "saltmarsh-kr1-way-4"


def hazards(job: Job) -> list[Broken]:
    """The findings of the physical hazard on a job."""
    return list(prove_hazard(job, DAY))


def changed(job: Job, procedure: str, step_id: str, change: Callable[[Step], Step]) -> Job:
    """The job with one step of one procedure written otherwise."""
    old = job.procedures[procedure]
    steps = tuple(change(step) if step.id == step_id else step for step in old.steps)
    assert steps != old.steps, "nothing was changed"
    procedures = {
        **{name: job.procedures[name] for name in job.procedures},
        procedure: dataclasses.replace(old, steps=steps),
    }
    return dataclasses.replace(job, procedures=procedures)


def cells(keep: Callable[[Cell], bool]) -> Callable[[Step], Step]:
    """A step with only some of its cells."""
    return lambda step: dataclasses.replace(step, cells=tuple(c for c in step.cells if keep(c)))


def test_the_reference_job_is_free_of_it() -> None:
    """No walk of the packaged reference job puts a hand on a conductor that is truly live."""
    assert hazards(job_of(REFERENCE)) == []


def test_with_every_need_taken_away_the_touch_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hazard does not lean on needs: without any, the very first hand on a conductor is reported."""
    job = job_of(REFERENCE)
    for name, act in list(ACTS.items()):
        monkeypatch.setitem(ACTS, name, dataclasses.replace(act, needs=()))
    found = hazards(job)
    assert len(found) == len(job.objects["source"])
    assert all(len(broken.path) <= 2 for broken in found)


@pytest.mark.parametrize("pair", PAIRS["one"])
def test_a_pair_that_is_not_asked_is_found(pair: str) -> None:
    """Each of the three pairs is needed: leave it out, and a conductor live on it alone is touched."""
    job = changed(job_of(REFERENCE), "prove-dead", "pairs", cells(lambda c: not c.slot.endswith(f"/{pair}")))
    assert hazards(job)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("no proof afterwards", cells(lambda c: not any(s.answer == "indicator failed" for s in c.states))),
        ("a voltage that fails as nothing", lambda s: _with_cells(s, fails_as="")),
        ("pairs that nothing judges", lambda s: _with_cells(s, judge="")),
        ("another list of points", lambda s: dataclasses.replace(s, points="sockets")),
    ],
)
def test_a_round_that_sees_less_is_found(name: str, change: Callable[[Step], Step]) -> None:
    """A round without its proof afterwards, its judgement or its points lets a live conductor pass."""
    assert hazards(changed(job_of(REFERENCE), "prove-dead", "pairs", change)), name


def _with_cells(step: Step, **values: str) -> Step:
    def written(cell: Cell) -> Cell:
        return dataclasses.replace(cell, **values) if cell.function == "indicator" else cell

    return dataclasses.replace(step, cells=tuple(written(cell) for cell in step.cells))


def test_what_is_printed_was_taken_by_the_real_decision() -> None:
    """The walk of a counterexample, decided once more from the opening, ends in the touch."""
    job = changed(job_of(REFERENCE), "prove-dead", "pairs", cells(lambda c: not c.slot.endswith("/N-E")))
    for broken in hazards(job):
        assert broken.walk
        state = start(job, broken.walk[0].command.person)
        for given in broken.walk:
            found = decide(job, state, given.command)
            assert not isinstance(found, Refusal), found
            state = advance(state, given.command, found)
        last = step_at(job, broken.walk[-1].before.state.step)
        assert last is not None
        assert ACTS[last.act].touches
