"""Pictures, gauge and rounds on the screen: shown by one key, made from the record, and never in the way of typing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from textual import events

from ferrule.engine.procedure.compiled import Cell, Job, Procedure
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import expected_of, inputs_of, readings_of, slots_of
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from ferrule.tui.pictures.base import BOX
from ferrule.tui.pictures.pick import Both, picture_of
from ferrule.tui.pictures.profile import Profile
from ferrule.tui.screens.beside import gauge_after
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.has_picture import has_picture
from ferrule.tui.summary_words import summary_lines
from tests.support.jobs import job_of
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import STEPS, at

SMALL, WIDE, LEAST = (80, 24), (120, 36), (60, 20)
ROOMS = ((78, 9), (53, 24))
FILL = ("enter", "enter")
"""Stamps start and end of a round."""


def go_on(walker: Walker) -> None:
    """Give the next sound command."""
    command = walker.healthy()
    assert command is not None
    walker.give(command)


def draft_at(job: Job, state: State) -> Draft:
    """Return the open places of a step."""
    step = situation(job, state, state.last_ms).step
    assert step is not None
    return Draft(job, tuple(cell for cell in step.cells if cell.kind != "computed"))


@pytest.mark.parametrize("card", ["saltmarsh-kr1-way-4", "lighting-radial", "three-phase-way", "old-fly-leads"])
def test_every_step_that_is_said_to_have_a_picture_has_one(card: str) -> None:
    """Through a whole sound job each picture can be made and drawn, and none calls a conductor dead or safe."""
    walker, shown, acts = Walker.begin(job_of(card)), 0, set()
    while not walker.state.outcome:
        state = walker.state
        drawn = picture_of(walker.job, state, draft_at(walker.job, state)) if state.step else None
        assert (drawn is not None) == has_picture(walker.job, state), state.step
        for cells, rows in ROOMS if drawn is not None else ():
            lines = drawn.draw(cells, rows, BOX) if drawn is not None else ()
            assert not {"dead", "safe"} & set(" ".join(lines).casefold().split())
            shown += 1
        step = step_at(walker.job, state.step)
        acts.add(step.act if step is not None and drawn is not None else "")
        go_on(walker)

    assert shown >= 10
    assert acts >= {"prove dead", "torque, tug and mark", "press the test button"}


@pytest.fixture(scope="module")
def ring_walk() -> Walker:
    """The reference job at the readings of ring step two, both stamps given."""
    walker = Walker.begin(job_of()).until("ring-step-two/sockets")
    for mark in ("start", "end"):
        walker.give(c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, mark))
    return walker


def test_hidden_expected_value_stays_out_of_the_picture_until_it_is_recorded(ring_walk: Walker) -> None:
    """A hidden round that is typed shows no expected value; once recorded each point has its own. Shows: SP-08."""
    job, state = ring_walk.job, ring_walk.state
    draft = draft_at(job, state)
    for _ in range(4):
        for key in "0.22":
            draft.key(key, key)
        draft.key("enter", "")
    typing = picture_of(job, state, draft)
    command = ring_walk.answer()
    recorded = Walker.begin(job_of()).until("ring-step-two/remove")
    after = picture_of(recorded.job, recorded.state, draft_at(recorded.job, recorded.state))

    assert isinstance(typing, Both)
    assert isinstance(after, Both)
    assert [bar.filled for bar in typing.profile.bars] == [True] * 4 + [False] * 6
    assert not any(bar.expected for bar in typing.profile.bars)
    assert len(command.cells) == len(after.profile.bars) == 10
    step = step_at(recorded.job, "ring-step-two/sockets")
    assert step is not None
    inputs = inputs_of(recorded.job, readings_of(recorded.state))
    figures = [expected_of(inputs, slot) for slot in slots_of(recorded.job, step)]
    assert [bar.expected for bar in after.profile.bars] == [(f.low, f.high) for f in figures]  # type: ignore[union-attr]


def test_cross_is_drawn_from_the_record(ring_walk: Walker) -> None:
    """The ring is drawn crossed while the cross is recorded as fitted, and with its ends apart before and after."""
    before = Walker.begin(job_of())
    while (step := before.step()) is None or step.of != "line to neutral cross":
        go_on(before)
    pictures = [picture_of(w.job, w.state, draft_at(w.job, w.state)) for w in (before, ring_walk)]

    assert [p.ring.crossed for p in pictures if isinstance(p, Both)] == [False, True]


def test_live_rounds_show_warnings_before_and_no_expected_value() -> None:
    """Every live round has its warnings on screen before it is stamped, and no expected value. Shows: SP-01."""
    walker, seen = Walker.begin(job_of()), 0
    while not walker.state.outcome:
        step = situation(walker.job, walker.state, walker.state.last_ms).step
        if step is not None and step.live and step.is_round:
            seen += 1
            assert step.warnings, step.where
            assert step.must_start or step.round_started_ms is not None, step.where
            assert not any(cell.expected for cell in step.cells), step.where
        go_on(walker)

    assert seen >= 5


async def test_one_key_shows_and_hides_the_picture(tiny: Job) -> None:
    """Tab puts the picture in place of the table while a value is typed, and takes it away. Shows: HI-11."""
    app = app_of(FakeSession(tiny, at(tiny, "round")))
    async with app.run_test(size=SMALL) as pilot:
        await press(app, *FILL, *"0.2", "enter", *"0.", "tab")
        await pilot.pause()
        pictured = text_of(app)
        await press(app, *"3", "tab")
        await pilot.pause()
        table = text_of(app)

    assert "Line to neutral, from leg 1 on" in pictured
    assert "S4 clay store" not in pictured
    assert "[ 0._ ] Ω" in pictured
    assert "1 of 10 points entered" in pictured
    assert "[0.3_] Ω" in table
    assert "S4 clay store" in table


async def test_step_without_a_picture_says_so(tiny: Job) -> None:
    """At a step that has none the key changes nothing, so that the next picture is shown or hidden as it was."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=SMALL) as pilot:
        await press(app, "tab")
        await pilot.pause()
        shown, wanted = text_of(app), walk_of(app)._pictures.wanted

    assert "There is no picture for this step." in shown
    assert wanted is None


