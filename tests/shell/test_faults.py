"""A disk that reports errors: every error is told, nothing acknowledged is lost, and fsync is never tried twice."""

import errno
from pathlib import Path

import pytest

from ferrule.engine.journal.chain import LogDamaged, LogRead, read_log
from ferrule.engine.journal.entry import Entry
from ferrule.engine.shell.store import LogWriter, NeverOpened, StoreError
from tests.shell.powerloss import FOLDER, LOG
from tests.support.demolog import did_data, open_data
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls

STEPS = 3


def run_job(writer: type[LogWriter], calls: FaultCalls) -> list[Entry]:
    """Open a job and confirm some steps; returns what was acknowledged."""
    clock = FakeClock()
    try:
        log = writer.create(FOLDER, open_data(), clock, calls)
    except StoreError:
        return []
    acked = list(log.entries)
    for number in range(STEPS):
        clock.advance(1_000)
        try:
            acked.append(log.append("did", did_data(number)))
        except StoreError:
            continue
    return acked


def go_on(calls: FaultCalls, acked: list[Entry]) -> list[Entry]:
    """Start the program again on the running machine and confirm one more step."""
    calls.end_process()
    try:
        log, _ = LogWriter.resume(LOG, FakeClock("2026-03-14T10:00:00.000+00:00"), calls)
    except NeverOpened:
        assert acked == []
        return []
    except StoreError:
        assert LOG.name not in calls.contents()
        assert acked == []
        return []
    log.append("did", did_data(77))
    return list(log.entries)


def lost_after_power_loss(calls: FaultCalls, acked: list[Entry]) -> bool:
    """True if some state that a power loss can leave now is damaged or lacks an acknowledged entry."""
    sums = [entry.sum for entry in acked]
    for content in {image.get(LOG.name, b"") for image in calls.images()}:
        try:
            read = read_log(content)
        except LogDamaged:
            return True
        if [entry.sum for entry in read.entries][: len(sums)] != sums:
            return True
    return False


def calls_in_a_job(chunk: int) -> int:
    """How many calls a job makes on a sound disk."""
    calls = FaultCalls(chunk=chunk)
    run_job(LogWriter, calls)
    return len(calls.trace)


def failing(at: int, code: int, *, sticky: bool, chunk: int, fate: int) -> FaultCalls:
    """A disk whose call number `at` fails, and all later ones too if the fault is sticky."""
    calls = FaultCalls(chunk=chunk)
    calls.fate = fate
    calls.fault = lambda _name, number: code if number == at or (sticky and number > at) else None
    return calls


@pytest.mark.parametrize("fate", [0, 50, 100])
@pytest.mark.parametrize("sticky", [False, True])
@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC])
@pytest.mark.parametrize("chunk", [1 << 20, 250])
def test_error_at_every_call_loses_no_acknowledged_entry(chunk: int, code: int, sticky: bool, fate: int) -> None:
    """Whichever call fails, once or for good, only our own error comes out; after a new start of the program, and
    after a power loss on top of that, every acknowledged entry is there. Shows: IR-01."""
    for at in range(calls_in_a_job(chunk)):
        calls = failing(at, code, sticky=sticky, chunk=chunk, fate=fate)
        acked = run_job(LogWriter, calls)
        assert not lost_after_power_loss(calls, acked), f"call {at}"

        again = go_on(calls, acked)

        assert [entry.sum for entry in again][: len(acked)] == [entry.sum for entry in acked], f"call {at}"
        assert not lost_after_power_loss(calls, again), f"call {at}"


def test_failed_write_is_taken_back_and_the_writer_goes_on() -> None:
    """A full disk costs only the step that could not be saved: its first bytes are cut away, the message says that
    the step is still open, and the next step is saved. Shows: IR-01."""
    calls = FaultCalls(chunk=64)
    log = LogWriter.create(FOLDER, open_data(), FakeClock(), calls)
    before = calls.content(LOG.name)
    third_write = calls.trace.count("write") + 3

    calls.fault = lambda name, _number: (
        errno.ENOSPC if name == "write" and calls.trace.count("write") == third_write else None
    )
    with pytest.raises(StoreError, match=r"the disk is full.*the step is still open"):
        log.append("did", did_data(1))

    assert calls.content(LOG.name) == before
    assert log.append("did", did_data(2)).seq == 1


