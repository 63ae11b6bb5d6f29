"""Striking out an entry from the path: what falls is told in words before it is done."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.pathrows import PathRow
from ferrule.engine.shell.session import WORK, Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.tui.app import FerruleApp
from ferrule.tui.fall_words import fall_lines
from ferrule.tui.screens.replay import ReplayScreen
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY
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


def corrected(walker: Walker) -> Walker:
    """The walk with its three readings of ring step one struck out once, and read again with another first value."""
    entry = walker.until("ring-step-two/cross.fit").state.readings["r1"].entry
    walker.give(c.Correct("tech", walker.stamp(), entry, "read with a loose clip"))
    while True:
        command = walker.healthy()
        assert command is not None
        if isinstance(command, c.Answer) and command.step == "ring-step-one/read":
            break
        walker.give(command)
    cells = tuple(replace(cell, entered="0.45") if cell.cell == "r1" else cell for cell in command.cells)
    walker.give(replace(command, cells=cells))
    return walker


async def test_a_correction_leaves_both_values_with_person_time_and_reason(home: Path, job: Job) -> None:
    """The log holds old value, new value, person, time and reason; on screen the old value is read as it was entered.

    Shows: DV-12.
    """
    folders, clock = find_folders(home), FakeClock(DAY)
    session = Session.open_new(find_job(CARD, folders), folders=folders, clock=clock, mode=WORK, operator="tech")
    walker = corrected(Walker.begin(job))
    for command, _ in walker.trail:
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
    session.close()
    assert session.state == walker.state
    replay = open_replay(session.path, folders)
    did = [entry for entry in replay.entries if entry.kind == "did"]
    read = [
        (number, {cell["cell"]: cell["entered"] for cell in event["cells"]}["r1"])
        for number, entry in enumerate(did, 1)
        for event in entry.data["events"]
        if event.get("step") == "ring-step-one/read" and event["event"] == "answered"
    ]
    ((at, struck),) = (
        (entry, event) for entry in did for event in entry.data["events"] if event["event"] == "struck-out"
    )
    shown = []
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=(120, 50)) as pilot:
        for number in (read[0][0], did.index(at) + 1, read[1][0]):
            await pilot.press("home", *["pagedown"] * (number // 10), *["right"] * (number % 10))
            await pilot.pause()
            shown.append(" ".join(text_of(app).split()))

    assert [value for _, value in read] == ["0.44", "0.45"]
    assert struck == {
        "event": "struck-out",
        "entry": read[0][0],
        "reason": "read with a loose clip",
        "person": "tech",
    }
    assert at.wall > did[read[0][0] - 1].wall
    assert "r1 “0.44”" in shown[0]
    assert f"Entry {read[0][0]} was struck out by Ash Glaze: read with a loose clip" in shown[1]
    assert at.wall[11:16] in shown[1]
    assert "r1 “0.45”" in shown[2]


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


def test_the_path_says_what_stands_beside_a_step(home: Path) -> None:
    """A remark on a step is told as one, braces and all, and not as what the step came to. Shows: SP-16."""
    folders = find_folders(home)
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=FakeClock(), mode=WORK, operator="tech")
    session.submit(c.Remark("tech", session.stamp(), "lid {loose} %s"))
    rows = session.rows()
    session.close()

    assert [(row.text, row.word) for row in rows] == [
        ("Read the job sheet against the card.", "remark: lid {loose} %s")
    ]
