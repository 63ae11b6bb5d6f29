"""The replay and the choice of a job on screen: read-only, one moment at a time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.journal.replay import Moment, Replay
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.session import Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.replay import ReplayScreen
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD
from tests.tui.fakes import text_of
from tests.tui.shots import SMALL, files_of, hold


@pytest.fixture
def replay(tmp_path: Path, job: Job, folders: Folders) -> Replay:  # noqa: ARG001 - the job makes the cache
    """The replay of a log with two remarks, written by a real session."""
    here = Folders(tmp_path / "records", tmp_path / "practice", folders.cache)
    session = Session.open_new(find_job(CARD, here), folders=here, clock=FakeClock(), mode="practice", operator="tech")
    for text in ("first [b]remark[/]", "second remark"):
        session.submit(c.Remark("tech", session.stamp(), text))
    session.close()
    return open_replay(session.path, here)


async def test_replay_steps_through_the_log(replay: Replay) -> None:
    """Each key goes to another moment; what was asked and what followed is told, with mode and strip in sight."""
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        opened = text_of(app)
        await pilot.press("right")
        first = text_of(app)
        await pilot.press("end")
        last = text_of(app)
        await pilot.press("left", "home", "pagedown", "escape")

    assert opened.startswith(" REPLAY, PRACTICE")
    assert "Entry 0 of 2; all replay the same" in opened
    assert "Remarked: first [b]remark[/]" in first
    assert "Entry 2 of 2" in last
    assert "FOUND   busbar, circuit: not proved" in last
    assert app.return_value == 0


async def test_help_is_the_same_key_and_goes_back_to_the_entry(replay: Replay) -> None:
    """F1 and ? show the keys, Esc goes back to the same entry and leaves only from there. Shows: HI-16."""
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("end", "f1", "right", "d")
        helped = text_of(app)
        await pilot.press("escape")
        back = text_of(app)
        await pilot.press("question_mark", "f1")
        again = text_of(app)
        await pilot.press("escape")

    assert "ten entries on; PageUp ten back" in helped
    assert helped.split("\n")[-1].startswith("F1 help")
    assert "Entry 2 of 2" in back
    assert again == back
    assert app.return_value == 0


async def test_too_small_a_window_takes_no_key_but_the_one_that_leaves(replay: Replay) -> None:
    """In a window that cannot show an entry nothing is turned unseen; F10 leaves."""
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=(50, 15)) as pilot:
        await pilot.press("end", "escape", "q")
        small = text_of(app)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        shown = text_of(app)
        await pilot.resize_terminal(50, 15)
        await pilot.pause()
        await pilot.press("f10")

    assert "This window is too small: 50 by 15." in small
    assert "Entry 0 of 2" in shown
    assert app.return_value == 0


async def test_difference_is_named_and_found_by_a_key(replay: Replay, monkeypatch: pytest.MonkeyPatch) -> None:
    """A moment that is decided otherwise is named by word and sign, and the exit code says so. Shows: AR-02."""
    moments = [replay.at(n) for n in range(3)]
    moments[2] = replace(moments[2], difference="Event 1 was recorded as “a” and is decided as “b”.")
    monkeypatch.setattr(replay, "_moments", moments)
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        shown = text_of(app)
        await pilot.press("f10")

    assert "Entry 2 of 2; 1 differ" in shown
    assert "DIFFERENT x  Event 1 was recorded" in shown
    assert app.return_value == 1


GOLDEN = Path(__file__).parent / "golden_replay"
SCREENS: dict[str, tuple[str, ...]] = {"opened": (), "second": ("end",), "keys": ("end", "f1")}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen_is_as_it_was_read(replay: Replay, name: str) -> None:
    """A moment of a log shows what its files show, whole, at each size and theme. Shows: SP-03, HI-03, HI-13."""
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        await pilot.press(*SCREENS[name])
        await pilot.pause()
        await hold(app, pilot, GOLDEN, name)


def test_every_screen_has_its_files() -> None:
    """No file is left behind by a screen that is gone."""
    there, wanted = files_of(GOLDEN, SCREENS)

    assert there == wanted


def test_moment_zero_is_the_opening(replay: Replay) -> None:
    """The first moment has no command, and the screen's count begins behind it."""
    first = replay.at(0)

    assert isinstance(first, Moment)
    assert first.command is None
    assert replay.count == 2
