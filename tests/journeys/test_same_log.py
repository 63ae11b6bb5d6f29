"""Screen and plain mode leave the same log for the same work, byte for byte but for times and ids."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ferrule.engine.canon import dumps
from ferrule.engine.journal.entry import Entry
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import PRACTICE, Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.shell.store import read_only
from ferrule.engine.walk.commands import command_from_json
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.walk import WalkScreen
from tests.support.fakeclock import FakeClock
from tests.support.jobs import REFERENCE
from tests.support.plainrun import DAY, only_log, walk
from tests.support.script import Script, line_of
from tests.support.walker import Walker
from tests.tui.keys import healthy_keys, press, walk_of

TIMES = {"at", "at_ms", "ms", "on", "started_ms", "ended_ms", "typed_ms"}
IDS = {"job_id", "nonce"}


class ClockedSession(Session):
    """A real session on a clock that the keys of a test move."""

    clock: FakeClock

    @property
    def clock_ms(self) -> int:
        """The time since the log was opened."""
        return self.now_ms()

    @clock_ms.setter
    def clock_ms(self, now_ms: int) -> None:
        self.clock.advance(now_ms - self.now_ms())


async def walked_by_keys(home: Path) -> Path:
    """Walk the reference job on the screen by keys alone and return its log."""
    clock = FakeClock(DAY)
    folders = find_folders(home)
    session = ClockedSession.open_new(
        find_job(REFERENCE, folders), folders=folders, clock=clock, mode=PRACTICE, operator="tech"
    )
    assert isinstance(session, ClockedSession)
    session.clock = clock
    app = FerruleApp(WalkScreen(session, bounce_s=0.0))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = walk_of(app)
        for _ in range(200):
            if session.state.outcome:
                break
            keys = healthy_keys(session)  # type: ignore[arg-type]
            screen.situation = session.situation()
            await pilot.pause()
            for key in keys:
                await press(app, screen._digit if key == "confirm" else key)
                clock.advance(200)
    session.close()
    return session.path


def typed_again(log: Path) -> Script:
    """Return the plain lines that stand for the commands of a log, each at its own time."""
    entries = [entry for entry in read_only(log).entries if entry.kind == "did"]
    folders = find_folders(log.parent.parent)
    walker = Walker.begin(find_job(REFERENCE, folders).job)
    lines, times = [], []
    for entry in entries:
        command = command_from_json(entry.data["command"])
        lines.append(line_of(walker.job, command))
        times.append(command.at.ms)
        walker.give(command)
    return Script(tuple(lines), tuple(times), walker)


def without_times(value: Any) -> Any:
    """Return a stored value without times and ids."""
    if isinstance(value, dict):
        return {k: without_times(v) for k, v in value.items() if k not in TIMES | IDS}
    if isinstance(value, list):
        return [without_times(v) for v in value]
    return value


def bodies(log: Path) -> list[bytes]:
    """Return what each entry of a log holds, as bytes, without times and ids."""

    def body(entry: Entry) -> bytes:
        return dumps({"kind": entry.kind, "data": without_times(dict(entry.data))})

    return [body(entry) for entry in read_only(log).entries]


async def test_screen_and_plain_leave_the_same_log(tmp_path: Path) -> None:
    """The reference job walked by keys, and the same commands typed line by line, leave equal logs.

    Shows: HI-18
    """
    screen_home, plain_home = tmp_path / "screen", tmp_path / "plain"
    by_keys = await walked_by_keys(screen_home)
    ran = walk(plain_home, typed_again(by_keys))
    by_lines = only_log(plain_home)

    assert ran.code == 0, ran.err
    assert len(bodies(by_keys)) > 90
    assert bodies(by_keys) == bodies(by_lines)
