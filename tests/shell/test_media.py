"""Real small and read-only disks, where the machine allows mounting; clocks that are set, moved or asleep."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from ferrule.engine.journal.chain import read_log
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.records import open_record
from ferrule.engine.shell.store import LogWriter
from tests.support.demolog import CLOSE_DATA, JOB_ID, did_data, open_data
from tests.support.fakeclock import FakeClock
from tests.support.faultcalls import FaultCalls

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path("records")


def in_own_mounts(script: str, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a shell script where it may mount disks that nobody else sees; skip where the machine does not allow it."""
    if sys.platform != "linux" or shutil.which("unshare") is None:
        pytest.skip("disks of one's own can be mounted on Linux only")
    inside = ["unshare", "--mount", "--map-root-user", "sh", "-eu", "-c"]
    probe = subprocess.run([*inside, "mount -t tmpfs -o size=64k none /mnt"], capture_output=True, check=False)
    if probe.returncode:
        pytest.skip("this machine does not let a process mount a disk of its own")
    command = [*inside, script, "sh", *words]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False, timeout=120)


def test_a_real_disk_that_fills_up_costs_no_entry(tmp_path: Path) -> None:
    """On a real disk of 17 MiB that fills up in the middle of a job, saves are refused in words, what was saved
    stays, and once there is room the job goes on. Shows: IR-01, IR-02."""
    script = 'mount -t tmpfs -o size=17m none "$1"; exec "$2" -m tests.support.fulldisk "$1"'
    done = in_own_mounts(script, str(tmp_path), sys.executable)
    words = done.stdout.split()

    assert done.returncode == 0, done.stderr
    assert set(words) == {"saved", "full", "sound"}
    assert words[-4:] == ["saved", "saved", "saved", "sound"]
    assert words[-5] == "full"


def test_a_real_disk_without_room_opens_no_job(tmp_path: Path) -> None:
    """On a real disk of 15 MiB no job is opened, and no file is left there. Shows: IR-01."""
    script = 'mount -t tmpfs -o size=15m none "$1"; "$2" -m tests.support.fulldisk "$1" || true; ls "$1"'
    done = in_own_mounts(script, str(tmp_path), sys.executable)

    assert "16384 KiB are needed" in done.stderr
    assert [name for name in done.stdout.split() if name != "diary.jsonl"] == []


def test_read_only_media_can_be_read_and_collected_and_nothing_changes(tmp_path: Path) -> None:
    """From a real read-only disk a log is read and collected; taking it up is refused in words. Shows: AR-07."""
    log, _ = open_record(tmp_path / "records", open_data(), SystemClock(), SYSTEM_CALLS, None)
    log.append("close", CLOSE_DATA)
    log.close_file()
    before = hashlib.sha256(log.path.read_bytes()).hexdigest()
    script = (
        'mount --bind "$1" "$1"; mount -o remount,ro,bind "$1"; cd "$4"; '
        '"$3" -c "$5" collect "$1" "$2"; echo "code $?"; '
        '"$3" -c "$6" "$1"'
    )
    command = "import sys; from ferrule.tui.cli import main; sys.exit(main(sys.argv[1:]))"
    reopen = (
        "import sys; from pathlib import Path; from ferrule.engine.shell.store import LogWriter, StoreError\n"
        "from ferrule.engine.shell.clock import SystemClock\n"
        f"try: LogWriter.reopen_to_sign(Path(sys.argv[1]) / '{JOB_ID}.jsonl', SystemClock())\n"
        "except StoreError as error: print(error)"
    )
    words = (str(tmp_path / "records"), str(tmp_path / "office"), sys.executable, str(ROOT), command, reopen)
    done = in_own_mounts(script, *words)

    assert "1 new of 1 logs." in done.stdout, done.stderr
    assert "code 0" in done.stdout
    assert "the disk can only be read" in done.stdout
    assert "the diary has no line about it" in done.stderr
    assert hashlib.sha256((tmp_path / "office" / log.path.name).read_bytes()).hexdigest() == before
    assert hashlib.sha256(log.path.read_bytes()).hexdigest() == before


# --- clocks ---


def steps_of(clock: FakeClock, calls: FaultCalls, change: object) -> list[str]:
    """The kinds of the entries of a job in whose middle the clock is changed."""
    log = LogWriter.create(FOLDER, open_data(), clock, calls)
    log.append("did", did_data(1))
    change()  # type: ignore[operator]
    log.append("did", did_data(2))
    log.close_file()
    return [entry.kind for entry in read_log(calls.content(log.path.name)).entries]


@pytest.mark.parametrize(("ms", "told"), [(2_000, False), (2_001, True), (-2_001, True), (-3_600_000, True)])
def test_a_clock_that_was_set_is_told_and_reorders_nothing(ms: int, told: bool) -> None:
    """Setting the time of day by more than two seconds, either way, leaves an entry with both clocks before and
    after; the order stays. Shows: TM-07."""
    clock, calls = FakeClock(), FaultCalls()
    kinds = steps_of(clock, calls, lambda: clock.step_wall(ms))
    entries = read_log(calls.content(f"{JOB_ID}.jsonl")).entries

    assert kinds == ["open", "did", *(["clock_step"] if told else []), "did"]
    assert [entry.mono_ms for entry in entries] == sorted(entry.mono_ms for entry in entries)


def test_a_laptop_that_slept_is_no_set_clock() -> None:
    """While the machine sleeps both clocks go on: eight hours later nothing is told but the time. Shows: TM-04."""
    clock, calls = FakeClock(), FaultCalls()

    assert steps_of(clock, calls, lambda: clock.advance(8 * 3_600_000)) == ["open", "did", "did"]
    assert read_log(calls.content(f"{JOB_ID}.jsonl")).entries[-1].mono_ms == 8 * 3_600_000


def test_another_zone_is_no_set_clock() -> None:
    """Carrying the laptop into another zone, or a summer-time change, moves the offset and not the moment: no entry
    tells of a set clock, order and durations stay right. Shows: TM-06."""
    calls = FaultCalls()
    first = FakeClock("2026-10-25T01:59:00.000+01:00")
    log = LogWriter.create(FOLDER, open_data(), first, calls)
    log.close_file()
    for wall, mono_ms in [
        ("2026-10-25T01:00:00.000+00:00", 560_000),
        ("2026-10-25T11:00:00.000+09:00", 3_660_000 + 500_000),
    ]:
        again, _ = LogWriter.resume(log.path, FakeClock(wall, mono_ms), calls)
        again.close_file()
    entries = read_log(calls.content(log.path.name)).entries

    assert [entry.kind for entry in entries] == ["open", "resumed", "resumed"]
    assert [entry.mono_ms for entry in entries] == [0, 60_000, 3_660_000]


def test_a_stepped_clock_before_the_close_and_after_it() -> None:
    """A clock set just before the close is told before it; after the close only signatures may follow, so it is not.
    Shows: TM-07."""
    clock, calls = FakeClock(), FaultCalls()
    log = LogWriter.create(FOLDER, open_data(), clock, calls)
    clock.step_wall(-60_000)
    log.append("close", CLOSE_DATA)
    log.close_file()
    later = FakeClock("2026-03-13T09:30:00.000+00:00")
    signer, _ = LogWriter.reopen_to_sign(log.path, later, calls)
    signer.append("signature", {"role": "technician", "statement": "s", "sshsig": "a"})

    assert [entry.kind for entry in signer.entries] == ["open", "clock_step", "close", "signature"]
    assert read_only(log.path, calls).entries == signer.entries
