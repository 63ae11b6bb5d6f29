"""Real processes on a real disk: killed, run side by side, stopped by a limit of the system."""

import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from ferrule.engine.journal.chain import read_log
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.store import LockedError, LogWriter, StoreError, list_logs, read_only
from tests.support.demolog import JOB_ID, demo_lines, did_data, open_data

ROOT = Path(__file__).resolve().parents[2]
LOG = f"{JOB_ID}.jsonl"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals and limits of this kind exist on POSIX only")


@contextmanager
def appender(folder: Path, *words: str) -> Iterator[subprocess.Popen[str]]:
    """A process that confirms steps in the folder; it is ended at the latest when the test is done."""
    command = [sys.executable, "-m", "tests.support.appender", str(folder), JOB_ID, *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as process:
        try:
            yield process
        finally:
            process.kill()


def kill_once(folder: Path, delay_s: float) -> list[int]:
    """Let a process confirm steps, kill it, and return the numbers that it reported as saved."""
    with appender(folder, "100000") as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        time.sleep(delay_s)
        process.kill()
        return [int(line) for line in (first + process.stdout.read()).splitlines()]


def kills(folder: Path, times: int) -> int:
    """Kill a process on one job again and again, checking after each; returns how many entries the log has."""
    chance = random.Random(4)
    for _ in range(times):
        saved = kill_once(folder, chance.uniform(0.0, 0.02))
        read = read_only(folder / LOG)
        assert [entry.seq for entry in read.entries][: saved[-1] + 1] == list(range(saved[-1] + 1))
    return len(read_only(folder / LOG).entries)


def test_killing_the_process_loses_no_confirmed_entry(tmp_path: Path) -> None:
    """A process killed at a random moment, 20 times on one job, leaves every entry that it reported as saved, and the
    next one goes on from there. Shows: IR-01."""
    entries = kills(tmp_path, 20)

    assert entries > 20


@pytest.mark.slow
def test_killing_the_process_two_hundred_times(tmp_path: Path) -> None:
    """The same, 200 times. Shows: IR-01."""
    entries = kills(tmp_path, 200)

    assert entries > 200


@pytest.mark.nightly
def test_killing_the_process_five_thousand_times(tmp_path: Path) -> None:
    """The same, 5,000 times over 25 jobs. Shows: IR-01."""
    for number in range(25):
        folder = tmp_path / str(number)
        folder.mkdir()
        assert kills(folder, 200) > 200


def test_second_process_cannot_write_to_the_same_job(tmp_path: Path) -> None:
    """While one process has a job, another is told that it can only read; when the first is gone, it may write.
    Shows: IR-10."""
    with appender(tmp_path, "100000") as first:
        assert first.stdout is not None
        first.stdout.readline()
        with pytest.raises(LockedError, match=r"open in another running copy of ferrule.*it can only be read"):
            LogWriter.resume(tmp_path / LOG, SystemClock())
        assert read_only(tmp_path / LOG).entries[0].kind == "open"
    with appender(tmp_path, "0") as second:
        assert second.stdout is not None
        said = second.stdout.read()

    assert said.strip().isdigit()


def test_same_process_cannot_open_a_job_twice(tmp_path: Path) -> None:
    """Two windows of one process count as two copies. Shows: IR-10."""
    log = LogWriter.create(tmp_path, open_data(), SystemClock())
    with pytest.raises(LockedError):
        LogWriter.resume(log.path, SystemClock())
    log.close_file()

    again, read = LogWriter.resume(log.path, SystemClock())

    assert len(read.entries) == 1
    again.close_file()


def test_real_file_that_may_not_grow_keeps_whole_lines_only(tmp_path: Path) -> None:
    """When the system stops a file from growing, the step is refused in words and the log ends with its last whole
    entry. Shows: IR-01, IR-02."""
    with appender(tmp_path, "1000", "6000") as process:
        assert process.stdout is not None
        *saved, refusal = process.stdout.read().splitlines()

    read = read_only(tmp_path / LOG)

    assert refusal.startswith("StoreError: This could not be saved")
    assert "the file may not grow any further" in refusal
    assert [entry.seq for entry in read.entries] == [int(seq) for seq in saved]
    assert not read.torn


def test_new_log_is_private_and_its_folder_is_made(tmp_path: Path) -> None:
    """The log and the folders made for it are open to their owner only. Shows: RI-01."""
    log = LogWriter.create(tmp_path / "a" / "records", open_data(), SystemClock())

    assert log.path.stat().st_mode & 0o777 == 0o600
    assert log.path.parent.stat().st_mode & 0o777 == 0o700
    log.close_file()


def test_existing_log_is_never_overwritten(tmp_path: Path) -> None:
    """A second job with the id of the first is refused and the first is left as it is. Shows: RI-01."""
    (tmp_path / LOG).write_bytes(b"".join(demo_lines()))
    with pytest.raises(StoreError, match="something of that name is there already"):
        LogWriter.create(tmp_path, open_data(), SystemClock())

    assert (tmp_path / LOG).read_bytes() == b"".join(demo_lines())


def test_link_pipe_and_folder_in_place_of_a_log_are_refused(tmp_path: Path) -> None:
    """What is not an ordinary file is refused in words, at once, and read by nobody."""
    import os

    (tmp_path / "real.jsonl").write_bytes(b"".join(demo_lines()[:2]))
    (tmp_path / "link.jsonl").symlink_to(tmp_path / "real.jsonl")
    os.mkfifo(tmp_path / "pipe.jsonl")
    (tmp_path / "folder.jsonl").mkdir()

    for name, words in [("link", "follows no links"), ("pipe", "ordinary file"), ("folder", "folder|ordinary file")]:
        with pytest.raises(StoreError, match=words):
            read_only(tmp_path / f"{name}.jsonl")
        with pytest.raises(StoreError, match=words):
            LogWriter.resume(tmp_path / f"{name}.jsonl", SystemClock())


def test_file_in_place_of_the_folder_is_told(tmp_path: Path) -> None:
    """A job cannot be opened in a file, and the message says what stands in the way."""
    (tmp_path / "records").write_text("not a folder")

    with pytest.raises(StoreError, match="No job can be opened in"):
        LogWriter.create(tmp_path / "records", open_data(), SystemClock())
    with pytest.raises(StoreError, match="a file stands where a folder is needed"):
        list_logs(tmp_path / "records")


def test_read_only_folder_is_told(tmp_path: Path) -> None:
    """A folder that cannot be written opens no job; its logs can still be read."""
    (tmp_path / LOG).write_bytes(b"".join(demo_lines()[:2]))
    tmp_path.chmod(0o500)
    try:
        (tmp_path / "probe").touch()
    except PermissionError:
        with pytest.raises(StoreError, match="not open to this user"):
            LogWriter.create(tmp_path, open_data("20260314t093000z-bbbbbbbbbb"), SystemClock())
        assert len(read_only(tmp_path / LOG).entries) == 2
    else:
        pytest.skip("this user may write everywhere")
    finally:
        tmp_path.chmod(0o700)


def test_every_torn_end_on_a_real_disk_is_set_aside_and_named(tmp_path: Path) -> None:
    """Cut the log at every seventh byte of its last entry: each time the same way out, the cut bytes kept beside the
    log and named in a `resumed` entry, and the job goes on. Shows: IR-02."""
    lines = demo_lines()[:2]
    whole = b"".join(lines)
    for size in range(len(lines[0]) + 1, len(whole), 7):
        folder = tmp_path / str(size)
        folder.mkdir()
        (folder / LOG).write_bytes(whole[:size])

        log, read = LogWriter.resume(folder / LOG, SystemClock(), reason="power was lost")

        log.append("did", did_data(1))
        log.close_file()
        (tail,) = log.cut_tails
        after = read_log((folder / LOG).read_bytes())
        assert read.torn
        assert tail.path.read_bytes() == read.tail == whole[len(lines[0]) : size]
        assert after.entries[: len(read.entries)] == read.entries
        assert [entry.kind for entry in after.entries][-2:] == ["resumed", "did"]
        assert after.entries[-2].data == {
            "reason": "power was lost",
            "torn_bytes": len(read.tail),
            "torn_sha256": tail.sha256,
        }
