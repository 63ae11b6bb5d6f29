"""The ends of a job beside complete: made safe, put back as found, to be continued, each to its closed log."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide_ending import open_ends
from ferrule.engine.walk.situation import situation
from tests.explore.explore import fork, snapshots
from tests.support.ends import acts_of, answers, carry_on, end_as, ended, go, job_with, reports, stop, text_with
from tests.support.jobs import REFERENCE, job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, circuit_instrument, healthy_script
from tests.support.walker import Walker

JOB = job_of()
LEFT = {
    "made safe": "made safe",
    "made safe, other ways on": "made safe",
    "put back as found": "put back as found",
    "to be continued": "to be continued",
    "to be continued, other ways on": "to be continued",
}
"""Each end that a person may pick instead of complete, with the outcome that its log closes with."""


def clean(walker: Walker) -> bool:
    """True when no monitor and no hand complains."""
    return walker.record.broken == [] and walker.world.harm == []


TYPED = (
    *(("insulation/read", end) for end in LEFT),
    ("prove-dead/pairs", "put back as found"),
    ("read-loop/sockets", "put back as found"),
    ("read-loop/sockets", "made safe, other ways on"),
)


@pytest.mark.parametrize(("where", "end"), TYPED)
def test_each_end_is_typed_to_its_closed_log(where: str, end: str, home: Path) -> None:
    """From before, in and after the dead work an end is picked by one typed line and comes to a closed log.

    Shows: WB-02
    """
    line = f"end as {end} because the device did not come"
    script = healthy_script(JOB, Choices(circuit_instrument(JOB), instead={where: (line,)}))
    ran = walk(home, script)
    replay = open_replay(only_log(home), find_folders(home))

    assert ran.code == 0, ran.err
    assert f"says that the job ends as {end}" in ran.out
    assert f"The log is closed: {LEFT[end]}." in ran.out
    assert replay.differences() == ()
    assert clean(script.walker)


@pytest.mark.parametrize("sign_off", ["supervised", "reviewed later"])
@pytest.mark.parametrize("end", LEFT)
def test_each_end_closes_under_each_sign_off(end: str, sign_off: str) -> None:
    """Whoever signs, the hold points of an end are reached and its log closes."""
    job = job_with("upstream-isolated", {"sign-off: alone": f"sign-off: {sign_off}"})
    walker = ended(job, ("insulation/read", end_as(end)))

    assert walker.state.outcome == LEFT[end]
    assert clean(walker)


@dataclass(frozen=True)
class Stands:
    """How a job stands once its log is closed."""

    end: str
    facts: dict[str, str]


STANDS = (
    Stands("made safe", {"source:mains": "locked", "lock:mains": "applied", "left": "locked off"}),
    Stands(
        "made safe, other ways on",
        {
            "source:mains": "on",
            "lock:mains": "none",
            "way lock": "applied",
            "left": "others on",
            "lock:inverter": "applied",
        },
    ),
    Stands(
        "put back as found",
        {
            "source:mains": "on",
            "source:inverter": "on",
            "lock:mains": "none",
            "way lock": "none",
            "device": "old on",
            "old device": "fitted",
            "old terminal:old-load-line": "checked",
            "link:line to earth at a socket": "none",
            "hold:taken back": "signed",
        },
    ),
    Stands("to be continued", {"source:mains": "locked", "check:continuation": "done"}),
)


@pytest.mark.parametrize("stands", STANDS, ids=lambda s: s.end)
def test_what_stands_once_the_log_is_closed(stands: Stands) -> None:
    """Locks, links, terminals and cover stand as the end says, and never live beside something loose (INV 40, 44)."""
    walker = ended(JOB, ("insulation/read", end_as(stands.end)))
    facts = walker.state.facts

    assert {fact: facts[fact] for fact in stands.facts} == stands.facts
    assert facts["cover"] == "closed"
    assert not [f for f, v in facts.items() if f.startswith("link:") and v == "fitted"]
    assert clean(walker)


def test_other_ways_stay_off_beside_half_done_terminals() -> None:
    """With conductors seated and not tightened the other ways cannot come back on; the job can still be made safe.

    Shows: INV-20 of the trade brief.
    """
    walker = go(Walker.begin(JOB), "torque-tug-mark")
    found = walker.give(end_as("made safe, other ways on")(walker))

    assert isinstance(found, Refusal)
    assert (found.code, found.kept) == ("gate", True)
    assert "terminal busbar-line must be" in found.reason
    assert "made safe" in open_ends(JOB, walker.state.facts)
    assert "made safe, other ways on" not in situation(JOB, walker.state, walker.now_ms).ends


def test_put_back_waits_until_work_goes_on() -> None:
    """After a stop no touching act opens: put back is refused until somebody lets work go on (gates stay shut)."""
    walker = go(Walker.begin(JOB), "insulation/read")
    walker.give(stop(walker))
    found = walker.give(end_as("put back as found")(walker))
    assert isinstance(found, Refusal)
    assert "let it go on first" in found.reason

    walker.give(carry_on(walker))
    assert not isinstance(walker.give(end_as("put back as found")(walker)), Refusal)
    go(walker, "")
    assert walker.state.outcome == "put back as found"
    assert clean(walker)


def test_a_stop_on_the_way_to_put_back_makes_safe_first() -> None:
    """A stop while the old device goes back leads to made safe; once work goes on the old device is put back."""
    walker = ended(
        JOB, ("insulation/read", end_as("put back as found")), ("land-old", stop), ("cover-for-safety", carry_on)
    )

    assert walker.state.outcome == "put back as found"
    assert clean(walker)


def test_an_old_device_that_trips_is_closed_again_only_with_a_cause() -> None:
    """A trip on closing the old device stops the work; it is closed again after cause and a new insulation reading.

    Shows: INV-19 of the trade brief.
    """
    walker = ended(
        JOB,
        ("insulation/read", end_as("put back as found")),
        ("close-old", answers("tripped")),
        ("hands-out", carry_on),
    )
    acts = acts_of(walker)
    first = acts.index("close the old device")
    again = acts.index("close the old device", first + 1)

    assert walker.state.outcome == "put back as found"
    assert {"record why the old device tripped", "read insulation after landing"} <= set(acts[first:again])
    assert clean(walker)


def test_a_picked_end_can_be_taken_back() -> None:
    """Whoever picked put back may go on to the job's own end; the old device comes off again and the job completes."""
    walker = ended(JOB, ("fit-device", end_as("put back as found")), ("land-old", end_as("complete")))

    assert walker.state.outcome == "complete"
    assert acts_of(walker).count("take off the old device") == 2
    assert clean(walker)


