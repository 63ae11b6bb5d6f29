"""What the log of a job takes, in which order, and with which times."""

import inspect
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.chain import LogDamaged, read_log
from ferrule.engine.journal.entry import EntryError
from ferrule.engine.journal.schema import is_job_id
from ferrule.engine.shell import store
from ferrule.engine.shell.store import LogClosed, LogWriter, NeverOpened, StoreError, list_logs, new_job_id
from tests.shell.powerloss import FOLDER, LOG
from tests.support.demolog import CLOSE_DATA, JOB_ID, SIGNATURE_DATA, demo_lines, did_data, open_data, write_lines
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls


def new_log(clock: FakeClock | None = None) -> tuple[LogWriter, FaultCalls, FakeClock]:
    """A job just opened on a disk in memory."""
    calls, clock = FaultCalls(), clock or FakeClock()
    return LogWriter.create(FOLDER, open_data(), clock, calls), calls, clock


def kinds(log: LogWriter) -> list[str]:
    """The kinds of the entries, in order."""
    return [entry.kind for entry in log.entries]


def test_log_only_grows() -> None:
    """Whatever is done with a log, each state of the file is the beginning of the next. Shows: RI-01."""
    log, calls, clock = new_log()
    states = [calls.content(LOG.name)]
    todo: list[Callable[[], Any]] = [
        lambda: log.append("did", did_data(1)),
        lambda: clock.step_wall(-3_600_000),
        lambda: log.append("checkpoint", {"stage": "dead tests"}),
        lambda: log.append("close", CLOSE_DATA),
        lambda: log.append("signature", SIGNATURE_DATA),
    ]
    for act in todo:
        act()
        states.append(calls.content(LOG.name))

    assert all(later.startswith(earlier) for earlier, later in pairwise(states))
    assert len(states[-1]) > len(states[0])


def test_no_public_function_changes_an_entry() -> None:
    """The writer offers adding, closing and asking, and nothing else. Shows: RI-01."""
    public = {name for name, _ in inspect.getmembers(LogWriter) if not name.startswith("_")}

    assert public == {
        "append",
        "append_signature",
        "close_file",
        "count",
        "create",
        "entries",
        "failed",
        "head",
        "moved_to",
        "name",
        "now_ms",
        "reopen_to_sign",
        "resume",
        "today",
        "wall",
    }


def test_writer_and_reader_agree() -> None:
    """What the writer says it wrote is what a reader finds, head and all."""
    log, calls, clock = new_log()
    clock.advance(2_500)
    entry = log.append("did", did_data(1))

    read = read_log(calls.content(LOG.name))

    assert read.entries == log.entries
    assert log.head == entry.sum == read.entries[-1].sum
    assert [entry.mono_ms for entry in read.entries] == [0, 2_500]


def test_clock_set_back_is_noticed_and_cannot_reorder() -> None:
    """The clock is set back an hour: an entry says so before the next step, and the order stays that of the numbers.
    Shows: TM-07."""
    log, _, clock = new_log()
    clock.advance(10_000)
    clock.step_wall(-3_600_000)

    log.append("did", did_data(1))

    assert kinds(log) == ["open", "clock_step", "did"]
    assert log.entries[1].data == {
        "wall_before": "2026-03-14T09:30:00.000+00:00",
        "wall_after": "2026-03-14T08:30:10.000+00:00",
        "mono_ms_before": 0,
        "mono_ms_after": 10_000,
    }
    assert [entry.seq for entry in log.entries] == [0, 1, 2]
    assert log.entries[2].wall < log.entries[0].wall
    assert log.entries[2].mono_ms > log.entries[0].mono_ms


@pytest.mark.parametrize(("step_ms", "told"), [(2_000, False), (2_001, True), (-2_000, False), (-2_001, True)])
def test_clock_step_begins_above_two_seconds(step_ms: int, told: bool) -> None:
    """Two seconds apart are let pass, a millisecond more is told, in both directions. Shows: TM-07."""
    log, _, clock = new_log()
    clock.step_wall(step_ms)

    log.append("did", did_data(1))

    assert ("clock_step" in kinds(log)) is told


def test_change_of_zone_is_no_clock_step() -> None:
    """The same moment told with another offset is the same moment. Shows: TM-07."""

    class Travelling(FakeClock):
        def wall(self) -> str:
            return super().wall().replace("09:30:00.000+00:00", "10:30:00.000+01:00") if self.away else super().wall()

        away = False

    clock = Travelling()
    log, _, _ = new_log(clock)
    clock.away = True

    log.append("did", did_data(1))

    assert kinds(log) == ["open", "did"]
    assert log.entries[1].wall == "2026-03-14T10:30:00.000+01:00"


