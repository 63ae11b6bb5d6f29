"""Place-keeping: begun and done are two marks, and each state that a step can be in has its own word."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import PRACTICE, Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.evolve import advance
from ferrule.engine.walk.marks import (
    DEFERRED,
    DONE,
    IN_PROGRESS,
    NOT_APPLICABLE,
    NOT_STARTED,
    STALE,
    STATES,
    VOID,
    step_state,
    tally,
)
from ferrule.engine.walk.ruling import Decision
from ferrule.engine.walk.state import State
from ferrule.tui import words
from ferrule.tui.ahead_words import ahead_lines
from tests.support.fakeclock import FakeClock
from tests.support.jobs import job_of
from tests.support.plainrun import CARD, DAY, extended, walk
from tests.support.script import Choices, healthy_script
from tests.support.walker import Walker
from tests.tui.small_job import STEPS, at, small

JOB = job_of()


def stands(walker: Walker, where: str) -> str:
    """Where a step stands now."""
    return step_state(walker.job, walker.state, where)


def test_each_state_has_its_own_word_and_is_come_to() -> None:
    """All seven states are reached on real walks, and no two have one word. Shows: SP-17."""
    found = {}
    walker = Walker.begin(JOB)
    found[NOT_STARTED] = stands(walker, "before-work/authority")
    found[IN_PROGRESS] = stands(walker, "before-work/job")
    walker.until("hold-one/sign")
    found[NOT_APPLICABLE] = stands(walker, "as-found/leakage")
    found[DONE] = stands(walker, "before-work/job")
    walker.until("mark-conductors/mark")
    walker.give(c.Report("tech", walker.stamp(), "lock or key lost", "mains", "seen"))
    found[STALE] = stands(walker, "prove-dead/pairs")
    walker = Walker.begin(JOB).until("ring-step-two/cross.fit")
    walker.give(c.Correct("tech", walker.stamp(), walker.state.readings["r1"].entry, "read with a loose clip"))
    found[VOID] = stands(walker, "ring-step-one/read")
    walker = Walker.begin(JOB).until("before-work/risk")
    walker.give(c.StopWork("tech", walker.stamp(), "doubt"))
    found[DEFERRED] = stands(walker, "before-work/risk")

    assert found == {word: word for word in STATES}
    assert len(set(STATES)) == 7


@pytest.mark.parametrize("stamped", [False, True], ids=["standing there", "begun"])
def test_killed_between_the_two_marks_the_step_returns_as_in_progress(tmp_path: Path, *, stamped: bool) -> None:
    """A program that ends between begun and done leaves the step in progress, never done. Shows: SP-17."""
    where = "as-found/read"
    folders, clock = find_folders(tmp_path), FakeClock(DAY)
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    walker = Walker.begin(found.job)
    while walker.state.step != where or (stamped and walker.state.round_start_ms is None):
        command = walker.healthy()
        assert command is not None
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
        walker.give(command)
    session.close()
    clock.advance(60_000)
    again = Session.resume(session.path, folders=folders, clock=clock)
    state = again.state
    again.close()

    assert (state.step, state.round_start_ms is not None) == (where, stamped)
    assert step_state(found.job, state, where) == IN_PROGRESS
    assert where not in state.marks
    assert "Under way: Take the readings at the chosen point" in again.resumed


def test_a_hold_point_that_lacks_a_signature_is_not_done() -> None:
    """Left with one of two signatures it is deferred; with both it is done; unsigned by what happens it is stale."""
    walker = Walker.begin(job_of("supervised")).until("hold-one/sign")
    first = walker.sign()
    assert first is not None
    walker.give(first)
    away = replace(walker.state, step="")
    lacking = step_state(walker.job, away, "hold-one/sign")
    walker.until("device-on-paper/table")
    whole = stands(walker, "hold-one/sign")
    fallen = replace(walker.state, facts={**walker.state.facts, "hold:one": "unsigned"}, signed={})

    assert (lacking, whole) == (DEFERRED, DONE)
    assert step_state(walker.job, fallen, "hold-one/sign") == STALE


def test_the_list_of_a_goal_says_where_each_step_stands() -> None:
    """Read ahead or back, the steps of a goal carry the word of their state; one not started carries none.

    Shows: SP-17.
    """
    walker = Walker.begin(JOB).until("before-work/risk")
    walker.give(c.Correct("tech", walker.stamp(), 1, "typed wrongly"))
    lines = [line[5:] for line in ahead_lines(JOB, walker.state, "before-work") if line[:3].strip().isdigit()]

    assert [line.partition(")")[0] for line in lines[:4]] == ["(void", "(done", "(done", "(here now"]
    assert lines[4].startswith("Lay out the protective equipment.")


# --- not applicable, and not done ---


@pytest.fixture(scope="module")
def tiny() -> Job:
    """The small job, whose first step may be passed over and no other one."""
    return small(JOB)


def passing_over(job: Job, where: str, reason: str = "no tools are laid out here", person: str = "tech") -> Decision:
    """What comes of passing over a step."""
    return decide(job, at(job, where), c.NotApplicable(person, c.Stamp(0, DAY[:10]), f"{STEPS}/{where}", reason))


def test_a_step_is_passed_over_only_where_its_author_allows_it(tiny: Job) -> None:
    """At every other step of the small job and at each of a whole one it is refused, and that is kept. Shows: DV-01."""
    found = {step.id: passing_over(tiny, step.id) for step in tiny.procedures[STEPS].steps}
    refused = {name: x.code for name, x in found.items() if isinstance(x, Refusal) and x.kept}
    walker = Walker.begin(JOB)
    tried = 0
    while (command := walker.healthy()) is not None:
        given = c.NotApplicable("tech", walker.stamp(), walker.state.step, "not wanted here")
        x = decide(JOB, walker.state, given)
        assert isinstance(x, Refusal)
        assert (x.code, x.kept) == ("not-allowed", True)
        tried += 1
        walker.give(command)

    assert refused == dict.fromkeys(sorted(found.keys() - {"do"}), "not-allowed")
    assert isinstance(found["do"], tuple)
    assert tried > 90


@pytest.mark.parametrize("reason", ["", " ", "x", "no", "  a  "])
def test_passing_over_needs_a_reason(tiny: Job, reason: str) -> None:
    """Nothing, blanks and a letter or two are no reason. Shows: DV-01."""
    found = passing_over(tiny, "do", reason)

    assert isinstance(found, Refusal)
    assert found.code == "reason"


def test_passing_over_needs_somebody_who_may_do_the_step(tiny: Job) -> None:
    """Who does no steps passes none over either. Shows: DV-01."""
    found = passing_over(tiny, "do", person="client")

    assert isinstance(found, Refusal)
    assert (found.code, found.kept) == ("wrong-role", True)


def test_what_does_not_apply_is_told_apart_from_what_was_not_done(tiny: Job) -> None:
    """Passed over with its reason, left without an answer, never begun: each is said otherwise. Shows: DV-01."""
    state = at(tiny, "do")
    over = c.NotApplicable("tech", c.Stamp(0, DAY[:10]), state.step, "no tools are laid out here")
    for command in (over, c.StopWork("tech", c.Stamp(1, DAY[:10]), "doubt")):
        events = decide(tiny, state, command)
        assert not isinstance(events, Refusal)
        state = advance(state, command, events)
    lines = [line.strip() for line in ahead_lines(tiny, replace(state, step=""), STEPS)]
    count = tally(tiny, state, STEPS)

    assert "1  (not applicable) Lay the tools out." in lines
    assert any(line.startswith("2  (deferred) Take the cover off.") for line in lines)
    assert "3  Look at the lock." in lines
    assert ("do" in count.not_applicable, count.deferred, count.done) == (True, ("danger",), ())
    assert words.event_words(e.PassedOver(f"{STEPS}/do", over.reason, "tech"), tiny) == (
        "“Lay the tools out.” does not apply, by Ash Glaze: no tools are laid out here"
    )


# --- remarks ---


def untouched(state: State) -> State:
    """A state without the count of its entries and the time of the last."""
    return replace(state, entries=0, last_ms=0)


def test_a_remark_three_steps_back_is_an_entry_and_changes_nothing() -> None:
    """A remark on a step long answered is kept with that step; facts, marks and place stay. Shows: SP-16."""
    walker = Walker.begin(JOB).until("before-work/protective")
    before = walker.state
    found = walker.give(c.Remark("tech", walker.stamp(), "the client came late", "before-work/job"))

    assert found == (e.Remarked("before-work/job", "the client came late", "tech"),)
    assert walker.state.entries == before.entries + 1
    assert untouched(walker.state) == untouched(before)


def test_a_remark_is_taken_at_any_step_and_time() -> None:
    """At every step of a whole job, away and stopped too, a remark on any step of it is taken. Shows: SP-16."""
    walker = Walker.begin(JOB)
    every = [f"{p.id}/{step.id}" for p in JOB.procedures.values() for step in p.steps]
    for count in range(400):
        state = walker.state
        where = every[count * 7 % len(every)]
        given = c.Remark("tech", walker.stamp(), "noted", where)
        assert decide(JOB, state, given) == (e.Remarked(where, "noted", "tech"),)
        assert decide(JOB, state, replace(given, step="")) == (e.Remarked(state.step, "noted", "tech"),)
        command = walker.healthy()
        if command is None or command.person != "tech" or walker.state.step == "close-log/close":
            break
        walker.give(command)

    assert walker.state.entries > 10
    for other in (c.StepAway("tech", walker.stamp(), "lunch"), c.StopWork("tech", walker.stamp(), "doubt")):
        assert not isinstance(walker.give(other), Refusal)
        taken = decide(JOB, walker.state, c.Remark("tech", walker.stamp(), "noted", every[0]))
        assert taken == (e.Remarked(every[0], "noted", "tech"),)


def test_a_remark_on_no_step_of_the_job_is_refused() -> None:
    """A step that the job does not have is refused by name, and nothing is kept."""
    walker = Walker.begin(JOB)
    found = decide(JOB, walker.state, c.Remark("tech", walker.stamp(), "noted", "before-work/never"))

    assert isinstance(found, Refusal)
    assert (found.code, found.kept) == ("unknown-step", False)
    assert "before-work/never" in found.reason


def test_plain_mode_and_path_tell_the_step_of_a_remark(tmp_path: Path) -> None:
    """A line remarks on a step by its name; the path shows the remark beside that step's sentence. Shows: SP-16."""
    script = healthy_script(JOB, Choices(until=lambda walker: walker.state.step == "before-work/protective"))
    ran = walk(tmp_path, extended(script, ["remark on before-work/job: the client came late", "remark here", "path"]))
    said = [line.strip() for line in ran.out.split("\n")]

    assert ran.err == ""
    assert "Remark by Ash Glaze on “Read the job sheet against the card.”: the client came late" in said
    assert "Remark by Ash Glaze on “Lay out the protective equipment.”: here" in said
    assert any(line.endswith("Read the job sheet against the card. remark: the client came late.") for line in said)


def test_the_command_in_a_replay_names_the_step() -> None:
    """What was asked and what came of it both name the step of a remark."""
    asked = words.command_words(c.Remark("tech", c.Stamp(0, "2026-11-25"), "noted", "before-work/job"), JOB)

    assert asked == "Remarked on “Read the job sheet against the card.”: noted"
