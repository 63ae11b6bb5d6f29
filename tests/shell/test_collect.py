"""Closed logs are copied create-only, read back, kept in both versions on conflict, and told."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.journal.diary import DIARY_NAME, compare, job_line, read_copied, read_diary
from ferrule.engine.journal.entry import line_of
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.collect import Collection, collect
from ferrule.engine.shell.diaryfile import DiaryBook
from ferrule.engine.shell.logfile import StoreError, read_only
from ferrule.engine.shell.records import open_record
from ferrule.engine.shell.storage import FolderStorage, storage_at
from ferrule.engine.shell.store import LogWriter
from tests.support.demodiary import job_id
from tests.support.demolog import CLOSE_DATA, SIGNATURE_DATA, demo_lines, did_data, open_data
from tests.support.plainrun import run


def make_jobs(folder: Path, count: int, *, closed: bool = True) -> None:
    """Work so many jobs in a folder, with their diary."""
    start = len(list(folder.glob("2*.jsonl"))) if folder.exists() else 0
    for number in range(start, start + count):
        log, _ = open_record(folder, open_data(job_id(number)), SystemClock(), SYSTEM_CALLS, None)
        log.append("did", did_data(number))
        if closed:
            log.append("close", CLOSE_DATA)
        log.close_file()


def collected(source: Path, target: Path) -> Collection:
    """Collect from folder to folder."""
    return collect(source, FolderStorage(target), SystemClock())


def states(found: Collection) -> list[str]:
    """What became of each log, by the order of their ids."""
    return [log.state for log in found.logs]


def test_closed_logs_are_copied_once_and_open_ones_are_not(tmp_path: Path) -> None:
    """Closed logs arrive byte for byte, open ones stay; a second run copies nothing and changes nothing there."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 2)
    make_jobs(source, 1, closed=False)
    first = collected(source, target)
    before = {path.name: path.read_bytes() for path in target.iterdir()}
    second = collected(source, target)

    assert states(first) == ["new", "new", "open"]
    assert states(second) == ["already there", "already there", "open"]
    assert first.clean
    for number in (0, 1):
        assert before[f"{job_id(number)}.jsonl"] == (source / f"{job_id(number)}.jsonl").read_bytes()
    assert {name: (target / name).read_bytes() for name in before} == before


def test_what_was_copied_stands_in_the_diary_and_its_head_goes_along(tmp_path: Path) -> None:
    """Each copied log gets its `exported` line, and the diary's last line is copied: with it at the office, the
    latest job cannot be taken away together with its lines. Shows: RI-06."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 2)
    found = collected(source, target)
    diary = read_diary((source / DIARY_NAME).read_bytes()).entries
    copied, broken = read_copied((target / found.head).read_bytes())
    logs = {job_id(n): read_only(source / f"{job_id(n)}.jsonl").entries for n in range(2)}

    assert [line.kind for line in diary] == ["opened", "closed"] * 2 + ["exported"] * 2
    assert (copied, broken) == (diary[-1:], 0)
    assert compare(diary, logs, copied) == ()
    assert {f.code for f in compare(diary[:2], {job_id(0): logs[job_id(0)]}, copied)} == {"diary-cut"}


def test_other_bytes_under_the_same_id_are_kept_beside_and_warned_of(tmp_path: Path) -> None:
    """A log that stands there with other bytes is a conflict: both are kept, the warning says so, nothing is
    overwritten, and a later run says it again without a third copy."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 1)
    target.mkdir()
    name = f"{job_id(0)}.jsonl"
    other = b"".join(demo_lines())
    (target / name).write_bytes(other)
    first = collected(source, target)
    second = collected(source, target)

    assert states(first) == states(second) == ["conflict"]
    assert not first.clean
    assert "compare them, one was changed" in first.logs[0].sentence
    assert (target / name).read_bytes() == other
    assert (target / first.logs[0].name).read_bytes() == (source / name).read_bytes()
    assert len(list(target.glob(f"{job_id(0)}*"))) == 2