def test_writer_tells_the_time_of_the_next_entry() -> None:
    """Between entries the writer says how long the job is open and which day it is. Shows: TM-04."""
    log, calls, clock = new_log()
    clock.advance(40_000)
    assert (log.now_ms(), log.today()) == (40_000, "2026-03-14")
    log.append("did", did_data(1))
    calls.end_process()
    clock.advance(15_000)

    log, _ = LogWriter.resume(LOG, clock, calls)

    assert log.now_ms() == 55_000


def test_elapsed_time_goes_on_over_a_new_start_of_the_program() -> None:
    """In one run of the machine the steady clock bridges the break, also while the time of day is set, and the
    setting is told. Shows: TM-07."""
    log, calls, clock = new_log()
    clock.advance(5_000)
    log.append("did", did_data(1))
    calls.end_process()
    clock.advance(40_000)
    clock.step_wall(-600_000)

    log, _ = LogWriter.resume(LOG, clock, calls)

    assert kinds(log) == ["open", "did", "clock_step", "resumed"]
    assert log.entries[-1].mono_ms == 45_000


def test_elapsed_time_goes_on_over_a_restart_of_the_machine() -> None:
    """After a restart the time of day bridges the gap, and counting goes on from there; a later break in the new run
    is bridged by its steady clock."""
    log, calls, clock = new_log()
    clock.advance(5_000)
    log.append("did", did_data(1))
    calls.end_process()
    clock.reboot("boot-2", gap_ms=90_000)
    log, _ = LogWriter.resume(LOG, clock, calls)
    clock.advance(1_000)
    log.append("did", did_data(2))
    calls.end_process()
    clock.advance(7_000)

    log, _ = LogWriter.resume(LOG, clock, calls)

    assert [entry.mono_ms for entry in log.entries] == [0, 5_000, 95_000, 96_000, 103_000]
    assert "clock_step" not in kinds(log)


def test_elapsed_time_never_goes_back_over_a_restart() -> None:
    """If the time of day went back over a restart, the elapsed time stands still and the step is told. Shows: TM-07."""
    log, calls, clock = new_log()
    clock.advance(5_000)
    log.append("did", did_data(1))
    calls.end_process()
    clock.reboot("boot-2", gap_ms=-86_400_000)

    log, _ = LogWriter.resume(LOG, clock, calls)

    assert kinds(log) == ["open", "did", "clock_step", "resumed"]
    assert [entry.mono_ms for entry in log.entries] == [0, 5_000, 5_000, 5_000]


def test_wrong_data_is_refused_and_nothing_is_written() -> None:
    """An entry that a reader would refuse is never written, and the writer goes on."""
    log, calls, _ = new_log()
    before = calls.content(LOG.name)
    for kind, data in [
        ("did", {"command": {}}),
        ("guess", {}),
        ("open", open_data()),
        ("did", did_data(1) | {"person": "x" * 5_000}),
        ("did", did_data(1) | {"events": [{"value": 0.5}]}),
    ]:
        with pytest.raises(EntryError):
            log.append(kind, data)

    assert calls.content(LOG.name) == before
    assert log.append("did", did_data(1)).seq == 1


def test_closed_job_takes_signatures_only() -> None:
    """After the job was closed a step is refused by the writer in hand and by every later start. Shows: RI-01."""
    log, calls, clock = new_log()
    log.append("close", CLOSE_DATA)
    with pytest.raises(EntryError, match="after the job was closed"):
        log.append("did", did_data(1))
    calls.end_process()
    with pytest.raises(LogClosed, match="was closed, so no step can be added"):
        LogWriter.resume(LOG, clock, calls)
    calls.end_process()

    log, read = LogWriter.reopen_to_sign(LOG, clock, calls)
    clock.step_wall(-9_000)
    log.append("signature", SIGNATURE_DATA)

    assert read.closed
    assert kinds(log) == ["open", "close", "signature"]
    with pytest.raises(EntryError, match="after the job was closed"):
        log.append("checkpoint", {"stage": "late"})


def test_torn_signature_is_set_aside_and_the_job_stays_closed() -> None:
    """A signature that a power loss cut off is kept beside the log, named, and can be given again. Shows: IR-02."""
    whole = b"".join(demo_lines())
    calls = FaultCalls({LOG.name: whole + b'{"body":{"boot":'})

    log, read = LogWriter.reopen_to_sign(LOG, FakeClock(), calls)

    log.append("signature", SIGNATURE_DATA)
    assert read.torn
    assert kinds(log)[-3:] == ["close", "resumed", "signature"]
    assert calls.content(log.cut_tails[0].path.name) == b'{"body":{"boot":'


