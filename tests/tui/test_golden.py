"""The walk's screen as plain text, for every kind of body, on a small and on a tall terminal.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.text import width
from ferrule.engine.walk.state import State
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press
from tests.tui.small_job import at, doubtful

FOLDER = Path(__file__).parent / "golden"
LEAST, SMALL, TALL = (60, 20), (80, 24), (120, 36)

BODIES: dict[str, tuple[Callable[[Job], State], tuple[str, ...]]] = {
    "do": (lambda job: at(job, "do"), ()),
    "critical": (lambda job: at(job, "danger"), ()),
    "observe": (lambda job: at(job, "observe"), ("1",)),
    "type": (lambda job: at(job, "type"), ("4",)),
    "measure": (lambda job: at(job, "measure"), ("0", ".", "4")),
    "malformed": (lambda job: at(job, "measure"), ("0", ".", ".", "4", "enter")),
    "several": (lambda job: at(job, "several"), ("1",)),
    "round-start": (lambda job: at(job, "round"), ()),
    "round-running": (lambda job: at(job, "round"), ("enter",)),
    "round-table": (lambda job: at(job, "round"), ("enter", "enter", "0", ".", "2", "enter", "+")),
    "round-picture": (lambda job: at(job, "round"), ("enter", "enter", "0", ".", "2", "enter", "+", "0", ".", "tab")),
    "shut": (lambda job: at(job, "round", acts=()), ()),
    "blocked": (lambda job: replace(at(job, "do"), step="", why_here="Nothing on the plan supplies this."), ()),
    "list": (lambda job: at(job, "do"), ("f2",)),
    "why": (lambda job: at(job, "hold"), ("f5",)),
    "path": (lambda job: at(job, "observe"), ("1", "enter", "f3")),
    "failed": (lambda job: at(job, "measure"), ("5", "enter")),
    "hold": (lambda job: at(job, "hold"), ("1",)),
    "wait": (lambda job: at(job, "wait", entered_ms=600_000), ()),
    "doubtful": (doubtful, ("2",)),
    "away": (lambda job: at(job, "do", away_ms=600_000), ()),
    "closed": (lambda job: at(job, "do", outcome="complete"), ()),
    "stopped": (lambda job: at(job, "do"), ("f12",)),
    "help": (lambda job: at(job, "do"), ("f1",)),
    "report": (lambda job: at(job, "do"), ("f7", "2")),
}
"""Each body by a state and the keys that lead to it."""
ON_A_TALL_ONE = ("do", "critical", "measure", "failed", "several", "round-table", "hold", "doubtful", "help")
ON_THE_LEAST = ("critical", "several", "round-table", "hold")
CASES = [
    *((name, SMALL) for name in BODIES),
    *((name, TALL) for name in ON_A_TALL_ONE),
    *((name, LEAST) for name in ON_THE_LEAST),
]


@pytest.mark.parametrize(("name", "size"), CASES, ids=[f"{name}-{w}x{h}" for name, (w, h) in CASES])
async def test_screen_is_as_it_was_read(tiny: Job, name: str, size: tuple[int, int]) -> None:
    """Each body shows what its golden file shows, whole. Shows: SP-03, SP-05, HI-13."""
    make, keys = BODIES[name]
    app = app_of(FakeSession(tiny, make(tiny)))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await press(app, *keys)
        await pilot.pause()
        shown = text_of(app) + "\n"
    path = FOLDER / f"{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("FERRULE_GOLDEN") == "write":
        path.write_text(shown, encoding="utf-8")

    assert shown == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_head_strip_and_keys_never_leave_the_screen(path: Path) -> None:
    """Mode, title, way, step, safety strip and stop key stand on every screen, dialogs too. Shows: SP-03, HI-16."""
    lines = path.read_text(encoding="utf-8").split("\n")
    columns = int(path.stem.rpartition("-")[2].partition("x")[0])

    assert lines[0].startswith(" WORK  Replace the device")
    assert lines[0].rstrip().endswith("KR1 way 4")
    assert "step " in lines[1] or path.stem.startswith("blocked")
    assert any(word in "\n".join(lines[2:5]) for word in ("FOUND", "Busbar:"))
    assert lines[-2].rstrip().endswith("STOP")
    assert max(width(line) for line in lines) <= columns


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_one_now_mark(path: Path) -> None:
    """A screen that shows a step has one and only one NOW mark, by word and shape. Shows: SP-05, HI-05."""
    shown = path.read_text(encoding="utf-8")
    step_in_sight = not path.stem.startswith(("help", "report", "stopped", "why", "path"))

    assert shown.count("> NOW ") == int(step_in_sight)


def test_every_body_has_its_files() -> None:
    """No golden file is left behind by a body that is gone."""
    wanted = {f"{name}-{w}x{h}" for name, (w, h) in CASES}

    assert {path.stem for path in FOLDER.glob("*.txt")} == wanted
