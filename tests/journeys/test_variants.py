"""Lights, a split-load shower, an earth electrode, three phases and fly-leads: each walked to its close, sound and not.

Each job is typed line by line into the real command line; the gates of each variant are tried against the core.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from ferrule.engine.journal.replay import Replay
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import facts_of_card
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.needed import needed_texts
from ferrule.engine.safety.acts import ACTS, needs_of, unmet
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.shell.sets import packaged_set, set_texts
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import situation
from tests.support.jobs import card_path, job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, circuit_instrument, healthy_script
from tests.support.walker import Walker

VARIANTS = ("lighting-radial", "shower-split-load", "outbuilding-tt", "three-phase-way", "old-fly-leads")
SIGN_OFFS = ("alone", "supervised", "reviewed later")


def replayed(home: Path) -> Replay:
    """Return the replay of the one practice log of a folder."""
    return open_replay(only_log(home), find_folders(home))


def acts_of(replay: Replay) -> list[tuple[str, str]]:
    """Return act and answer word of each answered step of a log, in order."""
    found = []
    for number in range(1, replay.count + 1):
        for event in replay.at(number).events:
            if isinstance(event, e.Answered):
                step = step_at(replay.job, event.step)
                assert step is not None
                found.append((step.act, event.word))
    return found


@dataclass(frozen=True)
class Sound:
    """What a variant's straight walk does that the others do not, and what it leaves out."""

    card: str
    does: tuple[str, ...]
    leaves_out: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the row is called."""
        return self.card


SOUND = (
    Sound(
        "lighting-radial",
        ("see the point without earth", "disconnect the item", "reconnect the item", "read the protective conductor"),
        ("read ring step one", "time the section device", "land a fly-lead"),
    ),
    Sound("shower-split-load", ("time the section device",), ("disconnect the item", "read the phase rotation")),
    Sound("outbuilding-tt", ("take external impedance from the record",), ("time the section device",)),
    Sound("three-phase-way", ("trace the neutral", "give back a second source"), ("read the phase rotation",)),
    Sound("old-fly-leads", ("land a fly-lead",), ("take out a fly-lead", "see the point without earth")),
)


def first_is_quick(rows: Iterable[Sound | Wrong]) -> list[object]:
    """Return the rows for a test: the first runs always, the others with the slow ones."""
    return [pytest.param(row, id=row.name, marks=[pytest.mark.slow] if at else []) for at, row in enumerate(rows)]


@pytest.mark.parametrize("sound", first_is_quick(SOUND))
def test_sound_variant_is_typed_to_its_close(sound: Sound, tmp_path: Path) -> None:
    """Each variant is typed from card to closed log, does what its kind of job adds, and replays without a difference.

    Shows: WB-02
    """
    script = healthy_script(job_of(sound.card))
    ran = walk(tmp_path, script, card=sound.card)
    replay = replayed(tmp_path)
    done = {act for act, _ in acts_of(replay)}

    assert ran.code == 0, ran.err
    assert replay.last.state.outcome == "complete"
    assert set(sound.does) <= done
    assert not set(sound.leaves_out) & done
    assert script.walker.record.broken == []
    assert script.walker.world.harm == []
    assert replay.differences() == ()


def job_with(name: str, changes: Mapping[str, str]) -> Job:
    """Return a card's job with words of its text changed."""
    text = card_path(name).read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new, 1)
    files = [("card", name, text), *((t.role, t.id, t.text) for t in set_texts(packaged_set()))]
    wanted = needed_texts(files)
    return compile_job([f for f in files if (f[0], f[1]) in wanted])


@pytest.mark.parametrize("sign_off", SIGN_OFFS)
@pytest.mark.parametrize("name", VARIANTS)
def test_variant_closes_under_each_sign_off(name: str, sign_off: str) -> None:
    """With the sign-off of the card changed the same job closes, every hold point signed by whom the plan asks."""
    job = job_with(name, {"sign-off: alone": f"sign-off: {sign_off}"})
    walker = Walker.begin(job).walk()
    by = {event.role for _, events in walker.trail for event in events if isinstance(event, e.Signed)}

    assert walker.state.outcome == "complete"
    assert ("supervisor" in by) is (sign_off == "supervised")
    assert walker.record.broken == []
    assert walker.world.harm == []


# --- one thing wrong in each, to its repair and its close


@dataclass(frozen=True)
class Wrong:
    """Something that shows the first time, and what the walk does about it."""

    case: str
    card: str
    shows: Mapping[str, str] = field(default_factory=dict)
    """Kept name of a reading to what the instrument shows the first time."""
    sees: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    """Step to the cell and the state that is seen there the first time."""
    failed: str = ""
    """The act that fails first."""
    then: tuple[str, ...] = ()
    """Acts after it, in order, before the job closes."""

    @property
    def name(self) -> str:
        """What the row is called."""
        return self.case


