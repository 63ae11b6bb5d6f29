"""The screen turned to a second person and back; what time changes at a step."""

from __future__ import annotations

from dataclasses import replace

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.pathrows import PathRow
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.walk import SLOW_TICKS
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import at


def supervised(job: Job) -> Job:
    """Return the job with a supervisor and a second technician who look."""
    mate = replace(job.card.people[0], id="mate", name="Clay Rib", roles=("technician",))
    boss = replace(mate, id="boss", name="Terra Kiln", roles=("supervisor",))
    return replace(job, card=replace(job.card, sign_off="supervised", people=(*job.card.people, mate, boss)))


def flat(text: str) -> str:
    """Return the words of a screen, wherever its lines break."""
    return " ".join(text.split())


ROW = PathRow(4, "2026-11-25T09:00:00.000+00:00", "tech", "small/measure", "Line to neutral.", "fail", "0.77 is over.")


async def test_screen_turns_to_the_second_person_and_back(tiny: Job) -> None:
    """Any answering key asks who has the laptop; the look is theirs, and the screen turns back. Shows: VR-01."""
    session = FakeSession(supervised(tiny), at(supervised(tiny), "verify"))
    app = app_of(session)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(app, "1")
        await pilot.pause()
        asked = text_of(app)
        await press(app, "2", "enter")
        await pilot.pause()
        turned = text_of(app)
        await press(app, "1", "enter")
        await pilot.pause()
        back = flat(text_of(app))

    assert "Who looks here?" in asked
    assert "Ash Glaze (tech)" not in asked
    assert "by Terra Kiln" in turned
    assert "by Terra Kiln" not in back
    assert "The look of Terra Kiln is recorded. Turned back: hand the laptop to Ash Glaze" in back
    assert [x.person for x in session.given] == ["boss"]


async def test_second_person_does_not_see_what_was_found(tiny: Job) -> None:
    """While the second person looks the path shows no result; afterwards, and at other steps, it does. Shows: VR-01."""
    job = supervised(tiny)
    seen = []
    for step in ("verify", "end"):
        session = FakeSession(job, at(job, step))
        session.told.append(ROW)
        app = app_of(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await press(app, "f3")
            await pilot.pause()
            seen.append(text_of(app))

    assert "not shown here" in seen[0]
    assert "0.77" not in seen[0]
    assert "0.77" in seen[1]


async def test_gauge_of_the_first_person_is_put_away(tiny: Job) -> None:
    """The gauge of the reading before the second look is not drawn while somebody looks. Shows: VR-01."""
    drawn = {}
    for name, job in (("alone", tiny), ("supervised", supervised(tiny))):
        session = FakeSession(job, at(job, "measure"))
        app = app_of(session)
        async with app.run_test(size=(120, 36)) as pilot:
            await press(app, *"0.33", "enter")
            await pilot.pause()
            shown_at_once = bool(app.screen.query("#gauge")) and app.screen.query_one("#gauge").display
            session.state = replace(session.state, step="small/verify")
            walk_of(app).situation = session.situation()
            walk_of(app).draw()
            await pilot.pause()
            drawn[name] = (shown_at_once, app.screen.query_one("#gauge").display)

    assert drawn == {"alone": (True, True), "supervised": (True, False)}


async def test_nobody_else_on_the_card_is_said(tiny: Job) -> None:
    """Where no second person is named, the step says so and records nothing. Shows: VR-01."""
    card = replace(tiny.card, sign_off="supervised", people=tiny.card.people[:1])
    session = FakeSession(replace(tiny, card=card), at(tiny, "verify"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1")
        await pilot.pause()
        shown = text_of(app)

    assert "Nobody on the card has the role for this." in shown
    assert not session.given


def tick(app: FerruleApp, times: int = SLOW_TICKS) -> None:
    """Let the screen count so many ticks, without waiting for them."""
    for _ in range(times):
        walk_of(app)._tick()


async def test_proof_that_grows_too_old_shuts_the_round_and_takes_nothing(tiny: Job) -> None:
    """At its limit the age is said beside the step; typed values and the cursor stay. Shows: TM-05, TM-11."""
    job = replace(
        tiny,
        procedures={
            "small": replace(
                tiny.procedures["small"],
                steps=tuple(
                    replace(s, act="prove dead") if s.id == "round" else s for s in tiny.procedures["small"].steps
                ),
            )
        },
    )
    limit = int(job.limits.settings["proof-minutes"]) * 60_000
    session = FakeSession(job, at(job, "round", acts=("prove dead",), indicator_ms=0), now_ms=limit)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        tick(app)
        await pilot.pause()
        fresh = flat(text_of(app))
        session.clock_ms += 1
        tick(app)
        await pilot.pause()
        old = flat(text_of(app))
        await press(app, "enter")

    assert "too old: this round is shut" not in fresh
    assert "too old: this round is shut" in old
    assert "indicator-lapsed" in session.refused


async def test_wait_counts_whole_minutes_and_seconds_only_at_its_end(tiny: Job) -> None:
    """A wait shows minutes, seconds in its last two, and says when it is over. Shows: TM-01, TM-03."""
    session = FakeSession(tiny, at(tiny, "wait"), now_ms=0)
    app = app_of(session)
    shown = []
    async with app.run_test(size=(80, 24)) as pilot:
        for now_ms in (1_000, 30_000, 181_000, 299_000, 300_000):
            session.clock_ms = now_ms
            tick(app, 1)
            await pilot.pause()
            shown.append(flat(text_of(app)))

    for text, wanted in zip(
        shown, ("5 min left", "5 min left", "1 min 59 s left", "0 min 01 s left", "The wait is over."), strict=True
    ):
        assert wanted in text


async def test_counting_leaves_what_is_typed(tiny: Job) -> None:
    """Time that passes changes neither typed text nor the place of the cursor. Shows: HI-11, TM-11."""
    session = FakeSession(tiny, at(tiny, "type"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, *"KR")
        session.clock_ms += 3_600_000
        tick(app)
        await pilot.pause()
        await press(app, "f1", "escape", "f3", "escape", "f11", "escape")
        await pilot.pause()
        shown = text_of(app)

    assert "KR_" in shown
