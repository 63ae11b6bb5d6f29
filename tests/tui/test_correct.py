"""Striking out an entry from the path: what falls is told in words before it is done."""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.pathrows import PathRow
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.tui.fall_words import fall_lines
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press
from tests.tui.small_job import at


async def test_correction_shows_what_falls(tiny: Job) -> None:
    """From the path an entry is struck out with a reason, after what falls with it was shown. Shows: WB-09, DV-03."""
    session = FakeSession(tiny, at(tiny, "observe"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1", "enter", "f3", "enter")
        await pilot.pause()
        shown = text_of(app)
        await press(app, "enter", *"wrong lock", "enter")

    assert "> busbar, now “no pair showed a voltage when it was proved”: becomes “not prove…" in shown
    assert [(x.entry, x.reason) for x in session.given if isinstance(x, c.Correct)] == [(1, "wrong lock")]


async def test_correction_is_told_in_words(job: Job) -> None:
    """What becomes void, its value before and where the walk goes stand in words of the trade. Shows: WB-09, DV-03."""
    walker = Walker.begin(job).until("ring-step-two/sockets")
    session = FakeSession(job, walker.state, now_ms=walker.now_ms)
    found = session.preview_correction(walker.state.entries - 1)
    assert not isinstance(found, Refusal)
    lines = fall_lines(found, walker.state.facts, job)
    changed = [fact for event in found if isinstance(event, e.FactsChanged) for fact, _ in event.changes]

    assert changed == ["result:ring step one"]
    assert lines[0] == "result ring step one, now “passed”: becomes “void, to be taken again”"
    assert lines[1].startswith("Next: ")
    assert len(lines) == 2
    app = app_of(session)
    before = session.state
    async with app.run_test(size=(80, 24)) as pilot:
        session.told = [
            PathRow(walker.state.entries - 1, "2026-11-25T09:00:00", "tech", "", "Ring step one.", "pass", "")
        ]
        await press(app, "f3", "enter")
        await pilot.pause()
        shown = text_of(app)
        await press(app, "escape")
        await pilot.pause()

    assert "> result ring step one, now “passed”" in shown
    assert session.state == before
    assert not session.given


def test_a_correction_that_is_refused_says_why(tiny: Job) -> None:
    """An entry that cannot be struck out says why instead of what falls."""
    session = FakeSession(tiny, at(tiny, "observe"))
    lines = fall_lines(session.preview_correction(99), session.state.facts, tiny)

    assert len(lines) == 1
    assert lines[0].startswith("It would not be taken: ")


async def test_remark_goes_to_the_step_that_is_marked_on_the_path(tiny: Job) -> None:
    """F4 on a line of the path adds a remark to its step, three steps back too; elsewhere to the one on screen.

    Shows: SP-16.
    """
    session = FakeSession(tiny, at(tiny, "measure"))
    names = ("do", "observe", "type")
    session.told = [
        PathRow(n + 1, "2026-11-25T09:00:00", "tech", f"small/{name}", "Look.", "pass", "")
        for n, name in enumerate(names)
    ]
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        before = session.state
        await press(app, "f3", "home", "f4", *"lid was loose", "enter", "f4", *"here", "enter")
        await pilot.pause()

    given = [(x.step, x.text) for x in session.given if isinstance(x, c.Remark)]
    assert given == [("small/do", "lid was loose"), ("", "here")]
    assert (session.state.facts, session.state.step) == (before.facts, before.step)


async def test_what_followed_from_an_entry_leads_to_what_was_done(tiny: Job) -> None:
    """Enter on a line that followed by itself offers the answer that it followed from, by that answer's own text."""
    session = FakeSession(tiny, at(tiny, "observe"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1", "enter")
        session.told = [
            PathRow(1, "2026-11-25T09:00:00", "tech", "small/observe", "Look at the lock.", "pass", ""),
            PathRow(1, "2026-11-25T09:00:00", "tech", "", "Small job", "ended", "1 done.", followed=True),
        ]
        await press(app, "f3", "enter")
        await pilot.pause()
        shown = text_of(app)

    assert "Strike out entry 1" in shown
    assert "Entry 1: Look at the lock." in shown