WRONG = (
    Wrong(
        "two-way pair open in one position",
        "lighting-radial",
        sees={"protective-conductor-radial/points": ("two-way", "open or other in one position")},
        failed="read the protective conductor",
        then=("read the protective conductor", "read insulation"),
    ),
    Wrong(
        "neutral lent from another light",
        "lighting-radial",
        shows={"separation/N-other": "0.30"},
        failed="read separation",
        then=("remake a joint or cable", "read separation", "read the protective conductor"),
    ),
    Wrong(
        "section device slow while a way was on",
        "shower-split-load",
        shows={"residual/upstream/section": "410"},
        failed="time the section device",
        then=("put the section test right", "time the section device", "read loop impedance"),
    ),
    Wrong(
        "220 ms on an electrode",
        "outbuilding-tt",
        shows={"residual/time": "220"},
        failed="time the residual device",
        then=("time the residual device", "press the test button"),
    ),
    Wrong(
        "voltage between two phases at the busbar",
        "three-phase-way",
        shows={"dead/L2-L3/busbar": "398"},
        failed="prove dead",
        then=("switch off and lock for safety", "list the sources", "prove dead", "trace the neutral"),
    ),
    Wrong(
        "core caught at landing",
        "old-fly-leads",
        shows={"landing/LN-E": "0.40"},
        failed="read insulation after landing",
        then=("read insulation after landing", "land a fly-lead", "torque, tug and mark"),
    ),
)


def first_time(wrong: Wrong, job: Job) -> Callable[[Job, str, Slot], str | None]:
    """Return instruments that show what is wrong until the act has failed once, and the sound circuit after that."""
    sound, left = circuit_instrument(job), dict(wrong.shows)

    def shown(given: Job, step: str, slot: Slot) -> str | None:
        return left.pop(slot.key, None) or sound(given, step, slot)

    return shown


def seen_first(wrong: Wrong, job: Job) -> dict[str, list[str]]:
    """Return the typed lines of the steps at which a bad state is seen the first time."""
    lines = {}
    for where, (cell_id, state) in wrong.sees.items():
        walker = Walker.begin(job)
        while walker.state.step != where:
            command = walker.healthy()
            assert command is not None
            walker.give(command)
        command = walker.healthy()
        while isinstance(command, c.StampRound):
            walker.give(command)
            command = walker.healthy()
        assert isinstance(command, c.Answer)
        words = [state if a.cell == cell_id else a.entered for a in command.cells]
        lines[where] = [f"{where}: start", f"{where}: {' ; '.join(words)}"]
    return lines


def in_order(wanted: Iterable[str], given: list[str]) -> bool:
    """True when the wanted acts stand in the given list in this order."""
    rest = iter(given)
    return all(any(act == other for other in rest) for act in wanted)


@pytest.mark.parametrize("wrong", first_is_quick(WRONG))
def test_one_thing_wrong_is_found_put_right_and_closed(wrong: Wrong, tmp_path: Path) -> None:
    """A reading or a state that is wrong leads to its fault branch, the repair, the test again, and then to the close.

    Shows: DV-05
    """
    job = job_of(wrong.card)
    script = healthy_script(job, Choices(instrument=first_time(wrong, job), instead=seen_first(wrong, job)))
    ran = walk(tmp_path, script, card=wrong.card)
    replay = replayed(tmp_path)
    steps = acts_of(replay)
    bad = next(i for i, (act, word) in enumerate(steps) if act == wrong.failed and word not in ("pass", "done"))

    assert ran.code == 0, ran.err
    assert in_order(wrong.then, [act for act, _ in steps[bad + 1 :]])
    assert replay.last.state.outcome == "complete"
    assert script.walker.record.broken == []
    assert replay.differences() == ()


# --- the gates that a variant adds


def walked_until(job: Job, where: Callable[[Walker], bool]) -> Walker:
    """Return the sound walk of a job as it stands where something is first true."""
    walker = Walker.begin(job)
    for _ in range(300):
        if where(walker):
            return walker
        command = walker.healthy()
        assert command is not None
        walker.give(command)
    raise AssertionError("it never comes to that")


def missing(walker: Walker, act: str, of: str = "") -> set[str]:
    """Return the facts that are missing for an act as the walk stands."""
    return {n.fact for n in unmet(needs_of(ACTS[act], of, walker.job.objects), walker.state.facts)}


