"""What is brought in ahead is all that a walk needs later: no answer waits for a module."""

from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec

from ferrule.tui.warm import WARMED, warmed

SCRIPT = """
import asyncio, sys
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk.evolve import start
from ferrule.tui.warm import warmed
from tests.support.plainrun import CARD
from tests.tui.fakes import FakeSession, app_of
from tests.tui.keys import healthy_keys, press, walk_of

async def main():
    session = FakeSession(find_job(CARD, find_folders()).job, None, now_ms=0)
    session.state = start(session.job, "tech")
    app = app_of(session)
    async with app.run_test(size=(80, 24)):
        screen = walk_of(app)
        list(warmed())
        before = set(sys.modules)
        while not session.state.outcome:
            keys = healthy_keys(session)
            screen.situation = session.situation()
            for key in keys:
                await press(app, screen._digit if key == "confirm" else key)
                session.clock_ms += 200
        print(session.state.outcome, sorted(m for m in set(sys.modules) - before if m.startswith("ferrule")))

asyncio.run(main())
"""


def test_everything_named_is_there() -> None:
    """Each module that is brought in ahead exists; what is not installed is passed over."""
    assert [name for name in WARMED if find_spec(name) is None] in ([], ["segno"])
    assert list(warmed()) == list(WARMED)


def test_no_answer_of_a_whole_job_brings_in_a_module() -> None:
    """From the first step to the closed log nothing of ours is read from the disk any more. Shows: HI-17."""
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True, timeout=300)

    assert done.stdout.split("\n")[-2] == "complete []"
