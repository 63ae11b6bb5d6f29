"""Before the supply comes back and before the log is closed: what must be clear, off, and with its owner again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.acts import ACTS, Need, needs_of, unmet
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.place import next_place
from tests.support.jobs import job_of
from tests.support.walker import Walker

JOB = job_of("supervised")
CLEAR, CLOSE = "clear-the-place/clear", "close-log/close"
MAIN = "give-back-main-switch/close"
ENERGISING = ("give back the main switch", "close the way", "give back a second source")
LEFT = {
    "links": "one short",
    "tools": "one short",
    "items": "one still off",
    "people": "somebody at a socket",
    "openings": "one more open",
}
"""What is confirmed one by one before a lock comes off, each with what keeps the supply away."""


def begun(walker: Walker, where: str) -> Walker:
    """The walk at a step of a round, with the start of the round stamped."""
    walker.until(where)
    while not isinstance(walker.healthy(), c.Answer):
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    assert walker.state.step == where
    return walker


# --- before the supply comes back ---


def test_everything_is_asked_one_by_one() -> None:
    """The step asks for what is listed here and for nothing else, each at a place of its own. Shows: VR-16."""
    answer = Walker.begin(JOB).until(CLEAR).answer()

    assert [cell.cell for cell in answer.cells] == list(LEFT)


@pytest.mark.parametrize("cell", LEFT)
def test_nothing_is_energised_while_one_of_them_is_open(cell: str) -> None:
    """Seen otherwise or left empty, neither hold point five is signed nor anything given back. Shows: VR-16."""
    walker = Walker.begin(JOB).until(CLEAR)
    answer = walker.answer()
    empty = decide(JOB, walker.state, replace(answer, cells=tuple(a for a in answer.cells if a.cell != cell)))
    bad = tuple(replace(a, entered=LEFT[cell]) if a.cell == cell else a for a in answer.cells)
    walker.give(replace(answer, cells=bad))
    signing = Walker.begin(JOB).until("hold-five/sign")
    sound = signing.sign()
    assert sound is not None
    still = {**signing.state.facts, "check:ready": walker.state.facts["check:ready"]}
    refused = decide(JOB, replace(signing.state, facts=still), sound)

    assert isinstance(empty, Refusal)
    assert empty.cell == cell
    assert walker.state.step == CLEAR
    assert walker.state.facts["hold:five"] == "unsigned"
    assert isinstance(refused, Refusal)
    assert (refused.code, "check ready must be done" in refused.reason) == ("gate", True)
    assert all(any(n.fact == "hold:five" for n in shut(JOB, walker, act)) for act in ENERGISING)


def shut(job: Job, walker: Walker, act: str) -> tuple[Need, ...]:
    """What an act that makes something live still waits for."""
    family = ACTS[act].object
    of = job.objects[family][0] if family else ""
    return unmet(needs_of(ACTS[act], of, job.objects), walker.state.facts)


def test_lock_and_tag_are_off_before_the_switch_counts_as_closed() -> None:
    """Without the word that lock and tag came off by their owner, nothing is given back. Shows: VR-16."""
    walker = begun(Walker.begin(JOB), MAIN)
    sound = walker.answer()
    empty = decide(JOB, walker.state, replace(sound, cells=tuple(a for a in sound.cells if a.cell != "lock")))
    walker.give(
        replace(
            sound,
            cells=tuple(
                replace(a, entered="another hand took them off") if a.cell == "lock" else a for a in sound.cells
            ),
        )
    )

    assert isinstance(empty, Refusal)
    assert empty.cell == "lock"
    assert walker.state.facts["source:mains"] != "on"
    assert walker.state.facts["work"] == "stopped"


# --- before the log is closed ---


def test_a_lock_that_is_still_on_keeps_the_log_open() -> None:
    """Two locks on, each known by place and owner; one comes off: closing is refused by the name of the other.

    Shows: VR-14.
    """
    walker = Walker.begin(JOB).until("open-cover/open")
    both = dict(walker.state.custody)
    walker.until("give-back-second-source/close")
    one = dict(walker.state.custody)
    end = Walker.begin(JOB).until(CLOSE)
    facts = {**end.state.facts, "lock:inverter": walker.state.facts["lock:inverter"]}
    closing = end.healthy()
    assert closing is not None
    refused = decide(JOB, replace(end.state, facts=facts, custody=one), closing)

    assert both == {"mains": "tech", "inverter": "tech"}
    assert {source.id: source.isolator for source in JOB.card.sources if source.id in both} == {
        "mains": "KR1 main switch",
        "inverter": "KR1 way 9",
    }
    assert one == {"inverter": "tech"}
    assert isinstance(refused, Refusal)
    assert (refused.code, refused.kept) == ("gate", True)
    assert "lock inverter must be none" in refused.reason
    assert not isinstance(decide(JOB, end.state, closing), Refusal)


def test_a_lock_tag_or_key_that_is_short_at_the_count_keeps_the_log_open() -> None:
    """Counted one short, the walk stays at the count, and the last hold point is shut. Shows: VR-14."""
    walker = Walker.begin(JOB).until("count-tools/count")
    answer = walker.answer()
    short = tuple(replace(a, entered="one short") if a.cell == "locks" else a for a in answer.cells)
    walker.give(replace(answer, cells=short))

    assert (walker.state.step, walker.state.facts["check:counted"]) == ("count-tools/count", "failed")
    assert next_place(JOB, walker.state.facts, "", "").step == "count-tools/count"
    assert any(
        n.fact == "check:counted" for n in unmet(needs_of(ACTS["close the log"], "", JOB.objects), walker.state.facts)
    )
