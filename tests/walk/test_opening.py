"""Scope and summary of a job are read and answered at its first step, and no other step opens before that entry."""

from __future__ import annotations

import random

import pytest

from ferrule.engine.shell.sets import example_cards
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.situation import situation
from ferrule.tui.demand import Demand
from ferrule.tui.plain_show import situation_lines
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.entry import entry
from ferrule.tui.screens.stages import Look
from ferrule.tui.summary_words import summary_lines
from tests.support.jobs import job_of
from tests.support.walker import Walker, answers, disturbances

JOB = job_of()
OPENING = "before-work/job"
LEAVING = {"hands-out", "cover-for-safety", "close-not-begun", "close-made-safe", "close-continue", "lock-way"}
"""What is open after a stop: only what leaves the place, never the work."""


@pytest.mark.parametrize("card", list(example_cards()))
def test_every_packaged_job_opens_with_its_scope(card: str) -> None:
    """The first step of each packaged job shows the summary and asks whether the work lies within it. Shows: SP-04."""
    walker = Walker.begin(job_of(card))
    shown = situation(walker.job, walker.state, 0)
    assert shown.step is not None

    assert (shown.step.where, shown.step.opening) == (OPENING, True)
    assert shown.step.cells[0].cell == "scope"
    assert all(
        summary_lines(walker.job)[n].startswith(said) for n, said in enumerate(("Place:", "Purpose:", "Covers:"))
    )


def test_summary_stands_whole_before_the_step_in_plain_mode_and_on_screen() -> None:
    """Place, purpose, what is covered and left out, and the card's figures stand at the first step. Shows: SP-04."""
    walker = Walker.begin(JOB)
    shown = situation(JOB, walker.state, 0)
    plain = situation_lines(shown, JOB, "work", 0)
    lines = summary_lines(JOB)
    at = plain.index("NOW: Read the job sheet against the card.")
    assert shown.step is not None
    places = shown.step.cells
    answered = Draft(JOB, places)
    answered.key("1", "1")

    def body(draft: Draft) -> str:
        return entry(Look(JOB, shown, draft, None, Demand("")), 80).plain

    assert plain[at - len(lines) : at] == lines
    assert body(Draft(JOB, places)).split("\n")[: len(lines)] == list(lines)
    assert not any(line in body(answered) for line in lines)
    assert lines[3].startswith("Leaves out: ")
    assert lines[4] == (
        "Figures of the card: ring of bench sockets, 2.5 and 1.5 mm², 60 m (record); device B 32 A, 30 mA, type A; "
        "supply TN-C-S, Ze 0.35 Ω (record); sign-off alone."
    )


def test_summary_stands_at_the_first_step_only() -> None:
    """Once it is answered it makes room; no later step of the job carries it."""
    walker = Walker.begin(JOB)
    seen = []
    while (command := walker.healthy()) is not None:
        shown = situation(JOB, walker.state, walker.now_ms)
        if shown.step is not None and shown.step.opening:
            seen.append(shown.step.where)
        walker.give(command)

    assert seen == [OPENING]


def test_no_step_can_be_answered_before_the_entry() -> None:
    """At the opening an answer to any other step of the job is refused and not kept. Shows: SP-04."""
    walker = Walker.begin(JOB)
    others = [f"{p.id}/{step.id}" for p in JOB.procedures.values() for step in p.steps]
    others.remove(OPENING)
    refused = [decide(JOB, walker.state, c.Answer("tech", walker.stamp(), where, ())) for where in others]

    assert len(others) > 150
    assert all(isinstance(x, Refusal) and (x.code, x.kept) == ("another-step", False) for x in refused)


@pytest.mark.parametrize("seed", range(6))
def test_whatever_happens_the_first_entry_of_the_work_is_the_scope(seed: int) -> None:
    """With everything that can happen at the opening, no step of the work is answered before it. Shows: SP-04."""
    chance = random.Random(seed)
    walker = Walker.begin(JOB)
    tried = 0
    for _ in range(80):
        options = [*disturbances(walker), *answers(walker)]
        given = [o for o in options if not (isinstance(o, c.Answer) and o.step == OPENING)]
        if not given:
            break
        found = walker.give(chance.choice(given))
        tried += 1
        for event in () if isinstance(found, Refusal) else found:
            if isinstance(event, e.Answered):
                assert event.step.partition("/")[0] in LEAVING, f"seed {seed}: {event.step}"

    assert tried > 3


def test_work_that_goes_beyond_the_scope_is_not_begun() -> None:
    """What was ordered beyond the scope is kept as a failed check, and the walk does not go on. Shows: SP-04."""
    walker = Walker.begin(JOB)
    sound = walker.answer()
    beyond = tuple(
        c.CellAnswer(a.point, a.cell, a.form, "goes beyond it") if a.cell == "scope" else a for a in sound.cells
    )
    found = walker.give(c.Answer("tech", walker.stamp(), OPENING, beyond))

    assert not isinstance(found, Refusal)
    assert walker.state.facts["check:job"] == "failed"
    assert walker.state.step == OPENING
