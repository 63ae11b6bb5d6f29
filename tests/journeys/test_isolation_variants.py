"""Isolated upstream, a board behind a board, an added way, several ways in one shutdown: each walked to its close.

Each job is typed line by line into the real command line; the gates of each variant are tried against the core.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.acts import ACTS, needs_of, unmet
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot
from tests.support.ends import acts_of, answers, go, job_with, reports
from tests.support.jobs import job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, healthy_script
from tests.support.walker import Walker

VARIANTS = ("upstream-isolated", "sub-board", "added-way", "several-ways")


@dataclass(frozen=True)
class Sound:
    """What a variant's straight walk does, in this order, and what it leaves out."""

    card: str
    does: tuple[str, ...]
    leaves_out: tuple[str, ...]


SOUND = (
    Sound(
        "upstream-isolated",
        (
            "isolate and lock",
            "prove dead",
            "give back the upstream side",
            "read the incoming supply",
            "give back the main switch",
        ),
        ("hear of another way", "part the main bonding"),
    ),
    Sound(
        "sub-board",
        (
            "give back the upstream side",
            "read external impedance with earthing connected",
            "give back the main switch",
            "close the way",
        ),
        ("take external impedance from the record", "give back a second source"),
    ),
    Sound(
        "added-way",
        (
            "bring the conductors in",
            "part the main bonding",
            "read the parted bonding",
            "join the main bonding again",
            "close the way",
        ),
        ("take out the conductors", "read the main bonding", "give back the upstream side"),
    ),
    Sound(
        "several-ways",
        ("release hold point five", "hear of another way", "give back the main switch"),
        ("give back the upstream side",),
    ),
)


def in_order(acts: list[str], wanted: tuple[str, ...]) -> bool:
    """True when the wanted acts come in this order."""
    rest = iter(acts)
    return all(act in rest for act in wanted)


def done(walker: Walker) -> list[str]:
    """Return acts and signatures of a walk, in order."""
    found = []
    for _, events in walker.trail:
        for event in events:
            if isinstance(event, e.Signed):
                found.append(f"release hold point {event.hold}")
            if isinstance(event, e.Answered):
                name, _, step = event.step.partition("/")
                found += [s.act for s in walker.job.procedures[name].steps if s.id == step]
    return found


def clean(walker: Walker) -> bool:
    """True when no monitor and no hand complains."""
    return walker.record.broken == [] and walker.world.harm == []


@pytest.mark.parametrize("sound", SOUND, ids=lambda s: s.card)
def test_sound_variant_is_typed_to_its_close(sound: Sound, home: Path) -> None:
    """Each variant is typed from card to closed log, does what its kind of job adds, and replays without a difference.

    Shows: WB-02
    """
    script = healthy_script(job_of(sound.card))
    ran = walk(home, script, card=sound.card)
    replay = open_replay(only_log(home), find_folders(home))

    assert ran.code == 0, ran.err
    assert replay.last.state.outcome == "complete"
    assert in_order(done(script.walker), sound.does)
    assert not set(sound.leaves_out) & set(done(script.walker))
    assert replay.differences() == ()
    assert clean(script.walker)


@pytest.mark.parametrize("sign_off", ["supervised", "reviewed later"])
@pytest.mark.parametrize("name", VARIANTS)
def test_variant_closes_under_each_sign_off(name: str, sign_off: str) -> None:
    """With the sign-off of the card changed the same job closes."""
    walker = go(Walker.begin(job_with(name, {"sign-off: alone": f"sign-off: {sign_off}"})), "")

    assert walker.state.outcome == "complete"
    assert clean(walker)


# --- one thing wrong in each, to its repair and its close


