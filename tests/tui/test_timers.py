"""What counts on the screen: ages, waits, the limit of a proof, the lone-work clock; tests move the clock."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.state import State
from ferrule.tui import screen_words
from ferrule.tui.screens.lone import LONE_MINUTES, LONE_SETTING
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import at

MINUTE_MS = 60_000


@pytest.mark.parametrize(
    ("left_ms", "said"),
    [
        (300_000, "5 min left"),
        (240_001, "5 min left"),
        (120_001, "3 min left"),
        (120_000, "2 min 00 s left"),
        (1, "0 min 01 s left"),
        (0, "The time is over."),
    ],
)
def test_seconds_stand_in_the_last_two_minutes_only(left_ms: int, said: str) -> None:
    """A wait is said in begun minutes, and in seconds in its last two minutes."""
    assert screen_words.wait_words(left_ms) == said


async def test_wait_counts_down_by_itself_and_opens_the_step(tiny: Job) -> None:
    """A wait holds the confirm to its last second, and opens the step without a key. Shows: TM-01, TM-03, HI-11."""
    session = FakeSession(tiny, at(tiny, "wait", entered_ms=720_000))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        seen = [text_of(app)]
        for passed in (200_000, 299_000, 300_000):
            session.clock_ms = 720_000 + passed
            await press(app, "enter")
            walk_of(app)._tick()
            await pilot.pause()
            seen.append(text_of(app))
        assert not session.given
        await press(app, "enter")

    assert ["5 min left" in seen[0], "1 min 40 s left" in seen[1], "0 min 01 s left" in seen[2]] == [True] * 3
    assert "Press Enter when it is done." in seen[3]
    assert "The wait is over." in seen[3]
    assert [type(x) for x in session.given] == [c.Answer]


async def test_age_of_a_proof_counts_up_in_whole_minutes(tiny: Job) -> None:
    """How long ago was proved goes on without a key, minute by minute, and leaves what is typed."""
    session = FakeSession(tiny, at(tiny, "measure"))
    session.state = replace(session.state, facts={**session.state.facts, "zone:busbar": "proved"})
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "0", ".", "4")
        seen = []
        for minutes in (12, 13, 40):
            session.clock_ms = minutes * MINUTE_MS
            for _ in range(20):
                walk_of(app)._tick()
            await pilot.pause()
            seen.append(" ".join(text_of(app).split()))

    assert all(f"{minutes} min ago" in text for minutes, text in zip((12, 13, 40), seen, strict=True))
    assert all("0.4_" in text for text in seen)


def proving(job: Job) -> State:
    """A state at a round that the indicator was just proved for."""
    walker = Walker.begin(job)
    for _ in range(400):
        step = walker.step()
        assert step is not None
        if step.act == "prove dead":
            return replace(walker.state, indicator_ms=walker.state.last_ms)
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    raise AssertionError("no step proves dead")


async def test_old_proof_shuts_the_next_touch_and_takes_nothing_away(job: Job) -> None:
    """At its limit the age of a proof is told beside the step; the step stays, and the next touch is refused with why.

    Shows: TM-05, TM-11, HI-11
    """
    state = proving(job)
    assert state.indicator_ms is not None
    session = FakeSession(job, state, now_ms=state.last_ms)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = text_of(app)
        session.clock_ms = state.indicator_ms + 5 * MINUTE_MS + 1
        for _ in range(20):
            walk_of(app)._tick()
        await pilot.pause()
        old = text_of(app)
        focused = app.focused
        await press(app, "enter")
        await pilot.pause()
        shut = " ".join(text_of(app).split())

    assert "proof too old" not in before
    assert "proof too old, prove again" in " ".join(old.split())
    assert "this round is shut. Prove the indicator again first." in " ".join(old.split())
    assert [line for line in before.split("\n") if "NOW" in line] == [line for line in old.split("\n") if "NOW" in line]
    assert focused is None
    assert "indicator-lapsed" in session.refused
    assert "proving unit" in shut
    assert session.state.round_start_ms is None


async def test_lone_work_asks_for_a_sign_of_life(tiny: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a key the lone-work clock asks, rings once, names whom to ring; any key answers and does its own work."""
    session = FakeSession(tiny, at(tiny, "measure"))
    app = app_of(session)
    rung: list[int] = []
    async with app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(app, "bell", lambda: rung.append(session.clock_ms))
        await press(app, "7")
        heard = session.clock_ms
        seen = []
        for minutes in (LONE_MINUTES - 1, LONE_MINUTES, LONE_MINUTES + 1):
            session.clock_ms = heard + minutes * MINUTE_MS
            walk_of(app)._tick()
            await pilot.pause()
            seen.append(" ".join(text_of(app).split()))
        await press(app, "5")
        await pilot.pause()
        after = text_of(app)

    client = next(p for p in tiny.card.people if "client" in p.roles)
    assert "SIGN OF LIFE" not in seen[0]
    assert f"SIGN OF LIFE: no key for {LONE_MINUTES} min. Any key answers." in seen[1]
    assert f"Ring {client.name} (client)" in seen[1]
    assert f"no key for {LONE_MINUTES + 1} min" in seen[2]
    assert rung == [heard + LONE_MINUTES * MINUTE_MS]
    assert "SIGN OF LIFE" not in after
    assert "75_" in after
    assert not session.given


@pytest.mark.parametrize(("minutes", "asked"), [("5", True), ("60", False), ("0", False)])
async def test_minutes_of_the_lone_work_clock_are_a_setting(tiny: Job, minutes: str, asked: bool) -> None:
    """The limits file says after how many minutes the clock asks; 0 is no clock."""
    limits = replace(tiny.limits, settings={**tiny.limits.settings, LONE_SETTING: minutes})
    session = FakeSession(replace(tiny, limits=limits), at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        session.clock_ms += (LONE_MINUTES - 1) * MINUTE_MS
        walk_of(app)._tick()
        await pilot.pause()
        shown = text_of(app)

    assert ("SIGN OF LIFE" in shown) is asked


@pytest.mark.parametrize("how", ["supervised", "away", "closed"])
async def test_lone_work_clock_is_silent_where_it_has_no_say(tiny: Job, how: str) -> None:
    """Under supervision, away from the board and after the close nothing is asked."""
    job = replace(tiny, card=replace(tiny.card, sign_off="supervised")) if how == "supervised" else tiny
    more = {"away": {"away_ms": 0}, "closed": {"outcome": "complete"}}.get(how, {})
    session = FakeSession(job, at(job, "do", **more))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        session.clock_ms += 10 * LONE_MINUTES * MINUTE_MS
        walk_of(app)._tick()
        await pilot.pause()
        shown = text_of(app)

    assert "SIGN OF LIFE" not in shown


async def test_one_key_steps_away_and_the_same_is_back(job: Job) -> None:
    """Stepping away is one key and an optional reason, being back is the same key. Shows: IR-04."""
    session = FakeSession(job, start(job, "tech"))
    session.state = replace(session.state, facts={**session.state.facts, "tails": "shrouded"})
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f8", "enter")
        await pilot.pause()
        away = " ".join(text_of(app).split())
        await press(app, "f8")

    assert "F8 says that you are back." in away
    assert [type(x) for x in session.given] == [c.StepAway, c.ComeBack]
