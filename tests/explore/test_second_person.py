"""A second person looks for themselves; alone it is a second look and never called independent."""

from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.place import step_at
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import Walker


def at_second_look(name: str) -> Walker:
    """Return a walk that stands at its verify step."""
    walker = Walker.begin(job_of(name))
    for _ in range(40):
        step = step_at(walker.job, walker.state.step)
        if step is not None and step.kind == "verify":
            return walker
        walker.give(walker.healthy())  # type: ignore[arg-type]
    raise AssertionError("no verify step was reached")


def test_supervised_the_doer_cannot_verify_their_own_work() -> None:
    """Under supervision the one who does the work is refused at the second look, and the supervisor is taken.

    Shows: VR-01, VR-07
    """
    walker = at_second_look("supervised")
    answer = walker.answer()
    own = c.Answer(walker.state.operator, answer.at, answer.step, answer.cells)
    refused = walker.give(own)

    assert isinstance(refused, Refusal)
    assert refused.code == "same-person"
    assert not isinstance(walker.give(walker.answer()), Refusal)


def test_alone_the_second_look_is_named_a_self_check() -> None:
    """Alone the same person looks again, and the entry says so.

    Shows: VR-08
    """
    walker = at_second_look(REFERENCE)
    walker.give(walker.answer())
    answered = [event for event in walker.trail[-1][1] if isinstance(event, e.Answered)]

    assert [a.self_check for a in answered] == [True]
