"""The pictures of the README are made from real runs, one for each user, and are what the program shows today.

The files are written anew with `FERRULE_GOLDEN=write`; look at them before they are kept.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ferrule.engine.journal.replay import Replay
from ferrule.engine.shell.folders import Folders, find_folders
from ferrule.engine.shell.session import PRACTICE, Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.replay import ReplayScreen
from ferrule.tui.screens.walk import WalkScreen
from tests.docs.svg import svg_of
from tests.support.fakeclock import FakeClock
from tests.support.jobs import REFERENCE
from tests.support.walker import Walker
from tests.tui.fakes import text_of
from tests.tui.keys import press

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "tests" / "docs" / "screens"
SMALL, WIDE = (80, 24), (120, 36)
MOST_BYTES = 24_000


def run_to(folders: Folders, where: str) -> tuple[Session, FakeClock]:
    """Walk the reference job for practice, soundly and on disk, to a step."""
    clock = FakeClock("2026-03-14T08:00:00.000+00:00")
    found = find_job(REFERENCE, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    walker = Walker.begin(found.job)
    while session.state.step != where:
        command = walker.healthy()
        assert command is not None, where
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
        walker.give(command)
    clock.advance(60_000)
    return session, clock


async def walked(
    folders: Folders, where: str, size: tuple[int, int], *keys: str, drawn: Callable[[FerruleApp], str] = svg_of
) -> str:
    """Return the screen after keys at a step, as a picture or as it is drawn otherwise."""
    session, _ = run_to(folders, where)
    app = FerruleApp(WalkScreen(session, bounce_s=0.0), {})
    try:
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await press(app, *keys)
            await pilot.pause()
            return drawn(app)
    finally:
        session.close()


FOUR_READ = ("enter", "enter", *"0.22", "enter", *"0.22", "enter", *"0.23", "enter", *"0.22", "enter", *"0.")
"""Keys that stamp a round and type four of its readings, and the start of the fifth."""


async def technician(folders: Folders) -> str:
    """A round of readings with its table, its ring and its profile."""
    return await walked(folders, "ring-step-two/sockets", WIDE, *FOUR_READ)


async def apprentice(folders: Folders) -> str:
    """A reading that failed: where it lies on its scale, the sentence, and where the walk goes with it."""
    values = [key for n in range(10) for key in (*("0.44" if n == 5 else "0.22"), "enter")]
    return await walked(folders, "ring-step-two/sockets", WIDE, "enter", "enter", *values, "enter")


async def supervisor(folders: Folders) -> str:
    """A hold point with what it rests on."""
    return await walked(folders, "hold-two/sign", SMALL, "1")


async def auditor(folders: Folders) -> str:
    """A log walked again, everything decided afresh."""
    session, _ = run_to(folders, "ring-step-two/remove")
    session.close()
    replay: Replay = open_replay(session.path, folders)
    app = FerruleApp(ReplayScreen(replay), {})
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("end")
        await pilot.pause()
        return svg_of(app)


USERS: dict[str, Callable[[Folders], object]] = {
    "technician": technician,
    "apprentice": apprentice,
    "auditor": auditor,
    "supervisor": supervisor,
}


@pytest.mark.parametrize("user", USERS)
async def test_picture_is_what_the_program_shows(user: str, home: Path) -> None:
    """The picture of each user is made from a real run, byte for byte, and stays small."""
    drawn = await USERS[user](find_folders(home))  # type: ignore[misc]
    assert isinstance(drawn, str)
    path = FOLDER / f"{user}.svg"
    if os.environ.get("FERRULE_GOLDEN") == "write":
        path.write_text(drawn, encoding="utf-8")

    assert drawn == path.read_text(encoding="utf-8")
    assert len(drawn.encode()) <= MOST_BYTES
    ElementTree.fromstring(drawn)
    assert "http" not in drawn.replace("http://www.w3.org/2000/svg", "")


async def test_readme_begins_with_a_screen_of_today(home: Path) -> None:
    """The screen in letters at the top of the README is what the program shows at that step, line by line."""
    shown = await walked(find_folders(home), "ring-step-two/sockets", SMALL, *FOUR_READ, drawn=text_of)
    path = ROOT / "README.md"
    before, start, rest = path.read_text(encoding="utf-8").partition("<!-- first screen -->\n```text\n")
    told, end, after = rest.partition("```\n")
    if os.environ.get("FERRULE_GOLDEN") == "write":
        path.write_text(f"{before}{start}{shown}\n{end}{after}", encoding="utf-8")
        told = f"{shown}\n"

    assert told == f"{shown}\n"


def test_readme_shows_every_picture() -> None:
    """Each picture stands in the README with words for those who cannot see it, and no other file lies beside them."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")

    assert {p.stem for p in FOLDER.glob("*")} == set(USERS)
    for user in USERS:
        before, found, _ = readme.partition(f"](tests/docs/screens/{user}.svg)")
        assert found
        assert len(before.rpartition("![")[2]) >= 20
