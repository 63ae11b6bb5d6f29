"""The log from the screen: its code, going on with it on another disk, closing it before the end."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.journal.headcode import head_letters
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.session import WORK, Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk.place import step_at
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.walk import WalkScreen
from tests.journeys.test_record import FailsOnce
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY
from tests.tui.fakes import text_of
from tests.tui.keys import healthy_keys, press, walk_of

THE_LOG = ("f11", "6", "enter")


def opened(home: Path, calls: Any = SYSTEM_CALLS) -> Session:
    """The reference job, opened for work."""
    here = find_folders(home)
    return Session.open_new(
        find_job(CARD, here), folders=here, clock=FakeClock(DAY), mode=WORK, operator="tech", calls=calls
    )


def at_kind(session: Session) -> str:
    """The kind of the step at which a session stands."""
    step = step_at(session.job, session.state.step)
    assert step is not None
    return step.kind


async def shown_after(session: Session, *keys: str, size: tuple[int, int] = (120, 50)) -> str:
    """The screen of a session after some keys."""
    app = FerruleApp(WalkScreen(session, bounce_s=0.0), {})
    async with app.run_test(size=size) as pilot:
        for key in keys:
            await press(app, key)
            if len(key) > 1:
                await pilot.pause()
        await pilot.pause()
        return text_of(app)


async def test_the_code_of_the_log_is_a_page(home: Path) -> None:
    """Under F11 stands the code of the log so far: sum, letters, and the QR code. Shows: RI-06."""
    pytest.importorskip("segno")
    session = opened(home)
    shown = await shown_after(session, *THE_LOG, "2", "enter")
    session.close()

    assert f"Sum: {session.head}" in shown
    assert f"Code: {head_letters(session.head)}" in shown
    assert shown.count("█") > 50


async def test_the_code_is_shown_by_itself_when_a_hold_point_is_signed(home: Path) -> None:
    """At a checkpoint of work the code of the log is a page by itself; Esc goes on to the next step. Shows: RI-06."""
    session = opened(home)
    session.clock_ms = 0  # type: ignore[attr-defined]
    app = FerruleApp(WalkScreen(session, bounce_s=0.0), {})
    async with app.run_test(size=(120, 50)) as pilot:
        while at_kind(session) != "hold":
            screen = walk_of(app)
            await press(app, *(screen._digit if k == "confirm" else k for k in healthy_keys(session)))  # type: ignore[arg-type]
            screen.situation = session.situation()
            await pilot.pause()
        step = session.state.step
        for _ in range(3):  # the warnings are read to their end first
            if session.state.step == step:
                await press(app, *healthy_keys(session))  # type: ignore[arg-type]
                await pilot.pause()
        await pilot.pause()
        shown = text_of(app)
        await press(app, "escape")
        await pilot.pause()
        back = text_of(app)
    last = read_only(session.path).entries[-1]
    session.close()

    assert last.kind == "checkpoint"
    assert f"Code: {head_letters(last.sum)}" in shown
    assert session.state.step != step
    assert "> NOW" in back


async def test_a_job_is_given_up_from_the_screen_with_a_reason(home: Path) -> None:
    """Closing the log as abandoned asks for the reason, says that it makes nothing safe, and ends the log.
    Shows: IR-12."""
    session = opened(home)
    shown = await shown_after(session, *THE_LOG, "4", "enter", *"gone", "enter")
    last = read_only(session.path).entries[-1]
    session.close()

    assert (last.kind, last.data["outcome"], last.data["reason"]) == ("close", "abandoned", "tech: gone")
    assert f"its code is {head_letters(last.sum)}" in shown
    assert session.situation().may == ()


async def test_after_a_failed_save_the_screen_offers_another_disk(home: Path, tmp_path: Path) -> None:
    """The page of a failed save names F11, and from there the log goes on in the folder that is typed. Shows: IR-01."""
    session = opened(home, FailsOnce("fsync", 3))
    refused = await shown_after(session, "f4", *"one", "enter")
    other = tmp_path / "disk"
    shown = await shown_after(session, *THE_LOG, "4", "enter", *str(other), "enter", size=(200, 50))
    again = await shown_after(session, "f4", *"two", "enter")
    entries = read_only(session.path).entries
    session.close()

    assert "The disk refused" in refused
    assert "F11 goes on with another disk" in refused
    assert "The log goes on in" in shown
    assert session.path.parent == other
    assert [entry.kind for entry in entries] == ["open", "resumed", "did"]
    assert "The disk refused" not in again


async def test_what_the_diary_has_to_say_stands_on_the_first_screen(home: Path) -> None:
    """A job whose log was taken away is named when the next one is opened, and on a page. Shows: RI-06."""
    first = opened(home)
    first.close()
    first.path.unlink()
    session = opened(home)
    shown = await shown_after(session)
    page = await shown_after(session, *THE_LOG, "3", "enter", size=(80, 24))
    session.close()

    assert f"The diary names job {first.path.stem}" in shown
    assert first.path.stem in page
