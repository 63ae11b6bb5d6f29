"""What confirms an act that cannot be taken back: something else each time its warning comes again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

import pytest

from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import Done, State
from ferrule.tui import screen_words
from ferrule.tui.demand import Demand, demand_of
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import STEPS, at

WHERE = f"{STEPS}/danger"
ACTED = Done(WHERE, "done", (), ())


@pytest.fixture(scope="module")
def warned(tiny: Job) -> Job:
    """The small job with two more warnings on steps of its own."""
    procedure = tiny.procedures[STEPS]
    more = {
        "do": Warned("warning", "A lid that falls", "Crushed fingers", "Hold it with both hands"),
        "end": Warned("warning", "A wet floor", "A fall", "Dry it first"),
    }
    rows = tuple(replace(s, warnings=(more[s.id],)) if s.id in more else s for s in procedure.steps)
    return replace(tiny, procedures={STEPS: replace(procedure, steps=rows)})


def state_after(job: Job, done: Mapping[int, Done], entries: int) -> State:
    """A state at the critical step after some answers."""
    return at(job, "danger", done=done, entries=entries)


def asked_at(job: Job, times: int, entries: int) -> Demand:
    """What is asked for when the warning was met so often before."""
    state = state_after(job, dict.fromkeys(range(1, times + 1), ACTED), entries)
    return demand_of(job, state, situation(job, state, 0).step)


@pytest.mark.parametrize("apart", range(1, 12))
def test_no_act_is_asked_twice_in_a_row(warned: Job, apart: int) -> None:
    """Over nine showings, however many entries lie between, never the same act twice in a row. Shows: SP-11."""
    asked = [asked_at(warned, times, apart * times) for times in range(9)]

    assert all(a != b for a, b in pairwise(asked))
    assert [bool(demand.lines) for demand in asked] == [False, True, True] * 3
    assert all(a.question != b.question for a, b in pairwise(asked))


@pytest.mark.parametrize("entries", range(12))
@pytest.mark.parametrize(("times", "right"), [(1, "Parts behind the cover"), (2, "Keep hands and tools outside")])
def test_one_line_alone_is_right(warned: Job, entries: int, times: int, right: str) -> None:
    """Of three different lines the digit names the one that the warning holds. Shows: SP-11."""
    demand = asked_at(warned, times, entries)
    found = [number for number, line in enumerate(demand.lines, 1) if line.startswith(right)]

    assert len(set(demand.lines)) == 3
    assert [str(number) for number in found] == [demand.digit]


def test_a_job_with_one_warning_keeps_to_the_digit(tiny: Job) -> None:
    """Where there is nothing to pick from, a digit is asked for."""
    assert not asked_at(tiny, 1, 4).lines


async def test_the_wrong_line_records_nothing(warned: Job) -> None:
    """A wrong line says so and records nothing, Enter does nothing, the right one confirms. Shows: SP-11, HI-10."""
    session = FakeSession(warned, state_after(warned, {1: ACTED}, 4))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = text_of(app)
        right = walk_of(app)._digit
        await press(app, "enter", "space", str(int(right) % 3 + 1))
        await pilot.pause()
        wrong = text_of(app)
        before = list(session.given)
        await press(app, right)

    assert "Which hazard is warned of here?" in " ".join(shown.split())
    assert f"  {right} Parts behind the cover" in shown
    assert screen_words.WRONG_LINE[:40] in wrong
    assert not before
    assert [type(x) for x in session.given] == [c.Answer]