def test_one_byte_at_a_time_is_saved_whole() -> None:
    """A system that takes one byte a call still gets whole lines, also while a torn tail is set aside. Shows: IR-02."""
    calls = FaultCalls(chunk=1)
    acked = run_job(LogWriter, calls)
    torn = calls.content(LOG.name) + acked[0].sum.encode()
    calls = FaultCalls({LOG.name: torn}, chunk=1)

    log, read = LogWriter.resume(LOG, FakeClock("2026-03-14T10:00:00.000+00:00"), calls)

    assert list(read.entries) == acked
    assert calls.content(log.cut_tails[0].path.name) == read.tail


def test_failed_fsync_ends_the_writer() -> None:
    """After a failed fsync the writer refuses everything and never asks the disk again. Shows: IR-01."""
    calls = FaultCalls()
    log = LogWriter.create(FOLDER, open_data(), FakeClock(), calls)
    calls.fault = lambda name, _number: errno.EIO if name == "fsync" else None
    with pytest.raises(StoreError, match="did not confirm the last save"):
        log.append("did", did_data(1))
    calls.fault = lambda _name, _number: None
    made = len(calls.trace)

    with pytest.raises(StoreError, match="Open the job again"):
        log.append("did", did_data(2))

    assert len(calls.trace) == made
    assert len(log.entries) == 1


def test_failed_cut_ends_the_writer() -> None:
    """If a failed write cannot be taken back either, nothing more is written behind its remains. Shows: IR-01."""
    calls = FaultCalls()
    log = LogWriter.create(FOLDER, open_data(), FakeClock(), calls)
    calls.fault = lambda name, _number: errno.EIO if name in ("write", "ftruncate") else None
    with pytest.raises(StoreError, match="could not be taken back"):
        log.append("did", did_data(1))
    calls.fault = lambda _name, _number: None

    with pytest.raises(StoreError, match="could not be taken back"):
        log.append("did", did_data(2))


class TriesFsyncAgain(LogWriter):
    """Asks a second time after a failed fsync, and believes the answer."""

    def _sync(self) -> None:
        try:
            super()._sync()
        except OSError:
            super()._sync()


class TrustsTheLastLine(LogWriter):
    """Builds on the last line as it reads, without making it durable first."""

    @classmethod
    def trusting(cls, calls: FaultCalls) -> list[Entry]:
        """The entries after a start that skips the rewrite."""
        handle = calls.open_log(LOG)
        read: LogRead = read_log(calls.content(LOG.name))
        log = cls(LOG, handle, FakeClock("2026-03-14T10:00:00.000+00:00"), calls, read)
        log._mend(read, "opened again", always=True)
        return list(log.entries)


def test_a_writer_that_tries_fsync_again_is_caught() -> None:
    """The disk of these tests does lose what a second fsync claims to have saved. Shows: IR-01."""
    calls = FaultCalls()
    third = [0]

    def fault(name: str, _number: int) -> int | None:
        third[0] += name == "fsync"
        return errno.EIO if name == "fsync" and third[0] == 3 else None

    calls.fault = fault
    acked = run_job(TriesFsyncAgain, calls)

    assert lost_after_power_loss(calls, acked)


def test_a_start_that_trusts_the_last_line_is_caught() -> None:
    """A line that a failed fsync left readable is not durable: a start that does not write it again loses what it
    then acknowledges behind it. Shows: IR-01."""
    calls = FaultCalls()
    log = LogWriter.create(FOLDER, open_data(), FakeClock(), calls)
    calls.fault = lambda name, _number: errno.EIO if name == "fsync" else None
    with pytest.raises(StoreError):
        log.append("did", did_data(1))
    calls.end_process()
    acked = TrustsTheLastLine.trusting(calls)

    assert lost_after_power_loss(calls, acked)


def test_little_free_space_refuses_a_new_job() -> None:
    """Below 16 MiB no job is opened and no file is made; at 16 MiB it is. Shows: IR-01."""
    calls = FaultCalls()
    calls.free = 16 * 1024 * 1024 - 1
    with pytest.raises(StoreError, match="16383 KiB free, and 16384 KiB are needed"):
        LogWriter.create(FOLDER, open_data(), FakeClock(), calls)
    assert calls.contents() == {}

    calls.free += 1

    assert LogWriter.create(FOLDER, open_data(), FakeClock(), calls).path == Path("records") / LOG.name