def test_a_log_that_was_signed_since_goes_beside_its_first_copy(tmp_path: Path) -> None:
    """A signature makes a log longer: it is kept beside the copy without it, no warning; the other way round nothing
    is copied."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 1)
    collected(source, target)
    path = source / f"{job_id(0)}.jsonl"
    unsigned = path.read_bytes()
    signer, _ = LogWriter.reopen_to_sign(path, SystemClock())
    signer.append("signature", SIGNATURE_DATA)
    signer.close_file()
    longer = collected(source, target)
    again = collected(source, target)
    (tmp_path / "old").mkdir()
    (tmp_path / "old" / path.name).write_bytes(unsigned)
    (tmp_path / "signed").mkdir()
    (tmp_path / "signed" / path.name).write_bytes(path.read_bytes())

    assert (states(longer), longer.clean) == (["goes on from the copy there"], True)
    assert states(again) == ["already there"]
    assert states(collected(tmp_path / "old", tmp_path / "signed")) == ["copy there goes further"]
    assert (target / longer.logs[0].name).read_bytes() == path.read_bytes()


def test_a_damaged_log_is_named_and_the_others_are_copied(tmp_path: Path) -> None:
    """One changed byte keeps that log here and is told; it keeps no other from being copied."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 2)
    path = source / f"{job_id(0)}.jsonl"
    data = bytearray(path.read_bytes())
    data[600] ^= 1
    path.write_bytes(data)
    found = collected(source, target)

    assert states(found) == ["damaged", "new"]
    assert not found.clean
    assert not (target / path.name).exists()


class ChangesBytes(FolderStorage):
    """A medium that gives back other bytes than it was given."""

    def get(self, name: str) -> bytes | None:
        """The file with its last byte lost."""
        data = super().get(name)
        return None if data is None else data[:-1]


def test_a_medium_that_gives_back_other_bytes_is_not_trusted(tmp_path: Path) -> None:
    """Each copy is read again, and what does not come back as it was ends the run with our error."""
    make_jobs(tmp_path / "records", 1)

    with pytest.raises(StoreError, match="other bytes came back"):
        collect(tmp_path / "records", ChangesBytes(tmp_path / "office"), SystemClock())


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS])
def test_a_target_that_refuses_ends_with_our_error_and_no_line_in_the_diary(tmp_path: Path, code: int) -> None:
    """When the target cannot be written, the diary does not say that something was exported."""
    make_jobs(tmp_path / "records", 1)

    class Refuses:
        def __getattr__(self, name: str) -> Any:
            def refuse(*_: object) -> None:
                raise OSError(code, "refused")

            return refuse if name == "create" else getattr(SYSTEM_CALLS, name)

    with pytest.raises(StoreError, match="cannot be copied to"):
        collect(tmp_path / "records", FolderStorage(tmp_path / "office", Refuses()), SystemClock())
    kinds = [line.kind for line in read_diary((tmp_path / "records" / DIARY_NAME).read_bytes()).entries]
    assert kinds == ["opened", "closed"]


def test_a_storage_with_an_address_takes_logs_like_a_folder(tmp_path: Path) -> None:
    """Through the storage library the same rules hold: copied, read back, not overwritten, kept beside on conflict."""
    pytest.importorskip("fsspec")
    source = tmp_path / "records"
    make_jobs(source, 1)
    for address in ("memory://office/records", f"file://{tmp_path}/remote"):
        target = storage_at(address)
        assert states(collect(source, target, SystemClock())) == ["new"]
        assert states(collect(source, target, SystemClock())) == ["already there"]
        with pytest.raises(StoreError, match="is there already"):
            target.put(f"{job_id(0)}.jsonl", b"other")
        assert target.get(f"{job_id(0)}.jsonl") == (source / f"{job_id(0)}.jsonl").read_bytes()
        assert target.get("none.jsonl") is None