def at(procedure: str) -> Callable[[Walker], bool]:
    """True where the walk first stands in a procedure."""
    return lambda walker: walker.state.step.startswith(f"{procedure}/")


def test_neutral_is_parted_only_once_traced() -> None:
    """Until the neutral is traced nothing is taken out, and a lost lock takes the trace back (invariant 35)."""
    walker = walked_until(job_of("three-phase-way"), at("trace-neutral"))
    before = missing(walker, "take out the conductors")
    walker.give(walker.healthy())  # type: ignore[arg-type]
    traced = missing(walker, "take out the conductors")
    walker.give(c.Report(walker.state.operator, walker.stamp(), "source changed", "way-6", "its lock hangs open"))

    assert "neutral" in before
    assert "neutral" not in traced
    assert {"neutral", "zone:circuit", "hold:two"} <= missing(walker, "take out the conductors")
    assert walker.state.facts["source:way-6"] == "unknown"


def test_neutral_shared_with_an_unlisted_way_stops_the_work() -> None:
    """A neutral that serves a way on no list opens the list again, un-proves the board and stops (invariant 35)."""
    walker = walked_until(job_of("three-phase-way"), at("trace-neutral"))
    walker.give(walker.answer("shared neutral", lambda slot: slot.cell.id == "ways"))
    facts = walker.state.facts

    assert (facts["neutral"], facts["check:sources"], facts["zone:circuit"]) == ("shared", "open", "unproved")
    assert (facts["hold:two"], facts["work"]) == ("unsigned", "stopped")
    assert {"neutral", "hold:two", "work"} <= missing(walker, "take out the conductors")


def test_ten_pairs_at_each_point_of_three_phases() -> None:
    """At a board of three phases each proving point has ten pairs, and one that is left open is refused.

    Shows: VR-12
    """
    job = job_of("three-phase-way")
    walker = walked_until(job, lambda w: w.state.step == "prove-dead/pairs" and w.state.round_start_ms is not None)
    command = walker.healthy()
    assert isinstance(command, c.Answer)
    pairs = [cell for cell in command.cells if cell.point]
    short = c.Answer(command.person, command.at, command.step, command.cells[1:])

    assert len(pairs) == 10 * len(job.card.proving_points)
    assert isinstance(walker.give(short), Refusal)


def test_moved_phases_shut_hold_point_seven() -> None:
    """Once the phases were moved, the supply and their order are read again before the functional test."""
    walker = walked_until(job_of("three-phase-way"), at("hold-seven"))
    walker.give(c.Report(walker.state.operator, walker.stamp(), "phases disturbed", "L1-L2-L3", "tails moved"))

    assert {"rotation:L1-L2-L3", "result:incoming supply"} <= missing(walker, "release hold point seven")
    walker.walk()
    assert walker.state.facts["rotation:L1-L2-L3"] == "checked"
    assert walker.state.outcome == "complete"
    assert walker.record.broken == []


def test_phases_cannot_be_moved_on_a_board_of_one() -> None:
    """The report of moved phases has no object on a board of one phase, so it is refused."""
    walker = Walker.begin(job_of("old-fly-leads"))
    found = walker.give(c.Report(walker.state.operator, walker.stamp(), "phases disturbed", "L1-L2-L3", "seen"))

    assert isinstance(found, Refusal)


def test_leads_stay_out_until_the_insulation_has_passed() -> None:
    """Neither lead may be landed before the insulation after landing has passed, and hold point five waits for both."""
    walker = walked_until(job_of("old-fly-leads"), at("landing-insulation"))
    facts = walker.state.facts

    assert (facts["terminal:neutral-bar"], facts["terminal:fe-bar"]) == ("empty", "empty")
    assert "result:landing insulation" in missing(walker, "land a fly-lead", "fe-bar")
    assert {"terminal:neutral-bar", "terminal:fe-bar"} <= missing(walker, "release hold point five")
    assert {"terminal:neutral-bar", "terminal:fe-bar"} <= missing(walker, "see the enclosure")


def test_leads_come_out_again_for_another_insulation_test() -> None:
    """A struck-out insulation test after landing brings the leads out before it is read again, and back after it."""
    walker = walked_until(job_of("old-fly-leads"), at("hold-five"))
    numbers = {act: number for number, (_, act) in walker.record.entries.items()}
    before = len(walker.record.entries)
    read = numbers["read insulation after landing"]
    walker.give(c.Correct(walker.state.operator, walker.stamp(), read, "read on another circuit"))
    walker.walk()
    again = [act for _, act in walker.record.entries.values()][before:]

    assert in_order(("take out a fly-lead", "read insulation after landing", "land a fly-lead"), again)
    assert in_order(("land a fly-lead", "torque, tug and mark", "see the enclosure", "close the way"), again)
    assert walker.state.outcome == "complete"
    assert walker.record.broken == []


