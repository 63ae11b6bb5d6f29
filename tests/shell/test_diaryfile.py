"""The diary beside the logs: first a durable line, then work; what is missing is entered or told, never hidden."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path

import pytest

from ferrule.engine.journal.chain import read_log
from ferrule.engine.journal.diary import DIARY_NAME, compare, job_line, read_diary
from ferrule.engine.journal.entry import Entry
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.diaryfile import DiaryBook, DiaryDamaged, DiaryWriter, enter_found
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.records import open_record, resume_record
from ferrule.engine.shell.store import LogWriter
from tests.shell.diaryloss import FOLDER, SECOND_ID
from tests.support.demodiary import job_id
from tests.support.demolog import CLOSE_DATA, JOB_ID, SIGNATURE_DATA, demo_lines, did_data, open_data
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls

ROOT = Path(__file__).resolve().parents[2]
LATER = "2026-03-14T11:45:00.000+00:00"


def diary_of(calls: FaultCalls) -> tuple[Entry, ...]:
    """The lines of the diary as a reader finds them."""
    return read_diary(calls.contents().get(DIARY_NAME, b"")).entries


def kinds(calls: FaultCalls) -> list[tuple[str, str]]:
    """Kind and job of each line."""
    return [(line.kind, str(line.data.get("job_id", ""))[-10:]) for line in diary_of(calls)]


def work(calls: FaultCalls, job: str = JOB_ID) -> LogWriter:
    """Open a job, work on it and close it."""
    log, _ = open_record(FOLDER, open_data(job), FakeClock(), calls, None)
    log.append("did", did_data(1))
    log.append("checkpoint", {"stage": "hold point one"})
    log.append("close", CLOSE_DATA)
    log.close_file()
    return log


def start_again(calls: FaultCalls) -> tuple[str, ...]:
    """What a start of work in the folder has to tell."""
    with DiaryBook(FOLDER, FakeClock(LATER), calls).writing() as diary:
        return enter_found(diary, calls)


def test_each_job_freezes_the_diary_before_it_and_its_line_freezes_the_job() -> None:
    """The first entry of a job names the diary's head before its own line, and each line names the log's head then;
    a sound folder has no fault. Shows: RI-06."""
    calls = FaultCalls()
    logs = [work(calls), work(calls, SECOND_ID)]
    lines = diary_of(calls)

    assert [line.kind for line in lines] == ["opened", "checkpoint", "closed"] * 2
    assert logs[0].entries[0].data["diary"] is None
    assert logs[1].entries[0].data["diary"] == {"seq": 2, "head": lines[2].sum}
    assert [line.data["entries"] for line in lines[:3]] == [1, 3, 4]
    assert compare(lines, {log.job_id: log.entries for log in logs}, lines) == ()


def test_a_signature_gets_its_line_where_a_diary_lies_beside_the_log() -> None:
    """Whoever signs a log in its own folder leaves a line; elsewhere, as on a stick, no diary is begun."""
    calls = FaultCalls()
    log = work(calls)
    signer, _ = LogWriter.reopen_to_sign(log.path, FakeClock(LATER), calls)
    signer.append("signature", SIGNATURE_DATA)
    signer.close_file()
    stick = FaultCalls({log.path.name: calls.content(log.path.name)})
    other, _ = LogWriter.reopen_to_sign(log.path, FakeClock(LATER), stick)
    other.append("signature", SIGNATURE_DATA)

    assert kinds(calls)[-1] == ("signed", log.job_id[-10:])
    assert diary_of(calls)[-1].data["head"] == signer.head
    assert DIARY_NAME not in stick.contents()


def lost_lines(calls: FaultCalls) -> int:
    """How many of the disks that a power loss now can leave lack a line that was acknowledged."""
    before = calls.content(DIARY_NAME)
    return sum(image.get(DIARY_NAME, b"")[: len(before)] != before for image in calls.images())


def test_a_line_is_durable_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """After a note the first line of a diary is there whatever a power loss leaves; without the sync of the file, or
    of the folder, it is not. Shows: IR-01."""
    for left_out in ("", "_sync", "_sync_folder"):
        calls = FaultCalls()
        with monkeypatch.context() as patch:
            if left_out:
                patch.setattr(DiaryWriter, left_out, lambda _self: None)
            DiaryBook(FOLDER, FakeClock(), calls).note("found", job_line(JOB_ID, 1, "0" * 64))

        assert bool(lost_lines(calls)) == bool(left_out)


@pytest.mark.parametrize("sticky", [False, True])
@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC])
@pytest.mark.parametrize("chunk", [1 << 20, 120])
def test_no_job_goes_on_without_its_durable_line(chunk: int, code: int, sticky: bool) -> None:
    """Whichever call fails while a job is opened, either its line is durable, or it is not opened and only our own
    error says so; the start after it enters what was left. Shows: IR-01."""
    sound = FaultCalls(chunk=chunk)
    work(sound, SECOND_ID)
    image = sound.contents()
    probe = FaultCalls(image, chunk)
    open_record(FOLDER, open_data(), FakeClock(), probe, None)
    for at in range(len(probe.trace)):
        calls = FaultCalls(image, chunk)
        calls.fault = lambda _name, number, at=at: code if number == at or (sticky and number > at) else None
        try:
            log, _ = open_record(FOLDER, open_data(), FakeClock(), calls, None)
        except StoreError:
            opened = False
        else:
            opened = True
            for left in calls.images():
                lines = read_diary(left[DIARY_NAME]).entries
                assert [line.data["job_id"] for line in lines][-1] == JOB_ID, f"call {at}"
                assert read_log(left[log.path.name]).entries == log.entries
        calls.end_process()
        start_again(calls)
        log_is_there = bool(read_log(calls.contents().get(f"{JOB_ID}.jsonl", b"")).entries)

        assert opened <= log_is_there == (JOB_ID in {line.data.get("job_id") for line in diary_of(calls)}), f"call {at}"


@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC])
def test_a_diary_that_fails_later_never_costs_an_entry(code: int) -> None:
    """When the diary's disk fails at a checkpoint or at close, the entry is saved, the missing line is told, and the
    next start enters the job as found. Shows: IR-01."""
    whole = FaultCalls()
    log, _ = open_record(FOLDER, open_data(), FakeClock(), whole, None)
    log.append("checkpoint", {"stage": "hold point one"})
    first = len(whole.trace)
    log.append("close", CLOSE_DATA)
    own = whole.trace.index("fsync", first) + 1
    for at in range(own, len(whole.trace)):
        calls = FaultCalls()
        log, _ = open_record(FOLDER, open_data(), FakeClock(), calls, None)
        log.append("checkpoint", {"stage": "hold point one"})
        calls.fault = lambda _name, number, at=at: code if number >= at else None
        log.append("close", CLOSE_DATA)
        assert log.keeper is not None
        assert log.keeper.notes[0].startswith("The entry is in the log, but not in the diary.")
        calls.end_process()
        start_again(calls)

        assert read_log(calls.content(log.path.name)).closed
        assert {"closed", "found"} & {line.kind for line in diary_of(calls)}


def test_a_log_without_a_line_is_entered_as_found() -> None:
    """A log that lies in the folder and that the diary does not know is entered with its head, once, and told."""
    calls = FaultCalls({f"{JOB_ID}.jsonl": b"".join(demo_lines())})
    said = start_again(calls)
    (line,) = diary_of(calls)

    assert line.kind == "found"
    assert line.data == job_line(JOB_ID, 5, read_log(calls.content(f"{JOB_ID}.jsonl")).entries[-1].sum)
    assert said == (f"The diary did not know job {JOB_ID} as closed; it was entered as found, with 5 entries.",)
    assert start_again(calls) == ()


def test_a_line_without_a_log_is_told_at_each_start() -> None:
    """A log that was taken away is named at every start, with what was last known of it. Shows: RI-06."""
    calls = FaultCalls()
    for number in range(8):
        work(calls, job_id(number))
    left = FaultCalls({DIARY_NAME: calls.content(DIARY_NAME)})
    for _ in range(2):
        said = start_again(left)

        assert len(said) == 6
        assert said[0].startswith(
            f"The diary names job {job_id(0)} (closed, 2026-03-14T09:30:00.000+00:00), and its log"
        )
        assert "3 more jobs" in said[-1]


def test_a_damaged_log_is_told_and_keeps_nobody_from_work() -> None:
    """A log that cannot be read is told at the start; other jobs can be opened."""
    broken = bytearray(b"".join(demo_lines()))
    broken[900] ^= 1
    calls = FaultCalls({f"{JOB_ID}.jsonl": bytes(broken)})
    log, notes = open_record(FOLDER, open_data(SECOND_ID), FakeClock(LATER), calls, None)

    assert "could not be entered in the diary" in notes[0]
    assert log.count == 1


def test_a_log_that_is_taken_up_without_a_line_is_entered_first() -> None:
    """Work on a log whose diary was lost goes on only after a line about it is durable."""
    calls = FaultCalls()
    open_record(FOLDER, open_data(), FakeClock(), calls, None)
    bare = FaultCalls({f"{JOB_ID}.jsonl": calls.content(f"{JOB_ID}.jsonl")})
    log, _, notes = resume_record(FOLDER / f"{JOB_ID}.jsonl", FakeClock(LATER), bare, None)

    assert kinds(bare) == [("found", JOB_ID[-10:])]
    assert "as open" in notes[0]
    refused = FaultCalls({f"{JOB_ID}.jsonl": calls.content(f"{JOB_ID}.jsonl")})
    refused.fault = lambda name, _number: errno.ENOSPC if name == "create" else None
    with pytest.raises(StoreError, match="The diary in records cannot be written"):
        resume_record(log.path, FakeClock(LATER), refused, None)


def test_a_damaged_diary_opens_no_job_and_says_what_to_do() -> None:
    """A diary that was changed is left as it is, and the sentence says to move it and keep it."""
    calls = FaultCalls()
    work(calls)
    changed = bytearray(calls.content(DIARY_NAME))
    changed[200] ^= 1
    bad = FaultCalls({**calls.contents(), DIARY_NAME: bytes(changed)})
    with pytest.raises(DiaryDamaged, match=r"Entry 1 of the diary is damaged.*Move diary.jsonl.*keep it"):
        open_record(FOLDER, open_data(SECOND_ID), FakeClock(LATER), bad, None)

    assert bad.content(DIARY_NAME) == bytes(changed)
    assert f"{SECOND_ID}.jsonl" not in bad.contents()


def test_a_diary_changed_while_a_job_is_open_is_told() -> None:
    """A diary that lost its end, or lines, behind the back of an open job is told at the next line, and not mended."""
    for cut in (0, 300):
        calls = FaultCalls()
        log, _ = open_record(FOLDER, open_data(), FakeClock(), calls, None)
        handle = calls.open_log(FOLDER / DIARY_NAME)
        calls.ftruncate(handle, cut)
        calls.close(handle)
        log.append("checkpoint", {"stage": "hold point one"})
        assert log.keeper is not None

        assert "The diary was changed while this job was open" in log.keeper.notes[0]
        assert len(calls.content(DIARY_NAME)) == cut


def test_every_torn_end_of_a_diary_is_set_aside_and_named() -> None:
    """Cut the diary anywhere in its last line: the rest is kept beside it, named in a line, and work goes on. Shows:
    IR-02."""
    calls = FaultCalls()
    work(calls)
    data = calls.content(DIARY_NAME)
    start = data.rfind(b"\n", 0, -1) + 1
    for size in range(start + 1, len(data), 9):
        torn = FaultCalls({**calls.contents(), DIARY_NAME: data[:size]})
        log, _ = open_record(FOLDER, open_data(SECOND_ID), FakeClock(LATER), torn, None)
        lines = diary_of(torn)

        assert [line.kind for line in lines] == ["opened", "checkpoint", "resumed", "found", "opened"]
        assert lines[2].data["torn_bytes"] == size - start
        assert data[start:size] in torn.contents().values()
        assert log.entries[0].data["diary"] == {"seq": 3, "head": lines[3].sum}


def test_several_processes_share_one_diary(tmp_path: Path) -> None:
    """Jobs at work at the same time add their lines one after another, and no line is lost or broken. Shows: IR-10."""
    command = [sys.executable, "-m", "tests.support.diarist", str(tmp_path), "25"]
    both = [subprocess.Popen([*command, word], cwd=ROOT) for word in ("aaaaaaaaaa", "bbbbbbbbbb", "cccccccccc")]

    assert [process.wait(timeout=60) for process in both] == [0, 0, 0]
    lines = read_diary((tmp_path / DIARY_NAME).read_bytes()).entries
    counts = [sum(line.data["job_id"].endswith(word) for line in lines) for word in ("a" * 10, "b" * 10, "c" * 10)]
    assert counts == [25, 25, 25]


def test_what_is_no_file_in_the_place_of_the_diary_is_refused(tmp_path: Path) -> None:
    """A link, a folder or a pipe called like the diary is never written through."""
    import os

    (tmp_path / "elsewhere").write_bytes(b"")
    for kind in ("link", "folder", "pipe"):
        folder = tmp_path / kind
        folder.mkdir()
        path = folder / DIARY_NAME
        {
            "link": lambda path=path: path.symlink_to(tmp_path / "elsewhere"),
            "folder": lambda path=path: path.mkdir(),
            "pipe": lambda path=path: os.mkfifo(path),
        }[kind]()
        with pytest.raises(StoreError):
            open_record(folder, open_data(), SystemClock(), SYSTEM_CALLS, None)

        assert list(folder.glob("2*.jsonl")) == []
    assert (tmp_path / "elsewhere").read_bytes() == b""