async def test_picture_stands_beside_on_a_wide_screen(tiny: Job) -> None:
    """With 120 columns the picture is there from the start, beside a whole table, until it is hidden."""
    app = app_of(FakeSession(tiny, at(tiny, "round")))
    async with app.run_test(size=WIDE) as pilot:
        await press(app, *FILL, *"0.2", "enter")
        await pilot.pause()
        both = text_of(app)
        await press(app, "v")
        await press(app, "tab")
        await pilot.pause()
        alone = text_of(app)

    assert "crossed at the board" in both
    assert "S10 door side" in both
    assert "crossed at the board" not in alone


async def test_warnings_and_notices_never_give_way_to_a_picture(tiny: Job) -> None:
    """A picture takes the room of what matters less; warnings, step and safety strip stay. Shows: SP-01."""
    step = replace(tiny.procedures[STEPS].steps[6], warnings=tiny.procedures[STEPS].steps[1].warnings)
    job = _with(tiny, step.id, step.cells, warnings=step.warnings)
    app = app_of(FakeSession(job, at(job, "round")))
    async with app.run_test(size=SMALL) as pilot:
        await press(app, "tab", *FILL)
        await pilot.pause()
        shown = text_of(app)

    assert "!!! DANGER" in shown
    assert "Keep hands and tools outside" in shown
    assert "FOUND" in shown
    assert "> NOW     Read line to neutral" in shown


def _with(job: Job, step: str, cells: tuple[Cell, ...], **more: object) -> Job:
    """Return the small job with a step that has other cells."""
    old: Procedure = job.procedures[STEPS]
    steps = tuple(replace(s, cells=cells, **more) if s.id == step else s for s in old.steps)  # type: ignore[arg-type]
    return replace(job, procedures={STEPS: replace(old, steps=steps)})


