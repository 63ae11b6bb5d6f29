"""What falls when an answer is struck out: all that it said, also where the same was so before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from tests.support.jobs import job_of
from tests.support.walker import Walker

JOB = job_of()


def answered_twice(step: str) -> tuple[Walker, int, int]:
    """A walk in which a step was answered soundly, and soundly once more; the numbers of both entries."""
    walker = Walker.begin(JOB).until(step)
    entries = []
    for _ in range(2):
        walker.state = replace(walker.state, step=step)
        command = walker.healthy()
        assert command is not None
        assert not isinstance(walker.give(command), Refusal)
        entries.append(walker.state.last_entry)
    return walker, entries[0], entries[1]


@pytest.mark.parametrize("which", [0, 1], ids=["first", "second"])
@pytest.mark.parametrize(
    ("step", "fact", "stood", "fallen"),
    [
        ("main-bonding/null", "null", "fresh", "stale"),
        ("read-records/read", "check:records", "done", "open"),
    ],
)
def test_striking_one_of_two_equal_answers_takes_both_down(
    step: str, fact: str, stood: str, fallen: str, which: int
) -> None:
    """Nothing stands on the other one: it is asked again, and the reason names the entry that was struck out."""
    walker, *entries = answered_twice(step)
    assert walker.state.facts[fact] == stood
    found = walker.give(c.Correct("tech", walker.stamp(), entries[which], "done with a crossed lead"))
    assert not isinstance(found, Refusal)
    reasons = [x.because for x in found if isinstance(x, e.FactsChanged) and (fact, fallen) in x.changes]

    assert walker.state.facts[fact] == fallen
    assert reasons == [f"entry {entries[which]} was struck out"]


def test_a_failing_answer_takes_down_what_an_earlier_one_said() -> None:
    """Who was told once and cannot be told again is not told: the users, and the people near a stopped board."""
    walker, _, _ = answered_twice("tell-users/tell")
    assert walker.state.facts["users"] == "told"
    walker.state = replace(walker.state, step="tell-users/tell")
    command = walker.healthy()
    assert isinstance(command, c.Answer)
    first = command.cells[0]
    missed = (replace(first, entered="some not reached"), *command.cells[1:])
    assert not isinstance(walker.give(replace(command, cells=missed)), Refusal)

    assert walker.state.facts["users"] == "unaware"


@pytest.mark.parametrize("what", ["earthing or bonding disturbed", "main switch terminal disturbed"])
def test_what_was_disturbed_at_the_incoming_side_is_read_at_the_board_again(what: str) -> None:
    """A card with its external impedance on record takes no record for a reading: the loop at the board is read anew.

    Source of what is repeated: trade brief §11.2 (common practice).
    """
    walker = Walker.begin(JOB).until("fault-current/read")
    walker.give(c.Report("tech", walker.stamp(), what, "", "a hand was on it"))
    before = len(walker.trail)
    walker.until("close-the-way/close")
    first = [command.step for command, _ in walker.trail[before:] if isinstance(command, c.Answer)]
    walker.give(c.Report("tech", walker.stamp(), what, "", "a hand was on it again"))
    before = len(walker.trail)
    walker.walk()
    again = [command.step for command, _ in walker.trail[before:] if isinstance(command, c.Answer)]

    assert "fault-current/read" in first
    assert again.index("fault-current/read") < again.index("close-the-way/close")
    assert walker.state.outcome == "complete"
