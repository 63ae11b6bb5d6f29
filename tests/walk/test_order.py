"""The order of steps binds; only the points of a round are free, and each of them is answered once."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import groupby, permutations

import pytest

from ferrule.engine.prover.answers import cells_for
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from tests.support.jobs import job_of
from tests.support.walker import Walker

JOB = job_of()


def at_answer(where: str) -> tuple[Walker, c.Answer]:
    """A sound walk that waits for the readings of a step, and the sound answer to it."""
    walker = Walker.begin(JOB).until(where)
    while True:
        given = walker.healthy()
        assert given is not None
        if isinstance(given, c.Answer) and given.step == where:
            return walker, given
        assert not isinstance(walker.give(given), Refusal)


def by_point(answer: c.Answer) -> list[tuple[c.CellAnswer, ...]]:
    """The cells of an answer, those of each point together, what is asked once at the end."""
    return [tuple(cells) for _, cells in groupby(answer.cells, lambda cell: cell.point)]


@pytest.mark.parametrize("where", ["list-sources/list", "prove-dead/pairs", "ring-step-two/sockets"])
def test_the_points_of_a_round_may_be_taken_in_any_order(where: str) -> None:
    """Every order of the points, or fifty drawn where there are many, leads to the same events. Shows: PA-13."""
    walker, answer = at_answer(where)
    parts = by_point(answer)
    sound = decide(JOB, walker.state, answer)
    orders = list(permutations(parts)) if len(parts) < 6 else []
    chance = random.Random(13)
    orders += [tuple(chance.sample(parts, len(parts))) for _ in range(50 if not orders else 0)]

    assert len(orders) >= 2
    assert not isinstance(sound, Refusal)
    for order in orders:
        cells = tuple(cell for part in order for cell in part)
        assert decide(JOB, walker.state, replace(answer, cells=cells)) == sound


def test_outside_a_round_no_other_step_passes() -> None:
    """At every step of a whole job each other step of its procedure, soundly answered, is refused. Shows: PA-13."""
    walker = Walker.begin(JOB)
    tried = 0
    while (command := walker.healthy()) is not None:
        here = walker.state.step
        for step in JOB.procedures[here.partition("/")[0]].steps:
            where = f"{here.partition('/')[0]}/{step.id}"
            if where == here or step.kind == "hold":
                continue
            given = c.Answer("tech", walker.stamp(), where, cells_for(JOB, replace(walker.state, step=where), step))
            found = decide(JOB, walker.state, given)
            assert isinstance(found, Refusal), where
            assert found.code == "another-step"
            tried += 1
        walker.give(command)

    assert tried > 90
