"""Steps of the real jobs with their pictures, as whole screens: read once, compared ever after.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.walk import commands as c
from ferrule.engine.walk.place import step_at
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press

FOLDER = Path(__file__).parent / "golden_shown"
SMALL, WIDE = (80, 24), (120, 36)
SCREENS: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "compute": (REFERENCE, "take external impedance from the record", ()),
    "cross": (REFERENCE, "fit a link", ()),
    "ring-two": (REFERENCE, "read ring step two", (*"0.22", "enter", *"0.23", "enter", "+")),
    "ring-three": (REFERENCE, "read ring step three", (*"0.3", "enter", "*", "/")),
    "link-out": (REFERENCE, "remove a link", ()),
    "pairs": (REFERENCE, "prove dead", ("-", "-", "-", *"231", "enter")),
    "pairs-three": ("three-phase-way", "prove dead", ("-",) * 13),
    "torque": (REFERENCE, "torque, tug and mark", (*"2.2", "enter", "1", "1", "1", *"2.")),
    "button": (REFERENCE, "press the test button", ("1", "1")),
    "held": (REFERENCE, "hold the toggle and press", (*"0", "enter", "1")),
    "loop": (REFERENCE, "read loop impedance", (*"230", "enter")),
}
"""Each screen by its card, the act of the step, and the keys that fill it."""


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
@pytest.mark.parametrize("name", SCREENS)
async def test_step_with_its_picture_is_as_it_was_read(name: str, size: tuple[int, int]) -> None:
    """Each picture on its screen shows what its file shows, whole, at both sizes. Shows: HI-13, SP-03, SP-05."""
    card, act, keys = SCREENS[name]
    walker = Walker.begin(job_of(card))
    while (step := step_at(walker.job, walker.state.step)) is None or step.act != act:
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    if walker.healthy().__class__ is c.StampRound:
        keys = ("enter", "enter", *keys)
    # The proof of the indicator counts, however long the way here took.
    state = replace(walker.state, indicator_ms=walker.state.last_ms)
    session = FakeSession(walker.job, state, now_ms=walker.now_ms + 1_000)
    app = app_of(session)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await press(app, *(("tab",) if size == SMALL else ()), *keys)
        await pilot.pause()
        shown = text_of(app) + "\n"
    path = FOLDER / f"{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("FERRULE_GOLDEN") == "write":
        path.write_text(shown, encoding="utf-8")

    assert shown == path.read_text(encoding="utf-8")
    assert shown.count("> NOW ") == 1


def test_every_screen_has_its_files() -> None:
    """No file is left behind by a screen that is gone."""
    assert {p.stem for p in FOLDER.glob("*.txt")} == {f"{n}-{w}x{h}" for n in SCREENS for w, h in (SMALL, WIDE)}