@dataclass(frozen=True)
class Wrong:
    """Something that shows the first time, and what the walk does about it."""

    card: str
    shows: Mapping[str, str] = field(default_factory=dict)
    """Kept name of a reading to what the instrument shows the first time."""
    typed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Step to the line that is typed there the first time."""
    failed: str = ""
    then: tuple[str, ...] = ()


WRONG = (
    Wrong(
        "upstream-isolated",
        shows={"dead/L-N/incoming": "230"},
        failed="prove dead",
        then=("switch off and lock for safety", "list the sources", "prove dead", "give back the upstream side"),
    ),
    Wrong(
        "sub-board",
        shows={"ze": "9.50"},
        failed="read external impedance with earthing connected",
        then=("read external impedance with earthing connected", "close the way"),
    ),
    Wrong(
        "added-way",
        shows={"bonding": "1.20"},
        failed="read the parted bonding",
        then=(
            "remake the main bonding",
            "part the main bonding",
            "read the parted bonding",
            "join the main bonding again",
        ),
    ),
    Wrong(
        "several-ways",
        shows={"insulation/L-E": "0.20"},
        typed={"other-ways/hear": ("other-ways/hear: still at work ; Bay Kiln says so",)},
        failed="read insulation",
        then=("read insulation", "hear of another way", "hear of another way", "give back the main switch"),
    ),
)


class Once:
    """An instrument that shows something wrong the first time it is put to a place, and leaves it to the core after."""

    def __init__(self, shows: Mapping[str, str]) -> None:
        self._left = dict(shows)

    def __call__(self, _job: Job, _step: str, slot: Slot) -> str | None:
        return self._left.pop(slot.key, None)


@pytest.mark.parametrize("wrong", WRONG, ids=lambda w: w.card)
def test_variant_with_something_wrong_is_mended_and_closes(wrong: Wrong, home: Path) -> None:
    """In each variant one thing is wrong at first; the walk goes through it, back, and on to a closed log.

    Shows: DV-05
    """
    script = healthy_script(job_of(wrong.card), Choices(Once(wrong.shows), instead=wrong.typed))
    ran = walk(home, script, card=wrong.card)
    replay = open_replay(only_log(home), find_folders(home))
    acts = acts_of(script.walker)

    assert ran.code == 0, ran.err
    assert replay.last.state.outcome == "complete"
    assert in_order(acts, (wrong.failed, *wrong.then))
    assert replay.differences() == ()
    assert clean(script.walker)


# --- what each variant keeps shut


def missing(walker: Walker, act: str, of: str = "") -> set[str]:
    """Return the facts that an act still waits for."""
    job = walker.job
    return {need.fact for need in unmet(needs_of(ACTS[act], of, job.objects), walker.state.facts)}


def test_the_incoming_side_counts_as_live_until_it_was_proved() -> None:
    """With the cut-out pulled nothing is touched before the incoming side was proved too; a lost seal takes it back.

    Shows: INV-14 of the trade brief.
    """
    walker = go(Walker.begin(job_of("upstream-isolated")), "prove-dead")
    assert walker.state.facts["incoming:cutout"] == "unproved"
    assert "incoming:cutout" in missing(walker, "release hold point two")
    assert walker.state.custody["cutout"] == "distributor"

    go(walker, "mark-conductors")
    assert walker.state.facts["incoming:cutout"] == "proved"
    walker.give(reports("lock or key lost", "cutout")(walker))
    assert walker.state.facts["incoming:cutout"] == "unproved"
    assert walker.state.facts["hold:two"] == "unsigned"


def test_supply_comes_back_upstream_first() -> None:
    """The main switch waits for the supply upstream, and its fuse comes back by its owner, whoever types it.

    Shows: INV-9 and INV-11 of the trade brief.
    """
    walker = go(Walker.begin(job_of("upstream-isolated")), "give-back-upstream")
    assert "source:cutout" in missing(walker, "give back the main switch", "mains")
    go(walker, "give-back-main-switch")
    assert walker.state.facts["incoming:cutout"] == "live"
    assert missing(walker, "give back the main switch", "mains") == set()


def test_our_own_lock_upstream_comes_off_by_the_hand_that_put_it_on() -> None:
    """On a board behind a board the lock upstream is ours, and nobody but its owner takes it off (INV-9)."""
    more = "  - {id: mate, name: Clay Reed, roles: [technician], until: 2027-06-30}\n  - {id: client"
    walker = go(Walker.begin(job_with("sub-board", {"  - {id: client": more})), "give-back-upstream")
    answer = walker.answer()
    found = walker.give(c.Answer("mate", answer.at, answer.step, answer.cells))

    assert isinstance(found, Refusal)
    assert found.code == "not-your-lock"


def test_nothing_closes_while_the_bonding_is_parted() -> None:
    """With one end of the bonding parted every closing waits for it to be joined again.

    Shows: INV-17 of the trade brief.
    """
    walker = go(Walker.begin(job_of("added-way")), "main-bonding-parted/read")

    assert walker.state.facts["bonding"] == "off"
    for act, of in (
        ("give back the main switch", "mains"),
        ("close the way", ""),
        ("give back a second source", "inverter"),
    ):
        assert "bonding" in missing(walker, act, of)


@pytest.mark.parametrize(("word", "opens"), [("still open", False), ("made safe", True), ("pass", True)])
def test_a_lock_leaves_only_when_every_way_is_over(word: str, opens: bool) -> None:
    """The main switch waits until each other way of the shutdown is finished or made safe."""
    walker = go(Walker.begin(job_of("several-ways")), "other-ways")
    assert "other way:way-4" in missing(walker, "give back the main switch", "mains")
    walker.give(answers(word)(walker))

    assert ("other way:way-4" not in missing(walker, "give back the main switch", "mains")) is opens
    assert walker.state.step.startswith("give-back-main-switch" if opens else "other-ways")


def test_another_way_taken_up_again_shuts_the_main_switch() -> None:
    """Whoever reports that another way is at work again keeps the supply off until that one is over."""
    walker = go(Walker.begin(job_of("several-ways")), "give-back-main-switch")
    walker.give(reports("other way taken up again", "way-4")(walker))

    assert walker.state.step.startswith("other-ways")
    go(walker, "")
    assert walker.state.outcome == "complete"
    assert clean(walker)
