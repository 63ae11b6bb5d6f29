"""Closed logs are copied to another place: created, read back, never overwritten.

Rules of this module
1. A log is copied as it is, byte for byte, and only once it was read whole and is closed.
2. The same bytes there: nothing is done.  Other bytes under that name: both are kept, and it is told.
3. What was copied is entered in the diary of the folder it came from, and the diary's head goes along:
   so neither a log nor the diary's end can be taken away afterwards unseen.
"""

from pathlib import Path
from typing import Any

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.chain import LogDamaged, LogRead, read_log
from ferrule.engine.journal.diary import DIARY_NAME, job_line, read_diary
from ferrule.engine.journal.entry import line_of
from ferrule.engine.journal.schema import is_job_id
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.diaryfile import DiaryBook
from ferrule.engine.shell.logfile import StoreError, read_span, read_whole, told
from ferrule.engine.shell.storage import Storage

NEW, ALREADY, LONGER, SHORTER, CONFLICT, OPEN, DAMAGED = (
    "new",
    "already there",
    "goes on from the copy there",
    "copy there goes further",
    "conflict",
    "open",
    "damaged",
)
"""What became of a log."""
WARNED = (CONFLICT, DAMAGED)
"""What somebody has to look at."""
_COPIED = (NEW, LONGER, CONFLICT)


@dataclass(frozen=True, slots=True)
class Collected:
    """What became of one log."""

    job_id: str
    state: str
    name: str
    """The name under which it stands there now; empty where it does not."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Collection:
    """What one run copied and found."""

    logs: tuple[Collected, ...]
    head: str
    """The name of the copied head of the diary; empty where the folder has no diary."""
    notes: tuple[str, ...]
    diary_fault: str
    """What is wrong with the diary itself; empty when nothing is."""

    @property
    def clean(self) -> bool:
        """True when nothing was found that somebody has to look at."""
        return not self.diary_fault and not any(log.state in WARNED for log in self.logs)

    def to_json(self) -> dict[str, Any]:
        """All of it as plain values."""
        rows = [{"job": c.job_id, "state": c.state, "name": c.name, "says": c.sentence} for c in self.logs]
        return {"logs": rows, "head": self.head, "notes": list(self.notes), "diary": self.diary_fault}


def collect(source: Path, target: Storage, clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> Collection:
    """Copy every closed log of a folder to a storage; StoreError when the folder or the storage refuses."""
    with told(f"The folder {source} cannot be listed", "Check that it is a folder and open to this user."):
        names = calls.names(source)
    ids = [name.removesuffix(".jsonl") for name in names if name.endswith(".jsonl")]
    logs, notes = [], []
    book = DiaryBook(source, clock, calls) if DIARY_NAME in names else None
    for job_id in filter(is_job_id, ids):
        done, read = _one(source / f"{job_id}.jsonl", target, calls)
        logs.append(done)
        if book is not None and read is not None and done.state in _COPIED:
            try:
                book.note("exported", job_line(job_id, len(read.entries), read.entries[-1].sum))
            except StoreError as error:
                notes.append(f"Job {job_id} was copied, and the diary has no line about it. {error}")
    head, fault = _copy_head(source / DIARY_NAME, target, calls) if book is not None else ("", "")
    return Collection(tuple(logs), head, tuple(notes), fault)


def _one(path: Path, target: Storage, calls: FileCalls) -> tuple[Collected, LogRead | None]:
    job_id = path.name.removesuffix(".jsonl")
    try:
        data = _bytes_of(path, calls)
        read = read_log(data)
    except (StoreError, LogDamaged) as error:
        return Collected(job_id, DAMAGED, "", f"Not copied. {error}"), None
    if not read.closed or read.torn:
        why = "a signature at its end was broken off; sign it again first" if read.closed else "it is not closed"
        return Collected(job_id, OPEN, "", f"Not copied: {why}."), None
    there = target.get(path.name)
    if there is None:
        _put(target, path.name, data)
        return Collected(job_id, NEW, path.name, "Copied and read back."), read
    if there == data:
        return Collected(job_id, ALREADY, path.name, "The same is there already."), read
    if there.startswith(data):
        return Collected(job_id, SHORTER, path.name, "The copy there has further signatures; it stays."), read
    return _beside(job_id, data, there, target), read


def _beside(job_id: str, data: bytes, there: bytes, target: Storage) -> Collected:
    """Keep a log beside another one of its name; the name says which bytes it has."""
    name = f"{job_id}.{sha256_hex(data)[:16]}.jsonl"
    goes_on = data.startswith(there)
    second = target.get(name)
    if second is None:
        _put(target, name, data)
    elif second != data:
        raise StoreError(f"{name} at the target is not what its name says. Look at it there; nothing was overwritten.")
    if goes_on:
        state = LONGER if second is None else ALREADY
        return Collected(job_id, state, name, f"Signed since it was copied; it stands beside that copy as {name}.")
    sentence = f"Another log of this id is there. Both are kept, this one as {name}: compare them, one was changed."
    return Collected(job_id, CONFLICT, name, sentence)


def _put(target: Storage, name: str, data: bytes) -> None:
    target.put(name, data)
    if target.get(name) != data:
        raise StoreError(f"{name} was copied, and other bytes came back. The copy cannot be trusted: check the medium.")


def _copy_head(path: Path, target: Storage, calls: FileCalls) -> tuple[str, str]:
    """Copy the diary's last line under a name of its own; returns the name, and what is wrong with the diary."""
    with told("The diary cannot be read", "Check the disk it is on."):
        handle = calls.open_read(path)
        try:
            data = read_span(calls, handle, 0, calls.size(handle))
        finally:
            calls.close(handle)
    try:
        lines = read_diary(data).entries
    except LogDamaged as error:
        return "", str(error)
    if not lines:
        return "", ""
    name = f"head-{lines[0].sum[:16]}-{len(lines)}.jsonl"
    head = line_of(lines[-1])
    there = target.get(name)
    if there is None:
        _put(target, name, head)
    elif there != head:
        return "", f"{name} at the target is another head of the same diary: the diary was changed. Compare the two."
    return name, ""


def _bytes_of(path: Path, calls: FileCalls) -> bytes:
    with told(f"The log {path.name} cannot be read", "Check the disk it is on."):
        handle = calls.open_read(path)
        try:
            return read_whole(calls, handle, path)
        finally:
            calls.close(handle)
