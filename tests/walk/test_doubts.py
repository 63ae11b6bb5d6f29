"""A reading that is hard to believe is held once, and taken when the same value is entered a second time.

Shows: HI-08
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance
from ferrule.engine.walk.state import State, state_hash
from tests.support.jobs import job_of
from tests.support.walker import Walker


@pytest.fixture(scope="module")
def at_step_two() -> Walker:
    """The reference job in the round of ring step two, its start stamped."""
    walker = Walker.begin(job_of()).until("ring-step-two/sockets")
    walker.give(c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, "start"))
    return walker


def typed(walker: Walker, values: dict[str, str], *, again: bool = False) -> c.Answer:
    """The sound answer with other values at some sockets."""
    sound = walker.answer()
    cells = tuple(
        replace(a, form=c.NUMBER, entered=values[a.point], again=again) if a.point in values else a for a in sound.cells
    )
    return replace(sound, cells=cells)


def after(walker: Walker, state: State, command: c.Command) -> tuple[State, Refusal | tuple[e.Event, ...]]:
    """The state once a command was decided and folded, and what was decided."""
    found = decide(walker.job, state, command)
    if isinstance(found, Refusal):
        return (advance(state, command, refused_events(found, state.step)) if found.kept else state), found
    return advance(state, command, found), found


def test_a_slipped_decimal_point_is_held_with_its_sentence(at_step_two: Walker) -> None:
    """2.2 Ω where 0.22 Ω is expected is not taken: the place, the sentence and the text as typed stand in the log."""
    state, found = after(at_step_two, at_step_two.state, typed(at_step_two, {"S3": "2.20"}))

    assert isinstance(found, Refusal)
    assert (found.code, found.point, found.cell, found.kept) == ("doubtful", "S3", "ohm", True)
    assert "about ten times" in found.reason
    (event,) = refused_events(found, at_step_two.state.step)
    assert isinstance(event, e.Doubted)
    assert [(cell.point, cell.entered) for cell in event.cells] == [("S3", "2.20")]
    assert state.step == at_step_two.state.step
    assert state.facts == at_step_two.state.facts
    assert state.readings == at_step_two.state.readings


def test_the_same_value_a_second_time_is_taken_and_judged(at_step_two: Walker) -> None:
    """Confirmed, it is a reading like any other; here it fails, and both entries stand in the log."""
    held, _ = after(at_step_two, at_step_two.state, typed(at_step_two, {"S3": "2.20"}))
    taken, found = after(at_step_two, held, typed(at_step_two, {"S3": "2.20"}, again=True))

    assert not isinstance(found, Refusal)
    assert isinstance(found[0], e.Answered)
    assert found[0].word == "fail"
    assert str(taken.readings["ring-two/S3"].reading.value) == "2.20"
    assert taken.doubted == ()


@pytest.mark.parametrize(
    ("first", "second", "again"),
    [("2.20", "2.20", False), ("2.20", "2.21", True), ("", "2.20", True)],
)
def test_nothing_but_the_same_value_confirmed_is_taken(
    at_step_two: Walker, first: str, second: str, again: bool
) -> None:
    """Neither the value without a word, nor another one, nor one that was never held before passes at once."""
    state = at_step_two.state
    if first:
        state, _ = after(at_step_two, state, typed(at_step_two, {"S3": first}))
    _, found = after(at_step_two, state, typed(at_step_two, {"S3": second}, again=again))

    assert isinstance(found, Refusal)
    assert found.code == "doubtful"


def test_a_corrected_slip_goes_through_without_more_words(at_step_two: Walker) -> None:
    """Who types 0.22 after 2.2 was held needs no confirmation, and the step passes."""
    held, _ = after(at_step_two, at_step_two.state, typed(at_step_two, {"S3": "2.20"}))
    _, found = after(at_step_two, held, typed(at_step_two, {"S3": "0.22"}))

    assert not isinstance(found, Refusal)
    assert isinstance(found[0], e.Answered)
    assert found[0].word == "pass"


@pytest.mark.parametrize("value", ["0.25", "0.44", "0.17"])
def test_a_fault_that_a_ring_can_have_is_not_held(at_step_two: Walker, value: str) -> None:
    """Double by a break or more by a joint is a finding of the test and no slip of the pen."""
    _, found = after(at_step_two, at_step_two.state, typed(at_step_two, {"S3": value}))

    assert not isinstance(found, Refusal)


def test_one_value_copied_to_all_three_is_held() -> None:
    """r1, rn and r2 alike on 2.5/1.5 mm² cannot be: the one that lies off is asked for again."""
    walker = Walker.begin(job_of()).until("ring-step-one/read")
    walker.give(c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, "start"))
    sound = walker.answer()
    alike = tuple(replace(a, entered="0.44") if a.form == c.NUMBER else a for a in sound.cells)
    _, found = after(walker, walker.state, replace(sound, cells=alike))

    assert isinstance(found, Refusal)
    assert "copied" in found.reason
    assert {cell.entered for cell in found.doubts} == {"0.44"}
    assert len(found.doubts) == 1


def test_an_off_scale_or_open_place_is_never_held(at_step_two: Walker) -> None:
    """Above range is a bound, not a number that could have slipped."""
    sound = at_step_two.answer()
    cells = tuple(replace(a, form=c.ABOVE, entered="") if a.point == "S3" else a for a in sound.cells)
    _, found = after(at_step_two, at_step_two.state, replace(sound, cells=cells))

    assert not isinstance(found, Refusal)


def test_a_held_value_leads_to_the_same_state_when_decided_again(at_step_two: Walker) -> None:
    """Replay is deciding the same commands: the hold and the confirmation come out alike, byte for byte."""
    commands = [typed(at_step_two, {"S3": "2.20"}), typed(at_step_two, {"S3": "2.20"}, again=True)]
    states = []
    for _ in range(2):
        state = at_step_two.state
        for command in commands:
            state, _ = after(at_step_two, state, c.command_from_json(c.command_to_json(command)))
        states.append(state_hash(state))

    assert states[0] == states[1]


def test_moving_on_forgets_what_was_held(at_step_two: Walker) -> None:
    """What was held belongs to the step on screen; after a stop and coming back it is held anew."""
    held, _ = after(at_step_two, at_step_two.state, typed(at_step_two, {"S3": "2.20"}))
    stopped, _ = after(at_step_two, held, c.StopWork("tech", at_step_two.stamp(), "somebody called"))

    assert held.doubted
    assert stopped.doubted == ()
