"""The one way to add to a job's log: durable before it returns, or refused with a sentence.

Rules of this module
1. An entry is on durable storage before `append` returns; the interface says "saved" only then.
2. A write that fails is cut away again, and the writer goes on; the step it belonged to stays open.
3. A failed fsync ends the writer. It is never tried again: the system may report success for bytes that it lost
   (from memory: Linux marks the pages clean after a failed fsync).
   For the same reason `resume` writes the last line over itself, and syncs the folder, before anything is built on it.
4. Nothing in a log is edited, and only a torn tail is ever cut, after a durable copy of it was made.
"""

import base64
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

from ferrule.engine.journal.chain import ENTRIES_MAX, LOG_MAX, LogRead, check_next, check_seal, read_log
from ferrule.engine.journal.entry import NO_SUM, Entry, encode
from ferrule.engine.journal.schema import check_data
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.elapsed import Elapsed, find_step
from ferrule.engine.shell.logfile import LogSummary, StoreError, list_logs, read_only, read_whole, told, why
from ferrule.engine.shell.setaside import SetAside, find_unnamed, set_aside, write_all

__all__ = [
    "LockedError",
    "LogClosed",
    "LogSummary",
    "LogWriter",
    "NeverOpened",
    "SetAside",
    "StoreError",
    "list_logs",
    "new_job_id",
    "read_only",
]

FREE_MIN = 16 * 1024 * 1024
"""Free bytes below which no job is opened (record_format.md §2)."""
_KEPT_ENTRIES = 100
"""Entries kept free so that a job that fills its log can still be closed and signed (our choice)."""
_KEPT_BYTES = 2 * 1024 * 1024
"""Bytes kept free for the same end (our choice)."""


class LockedError(StoreError):
    """Another running copy of ferrule writes to this job."""


class LogClosed(StoreError):  # noqa: N818 - it names the state of the log
    """The job was closed; no further step can be added."""


class NeverOpened(StoreError):  # noqa: N818 - it names the state of the log
    """The file holds no whole first entry, so nothing was ever confirmed in it."""


def new_job_id(clock: Clock, random_bytes: bytes) -> str:
    """An id for a new job: the time in UTC and 50 of the random bits given (7 bytes or more)."""
    if len(random_bytes) < 7:
        raise ValueError("A job id takes 50 random bits: give at least 7 bytes.")
    moment = datetime.fromisoformat(clock.wall()).astimezone(UTC)
    letters = base64.b32encode(random_bytes).decode("ascii").lower()[:10]
    return f"{moment:%Y%m%dt%H%M%Sz}-{letters}"