@pytest.mark.parametrize("address", ["nosuch://office", "sftp2://x/y"])
def test_an_unknown_storage_is_refused_in_words(address: str) -> None:
    """An address for which there is no driver ends with our error."""
    pytest.importorskip("fsspec")
    with pytest.raises(StoreError, match="cannot be reached"):
        storage_at(address)


def test_without_the_library_the_sentence_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the extra an address is refused with what to install; a folder needs none."""
    import sys

    monkeypatch.setitem(sys.modules, "fsspec", None)
    with pytest.raises(StoreError, match=r"ferrule\[collect\]"):
        storage_at("sftp://office/records")
    assert isinstance(storage_at("C:\\records"), FolderStorage)


def test_the_command_says_what_was_new_and_ends_with_its_code(tmp_path: Path) -> None:
    """0 with the count of new logs, 1 on a conflict with the warning on stderr, 66 without a source, 73 when the
    target cannot be written; as JSON the same."""
    import json

    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 2)
    first = run("collect", str(source), str(target))
    as_json = run("collect", str(source), str(target), "--json")
    (target / f"{job_id(0)}.jsonl").write_bytes(b"".join(demo_lines()))
    conflict = run("collect", str(source), str(target))
    (tmp_path / "file").write_text("")

    assert (first.code, first.err) == (0, "")
    assert "2 new of 2 logs." in first.out
    assert [row["state"] for row in json.loads(as_json.out)["logs"]] == ["already there"] * 2
    assert conflict.code == 1
    assert f"{job_id(0)}: conflict." in conflict.err
    assert run("collect", str(tmp_path / "none"), str(target)).code == 66
    assert run("collect", str(source), str(tmp_path / "file")).code == 73


def test_a_source_that_cannot_be_written_is_still_collected(tmp_path: Path) -> None:
    """Where the diary cannot take the `exported` line, the copy is made and the missing line is told."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 1)
    (source / DIARY_NAME).write_bytes(line_of(read_diary((source / DIARY_NAME).read_bytes()).entries[0])[:-1])

    class NoDiary:
        def __getattr__(self, name: str) -> Any:
            def refuse(*_: object) -> None:
                raise OSError(errno.EROFS, "read-only")

            return refuse if name in ("open_log", "make_folder") else getattr(SYSTEM_CALLS, name)

    found = collect(source, FolderStorage(target), SystemClock(), NoDiary())

    assert states(found) == ["new"]
    assert "the diary has no line about it" in found.notes[0]
    assert (target / f"{job_id(0)}.jsonl").exists()


def test_a_damaged_diary_keeps_no_log_from_being_copied(tmp_path: Path) -> None:
    """A diary with a changed byte is told and left as it is; the closed logs are copied all the same."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 1)
    data = bytearray((source / DIARY_NAME).read_bytes())
    data[100] ^= 1
    (source / DIARY_NAME).write_bytes(data)
    found = collected(source, target)

    assert states(found) == ["new"]
    assert "damaged" in found.diary_fault
    assert (source / DIARY_NAME).read_bytes() == bytes(data)


def test_a_changed_diary_is_told_by_its_head_at_the_target(tmp_path: Path) -> None:
    """A diary that has the same first line and count but another head than the copied one is a forgery."""
    source, target = tmp_path / "records", tmp_path / "office"
    make_jobs(source, 1)
    found = collected(source, target)
    lines = read_diary((source / DIARY_NAME).read_bytes()).entries
    (source / DIARY_NAME).write_bytes(b"".join(map(line_of, lines[:-1])))
    DiaryBook(source, SystemClock()).note("exported", job_line(job_id(0), 2, "0" * 64))

    again = collected(source, target)

    assert not again.clean
    assert "the diary was changed" in again.diary_fault
    assert found.head.startswith(f"head-{lines[0].sum[:16]}-")
