"""A job on a disk that loses power at every moment, and what must hold after the next start."""

from dataclasses import dataclass, field
from pathlib import Path

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.chain import LogDamaged, read_log
from ferrule.engine.journal.entry import Entry
from ferrule.engine.shell.store import LogWriter, NeverOpened, StoreError
from tests.support.demolog import JOB_ID, did_data, open_data
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls, Image

FOLDER = Path("records")
LOG = FOLDER / f"{JOB_ID}.jsonl"

State = tuple[frozenset[tuple[str, bytes]], tuple[str, ...], frozenset[str]]
"""A disk after a power loss, the sums acknowledged before it, and the hashes of the tails seen before it."""


@dataclass(slots=True)
class Survey:
    """How many different states were tried, and what was wrong in which."""

    writer: type[LogWriter]
    states: set[State] = field(default_factory=set)
    complaints: list[str] = field(default_factory=list)


def survey(writer: type[LogWriter], every: int) -> Survey:
    """Run a job, lose power everywhere, start again, and lose power in every `every`-th of those starts too."""
    result = Survey(writer)
    for number, state in enumerate(_first_losses(writer)):
        again: set[State] = set()
        _start(result, state, again if number % every == 0 else None)
        for second in sorted(again - result.states, key=repr):
            _start(result, second, None)
    return result


def _first_losses(writer: type[LogWriter]) -> list[State]:
    calls = FaultCalls()
    acked: list[Entry] = []
    states: set[State] = set()
    calls.watch = lambda: states.update(_states(calls, acked, frozenset()))
    clock = FakeClock()
    log = writer.create(FOLDER, open_data(), clock, calls)
    acked.extend(log.entries)
    calls.watch()
    for number in range(6):
        clock.advance(1_500)
        acked.append(log.append("did", did_data(number)))
        calls.watch()
    return sorted(states, key=repr)


def _states(calls: FaultCalls, acked: list[Entry], tails: frozenset[str]) -> set[State]:
    sums = tuple(entry.sum for entry in acked)
    return {(frozenset(image.items()), sums, tails) for image in calls.images()}


def _start(result: Survey, state: State, again: set[State] | None) -> None:
    """Resume from one state and complain of whatever is not as it must be."""
    result.states.add(state)
    image, acked, tails = dict(state[0]), state[1], state[2]
    calls = FaultCalls(image)
    seen = tails | _torn_tail(image)
    if again is not None:
        calls.watch = lambda: again.update({(frozenset(left.items()), acked, seen) for left in calls.images()})
    clock = FakeClock("2026-03-14T09:45:00.000+00:00", mono_ms=9_000, boot="boot-2")
    try:
        result.writer.resume(LOG, clock, calls)
        read = read_log(calls.content(LOG.name))
    except (NeverOpened, LogDamaged, StoreError) as error:
        if acked or isinstance(error, LogDamaged):
            result.complaints.append(f"{len(acked)} entries acknowledged, then: {error}")
        return
    sums = [entry.sum for entry in read.entries]
    named = {entry.data["torn_sha256"] for entry in read.entries if entry.kind == "resumed"}
    kept = {sha256_hex(content) for content in calls.contents().values()}
    if tuple(sums[: len(acked)]) != acked or read.torn:
        result.complaints.append("an acknowledged entry is lost, or the log is still torn")
    if not seen <= named or not seen <= kept:
        result.complaints.append("a torn tail was cut without being set aside and named")


def _torn_tail(image: Image) -> frozenset[str]:
    if LOG.name not in image:
        return frozenset()
    try:
        read = read_log(image[LOG.name])
    except LogDamaged:
        return frozenset()
    return frozenset({sha256_hex(read.tail)} if read.torn and read.entries else ())
