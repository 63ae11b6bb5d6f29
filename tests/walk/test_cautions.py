"""A caution shows while what it warns of holds; its coming and going are events that the walk finds by itself."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from ferrule.engine.network.faults import LooseJoint
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.pathrows import last_done
from ferrule.engine.shell.session import PRACTICE, Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk import notices
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from ferrule.tui import screen_words, words
from ferrule.tui.plain_show import situation_lines
from ferrule.tui.replay_plain import replay_lines
from tests.support.fakeclock import FakeClock
from tests.support.jobs import job_of
from tests.support.plainrun import CARD, DAY
from tests.support.script import Choices, circuit_instrument, healthy_script
from tests.support.walker import Walker, answers, disturbances

JOB = job_of()
LINK = "A link is fitted; it is a dead short if the circuit is closed with it."


def came_and_went(events: tuple[e.Event, ...]) -> tuple[list[str], list[str]]:
    """What came into effect by these events, and what no longer is."""
    came = [x.say for x in events if isinstance(x, e.CautionApplied)]
    return came, [x.say for x in events if isinstance(x, e.CautionLifted)]


def misread() -> Walker:
    """A walk that has just taken the readings of a ring with a bad joint in its line."""
    broken = circuit_instrument(JOB, (LooseJoint("L", "S6", "S7", 0.20),))
    search = Choices(instrument=broken, until=lambda walker: walker.state.step.startswith("find-ring-one-fault"))
    return healthy_script(JOB, search).walker


def test_a_reading_brings_a_caution_and_striking_it_out_takes_it_away() -> None:
    """A reading that makes it apply shows it, marked as in effect; revoked it leaves; both are logged. Shows: SP-02."""
    walker = misread()
    came, went = came_and_went(walker.trail[-1][1])
    shown = situation(JOB, walker.state, walker.now_ms)
    plain = situation_lines(shown, JOB, "work", walker.now_ms)
    struck = walker.give(c.Correct("tech", walker.stamp(), walker.state.last_entry, "read with a loose clip"))
    assert not isinstance(struck, Refusal)
    after = situation(JOB, walker.state, walker.now_ms)

    assert "r2 0.73 Ω ÷ r1 0.64 Ω is 1.14" in came[0]
    assert (len(came), went) == (2, [])
    assert shown.cautions == shown.notices == tuple(came)
    assert f"IN EFFECT: {came[0]}" in plain
    assert f"IN EFFECT: {came[1]}" in plain
    assert came_and_went(struck) == ([], came)
    assert after.notices == ()
    assert not any("IN EFFECT" in line for line in situation_lines(after, JOB, "work", walker.now_ms))


def test_a_fact_brings_a_caution_and_takes_it_away() -> None:
    """A link that is fitted is warned of until it is out again, wherever the walk stands meanwhile. Shows: SP-02."""
    walker = Walker.begin(JOB).walk()
    turns = [came_and_went(events) for _, events in walker.trail]
    fitted = [at for at, (came, _) in enumerate(turns) if LINK in came]
    out = [at for at, (_, went) in enumerate(turns) if LINK in went]

    assert len(fitted) == len(out) == 4
    assert all(first < last for first, last in zip(fitted, out, strict=True))
    assert walker.state.cautions == ()


def anew(job: Job, state: State) -> set[str]:
    """The cautions of a state, worked out from nothing but its facts, readings and card."""
    job = amended_job(job, state.amendments)
    return {*notices.watched(job, state.facts), *notices.disagreements(job, state)}


@pytest.mark.parametrize("seed", range(4))
def test_what_is_in_effect_is_what_the_state_says_whatever_happens(seed: int) -> None:
    """Along a walk with wrong answers and everything that can happen, the folded cautions are those worked out anew."""
    chance = random.Random(seed)
    walker = Walker.begin(JOB).until("ring-step-one/null")
    seen: set[str] = set()
    for _ in range(120):
        usual = walker.healthy()
        odd = [*disturbances(walker), *answers(walker)] if chance.random() < 0.15 else []
        command = chance.choice(odd) if odd else usual
        if command is None:
            break
        walker.give(command)
        seen.update(walker.state.cautions)
        assert set(walker.state.cautions) == anew(JOB, walker.state)
        assert len(walker.state.cautions) == len(set(walker.state.cautions))

    assert seen


def test_readings_are_held_against_each_other_only_where_they_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Along a whole job they are compared once for each answer with readings, and never to draw a screen."""
    real, compared = notices.disagreements, []

    def counted(job: Job, state: State) -> tuple[str, ...]:
        compared.append(state.entries)
        return real(job, state)

    monkeypatch.setattr(notices, "disagreements", counted)
    walker = Walker.begin(JOB).walk()
    before = len(compared)
    situation(JOB, walker.state, walker.now_ms)

    assert len(compared) == before
    assert 0 < before < walker.state.entries / 2


def test_log_path_and_replay_tell_of_both(tmp_path: Path) -> None:
    """The log holds both events, the path and the replay say them, and the replay decides them again. Shows: SP-02."""
    folders, clock = find_folders(tmp_path), FakeClock(DAY)
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    walker = Walker.begin(found.job)
    while walker.state.step != "ring-step-three/cross.fit":
        command = walker.healthy()
        assert command is not None
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
        walker.give(command)
    rows = [row for row in session.rows() if row.sentence == LINK]
    last = last_done(session.rows())
    session.close()
    replay = open_replay(session.path, folders)
    told = list(replay_lines(replay))

    assert [(row.text, row.word) for row in rows] == [
        ("caution applied", "in effect"),
        ("caution lifted", "no longer in effect"),
    ]
    assert last is not None
    assert last.step == "ring-step-two/remove"
    assert replay.differences() == ()
    assert [line for line in told if LINK in line] == [
        f"   In effect from here on: {LINK}",
        f"   No longer in effect: {LINK}",
    ]


def test_the_screen_says_once_that_a_caution_came_and_that_it_went() -> None:
    """What came stands beside the step; what went is said with the verdict, because it stands nowhere else."""
    came, went = e.CautionApplied(LINK), e.CautionLifted(LINK)

    assert screen_words.verdict_lines((came,), JOB) == ()
    assert screen_words.verdict_lines((went,), JOB) == (words.event_words(went, JOB),)