def test_open_job_cannot_be_signed() -> None:
    """Signing needs a closed job, and the message says to close it first."""
    log, calls, clock = new_log()
    log.close_file()

    with pytest.raises(StoreError, match="not closed yet"):
        LogWriter.reopen_to_sign(LOG, clock, calls)


def test_damaged_log_is_refused_and_left_alone() -> None:
    """One changed byte in the middle: the entry is named, nothing is written, nothing is set aside. Shows: RI-14."""
    lines = demo_lines()[:4]
    damaged = lines[0] + lines[1].replace(b"0.31", b"0.13", 1) + b"".join(lines[2:])
    calls = FaultCalls({LOG.name: damaged})

    with pytest.raises(LogDamaged, match="Entry 2 of this log"):
        LogWriter.resume(LOG, FakeClock(), calls)

    assert calls.contents() == {LOG.name: damaged}
    assert not {"write", "rewrite", "ftruncate"} & set(calls.trace)


@pytest.mark.parametrize("content", [b"", b'{"body":', demo_lines()[0][:-1], bytes(700)])
def test_log_without_a_whole_first_entry_was_never_opened(content: bytes) -> None:
    """Power lost while a job was being opened: nothing was confirmed, and the file is left as it is. Shows: IR-02."""
    calls = FaultCalls({LOG.name: content})

    with pytest.raises(NeverOpened, match="no step was ever confirmed"):
        LogWriter.resume(LOG, FakeClock(), calls)

    assert calls.contents() == {LOG.name: content}


def test_log_under_another_name_is_not_written_to() -> None:
    """A copy of a log under another name is no second place to go on with the job. Shows: IR-10."""
    calls = FaultCalls({"copy.jsonl": b"".join(demo_lines()[:2])})

    with pytest.raises(StoreError, match=f"copy.jsonl holds the log of job {JOB_ID}"):
        LogWriter.resume(FOLDER / "copy.jsonl", FakeClock(), calls)


def test_two_torn_tails_of_one_job_are_both_kept_and_named() -> None:
    """A crash, a start that crashes before it says so, and another start: each tail is in its file, each named once,
    also on later starts. Shows: IR-02."""
    whole = b"".join(demo_lines()[:2])
    earlier = f"{LOG.name}.torn-{len(whole)}-{sha256_hex(b'first')[:8]}"
    calls = FaultCalls({LOG.name: whole + b"second", earlier: b"first"})

    log, _ = LogWriter.resume(LOG, FakeClock(), calls)
    log.close_file()
    again, _ = LogWriter.resume(LOG, FakeClock(), calls)

    assert [tail.size for tail in log.cut_tails] == [5, 6]
    assert again.cut_tails == ()
    assert [entry.data["torn_bytes"] for entry in again.entries if entry.kind == "resumed"] == [5, 6, 0]


def test_half_a_copy_of_a_torn_tail_is_neither_trusted_nor_overwritten() -> None:
    """A start that crashed while copying left half a copy: it stays, a whole one stands beside it and is the one
    that is named. Shows: IR-02."""
    whole = b"".join(demo_lines()[:2])
    half = f"{LOG.name}.torn-{len(whole)}-{sha256_hex(b'second')[:8]}"
    calls = FaultCalls({LOG.name: whole + b"second", half: b"sec"})

    log, _ = LogWriter.resume(LOG, FakeClock(), calls)

    assert calls.content(half) == b"sec"
    assert [tail.path.name for tail in log.cut_tails] == [f"{half}.2"]
    assert calls.content(f"{half}.2") == b"second"


def test_full_log_can_still_be_closed_and_signed(monkeypatch: pytest.MonkeyPatch) -> None:
    """When a log is nearly full a step is refused with the way out, and closing and signing still fit."""
    monkeypatch.setattr(store, "ENTRIES_MAX", 103)
    log, _, _ = new_log()
    log.append("did", did_data(1))
    log.append("did", did_data(2))
    with pytest.raises(StoreError, match=r'is full.*Close this job as "to be continued"'):
        log.append("did", did_data(3))

    log.append("close", CLOSE_DATA | {"outcome": "to be continued"})
    log.append("signature", SIGNATURE_DATA)

    assert kinds(log) == ["open", "did", "did", "close", "signature"]


def test_writer_that_gave_its_file_back_refuses() -> None:
    """After the file was given back nothing can be added by the old writer, and the message says what to do."""
    log, _, _ = new_log()
    log.close_file()

    with pytest.raises(StoreError, match="no longer open here"):
        log.append("did", did_data(1))


