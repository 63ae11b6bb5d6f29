"""A job at work leaves its record in four places: log, diary, second medium, and a code for the pocket."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.journal.diary import compare, read_copied, read_diary
from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.headcode import head_letters
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.logfile import read_only
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY, Ran, only_log, run
from tests.support.script import Choices, Script, TypedInput, circuit_instrument, healthy_script


class FailsOnce:
    """The system's calls, of which one fails at its `number`-th use and then works again."""

    def __init__(self, name: str, number: int, code: int = errno.ENOSPC) -> None:
        self._name, self._left, self._code = name, number, code

    def __getattr__(self, name: str) -> Any:
        real = getattr(SYSTEM_CALLS, name)
        if name != self._name:
            return real

        def call(*args: object) -> object:
            self._left -= 1
            if self._left == 0:
                raise OSError(self._code, "failed")
            return real(*args)

        return call


def work(home: Path, script: Script, *more: str, typed: Any = None, calls: Any = SYSTEM_CALLS) -> Ran:
    """Walk the reference job at work with a script."""
    clock = FakeClock(DAY)
    stdin = typed or TypedInput(script, clock)
    return run("walk", CARD, "--plain", "--home", str(home), *more, typed=stdin, clock=clock, calls=calls)


def diary_of(home: Path) -> tuple[Entry, ...]:
    """The lines of the diary of work."""
    return read_diary((home / "records" / "diary.jsonl").read_bytes()).entries


def heads_on(medium: Path) -> tuple[Entry, ...]:
    """The diary lines that were copied to a medium."""
    (file,) = medium.glob("heads-*.jsonl")
    lines, broken = read_copied(file.read_bytes())
    assert broken == 0
    return lines


@pytest.fixture(scope="module")
def whole(job: Job) -> Script:
    """The script of a sound job."""
    return healthy_script(job, Choices(circuit_instrument(job)))


@pytest.fixture(scope="module")
def short(job: Job) -> Script:
    """Its first lines, with a hold point among them."""
    return healthy_script(job, Choices(circuit_instrument(job), most=40))


def test_a_whole_job_marks_each_hold_point_in_log_diary_and_on_the_medium(
    home: Path, tmp_path: Path, whole: Script
) -> None:
    """Each hold point that is signed is a checkpoint in the log, in the diary and on the second medium; its code is
    said, and so is that of the closed log. Shows: RI-06, RI-05."""
    medium = tmp_path / "stick"
    medium.mkdir()
    ran = work(home, whole, "--second-medium", str(medium))
    log = only_log(home, "records")
    entries = read_only(log).entries
    diary = diary_of(home)
    stages = [entry.data["stage"] for entry in entries if entry.kind == "checkpoint"]
    marked = [entry for entry in entries if entry.kind in ("checkpoint", "close")]

    assert (ran.code, ran.err) == (0, "")
    assert {"hold point one", "hold point two", "hold point five", "hold point eight"} <= set(stages)
    assert [line.kind for line in diary] == ["opened", *["checkpoint"] * len(stages), "closed"]
    assert [line.data["head"] for line in diary[1:]] == [entry.sum for entry in marked]
    assert heads_on(medium) == diary[1:]
    assert all(f"its code is {head_letters(entry.sum)}." in ran.out for entry in marked)
    assert compare(diary, {log.stem: entries}, heads_on(medium)) == ()


def test_a_practice_job_has_checkpoints_and_neither_diary_nor_code(home: Path, short: Script) -> None:
    """Practice marks its hold points in its log alone: it has nothing to prove. Shows: TR-15."""
    ran = work(home, short, "--practice")
    entries = read_only(only_log(home)).entries

    assert [entry.data["stage"] for entry in entries if entry.kind == "checkpoint"][:1] == ["hold point one"]
    assert "its code is" not in ran.out
    assert not (home / "practice" / "diary.jsonl").exists()
    assert not (home / "records").exists()


def test_a_missing_medium_is_told_and_costs_nothing(home: Path, tmp_path: Path, short: Script) -> None:
    """A stick that is not plugged in is told at each checkpoint; log and diary have everything, no folder is made."""
    ran = work(home, short, "--second-medium", str(tmp_path / "not-there"))

    assert ran.code == 0
    assert "The entry is in the log and in the diary. The head was not copied to the second medium" in ran.out
    assert "it is not there" in ran.out
    assert not (tmp_path / "not-there").exists()
    assert [line.kind for line in diary_of(home)][:2] == ["opened", "checkpoint"]


