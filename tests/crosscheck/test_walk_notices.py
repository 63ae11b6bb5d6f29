"""The cross-checks run in the walk after each answer, and a replay shows the same words at the same place."""

from __future__ import annotations

from pathlib import Path

from ferrule.engine.electrics.crosscheck import cross_checks
from ferrule.engine.network.faults import LooseJoint
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk.cells import inputs_of, readings_of
from ferrule.engine.walk.events import CautionApplied
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.notices import watched
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from tests.support.jobs import job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, circuit_instrument, healthy_script
from tests.support.walker import Walker

JOB = job_of()


def disagreements(state: State) -> tuple[str, ...]:
    """The notices of a situation without what applies throughout the work."""
    throughout = watched(JOB, state.facts)
    return tuple(said for said in situation(JOB, state, state.last_ms).notices if said not in throughout)


def test_notices_come_with_the_reading_and_are_the_same_in_a_replay(tmp_path: Path) -> None:
    """A joint of 0.20 Ω in the line is said once r1 and r2 are typed, not before, and again by the replay."""
    broken = circuit_instrument(JOB, (LooseJoint("L", "S6", "S7", 0.20),))
    script = healthy_script(
        JOB, Choices(instrument=broken, until=lambda walker: walker.state.step.startswith("find-ring-one-fault"))
    )
    live: list[tuple[str, ...]] = []
    state = start(JOB, script.walker.state.operator)
    for command, events in script.walker.trail:
        state = advance(state, command, events)
        live.append(disagreements(state))
    walk(tmp_path, script)
    replay = open_replay(only_log(tmp_path), find_folders(tmp_path))
    again = [
        disagreements(replay.at(number).state) for number in range(1, replay.count + 1) if replay.at(number).events
    ]

    assert "r2 0.73 Ω ÷ r1 0.64 Ω is 1.14" in live[-1][0]
    assert [notes for notes in live if notes] == [live[-1]]
    assert again[: len(live)] == live
    assert replay.differences() == ()


def test_causes_and_next_test_stand_in_the_event_that_the_reading_led_to() -> None:
    """The log holds the whole sentence of a cross-check where it came into effect, and only there."""
    broken = circuit_instrument(JOB, (LooseJoint("L", "S6", "S7", 0.20),))
    walker = healthy_script(
        JOB, Choices(instrument=broken, until=lambda walker: walker.state.step.startswith("find-ring-one-fault"))
    ).walker
    readings = readings_of(walker.state)
    said = cross_checks(readings, inputs_of(JOB, readings))
    told = [event.say for _, events in walker.trail for event in events if isinstance(event, CautionApplied)]

    assert said
    assert all(told.count(check.sentence) == 1 for check in said)


def test_a_sound_job_has_no_notice_from_first_to_last() -> None:
    """A whole job on the sound circuit, as instruments show it, never brings a disagreement."""
    walker = Walker.begin(JOB)
    sound = circuit_instrument(JOB)
    seen: set[str] = set()
    for _ in range(400):
        where = walker.state.step
        command = walker.healthy(lambda slot, where=where: sound(JOB, where, slot))  # type: ignore[misc]
        if command is None:
            break
        walker.give(command)
        seen.update(disagreements(walker.state))

    assert walker.state.outcome == "complete"
    assert seen == set()