@pytest.mark.parametrize(("size", "gauge"), [(SMALL, True), (WIDE, True), (LEAST, False)])
async def test_reading_stands_on_a_scale_after_entry(tiny: Job, size: tuple[int, int], *, gauge: bool) -> None:
    """After entry reading and limit stand on one scale where there is room, until the next command. Shows: WB-01."""
    app = app_of(FakeSession(tiny, at(tiny, "measure")))
    async with app.run_test(size=size) as pilot:
        await press(app, *"5", "enter")
        await pilot.pause()
        after = text_of(app)
        await press(app, "1", "1", "enter")
        await press(app, "f4", *"note", "enter")
        await pilot.pause()
        later = text_of(app)

    assert ("┃ limit 0.01 Ω" in after) == gauge
    assert "FAIL x" in after
    assert "┃ limit" not in later


def test_gauge_takes_the_reading_nearest_to_its_limit(ring_walk: Walker) -> None:
    """Of a round that passed, the gauge shows the reading with the least margin; numbers are those of the verdict."""
    found = ring_walk.give(ring_walk.answer())
    walker = Walker.begin(job_of()).until("ring-step-two/remove")
    gauge = gauge_after(found, ring_walk.job, walker.state)
    answered = next(event for event in found if hasattr(event, "cells"))
    margins = [float(record.verdict["margin"]) for record in answered.cells if record.verdict]

    assert gauge is not None
    assert "of 10 the nearest to its limit" in gauge.title
    point = gauge.title.split()[0]
    chosen = next(r for r in answered.cells if r.point == point)
    assert chosen.verdict is not None
    assert float(chosen.verdict["margin"]) == min(margins)
    assert gauge.value == chosen.verdict["value"] or str(gauge.value) == chosen.verdict["value"]


async def test_point_that_the_card_does_not_know_gets_a_row(ring_walk: Walker) -> None:
    """Insert asks for the point, amends the card, and every value typed before is still there. Shows: HI-11."""
    walker = Walker.begin(job_of()).until("ring-step-two/sockets")
    session = FakeSession(walker.job, walker.state, now_ms=walker.now_ms + 1000)
    app = app_of(session)
    async with app.run_test(size=WIDE) as pilot:
        await press(app, *FILL, *"0.22", "enter", "+", *"0.", "insert")
        await press(app, *"S11", "enter", *"behind the shelf", "enter", "1", "enter", *"40", "enter", "1", "enter")
        await press(app, *"one socket more", "enter")
        await pilot.pause()
        asked = text_of(app)
        await press(app, "enter")
        await pilot.pause()
        shown = text_of(app)
        places = [place.point for place in walk_of(app)._draft.places]

    assert "Who agrees to the change of the card?" in asked
    amended = [x for x in session.given if isinstance(x, c.Amend)]
    assert [x.new for x in amended] == ["S11 | behind the shelf | 40 m, measured"]
    assert places == ["S1", "S2", "S3", "S4", "S5", "S6", "S7", "S11", "S8", "S9", "S10"]
    assert "S11 behind" in shown
    assert "0.22 Ω" in shown
    assert "above range" in shown
    assert "[0._] Ω" in shown
    assert ring_walk.job.card.id == session.job.card.id


