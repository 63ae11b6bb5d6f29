"""Calls are inlined: the steps of a called procedure stand in the caller under its own names."""

import pytest

from ferrule.engine.findings import BadFile
from ferrule.engine.procedure.compiled import Condition, Job
from ferrule.engine.procedure.load import compile_job
from tests.procedure.cases import Texts, good_set


def job_with(**changed: str) -> Job:
    """The small job with procedures exchanged by name, where `_` stands for a hyphen."""
    new = {name.replace("_", "-"): text for name, text in changed.items()}
    texts: Texts = [(role, name, new.get(name, text)) for role, name, text in good_set()]
    return compile_job(texts)


def test_called_steps_stand_in_the_caller_under_its_names() -> None:
    """A called step is named after the call and itself, and its targets are renamed with it."""
    steps = job_with().procedures["tell-users"].steps

    assert [step.id for step in steps] == ["people.seen", "people.wake", "tell", "ready"]
    assert steps[0].answers["asleep"] == "step:people.wake"
    assert steps[0].section == "Walk round"


def test_the_end_of_a_called_procedure_is_the_way_on_in_the_caller() -> None:
    """Where a called procedure ends, by an answer or by a bare end step, the caller goes on behind the call."""
    steps = job_with().procedures["tell-users"].steps
    assert steps[0].answers["nobody"] == "step:tell"
    called = (
        "procedure: walk-round\nrevision: 1\ntitle: Walk round\npurpose: See.\nsteps:\n"
        "  - {id: seen, observe: Look., act: look for a fault,"
        " states: [nobody: pass, all: fail], answers: [fail: done]}\n"
        "  - {id: more, do: Look again., act: look for a fault}\n"
        "  - {id: done, end: Seen.}\n"
    )
    steps = job_with(walk_round=called).procedures["tell-users"].steps
    assert [step.id for step in steps] == ["people.seen", "people.more", "tell", "ready"]
    assert steps[0].answers == {"pass": "next", "fail": "step:tell", "not-measured": "ask"}


def test_a_call_at_the_end_ends_the_caller() -> None:
    """Where nothing stands behind a call, the end of the called procedure is the end of the caller."""
    caller = "procedure: tell-users\nrevision: 1\ntitle: T\npurpose: P\nsteps:\n"
    tell = "  - {id: tell, do: Tell., act: tell the users}\n"
    steps = job_with(tell_users=f"{caller}{tell}  - {{call: walk-round}}\n").procedures["tell-users"].steps

    assert [step.id for step in steps] == ["tell", "walk-round.seen", "walk-round.wake"]
    assert steps[1].answers["nobody"] == "end"


def test_a_call_hands_its_condition_to_each_step() -> None:
    """A step of a conditional call asks for the call's condition and for its own."""
    caller = (
        "procedure: tell-users\nrevision: 1\ntitle: T\npurpose: P\nsteps:\n"
        "  - {id: a, call: walk-round, when: [spurs is some]}\n"
        "  - {id: tell, do: Tell., act: tell the users}\n"
    )
    steps = job_with(tell_users=caller).procedures["tell-users"].steps

    assert [step.when for step in steps] == [
        (Condition("spurs", ("some",)),),
        (Condition("spurs", ("some",)),),
        (),
    ]


def test_an_answer_may_lead_to_a_call_and_calls_nest() -> None:
    """A target that names a call leads to its first step, through as many calls as there are."""
    caller = (
        "procedure: tell-users\nrevision: 1\ntitle: T\npurpose: P\nsteps:\n"
        "  - {id: tell, do: Tell., act: tell the users, answers: [done: late]}\n"
        "  - {id: late, call: identify}\n"
    )
    inner = "procedure: identify\nrevision: 1\ntitle: I\npurpose: P\nsteps:\n"
    way = "  - {id: way, observe: Read., act: identify the way, type: way, answers: [fail: stop]}\n"
    job = job_with(tell_users=caller, identify=f"{inner}  - {{id: first, call: walk-round}}\n{way}")
    steps = job.procedures["tell-users"].steps

    assert [step.id for step in steps] == ["tell", "late.first.seen", "late.first.wake", "late.way"]
    assert steps[0].answers == {"pass": "step:late.first.seen", "done": "step:late.first.seen"}
    assert steps[1].answers["nobody"] == "step:late.way"


ROUND = (
    "procedure: walk-round\nrevision: 1\ntitle: Walk round\npurpose: See.\nsteps:\n"
    "  - {id: seen, round: Look at each., through: second sources, act: look for a fault,"
    " cells: [{see: Sleeper, id: s, states: [nobody: pass]}]}\n"
)


def through(listed: str) -> str:
    """A caller that sends the called round through a list."""
    return (
        "procedure: tell-users\nrevision: 1\ntitle: T\npurpose: P\nsteps:\n"
        f"  - {{id: a, call: walk-round, through: {listed}}}\n"
        "  - {id: tell, do: Tell., act: tell the users}\n"
    )


def test_a_call_may_send_the_round_through_another_list_of_the_sort() -> None:
    """The called round goes through the list of the call; the called procedure by itself keeps its own."""
    procedures = job_with(walk_round=ROUND, tell_users=through("main sources")).procedures

    assert procedures["tell-users"].steps[0].points == "main sources"
    assert procedures["walk-round"].steps[0].points == "second sources"


@pytest.mark.parametrize("listed", ["sockets", "terminals", "people"])
def test_a_call_may_not_send_a_round_through_another_sort(listed: str) -> None:
    """A list whose entries are other things than the round's is refused at the call."""
    with pytest.raises(BadFile) as caught:
        job_with(walk_round=ROUND, tell_users=through(listed))

    (found,) = [finding for finding in caught.value.findings if finding.code == "wrong-value"]
    assert found.place is not None
    assert (found.place.file, found.place.line) == ("procedure/tell-users", 6)
