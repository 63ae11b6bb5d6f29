"""Jobs with their diary on a disk that loses power at every moment, and what must hold after the next start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.chain import LogDamaged, read_log
from ferrule.engine.journal.diary import DIARY_NAME, read_diary
from ferrule.engine.shell.diaryfile import DiaryBook, enter_found
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.records import open_record, resume_record
from ferrule.engine.shell.store import NeverOpened
from tests.support.demolog import CLOSE_DATA, JOB_ID, did_data, open_data
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls, Image

FOLDER = Path("records")
SECOND_ID = "20260314t101500z-bbbbbbbbbb"

Saved = tuple[tuple[str, tuple[str, ...]], ...]
"""The files whose lines were acknowledged, each with the sums of them."""
State = tuple[frozenset[tuple[str, bytes]], Saved, frozenset[str]]
"""A disk after a power loss, what was acknowledged before it, and the hashes of the torn tails seen before it."""


@dataclass(slots=True)
class DiarySurvey:
    """How many different states were tried, and what was wrong in which."""

    states: set[State] = field(default_factory=set)
    complaints: list[str] = field(default_factory=list)


def survey_diary(every: int, jobs: int = 2) -> DiarySurvey:
    """Work one or two jobs, lose power everywhere, start again, and again in every `every`-th of those starts."""
    result = DiarySurvey()
    for number, state in enumerate(_first_losses((JOB_ID, SECOND_ID)[:jobs])):
        again: set[State] = set()
        _start(result, state, again if number % every == 0 else None)
        for second in sorted(again - result.states, key=repr):
            _start(result, second, None)
    return result


def _first_losses(jobs: Sequence[str]) -> list[State]:
    calls, clock = FaultCalls(), FakeClock()
    states: set[State] = set()
    saved: dict[str, tuple[str, ...]] = {}

    def look() -> None:
        kept = tuple(sorted(saved.items()))
        states.update((frozenset(image.items()), kept, frozenset()) for image in calls.images())

    def acknowledged() -> None:
        clock.advance(1_500)
        saved.update({name: _sums(name, data) for name, data in calls.contents().items()})
        look()

    calls.watch = look
    for job in jobs:
        log, _ = open_record(FOLDER, open_data(job), clock, calls, None)
        acknowledged()
        for kind, data in (("did", did_data(1)), ("checkpoint", {"stage": "hold point one"}), ("close", CLOSE_DATA)):
            log.append(kind, data)
            acknowledged()
        log.close_file()
    return sorted(states, key=repr)


def _sums(name: str, data: bytes) -> tuple[str, ...]:
    read = read_diary(data) if name == DIARY_NAME else read_log(data)
    return tuple(entry.sum for entry in read.entries)


def _start(result: DiarySurvey, state: State, again: set[State] | None) -> None:
    """Begin work again from one state and complain of whatever is not as it must be."""
    result.states.add(state)
    image, saved, tails = dict(state[0]), state[1], state[2]
    calls = FaultCalls(image)
    seen = tails | _torn(image)
    if again is not None:
        calls.watch = lambda: again.update({(frozenset(left.items()), saved, seen) for left in calls.images()})
    clock = FakeClock("2026-03-14T11:45:00.000+00:00", mono_ms=9_000, boot="boot-2")
    try:
        with DiaryBook(FOLDER, clock, calls).writing() as diary:
            enter_found(diary, calls)
        for job in (JOB_ID, SECOND_ID):
            _take_up(job, image, clock, calls)
    except (StoreError, LogDamaged) as error:
        result.complaints.append(f"work cannot go on: {error}")
        return
    _judge(result, calls.contents(), dict(saved), seen)


def _take_up(job: str, image: Image, clock: FakeClock, calls: FaultCalls) -> None:
    name = f"{job}.jsonl"
    if name in image and not read_log(image[name]).closed:
        try:
            resume_record(FOLDER / name, clock, calls, None)[0].close_file()
        except NeverOpened:
            return


def _judge(result: DiarySurvey, contents: Image, saved: dict[str, tuple[str, ...]], seen: frozenset[str]) -> None:
    for name, sums in saved.items():
        if name not in contents or _sums(name, contents[name])[: len(sums)] != sums:
            result.complaints.append(f"acknowledged lines of {name} are lost")
    diary = read_diary(contents.get(DIARY_NAME, b""))
    named = {line.data["job_id"] for line in diary.entries if line.kind != "resumed"}
    whole = {name.removesuffix(".jsonl") for name, data in contents.items() if _is_log(name) and read_log(data).entries}
    if not whole <= named:
        result.complaints.append("a log was left without a line in the diary")
    told = {line.data["torn_sha256"] for line in diary.entries if line.kind == "resumed"}
    if not seen <= told or not seen <= {sha256_hex(data) for data in contents.values()}:
        result.complaints.append("a torn end of the diary was cut without being set aside and named")


def _is_log(name: str) -> bool:
    return name.endswith(".jsonl") and name != DIARY_NAME


def _torn(image: Image) -> frozenset[str]:
    read = read_diary(image.get(DIARY_NAME, b""))
    return frozenset({sha256_hex(read.tail)} if read.torn else ())