def test_job_id_is_the_time_in_utc_and_fifty_random_bits() -> None:
    """The id has the time in UTC whatever the zone, changes with every one of its 50 bits, and is a safe file name."""
    clock = FakeClock("2026-03-14T10:30:00.000+01:00")
    ids = {new_job_id(clock, (bits << 6).to_bytes(7, "big")) for bits in [0, *(1 << bit for bit in range(50))]}

    assert len(ids) == 51
    assert all(is_job_id(job_id) and job_id.startswith("20260314t093000z-") for job_id in ids)
    with pytest.raises(ValueError, match="at least 7 bytes"):
        new_job_id(clock, b"123456")


def test_list_shows_open_closed_torn_empty_and_strange_logs() -> None:
    """Each log in the folder is listed with what can be said of it; other files are left out."""
    closed, signed = b"".join(demo_lines()), demo_lines()
    signed.append(write_lines([("signature", SIGNATURE_DATA)])[0])
    names = [f"20260314t093000z-aaaaaaaaa{letter}" for letter in "abcdefg"]
    contents = [
        b"".join(demo_lines()[:3]),
        closed,
        b"".join(signed),
        closed[:-100],
        b"",
        b"garbage\n",
        closed[:1] + b"X" + closed[2:],
    ]
    image = {f"{name}.jsonl": content for name, content in zip(names, contents, strict=True)}
    calls = FaultCalls(image | {"diary.jsonl": b"{}\n", f"{names[0]}.jsonl.torn-12-abcdef01": b"x"})

    logs = list_logs(FOLDER, calls)

    assert [log.job_id for log in logs] == names
    assert [log.state for log in logs] == [
        "open",
        "closed",
        "closed",
        "open",
        "never opened",
        "unreadable",
        "unreadable",
    ]
    assert logs[0].title == "Way 4, kiln room sockets"
    assert logs[0].mode == "work"
    assert logs[1].outcome == "complete"
    assert logs[0].last_wall == "2026-03-14T09:30:02.000+00:00"
    assert logs[3].last_wall == "2026-03-14T09:30:03.000+00:00"


def test_list_finds_the_close_behind_many_later_lines() -> None:
    """The state is right also when more has been added after the close than the first look at the end takes in."""
    parts = [("open", open_data()), ("close", CLOSE_DATA)]
    parts += [("signature", SIGNATURE_DATA | {"statement": "x" * 4_000})] * 40
    calls = FaultCalls({LOG.name: b"".join(write_lines(parts))})

    (log,) = list_logs(FOLDER, calls)

    assert (log.state, log.outcome) == ("closed", "complete")


def test_list_reads_the_first_and_the_last_part_only() -> None:
    """Listing a long log costs its first line and a window at its end, not the whole file."""
    parts = [("open", open_data()), *[("did", did_data(1) | {"person": "x" * 4_000})] * 600]
    content = b"".join(write_lines(parts))

    class Counted(FaultCalls):
        asked = 0

        def read(self, handle: int, size: int, offset: int) -> bytes:
            self.asked += size
            return super().read(handle, size, offset)

    calls = Counted({LOG.name: content})

    (log,) = list_logs(FOLDER, calls)

    assert log.state == "open"
    assert calls.asked < len(content) / 2


def test_missing_folder_has_no_logs(tmp_path: Path) -> None:
    """Before the first job there is no folder, and that is an empty list."""
    assert list_logs(tmp_path / "records") == []


def test_signature_line_takes_its_times_from_what_is_signed() -> None:
    """A signature's line has the time of its statement, and elapsed time and boot of the line before it, whatever the
    machine's own clocks say. Shows: SG-02."""
    log, _, clock = new_log()
    closed = log.append("close", CLOSE_DATA)
    clock.reboot("boot-2")
    entry = log.append_signature(SIGNATURE_DATA, "2026-03-20T08:00:00Z")

    assert (entry.wall, entry.mono_ms, entry.boot) == ("2026-03-20T08:00:00Z", closed.mono_ms, closed.boot)


def test_practice_log_takes_no_signature() -> None:
    """The writer refuses to sign practice, however it is asked. Shows: TR-15."""
    log = LogWriter.create(FOLDER, open_data(mode="practice"), FakeClock(), FaultCalls())
    log.append("close", CLOSE_DATA)
    for sign in (
        lambda: log.append("signature", SIGNATURE_DATA),
        lambda: log.append_signature(SIGNATURE_DATA, "2026-03-20T08:00:00Z"),
    ):
        with pytest.raises(EntryError, match="practice log can never be signed"):
            sign()

    assert kinds(log) == ["open", "close"]