def test_the_variable_names_the_second_medium_too(
    home: Path, tmp_path: Path, short: Script, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no flag is given, the variable says where heads go."""
    medium = tmp_path / "stick"
    medium.mkdir()
    monkeypatch.setenv("FERRULE_SECOND_MEDIUM", str(medium))
    work(home, short)

    assert heads_on(medium) == diary_of(home)[1:]


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_after_a_failed_save_the_log_goes_on_on_another_medium(
    home: Path, tmp_path: Path, short: Script, call: str
) -> None:
    """A save fails for good: what was saved is copied to the folder named, the step is confirmed again there, and
    the log there replays the same; the first log stays as it is. Shows: IR-01."""
    other = tmp_path / "other"
    lines = list(short.lines)
    first = work(home, short, typed="\n".join(lines) + "\n", calls=FailsOnce(call, 12))
    saved = first.out.count("Saved as entry")
    (home / "records").rename(home / "kept")
    typed = [*lines[: saved + 1], f"go on in {other}", *lines[saved:]]
    again = work(home, short, typed="\n".join(typed) + "\n", calls=FailsOnce(call, 12))
    (moved,) = other.glob("2*.jsonl")
    entries = read_only(moved).entries
    before = read_only(only_log(home, "records")).entries

    assert first.code == 73
    assert again.code == 1, "the line that failed is counted as not taken"
    assert "To go on with the log on another medium: go on in FOLDER." in again.err
    assert f"The log goes on in {moved}" in again.out
    resumed = next(entry for entry in entries if entry.kind == "resumed")
    assert resumed.data["reason"] == "went on on another medium after a write error"
    assert entries[: resumed.seq] == before[: resumed.seq]
    assert sum(entry.kind == "did" for entry in entries) > saved
    assert [line.kind for line in read_diary((other / "diary.jsonl").read_bytes()).entries][:1] == ["found"]
    assert run("replay", str(moved), "--plain", "--home", str(home)).code == 0


def test_without_a_failed_save_the_log_stays_where_it_is(home: Path, tmp_path: Path, short: Script) -> None:
    """Going on elsewhere is refused while the disk is sound, so that one job has one log."""
    ran = work(home, short, typed=f"go on in {tmp_path / 'other'}\n")

    assert ran.code == 1
    assert "its log stays where it is" in ran.err
    assert not (tmp_path / "other").exists()


def test_a_job_can_be_given_up_with_a_reason(home: Path, short: Script) -> None:
    """A job that is given up is closed as abandoned, with who said why; nothing follows. Shows: IR-12."""
    ran = work(home, short, typed="give up because the client went bankrupt\nremark too late\n")
    closed = read_only(only_log(home, "records")).entries[-1]

    assert ran.code == 0
    assert (closed.kind, closed.data["outcome"]) == ("close", "abandoned")
    assert closed.data["reason"] == "tech: the client went bankrupt"
    assert "The log is closed: abandoned." in ran.out
    assert run("walk", str(only_log(home, "records")), "--plain", "--home", str(home)).code == 64


def test_giving_up_needs_a_clean_reason_and_a_person_of_the_card(home: Path, short: Script) -> None:
    """A hidden character in the reason is refused by name and the log stays open."""
    ran = work(home, short, typed="give up because of\u202ethat\n")

    assert ran.code == 1
    assert "U+202E" in ran.err
    assert not read_only(only_log(home, "records")).closed


def test_a_record_that_replaces_another_names_it(home: Path, short: Script) -> None:
    """The id of the job that is done again stands in the first entry; what is no id is refused. Shows: SG-14."""
    old = "20260314t093000z-abcdefghij"
    work(home, short, "--replaces", old, typed="")
    wrong = work(home, short, "--replaces", "KR1", typed="")

    assert read_only(only_log(home, "records")).entries[0].data["supersedes"] == old
    assert wrong.code == 64


def test_a_text_too_long_for_an_entry_is_refused_and_work_goes_on(home: Path, short: Script) -> None:
    """A remark beyond the bound of a text is not taken, in words, and the next line is. Shows: RI-09."""
    ran = work(home, short, typed=f"remark {'ä' * 3_000}\nremark short\n")

    assert ran.code == 1
    assert "more than one entry may hold" in ran.err
    assert "Saved as entry 1." in ran.out


def test_the_code_is_shown_when_asked_for(home: Path, short: Script) -> None:
    """`log code` gives id, count, whole sum, letters, and the QR code where its package is installed."""
    pytest.importorskip("segno")
    ran = work(home, short, typed="log code\n")
    first = read_only(only_log(home, "records")).entries[0]

    assert f"Job {only_log(home, 'records').stem}, 1 entries." in ran.out
    assert f"Sum: {first.sum}" in ran.out
    assert f"Code: {head_letters(first.sum)}" in ran.out
    assert "▀" in ran.out