async def test_point_is_added_only_from_a_round_along_the_circuit(tiny: Job) -> None:
    """At another step the key says where a point is added, and asks nothing."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=SMALL) as pilot:
        await press(app, "insert")
        await pilot.pause()
        shown = " ".join(text_of(app).split())

    assert "A point is added from a round" in shown
    assert not session.given


async def test_point_that_cannot_be_is_refused_before_anything_is_recorded(tiny: Job) -> None:
    """A name that is taken leads back to the round with the reason; the card is not amended."""
    session = FakeSession(tiny, at(tiny, "round"))
    app = app_of(session)
    async with app.run_test(size=SMALL) as pilot:
        await press(app, *FILL, "insert", *"S1", "enter", *"again", "enter", "enter", "enter")
        await pilot.pause()
        shown = " ".join(text_of(app).split())

    assert 'Not taken: "S1" cannot be the id of a new point' in shown
    assert not any(isinstance(x, c.Amend) for x in session.given)


async def test_what_was_typed_and_dropped_is_said(tiny: Job) -> None:
    """A stop takes the walk elsewhere; the values that were typed and not recorded are counted aloud. Shows: HI-11."""
    plain = replace(tiny, procedures={**tiny.procedures, "away": replace(tiny.procedures[STEPS], id="away")})
    session = FakeSession(plain, at(plain, "round"))
    app = app_of(session)
    async with app.run_test(size=SMALL) as pilot:
        await press(app, *FILL, *"0.22", "enter", "f12", "escape")
        await pilot.pause()
        shown = " ".join(text_of(app).split())

    assert session.state.step != f"{STEPS}/round"
    assert "what was typed there and not recorded is gone (1 of its places)" in shown


@pytest.fixture
def twice(tiny: Job) -> Job:
    """The small job with a loop reading that its limits want typed twice."""
    cell = Cell("zs", "Line to earth", slot="small", function="loop")
    settings = {**tiny.limits.settings, "second-entry": "loop-and-time"}
    return replace(_with(tiny, "measure", (cell,)), limits=replace(tiny.limits, settings=settings))


async def test_second_entry_is_made_without_sight_of_the_first(twice: Job) -> None:
    """The first value leaves the screen whole; another one is refused, the same one twice is taken. Shows: HI-09."""
    session = FakeSession(twice, at(twice, "measure"))
    app = app_of(session)
    async with app.run_test(size=SMALL) as pilot:
        await press(app, *"0.87", "enter")
        await pilot.pause()
        second = text_of(app)
        await press(app, *"0.78", "enter")
        await pilot.pause()
        differs = text_of(app)
        walk_of(app).on_paste(events.Paste("0.78"))
        await pilot.pause()
        pasted = text_of(app)
        await press(app, *"0.78", "enter")

    assert "typed twice" in second
    assert "0.87" not in second
    assert "not what was typed before" in " ".join(differs.split())
    assert "0.78" not in differs
    assert "nothing is pasted here" in " ".join(pasted.split())
    answered = [x for x in session.given if isinstance(x, c.Answer)]
    assert [(x.cells[0].entered, x.cells[0].again) for x in answered] == [
        ("0.87", False), ("0.78", False), ("0.78", True),
    ]  # fmt: skip
    assert session.state.step != f"{STEPS}/measure"


def test_profile_is_drawn_for_a_radial() -> None:
    """A round along a radial circuit has its profile; no ring is drawn where there is none."""
    walker = Walker.begin(job_of("lighting-radial"))
    found = []
    while not walker.state.outcome:
        drawn = picture_of(walker.job, walker.state, draft_at(walker.job, walker.state)) if walker.state.step else None
        found.append(type(drawn).__name__)
        go_on(walker)

    assert Profile.__name__ in found
    assert not {"Both", "Ring"} & set(found)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=["80x24", "120x36"])
async def test_scope_and_summary_are_whole_at_the_first_step(job: Job, size: tuple[int, int]) -> None:
    """Scope, summary and the first question are in sight together before anything is answered, then they make room.

    Shows: SP-04.
    """
    session = FakeSession(job, start(job, "tech"), now_ms=0)
    app = app_of(session)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        shown = " ".join(text_of(app).split())
        await press(app, "1")
        await pilot.pause()
        after = text_of(app)

    assert all(line in shown for line in summary_lines(job))
    assert "2 goes beyond it" in shown
    assert "PageDown: more" not in shown
    assert "Leaves out:" not in after
    assert "Sheet and card" in after