def test_a_lost_lock_of_the_way_is_locked_again_before_the_log_closes() -> None:
    """With the other ways on, a lost lock of this way opens what was signed: it is locked and signed again."""
    walker = ended(
        JOB,
        ("insulation/read", end_as("made safe, other ways on")),
        ("close-made-safe", reports("lock of the way lost")),
    )
    acts = acts_of(walker)

    assert walker.state.outcome == "made safe"
    assert acts.count("lock off the job way") == 2
    assert clean(walker)


def test_the_way_lock_comes_off_by_its_owner_when_work_goes_on() -> None:
    """Work that goes on after the way was locked takes that lock off before the way is closed, and completes."""
    walker = ended(
        JOB,
        ("insulation/read", end_as("made safe, other ways on")),
        ("close-made-safe", carry_on),
    )
    acts = acts_of(walker)

    assert walker.state.outcome == "complete"
    assert acts.index("take the lock off the job way") < acts.index("close the way")
    assert walker.state.facts["way lock"] == "none"
    assert clean(walker)


def test_a_log_that_goes_on_names_the_head_of_the_earlier_one(home: Path) -> None:
    """A job left with its ends parked is taken up by a later log that names the earlier log's last sum and its state.

    Shows: WB-02
    """
    line = "end as to be continued because the light is gone"
    first = healthy_script(JOB, Choices(circuit_instrument(JOB), instead={"insulation/read": (line,)}))
    assert walk(home, first).code == 0
    head = only_log(home).read_bytes().splitlines()[-1][-66:-2].decode()
    only_log(home).rename(home / "earlier.jsonl")
    earlier = f"continues:\n  head: {head}\n  old device: out\n  ends: parked\nsources:\n"
    card = home / "later.yaml"
    card.write_text(text_with(REFERENCE, {"sources:\n": earlier}), encoding="utf-8")

    later = job_with(REFERENCE, {"sources:\n": earlier})
    script = healthy_script(later, Choices(circuit_instrument(later)))
    ran = walk(home, script, card=str(card))
    replay = open_replay(only_log(home), find_folders(home))

    assert ran.code == 0, ran.err
    assert replay.last.state.outcome == "complete"
    assert replay.differences() == ()
    assert replay.job.card.earlier is not None
    assert replay.job.card.earlier.head == head
    assert not {"take out the conductors", "take off the old device"} & set(acts_of(script.walker))
    assert clean(script.walker)


def test_every_end_says_what_it_does() -> None:
    """Each row of the table of ends has a sentence for the list that a person picks from, and a source."""
    assert [row.name for row in ENDINGS.values()] == ["complete", *LEFT]
    assert all(row.says.endswith(".") and row.source for row in ENDINGS.values())


@pytest.mark.parametrize("name", [REFERENCE, "upstream-isolated"])
def test_each_open_end_is_reached_from_every_step(name: str) -> None:
    """Wherever the straight walk stands, each end that can be picked there comes to its closed log.

    Shows: INV-43 and INV-44 of the trade brief.
    """
    tried = 0
    for snapshot in snapshots(job_of(name)):
        for end in open_ends(snapshot.job, snapshot.state.facts):
            walker = fork(snapshot)
            if end == "complete" or snapshot.state.pending is not None:
                continue
            assert not isinstance(walker.give(end_as(end)(walker)), Refusal)
            go(walker, "")
            assert walker.state.outcome in (LEFT[end], "stopped"), (snapshot.state.step, end, walker.state.why_here)
            assert clean(walker), (snapshot.state.step, end, walker.record.broken)
            tried += 1

    assert tried > 200
