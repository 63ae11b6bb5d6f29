"""What must stand out, and what must not look like it: failures, notices beside warnings, a wrong label."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.evolve import start
from ferrule.tui import words
from ferrule.tui.ahead_words import ONLY_A_LOOK, ahead_lines, goals_of
from ferrule.tui.screens.views import warnings
from ferrule.tui.theme import ORDER
from tests.support.walker import Walker
from tests.tui.contrast import pair_of, segments_of
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import STEPS, at

NOTICE = Warned("notice", "A reading taken to find a fault", "It is no test", "Use it to find the fault")
SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=["80x24", "120x36"])


def with_notice(job: Job) -> Job:
    """The small job with a notice beside the warning of its critical step."""
    procedure = job.procedures[STEPS]
    rows = tuple(
        replace(step, warnings=(*step.warnings, NOTICE)) if step.id == "danger" else step for step in procedure.steps
    )
    return replace(job, procedures={STEPS: replace(procedure, steps=rows)})


@SIZES
async def test_a_notice_never_looks_like_a_warning(tiny: Job, size: tuple[int, int]) -> None:
    """A notice stands whole outside the block of warnings, in other colours and without its mark. Shows: SP-10."""
    job = with_notice(tiny)
    app = app_of(FakeSession(job, at(job, "danger")))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        shown = text_of(app)
        block = warnings(walk_of(app).situation, size[0]).plain
        pairs = []
        for _ in ORDER:
            await pilot.pause()
            painted = list(segments_of(app))
            warned = next(pair_of(s) for s in painted if "Parts behind the cover." in s.text)
            noticed = next(pair_of(s) for s in painted if "NOTICE:" in s.text)
            pairs.append((warned, noticed))
            app.action_next_theme()

    assert "NOTICE" not in block
    assert "DANGER" in block
    assert "NOTICE: A reading taken to find a fault. It is no test. Use it to find the fault." in " ".join(
        shown.split()
    )
    assert all(warned.ground != noticed.ground for warned, noticed in pairs)
    assert len(pairs) == 3


async def test_a_failed_result_leads_the_list_until_it_is_mended(job: Job) -> None:
    """What failed leads the list, by word and mark, and is gone from there once it is mended. Shows: SP-15."""
    walker = Walker.begin(job).until("ring-step-two/sockets")
    failed = replace(walker.state, facts={**walker.state.facts, "result:ring step one": "fail"})
    lists = []
    for state in (failed, walker.state):
        app = app_of(FakeSession(job, state, now_ms=walker.now_ms))
        async with app.run_test(size=(80, 24)) as pilot:
            await press(app, "f2", "home")
            await pilot.pause()
            await pilot.pause()
            lists.append(text_of(app))

    assert "> x TO DO  result ring step one: failed" in lists[0]
    assert "ring step one: failed" not in lists[1]


async def test_the_list_has_one_now(job: Job) -> None:
    """Several goals of one procedure in a row are one line of the list, with one NOW. Shows: SP-05."""
    app = app_of(FakeSession(job, start(job, "tech")))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(app, "f2")
        await pilot.pause()
        await pilot.pause()
        shown = text_of(app)

    assert shown.count("> NOW") == 1
    assert shown.count("Before work") >= 1


async def test_a_look_ahead_changes_nothing(job: Job) -> None:
    """From the list the steps of a goal to come are read, with their signal words; the walk stays where it is."""
    walker = Walker.begin(job).until("ring-step-two/sockets")
    session = FakeSession(job, walker.state, now_ms=walker.now_ms)
    app = app_of(session)
    goals = [goal.by for goal in goals_of(job, walker.state)]
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        at_step = text_of(app)
        await press(app, "f2")
        await pilot.pause()
        await press(app, "enter")
        await pilot.pause()
        await pilot.pause()
        shown = text_of(app)
        await press(app, "escape")
        await pilot.pause()
        after = text_of(app)

    assert ONLY_A_LOOK in shown
    assert "(here now) Read line to neutral at each socket." in shown
    assert not session.given
    assert session.state == walker.state
    assert after.split("\n")[:20] == at_step.split("\n")[:20]
    warned = {"!!! DANGER", "!! WARNING", "! CAUTION"}
    told = [line for by in dict.fromkeys(goals) for line in ahead_lines(job, walker.state, by)]
    assert any(f"[{signal}]" in line for line in told for signal in warned)
    assert not any("NOTICE" in line for line in told)


async def test_a_round_that_was_begun_is_under_way_and_not_done(tiny: Job) -> None:
    """A step that is marked as begun comes back as under way until its second mark. Shows: SP-17."""
    begun = at(tiny, "round", round_start_ms=600_000)
    shown = []
    for state in (at(tiny, "round"), begun, replace(begun, round_end_ms=660_000)):
        app = app_of(FakeSession(tiny, state))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            shown.append("under way" in text_of(app))

    assert shown == [False, True, False]


@pytest.mark.parametrize("family", ["result", "check", "hold", "lock", "terminal"])
def test_every_state_has_its_own_word(family: str) -> None:
    """No two states of one thing are said in the same words. Shows: SP-17."""
    said = list(words.FACT_WORDS[family][1].values())

    assert len(set(said)) == len(said) >= 2


async def test_a_label_that_does_not_match_is_kept_and_is_no_pass(tiny: Job) -> None:
    """The way is typed as it is read; another one is recorded as it was typed and fails. Shows: SP-09."""
    session = FakeSession(tiny, at(tiny, "type"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "9", "enter")
        await pilot.pause()
        shown = text_of(app)

    answers = [cell.entered for x in session.given if isinstance(x, c.Answer) for cell in x.cells]
    assert answers == ["9"]
    assert "FAIL x" in shown
    assert "PASS +" not in shown


async def test_a_remark_changes_nothing_but_the_path(tiny: Job) -> None:
    """A remark is an entry of its own at any step, and no fact or place changes by it. Shows: SP-16."""
    for name in ("do", "measure", "hold", "wait"):
        session = FakeSession(tiny, at(tiny, name))
        before = session.state
        app = app_of(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await press(app, "f4", *"wet floor", "enter")
            await pilot.pause()

        assert [type(x) for x in session.given] == [c.Remark]
        assert (session.state.facts, session.state.step) == (before.facts, before.step)
        assert session.state.entries == before.entries + 1


def test_a_mismatch_is_judged_by_the_walk(tiny: Job) -> None:
    """The same label passes when it is the one of the card. Shows: SP-09."""
    session = FakeSession(tiny, at(tiny, "type"))
    step = session.state.step
    taken = session.submit(
        c.Answer("tech", session.stamp(), step, (c.CellAnswer("", "way", c.WORDS, tiny.card.way, False),))
    )

    assert [x.word for x in taken.events if isinstance(x, e.Answered)] == ["pass"]
