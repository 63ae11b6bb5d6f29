"""Whole jobs with something wrong, typed line by line into the real command line and read back from the log."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ferrule.engine.journal.replay import Replay
from ferrule.engine.network.faults import OpenConductor
from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.place import gate, step_at
from tests.monitors.monitors import DEAD_TESTS, TOUCHING
from tests.support.jobs import job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, Script, circuit_instrument, healthy_script
from tests.support.walker import DAY, Walker

JOB = job_of()


def replayed(home: Path) -> Replay:
    """Return the replay of the one practice log of a folder."""
    return open_replay(only_log(home), find_folders(home))


def answered(replay: Replay) -> list[e.Answered]:
    """Return the answers of a log, in order."""
    moments = [replay.at(n) for n in range(1, replay.count + 1)]
    return [event for moment in moments for event in moment.events if isinstance(event, e.Answered)]


def act_of(event: e.Answered) -> str:
    """Return the act that an answer belongs to."""
    step = step_at(JOB, event.step)
    assert step is not None
    return step.act


MENDS = ("remake an accessory", "remake a joint or cable")


def test_open_neutral_is_found_repaired_and_tested_again(tmp_path: Path) -> None:
    """With the ring's neutral open the job goes through fault finding and back through what the repair affected.

    Shows: DV-05, WB-02
    """
    fault = OpenConductor("N", "S4", "S5")
    broken, sound = circuit_instrument(JOB, (fault,)), circuit_instrument(JOB)
    walker_of: list[Walker] = []

    def shown(job, step, slot):  # type: ignore[no-untyped-def]
        repaired = any(act in MENDS for _, act in walker_of[0].record.entries.values())
        return (sound if repaired else broken)(job, step, slot)

    def keep(walker: Walker) -> bool:
        walker_of[:] = [walker]
        return False

    script = healthy_script(JOB, Choices(instrument=shown, until=keep))
    ran = walk(tmp_path, script)
    replay = replayed(tmp_path)
    steps = answered(replay)
    failed = next(i for i, s in enumerate(steps) if s.word == "over-range")
    repair = next(i for i, s in enumerate(steps) if act_of(s) in MENDS)
    cell = next(cell for cell in steps[failed].cells if cell.slot == "rn")

    assert ran.code == 0, ran.err
    assert replay.last.state.outcome == "complete"
    assert act_of(steps[failed]) == "read ring step one"
    assert cell.reading is not None
    assert (cell.reading["relation"], cell.outcome) == (">", "over-range")
    assert any(s.step.startswith("find-ring-one-fault") for s in steps[failed:repair])
    assert {"read ring step one", "read ring step two", "read ring step three"} <= {act_of(s) for s in steps[repair:]}
    assert sum(act_of(s) == "read ring step one" for s in steps) == 2
    assert replay.differences() == ()


def test_indicator_that_fails_after_the_pairs_is_typed_in_plain_mode(tmp_path: Path) -> None:
    """Typed line by line: the after-proof fails, nothing is proved by that round, and it is done again from the start.

    Shows: DV-07, VR-11
    """
    broken: list[int] = []

    def breaks(walker: Walker) -> bool:
        if at_round(walker) and not broken:
            broken.append(walker.now_ms)
            walker.world.indicator_works = False
        return False

    script = healthy_script(JOB, Choices(until=breaks))
    assert any(line.startswith("prove-dead/pairs: none") and "dark" in line for line in script.lines)
    ran = walk(tmp_path, script)
    replay = replayed(tmp_path)
    moments = [replay.at(n) for n in range(replay.count + 1)]
    failed = next(m for m in moments if m.state.facts["indicator"] == "failed")
    rounds = [s for s in answered(replay) if act_of(s) == "prove dead"]
    touches = [m for m in moments for x in m.events if isinstance(x, e.Answered) and act_of(x) in TOUCHING]

    assert ran.code == 0, ran.err
    assert [s.word for s in rounds] == ["indicator failed", "pass"]
    assert failed.state.facts["zone:busbar"] == failed.state.facts["zone:circuit"] == "unproved"
    assert all(m.number > failed.number for m in touches)
    assert replay.last.state.outcome == "complete"
    assert replay.differences() == ()


def test_voltage_at_a_pair_opens_the_sources_again() -> None:
    """A pair that shows a voltage leads to the sources: listed and locked again before any touch (invariant 6)."""
    walker = Walker.begin(JOB)
    for _ in range(120):
        if at_round(walker):
            break
        walker.give(walker.healthy())  # type: ignore[arg-type]
    walker.world.hidden_feed = True
    walker.give(walker.healthy())  # type: ignore[arg-type]
    facts = walker.state.facts

    assert (facts["dead test"], facts["zone:busbar"], facts["check:sources"]) == ("volts", "unproved", "open")
    assert_touching_is_shut(walker)
    assert walker.walk().state.outcome == "complete"
    acts = [act for _, act in walker.record.entries.values()]
    assert acts.count("list the sources") == 2
    assert acts.count("prove dead") == 2
    assert walker.record.broken == []
    assert walker.world.harm == []


def script_with_bad_indicator(when: Callable[[Walker], bool], then: int) -> Walker:
    """Return a walk in which the indicator stops working before its proof after the pairs."""
    walker = Walker.begin(JOB)
    for _ in range(300):
        if when(walker):
            break
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    walker.world.indicator_works = False
    step = walker.step()
    assert step is not None
    for _ in range(then):
        walker.give(walker.answer("indicator failed", lambda slot: slot.cell.once))
    return walker


def at_round(walker: Walker) -> bool:
    """True when the round of pairs was started and is to be typed."""
    return walker.state.step == "prove-dead/pairs" and walker.state.round_start_ms is not None


def test_indicator_that_fails_after_the_pairs_proves_nothing() -> None:
    """With the after-proof failed nothing counts as proved, and every touching step is shut for everybody.

    Shows: DV-07, VR-11, WB-04
    """
    walker = script_with_bad_indicator(at_round, 1)
    state = walker.state

    assert state.facts["indicator"] == "failed"
    assert state.facts["zone:busbar"] != "proved"
    assert state.facts["hold:two"] == "unsigned"
    assert_touching_is_shut(walker)


def test_indicator_that_fails_later_voids_what_rested_on_it() -> None:
    """A later proof that fails makes every dead result void since the last good proof, and the walk proves anew.

    Shows: DV-07
    """
    walker = Walker.begin(JOB)
    for _ in range(300):
        if walker.state.facts["result:ring step three"] == "pass":
            break
        walker.give(walker.healthy())  # type: ignore[arg-type]
    walker.give(c.Report(walker.state.operator, walker.stamp(), "somebody had access", "", "a caretaker"))
    assert walker.state.facts["result:ring step three"] == "pass"
    for _ in range(20):
        if at_round(walker):
            break
        walker.give(walker.healthy())  # type: ignore[arg-type]
    walker.world.indicator_works = False
    walker.give(walker.answer("indicator failed", lambda slot: slot.cell.once))
    facts = walker.state.facts
    dead = [name for name in facts if name.startswith("result:") and facts[name] == "void"]

    assert {f"result:ring step {n}" for n in ("one", "two", "three")} <= set(dead)
    assert not any(facts[f"result:{n}"] == "pass" for n in ("separation", "protective conductor"))
    assert_touching_is_shut(walker)
    assert walker.walk().state.outcome == "complete"


def assert_touching_is_shut(walker: Walker) -> None:
    """Try every touching step as everybody on the card; each must be refused."""
    for procedure in JOB.procedures.values():
        for step in procedure.steps:
            if step.act not in TOUCHING:
                continue
            where = f"{procedure.id}/{step.id}"
            assert gate(JOB, step, walker.state.facts)
            for person in JOB.card.people:
                cells = cells_for(JOB, walker.state, step)
                command = c.Answer(person.id, c.Stamp(walker.now_ms, DAY), where, cells)
                assert isinstance(decide(JOB, walker.state, command), Refusal)


def test_dead_tests_of_the_monitors_are_acts() -> None:
    """The monitors' list of dead tests names acts of the table, so that none is watched in vain."""
    assert set(DEAD_TESTS) <= set(ACTS)


@pytest.mark.parametrize(("conductor", "slot"), [("L", "r1"), ("E", "cpc/S5")])
def test_other_open_legs_are_seen(conductor: str, slot: str) -> None:
    """An open line leg shows in step one, an open protective leg already in the long-lead reading before it."""
    fault = OpenConductor(conductor, "S4", "S5")
    walker = Walker.begin(JOB)
    shown = circuit_instrument(JOB, (fault,))
    for _ in range(200):
        where = walker.state.step
        command = walker.healthy(lambda slot, where=where: shown(JOB, where, slot))  # type: ignore[misc]
        assert command is not None
        walker.give(command)
        if walker.state.step.startswith(("find-ring", "find-protective")):
            break

    assert walker.state.readings[slot].outcome in ("over-range", "fail", "conditional-fail")


def test_script_is_long_enough_to_mean_something() -> None:
    """The sound script types more than 100 lines, so that the journeys above walk a whole job."""
    script: Script = healthy_script(JOB)

    assert len(script.lines) > 100
    assert script.walker.state.outcome == "complete"
