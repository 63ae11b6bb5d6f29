"""A label that does not match the card blocks the work: it is kept as it was typed, and no way leads round it."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from ferrule.engine.procedure.amend import AmendError, amendable
from ferrule.engine.safety.acts import ACTS, Effect
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.consequences import Ledger
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.place import gate, step_at
from tests.support.jobs import job_of
from tests.support.walker import Walker, answers, disturbances

JOB = job_of()
WAY, OTHER = "4", "9"
SECOND, IDENTIFY = "identify-way/second", "identify-way/identify"


def typed(walker: Walker, cell: str, text: str) -> c.Answer:
    """A sound answer to the step on screen, but for the label that is read as another one."""
    sound = walker.answer()
    cells = tuple(replace(a, entered=text) if a.cell == cell else a for a in sound.cells)
    assert cells != sound.cells
    return replace(sound, cells=cells)


@pytest.mark.parametrize(("where", "cell", "text"), [
    (SECOND, "way", OTHER), (SECOND, "board", "KR2"), (IDENTIFY, "way", OTHER), (IDENTIFY, "board", "KR2"),
])  # fmt: skip
def test_another_label_is_kept_as_typed_and_the_step_stays(where: str, cell: str, text: str) -> None:
    """Way 4 on the card against way 9 at the board: logged, failed, asked again. Shows: SP-09."""
    walker = Walker.begin(JOB).until(where)
    found = walker.give(typed(walker, cell, text))
    assert not isinstance(found, Refusal)
    (answered,) = (x for x in found if isinstance(x, e.Answered))
    (record,) = (x for x in answered.cells if x.cell == cell)

    assert (record.entered, record.outcome, answered.word) == (text, "fail", "fail")
    assert walker.state.step == where
    assert walker.state.facts["check:identity"] != "done"


def test_the_same_label_is_taken() -> None:
    """The label of the card, whatever its case and blanks, passes; so the block is one of the label alone."""
    walker = Walker.begin(JOB).until(IDENTIFY)
    walker.give(typed(walker, "board", " kr1 "))

    assert walker.state.facts["check:identity"] == "done"


def test_no_command_but_the_right_label_opens_the_work() -> None:
    """After the mismatch nothing else that can be asked passes the step: settling, signing, ending, amending.

    Shows: SP-09.
    """
    walker = Walker.begin(JOB).until(IDENTIFY)
    walker.give(typed(walker, "way", OTHER))
    who, at = "tech", walker.stamp()
    tried: list[c.Command] = [
        c.NotApplicable(who, at, IDENTIFY, "the label is old"),
        c.Settle(who, at, IDENTIFY, "pass", "the label is old"),
        c.Sign(who, at, "one", "technician"),
        c.Amend(who, at, "way", "label says 9", OTHER, who),
        c.Answer(who, at, "inspect-condition/look", ()),
        c.StampRound(who, at, "as-found/read", "start"),
    ]

    assert all(isinstance(decide(JOB, walker.state, command), Refusal) for command in tried)
    for field in ("way", "board"):
        with pytest.raises(AmendError):
            amendable(field)
    for end in (c.EndAs(who, at, "complete", "the label is old"), c.StepAway(who, at, "lunch"), c.ComeBack(who, at)):
        walker.give(end)
        assert walker.state.step in (SECOND, IDENTIFY)
        assert walker.state.facts["check:identity"] == "failed"


def test_every_act_with_a_hand_or_a_live_reading_waits_for_the_right_way() -> None:
    """While the way is not identified the gate of each step that touches or reads live is shut. Shows: SP-09."""
    walker = Walker.begin(JOB).until("hold-nine/sign")
    ledger = Ledger(JOB, walker.state.facts, walker.now_ms)
    ledger.change([Effect("check:identity", "failed")], "another label")
    opened = []
    for procedure in JOB.procedures.values():
        for step in procedure.steps:
            act = ACTS.get(step.act)
            if act is not None and act.touches and not gate(JOB, step, ledger.facts):
                opened.append((procedure.id, step.id))

    assert opened == []


@pytest.mark.parametrize("seed", range(6))
def test_whatever_happens_after_it_no_hand_goes_in(seed: int) -> None:
    """Along walks with everything that can happen, the wrong label alone keeps every touching or live act undone.

    Shows: SP-09.
    """
    chance = random.Random(seed)
    walker = Walker.begin(JOB).until(IDENTIFY)
    mismatches = 0
    for _ in range(150):
        if walker.state.step == IDENTIFY and chance.random() < 0.5:
            command: c.Command | None = typed(walker, "way", OTHER)
            mismatches += 1
        elif chance.random() < 0.5:
            command = chance.choice([*disturbances(walker), *(a for a in answers(walker) if not passes(a))])
        else:
            command = walker.healthy()
        if command is None:
            break
        if passes(command):
            continue
        found = walker.give(command)
        for event in () if isinstance(found, Refusal) else found:
            step = step_at(JOB, event.step) if isinstance(event, e.Answered) else None
            act = ACTS.get(step.act) if step is not None else None
            assert act is None or not (act.touches or act.live), f"seed {seed}: {command}"
        assert walker.state.facts["check:identity"] != "done"
        assert walker.state.facts["hold:one"] == "unsigned"

    assert mismatches


def passes(command: c.Command) -> bool:
    """True for an answer that gives the right way at the step that identifies it."""
    if not isinstance(command, c.Answer) or command.step != IDENTIFY:
        return False
    return any(a.cell == "way" and a.entered == WAY for a in command.cells)
