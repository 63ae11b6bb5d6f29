"""The walk's screen as plain text, for every kind of body, on a small and on a tall terminal.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.text import width
from ferrule.engine.walk.state import State
from tests.tui.fakes import FakeSession, app_of
from tests.tui.keys import press
from tests.tui.shots import SMALL, files_of, hold
from tests.tui.small_job import at, doubtful

FOLDER = Path(__file__).parent / "golden"


def _question_at(step: str, job: Job) -> State:
    """Return the state at which a question is asked."""
    return doubtful(job) if step == "doubtful" else at(job, step)


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
    "failed": (lambda job: at(job, "measure"), ("5", "enter")),
    "hold": (lambda job: at(job, "hold"), ("1",)),
    "verify": (lambda job: at(job, "verify"), ()),
    "end": (lambda job: at(job, "end"), ()),
    "markup": (lambda job: at(job, "payload"), ()),
    "wait": (lambda job: at(job, "wait", entered_ms=600_000), ()),
    "doubtful": (doubtful, ("2",)),
    "away": (lambda job: at(job, "do", away_ms=600_000), ()),
    "step-away": (lambda job: at(job, "do"), ("f8",)),
    "closed": (lambda job: at(job, "do", outcome="complete"), ()),
}
"""Each body of a step by a state and the keys that lead to it."""
_DO = "do"
QUESTIONS: dict[str, tuple[str, tuple[str, ...]]] = {
    "why": ("hold", ("f5",)),
    "ahead": (_DO, ("f2", "enter")),
    "path": ("observe", ("1", "enter", "f3")),
    "stopped": (_DO, ("f12",)),
    "help": (_DO, ("f1",)),
    "report": (_DO, ("f7", "2")),
    "report-which": (_DO, ("f7", "1", "enter")),
    "report-note": (_DO, ("f7", "1", "enter", "2", "enter")),
    "correct": ("observe", ("1", "enter", "f3", "enter")),
    "correct-reason": ("observe", ("1", "enter", "f3", "enter", "enter")),
    "remark": (_DO, ("f4", "a")),
    "remark-refused": (_DO, ("f4", "enter")),
    "more": (_DO, ("f11",)),
    "end-as": (_DO, ("f11", "2", "enter")),
    "end-reason": (_DO, ("f11", "2", "enter", "enter")),
    "amend": (_DO, ("f11", "4", "enter")),
    "amend-seen": (_DO, ("f11", "4", "enter", "enter")),
    "the-log": (_DO, ("f11", "6", "enter")),
    "give-up": (_DO, ("f11", "6", "enter", "4", "enter")),
    "pass-over": (_DO, ("f11", "7", "enter")),
    "settle": ("doubtful", ("3", "enter")),
    "telephone": ("hold", ("2", "enter")),
    "leave": ("measure", ("0", "f10")),
    "far": ("measure", (*"0.4", "f6")),
    "far-danger": ("danger", ("f6",)),
}
"""Each question and page by the step at which it is asked, and the keys that lead to it."""
SCREENS = {**BODIES, **{name: (partial(_question_at, step), keys) for name, (step, keys) in QUESTIONS.items()}}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen_is_as_it_was_read(tiny: Job, name: str) -> None:
    """Each screen shows what its golden files show, whole, at the three sizes; each theme shows
    the same text, and all that is painted has its contrast. Shows: SP-03, SP-05, HI-03, HI-04, HI-05, HI-13."""
    make, keys = SCREENS[name]
    app = app_of(FakeSession(tiny, make(tiny)))
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        for key in keys:
            await press(app, key)
            await pilot.pause()
        await pilot.pause()
        await hold(app, pilot, FOLDER, name)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_head_strip_and_keys_never_leave_the_screen(path: Path) -> None:
    """Mode, title, way, step, safety strip and stop key stand on every screen, dialogs too. Shows: SP-03, HI-16."""
    lines = path.read_text(encoding="utf-8").split("\n")
    columns = int(path.stem.rpartition("-")[2].partition("x")[0])

    assert lines[0].startswith(" WORK  Replace the device")
    assert lines[0].rstrip().endswith("KR1 way 4")
    assert "step " in lines[1] or path.stem.startswith("blocked")
    if not path.stem.startswith("far"):
        assert any(word in "\n".join(lines[2:5]) for word in ("FOUND", "STOPPED", "Busbar:"))
    assert lines[-2].rstrip().endswith("STOP")
    assert max(width(line) for line in lines) <= columns


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_one_now_mark(path: Path) -> None:
    """A screen that shows a step has one and only one NOW mark, by word and shape. Shows: SP-05, HI-05."""
    shown = path.read_text(encoding="utf-8")
    step_in_sight = path.stem.rpartition("-")[0] in BODIES

    assert shown.count("> NOW ") == int(step_in_sight)


def test_every_screen_has_its_files() -> None:
    """No golden file is left behind by a screen that is gone."""
    there, wanted = files_of(FOLDER, SCREENS)

    assert there == wanted


PRESENT = re.compile(r"\b(dead|safe)(?!\w)", re.IGNORECASE)
NAMES = ("Prove dead", "dead short", "made safe", "MADE SAFE", "does not make the place safe")
"""What the words may stand in: a name of an act, a fault or an end, or what is denied; none says what is so now."""


@pytest.mark.parametrize("folder", ["golden", "golden_shown", "golden_jobs", "golden_pictures", "golden_replay"])
def test_no_screen_says_dead_or_safe(folder: str) -> None:
    """On no screen do the two words stand but inside a name or denied. Shows: INV-46."""
    files = sorted((Path(__file__).parent / folder).glob("*.txt"))

    assert files
    for path in files:
        shown = " ".join(path.read_text(encoding="utf-8").split())
        for name in NAMES:
            shown = shown.replace(name, "")
        assert not PRESENT.search(shown), path.name
