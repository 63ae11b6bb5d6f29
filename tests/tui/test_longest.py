"""The longest texts of the packaged procedures on the screen: whole, or marked as cut and readable by one key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.shell.sets import example_cards
from ferrule.tui import words
from ferrule.tui.screens import flows, menu
from tests.support.jobs import job_of
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import STEPS, at

SIZES = ((60, 20), (80, 24), (120, 36))
AT_SIZES = pytest.mark.parametrize("size", SIZES, ids=["60x20", "80x24", "120x36"])
MORE = ("PageDown: more", "PgDn more")


def _warned(step: Step) -> str:
    return " ".join(words.warning_words(w) for w in step.warnings)


def _seen(step: Step) -> str:
    return max((" ".join(s.seen for s in cell.states) for cell in step.cells), key=len, default="")


LONGEST: dict[str, Callable[[Step], str]] = {
    "text": lambda s: s.text,
    "why": lambda s: s.why,
    "source": lambda s: s.source,
    "warnings": _warned,
    "states": _seen,
    "prompt": lambda s: max((c.prompt for c in s.cells), key=len, default=""),
    "all together": lambda s: f"{s.text} {s.why} {_warned(s)} {_seen(s)}",
}
"""What of a step is long, by what is measured."""


@pytest.fixture(scope="module")
def steps() -> list[Step]:
    """Every step of the procedures that the example cards bring in."""
    found = {p.id: p for card in example_cards() for p in job_of(card).procedures.values()}
    return [step for procedure in found.values() for step in procedure.steps]


def with_step(job: Job, step: Step) -> Job:
    """The small job with the texts of a step at its first place, on steps that need no act."""
    shown = replace(step, id="do", act="", of="", points="", when=(), cells=_plain(step), checks=(), minutes="")
    kind = "do" if step.kind in ("wait", "hold", "compute", "end", "call") else step.kind
    procedure = job.procedures[STEPS]
    rows = (replace(shown, kind="observe" if shown.cells else "do" if kind == "round" else kind), *procedure.steps[1:])
    return replace(job, procedures={STEPS: replace(procedure, steps=rows)})


def _plain(step: Step) -> tuple[Cell, ...]:
    return tuple(replace(cell, when=()) for cell in step.cells if cell.states)


def flat(text: str) -> str:
    """A screen or a text without its line breaks."""
    return " ".join(text.split())


@AT_SIZES
@pytest.mark.parametrize("what", LONGEST)
async def test_longest_step_is_whole_or_marked(tiny: Job, steps: list[Step], what: str, size: tuple[int, int]) -> None:
    """The step with the longest text of each kind is shown whole, page by page if it must. Shows: HI-13, SP-01."""
    step = max(steps, key=lambda s: len(LONGEST[what](s)))
    job = with_step(tiny, step)
    app = app_of(FakeSession(job, at(job, "do")))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        pages = [text_of(app)]
        while walk_of(app).reach.more_below:
            assert any(more in pages[-1] for more in MORE)
            await press(app, "pagedown")
            await pilot.pause()
            pages.append(text_of(app))
            assert len(pages) < 6
        await press(app, "f5")
        await pilot.pause()
        await pilot.pause()
        why = [text_of(app)]
        for _ in range(4):
            await press(app, "pagedown")
            await pilot.pause()
            why.append(text_of(app))

    shown = flat(" ".join(pages))
    assert flat(step.text) in shown
    for warning in step.warnings:
        for part in (warning.hazard, warning.consequence, warning.avoid):
            assert _found(part, pages), part
    assert not any(more in pages[-1] for more in MORE)
    assert _found(step.why, why)
    assert _found(step.source, why)


def _found(text: str, pages: list[str]) -> bool:
    """True when each word of a text stands on one of the pages, and the whole of it where no page parts it."""
    if any(flat(text) in flat(page) for page in pages):
        return True
    return len(pages) > 1 and all(any(word in page for page in pages) for word in text.split())


@AT_SIZES
async def test_every_question_shows_its_field(tiny: Job, size: tuple[int, int]) -> None:
    """Whatever is asked, and however long it is told, the field to type in is in sight. Shows: HI-13."""
    app = app_of(FakeSession(tiny, at(tiny, "do")))
    asked = 0
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        screen = walk_of(app)
        await press(app, "f4")
        await pilot.pause()
        for what in DISTURBANCES:
            flows._report_note(screen, what, "")
            await pilot.pause()
            assert "[ _ ]" in text_of(app), what
            asked += 1
        for row in ENDINGS.values():
            menu._end_reason(screen, row)
            await pilot.pause()
            assert "[ _ ]" in text_of(app), row.name
            asked += 1

    assert asked == len(DISTURBANCES) + len(ENDINGS)


@AT_SIZES
async def test_every_detail_of_a_list_can_be_read(tiny: Job, size: tuple[int, int]) -> None:
    """What a list cuts to a column stands whole below it while its line is marked. Shows: HI-13."""
    app = app_of(FakeSession(tiny, at(tiny, "do")))
    async with app.run_test(size=size) as pilot:
        await press(app, "f11", "2", "enter")
        await pilot.pause()
        for row in ENDINGS.values():
            await pilot.pause()
            assert flat(row.says) in flat(text_of(app)), row.name
            await press(app, "down")