class LogWriter:
    """A job's log, locked and open for appending."""

    def __init__(self, path: Path, handle: int, clock: Clock, calls: FileCalls, read: LogRead) -> None:
        """Use `create` or `resume`; this takes a handle that is already locked and a log already verified."""
        self.path = path
        self.job_id = path.name.removesuffix(".jsonl")
        self.cut_tails: tuple[SetAside, ...] = ()
        """The torn tails that this writer's `resumed` entries name."""
        self._handle = handle
        self._calls = calls
        self._entries = list(read.entries)
        self._closed = read.closed
        self._size = read.good_size
        self._dead = ""
        self._elapsed = Elapsed(clock, read.entries[-1] if read.entries else None)

    @classmethod
    def create(cls, folder: Path, data_open: Mapping[str, Any], clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> Self:
        """A new log in the folder, with its first entry durable and its name durable in the folder."""
        check_data("open", data_open)
        path = folder / f"{data_open['job_id']}.jsonl"
        with (
            told(f"No job can be opened in {folder}", "Choose a folder that can be written, or make room."),
            ExitStack() as undo,
        ):
            calls.make_folder(folder)
            free = calls.free_bytes(folder)
            if free < FREE_MIN:
                raise StoreError(
                    f"No job can be opened in {folder}: its disk has {free // 1024} KiB free, and {FREE_MIN // 1024} "
                    "KiB are needed to save a whole job. Make room, or choose a folder on another disk."
                )
            handle = calls.create(path)
            undo.callback(_close_quietly, calls, handle)
            _lock(calls, handle, path)
            writer = cls(path, handle, clock, calls, LogRead((), 0, b"", torn=False))
            writer._put("open", data_open, *writer._elapsed.stamp(None))
            writer._sync_folder()
            undo.pop_all()
        return writer

    @classmethod
    def resume(
        cls, path: Path, clock: Clock, calls: FileCalls = SYSTEM_CALLS, reason: str = "opened again"
    ) -> tuple[Self, LogRead]:
        """The writer of an open job after a break, and the log as it was found.

        A torn tail is set aside, then cut, then named in a `resumed` entry.
        A damaged log raises LogDamaged and is left as it is; a closed one raises LogClosed.
        """
        with cls._reopened(path, clock, calls) as (writer, read):
            if read.closed:
                raise LogClosed(
                    f"Job {writer.job_id} was closed, so no step can be added to it. "
                    "Open it to read, or start a new job that names this one as the job it replaces."
                )
            writer._mend(read, reason, always=True)
        return writer, read

    @classmethod
    def reopen_to_sign(cls, path: Path, clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> tuple[Self, LogRead]:
        """The writer of a closed job, which takes signatures only, and the log as it was found."""
        with cls._reopened(path, clock, calls) as (writer, read):
            if not read.closed:
                raise StoreError(
                    f"Job {writer.job_id} is not closed yet, so there is nothing to sign. Close the job first."
                )
            writer._mend(read, "opened to sign", always=False)
        return writer, read

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries that are durable in the log."""
        return tuple(self._entries)

    @property
    def head(self) -> str:
        """The sum of the last entry: it stands for the whole log up to there."""
        return self._entries[-1].sum if self._entries else NO_SUM

    def now_ms(self) -> int:
        """Milliseconds since the job was opened, never less than the last entry has."""
        return self._elapsed.now_ms(self._entries[-1])

    def today(self) -> str:
        """The day at this place, as year-month-day."""
        return self._elapsed.today()

    def append(self, kind: str, data: Mapping[str, Any]) -> Entry:
        """Add one entry; it is durable when this returns. A set clock is told in an entry before it."""
        if self._dead:
            raise StoreError(self._dead)
        last = self._entries[-1]
        wall, mono_ms = self._elapsed.stamp(last)
        step = find_step(last, wall, mono_ms)
        if step and not self._closed:
            check_data(kind, data)
            self._put("clock_step", step, wall, mono_ms)
        return self._put(kind, data, wall, mono_ms)

    def append_signature(self, data: Mapping[str, Any], signed_at: str) -> Entry:
        """Add a signature made at this time, which the statement in it says too.

        Its line takes elapsed time and boot of the line before it: signing may happen on another machine, whose
        steady clock says nothing of this job, and so no byte of the last line can be changed unseen.
        """
        if self._dead:
            raise StoreError(self._dead)
        last = self._entries[-1]
        return self._put("signature", data, signed_at, last.mono_ms, last.boot)

    def close_file(self) -> None:
        """Give the file and its lock back; the job itself is closed by an entry, not by this."""
        self._dead = f"The log of job {self.job_id} is no longer open here. Open the job again to go on."
        _close_quietly(self._calls, self._handle)
        self._handle = -1

    @classmethod
    @contextmanager
    def _reopened(cls, path: Path, clock: Clock, calls: FileCalls) -> Iterator[tuple[Self, LogRead]]:
        """Open, lock and verify an existing log; the file is given back if what follows fails."""
        advice = "Nothing was added to it. Check the disk, then open the job again."
        with told(f"The log {path.name} cannot be opened again", advice), ExitStack() as undo:
            handle = calls.open_log(path)
            undo.callback(_close_quietly, calls, handle)
            _lock(calls, handle, path)
            data = read_whole(calls, handle, path)
            read = read_log(data)
            _check_opened(read, path)
            last_line = data.rfind(b"\n", 0, read.good_size - 1) + 1
            calls.rewrite(path, data[last_line : read.good_size], last_line)
            calls.fsync_dir(path.parent)
            yield cls(path, handle, clock, calls, read), read
            undo.pop_all()

    def _mend(self, read: LogRead, why: str, *, always: bool) -> None:
        """Set a torn tail aside and cut it; name every tail that no entry names yet."""
        tails = find_unnamed(self._calls, self.path, read.entries)
        if read.torn:
            made = set_aside(self._calls, self.path, read)
            self._cut()
            tails = [tail for tail in tails if not tail.same_tail(made)] + [made]
        for tail in tails:
            self.append("resumed", {"reason": why, "torn_bytes": tail.size, "torn_sha256": tail.sha256})
        if always and not tails:
            self.append("resumed", {"reason": why, "torn_bytes": 0, "torn_sha256": None})
        self.cut_tails = tuple(tails)

    def _put(self, kind: str, data: Mapping[str, Any], wall: str, mono_ms: int, boot: str = "") -> Entry:
        last = self._entries[-1] if self._entries else None
        line, entry = encode(kind, len(self._entries), self.head, wall, mono_ms, boot or self._elapsed.boot, data)
        check_next(last, self._closed, entry)
        check_seal(self._entries[0] if self._entries else None, entry)
        self._check_room(kind, len(line))
        self._dead = f"An earlier save in job {self.job_id} was broken off. Open the job again to see what was kept."
        try:
            self._write(line)
        except OSError as error:
            self._take_back(error)
        try:
            self._sync()
        except OSError as error:
            self._dead = (
                f"The disk did not confirm the last save in job {self.job_id}: {why(error)}. "
                "Nothing more is written to this log from here. Open the job again to see what was kept."
            )
            raise StoreError(self._dead) from error
        self._dead = ""
        self._size += len(line)
        self._entries.append(entry)
        self._closed = self._closed or kind == "close"
        return entry

    def _take_back(self, error: OSError) -> None:
        """After a failed write: back to the last whole entry and raise; if that fails too, the writer is dead."""
        try:
            self._cut()
        except OSError as second:
            self._dead = (
                f"The last save in job {self.job_id} failed and could not be taken back: {why(second)}. "
                "Nothing more is written to this log from here. Open the job again to see what was kept."
            )
            raise StoreError(self._dead) from error
        self._dead = ""
        raise StoreError(
            f"This could not be saved in job {self.job_id}: {why(error)}. "
            "Nothing of it was kept and the step is still open. Put the disk right, then confirm it again."
        ) from error

    def _check_room(self, kind: str, size: int) -> None:
        kept_entries, kept_bytes = (_KEPT_ENTRIES, _KEPT_BYTES) if kind in ("did", "checkpoint") else (0, 0)
        if len(self._entries) + 1 > ENTRIES_MAX - kept_entries or self._size + size > LOG_MAX - kept_bytes:
            raise StoreError(
                f"The log of job {self.job_id} is full: it has {len(self._entries)} entries and {self._size} bytes. "
                'Close this job as "to be continued" and go on in a new one.'
            )

    def _write(self, line: bytes) -> None:
        write_all(self._calls, self._handle, line)

    def _sync(self) -> None:
        self._calls.fsync(self._handle)

    def _sync_folder(self) -> None:
        self._calls.fsync_dir(self.path.parent)

    def _cut(self) -> None:
        self._calls.ftruncate(self._handle, self._size)
        self._calls.fsync(self._handle)


def _check_opened(read: LogRead, path: Path) -> None:
    if not read.entries:
        raise NeverOpened(
            f"The log {path.name} holds no whole first entry, so no step was ever confirmed in it. "
            "Leave the file where it is and start a new job."
        )
    job_id = read.entries[0].data["job_id"]
    if path.name != f"{job_id}.jsonl":
        raise StoreError(
            f"The file {path.name} holds the log of job {job_id}. It may be a copy, so nothing is added to it. "
            f"Open {job_id}.jsonl, or give this file that name if it is the only one."
        )


def _lock(calls: FileCalls, handle: int, path: Path) -> None:
    try:
        calls.lock(handle)
    except BlockingIOError as error:
        raise LockedError(
            f"Job {path.name.removesuffix('.jsonl')} is open in another running copy of ferrule. "
            "Go on there, or close it there first; here it can only be read."
        ) from error


def _close_quietly(calls: FileCalls, handle: int) -> None:
    """Close without a complaint: whatever was acknowledged is durable already."""
    with suppress(OSError):
        calls.close(handle)
