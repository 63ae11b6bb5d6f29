"""A wait is announced before it starts; when it began and when it is over stand in the log and beside the step."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.journal.replay import Replay
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import PRACTICE, Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.waits import Wait
from ferrule.tui import screen_words, words
from ferrule.tui.demand import Demand
from ferrule.tui.plain_show import situation_lines
from ferrule.tui.replay_plain import replay_lines
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.entry import entry
from ferrule.tui.screens.stages import Look
from ferrule.tui.time_words import length_words, next_words, wait_ends
from tests.support.fakeclock import FakeClock
from tests.support.jobs import job_of
from tests.support.plainrun import CARD, DAY
from tests.support.walker import Walker

JOB = job_of()
WAIT = "wait-stored-energy/wait"
FIVE_MS = 5 * 60_000


def test_a_wait_is_announced_at_the_step_before_it_and_nowhere_else() -> None:
    """The next line names the wait and its length just before it starts, and no other step does. Shows: TM-01."""
    walker = Walker.begin(JOB)
    announced = []
    while (command := walker.healthy()) is not None:
        shown = situation(JOB, walker.state, walker.now_ms)
        where, said = walker.state.step, next_words(shown)
        assert (f"Next: {said}" in situation_lines(shown, JOB, "work", walker.now_ms)) is bool(said)
        walker.give(command)
        if shown.next_wait_ms and walker.state.step != where:
            announced.append((where, walker.state.step, said))

    assert announced == [("isolate/lock", WAIT, "5 min to wait: Wait until stored energy has gone.")]


def test_start_and_due_time_are_events_of_the_command_that_leads_to_the_wait() -> None:
    """The line that moves the walk to a wait holds when it began and when it is over, and no other does.

    Shows: TM-01.
    """
    walker = Walker.begin(JOB).walk()
    began = [(given.at.ms, x) for given, found in walker.trail for x in found if isinstance(x, e.WaitBegan)]
    moved = [x.at_ms for _, found in walker.trail for x in found if isinstance(x, e.Moved) and x.step == WAIT]

    assert began == [(moved[0], e.WaitBegan(WAIT, moved[0], moved[0] + FIVE_MS))]
    assert len(moved) == 1


def test_a_wait_that_is_come_back_to_begins_anew() -> None:
    """After a stop in the middle of a wait it counts from its new start, which is an event again. Shows: TM-01."""
    walker = Walker.begin(JOB).until(WAIT)
    first = [x for _, found in walker.trail for x in found if isinstance(x, e.WaitBegan)]
    walker.now_ms += FIVE_MS - 60_000
    walker.give(c.StopWork("tech", walker.stamp(), "doubt"))
    walker.give(c.CarryOn("tech", walker.stamp(), "cleared up"))
    walker.until(WAIT)
    again = [x for _, found in walker.trail for x in found if isinstance(x, e.WaitBegan)][len(first) :]

    assert len(first) == len(again) == 1
    assert again[0].start_ms == walker.state.entered_ms > first[0].start_ms + FIVE_MS - 60_000
    assert again[0].due_ms - again[0].start_ms == FIVE_MS


def test_the_clock_stands_in_log_path_and_replay(tmp_path: Path) -> None:
    """With a clock that a test moves, both times stand in log, path and replay, and the countdown is right.

    Shows: TM-01.
    """
    folders, clock = find_folders(tmp_path), FakeClock(DAY)
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    walker = Walker.begin(found.job)
    while walker.state.step != WAIT:
        command = walker.healthy()
        assert command is not None
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
        walker.give(command)
    begun = clock.wall()[11:19]
    clock.advance(100_000)
    step = session.situation().step
    assert step is not None
    assert step.wait is not None
    over = step.wait.due_at
    row = session.rows()[-1]
    session.close()
    replay = open_replay(session.path, folders)

    assert (step.wait.began_at, screen_words.wait_words(step.wait_left_ms)) == (begun, "4 min left")
    assert _seconds(over) - _seconds(begun) == 300
    assert (row.wall[11:19], row.step, row.word) == (begun, WAIT, "wait began")
    assert row.sentence == f"It is over at {over}."
    assert replay.differences() == ()
    assert _waits_in(replay) == [step.wait.began_ms]
    assert any("waits 5 min. The wait began" in line for line in replay_lines(replay))


def _seconds(clock: str) -> int:
    hours, minutes, seconds = (int(part) for part in clock.split(":"))
    return hours * 3600 + minutes * 60 + seconds


def _waits_in(replay: Replay) -> list[int]:
    moments = (replay.at(number) for number in range(1, replay.count + 1))
    return [x.start_ms for moment in moments for x in moment.events if isinstance(x, e.WaitBegan)]


def test_the_step_shows_both_ends_beside_the_countdown() -> None:
    """Screen and plain mode tell when the wait began and when it is over; a wait over midnight goes on at 0 h.

    Shows: TM-01.
    """
    walker = Walker.begin(JOB).until(WAIT)
    now_ms = walker.state.entered_ms + 90_000
    shown = situation(JOB, walker.state, now_ms, "2026-11-25T23:58:30.000+00:00")
    look = Look(JOB, shown, Draft(JOB, ()), None, Demand(""))
    body = entry(look, 80).plain

    said = "The wait began at 23:57:00 and is over at 00:02:00."
    assert body.split("\n") == ["4 min left", said]
    assert said in situation_lines(shown, JOB, "work", now_ms)


def test_without_a_time_of_day_the_ends_count_from_the_opening() -> None:
    """Where only the log's own time is known, both ends are told by it."""
    assert wait_ends(Wait(61_000, 361_000, "", "")) == (
        "The wait began 1 min 01 s after the log was opened and is over 6 min 01 s after it."
    )


@pytest.mark.parametrize(
    ("ms", "said"), [(0, "0 s"), (1, "1 s"), (59_000, "59 s"), (60_000, "1 min"), (60_001, "1 min 01 s")]
)
def test_a_length_of_time_is_never_rounded_down(ms: int, said: str) -> None:
    """A begun second counts as a whole one."""
    assert length_words(ms) == said


def test_the_words_of_a_wait_name_step_length_and_both_ends() -> None:
    """In a path or a replay the event reads as which step waits, how long, from when to when. Shows: TM-01."""
    said = words.event_words(e.WaitBegan(WAIT, 480_000, 780_000), JOB)

    assert said == (
        "“Wait until stored energy has gone.” waits 5 min. "
        "The wait began 8 min after the log was opened and is over 13 min after it."
    )


def test_a_step_that_is_shut_or_doubtful_announces_no_wait() -> None:
    """What cannot be answered now leads to no wait, so none is announced."""
    walker = Walker.begin(JOB).until("isolate/lock")
    open_now = situation(JOB, walker.state, walker.now_ms)
    shut = replace(walker.state, facts={**walker.state.facts, "work": "stopped"})

    assert open_now.next_wait_ms == FIVE_MS
    assert situation(JOB, shut, walker.now_ms).next_wait_ms == 0