def test_points_without_earth_bite() -> None:
    """A metal fitting at a point without earth stops the work; until the point was seen, hold point five is shut."""
    walker = walked_until(job_of("lighting-radial"), at("see-point-without-earth"))
    shut = missing(walker, "release hold point five")
    if walker.state.round_start_ms is None:
        walker.give(walker.healthy())  # type: ignore[arg-type]
    walker.give(walker.answer("fail", lambda slot: slot.cell.id == "fitting"))

    assert "unearthed:L6" in shut
    assert walker.state.facts["unearthed:L6"] == "unseen"
    assert walker.state.facts["work"] == "stopped"


def test_no_reading_to_earth_is_asked_where_there_is_none() -> None:
    """The point without earth has neither a protective-conductor reading nor a loop; the others have both."""
    walker = Walker.begin(job_of("lighting-radial")).walk()
    points = {p.id: p.earthed for p in walker.job.card.circuit.points}

    for name, earthed in points.items():
        assert (f"cpc/{name}" in walker.state.readings) is earthed
        assert (f"zs/{name}" in walker.state.readings) is earthed
    assert list(points.values()).count(False) == 1


def test_section_device_is_timed_with_the_way_off() -> None:
    """On a split-load board the section device is timed while this way is off, and hold point seven waits for it."""
    walker = walked_until(job_of("shower-split-load"), at("time-section"))

    assert walker.state.facts["device"] == "off"
    assert walker.state.facts["source:mains"] == "on"
    assert "section:section" in missing(walker, "release hold point seven")


def test_slow_section_device_is_told_to_the_client() -> None:
    """With all ways off and the set-up right, a slow section device stops the job once the client was told."""
    walker = walked_until(job_of("shower-split-load"), at("time-section"))
    if walker.state.round_start_ms is None:
        walker.give(walker.healthy())  # type: ignore[arg-type]
    walker.give(walker.answer("fail", lambda slot: slot.cell.id == "ms"))
    slow = "all was right, the device is slow or stays on"
    who, where = walker.state.operator, walker.state.step
    cell = walker.step().cells[0].id  # type: ignore[union-attr]
    walker.give(c.Answer(who, walker.stamp(), where, (c.CellAnswer("", cell, c.SEEN, slow),)))
    walker.give(walker.healthy())  # type: ignore[arg-type]

    assert walker.state.facts["section:section"] == "failed"
    assert walker.state.facts["work"] == "stopped"


def test_dropped_instrument_voids_the_section_too() -> None:
    """What a dropped instrument read counts no more, the time of the section device included."""
    walker = walked_until(job_of("shower-split-load"), at("hold-seven"))
    walker.give(c.Report(walker.state.operator, walker.stamp(), "instrument dropped or damaged", "", "fell"))

    assert walker.state.facts["section:section"] == "untimed"
    assert {"section:section", "result:loop impedance"} <= missing(walker, "release hold point seven")


@pytest.mark.parametrize(
    ("setting", "sign_off"), [("as-read", "alone"), ("connected-is-doubtful", "alone"), ("parted", "supervised")]
)
def test_unknown_electrode_is_read_and_judged_as_one(setting: str, sign_off: str) -> None:
    """On TT an electrode that no record gives is read, connected or parted, and judged by its own row, not by Ze's."""
    changes = {"78 ohm, record": "unknown", "sign-off: alone": f"sign-off: {sign_off}"}
    job = job_with("outbuilding-tt", changes)
    settings = {**job.limits.settings, "external-impedance-reading": setting}
    job = replace(job, limits=replace(job.limits, settings=settings))
    job = replace(job, card_facts=facts_of_card(job.card, settings))
    walker = Walker.begin(job).walk(reader=lambda slot: "78.00" if slot.key == "ze" else None)
    (cell,) = [
        cell
        for _, events in walker.trail
        for event in events
        if isinstance(event, e.Answered)
        for cell in event.cells
        if cell.slot == "ze"
    ]

    assert walker.state.outcome == "complete"
    assert (cell.cell, cell.outcome) == ("electrode", "pass")
    assert cell.verdict is not None
    assert cell.verdict["row"] == "electrode"
    assert walker.record.broken == []


def test_reports_are_those_that_the_card_has_objects_for() -> None:
    """Moved phases are offered as a report on a board of three phases and on no other."""
    for name in VARIANTS:
        job = job_of(name)
        offered = situation(job, Walker.begin(job).state, 0).reports

        assert ("phases disturbed" in offered) is (job.card.supply.phases == 3)
