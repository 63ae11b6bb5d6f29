"""The one way to add to a job's log: durable before it returns, or refused with a sentence.

Rules of this module
1. An entry is on durable storage before `append` returns; the interface says "saved" only then.
2. How a line is written, taken back, cut and synced is `writer`'s to say; what may follow what is said here.
3. What a log leaves elsewhere (`keeper`) comes after its own entry is durable, and never makes it fail.
"""

import base64
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

from ferrule.engine.journal.chain import ENTRIES_MAX, LOG_MAX, LogRead, check_next, check_seal, read_log
from ferrule.engine.journal.entry import Entry, line_of
from ferrule.engine.journal.schema import check_data
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.elapsed import find_step
from ferrule.engine.shell.keeper import Keeper, keeper_beside
from ferrule.engine.shell.logfile import LogSummary, StoreError, list_logs, read_only, read_whole, told
from ferrule.engine.shell.setaside import SetAside, write_all
from ferrule.engine.shell.writer import FREE_MIN, ChainWriter, LockedError, close_quietly

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

MOVED = "went on on another medium after a write error"
"""The reason in the `resumed` entry of a log that was moved (record_format.md §2)."""
_KEPT_ENTRIES = 100
"""Entries kept free so that a job that fills its log can still be closed and signed (our choice)."""
_KEPT_BYTES = 2 * 1024 * 1024
"""Bytes kept free for the same end (our choice)."""


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


class LogWriter(ChainWriter):
    """A job's log, locked and open for appending."""

    def __init__(self, path: Path, handle: int, clock: Clock, calls: FileCalls, read: LogRead) -> None:
        """Use `create` or `resume`; this takes a handle that is already locked and a log already verified."""
        super().__init__(path, handle, clock, calls, read.entries[-1] if read.entries else None, read.good_size)
        self.job_id = path.name.removesuffix(".jsonl")
        self.name = f"job {self.job_id}"
        self.keeper: Keeper | None = None
        """Told of each entry once it is durable, to leave its trace elsewhere."""
        self._entries = list(read.entries)
        self._closed = read.closed
        self._clock = clock

    @classmethod
    def create(cls, folder: Path, data_open: Mapping[str, Any], clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> Self:
        """A new log in the folder, with its first entry durable and its name durable in the folder."""
        check_data("open", data_open)
        path = folder / f"{data_open['job_id']}.jsonl"
        with (
            told(f"No job can be opened in {folder}", "Choose a folder that can be written, or make room."),
            ExitStack() as undo,
        ):
            handle = _created(calls, path, undo)
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
            if read.entries[0].data["mode"] == "work":
                writer.keeper = keeper_beside(path, clock, calls)
        return writer, read

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries that are durable in the log."""
        return tuple(self._entries)

    def now_ms(self) -> int:
        """Milliseconds since the job was opened, never less than the last entry has."""
        return self._elapsed.now_ms(self._entries[-1])

    def today(self) -> str:
        """The day at this place, as year-month-day."""
        return self._elapsed.today()

    def wall(self) -> str:
        """The time of day at this place, as it stands in an entry."""
        return self._elapsed.wall()

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
        entry = self._put(kind, data, wall, mono_ms)
        if self.keeper is not None:
            self.keeper.after(self.job_id, entry)
        return entry

    def append_signature(self, data: Mapping[str, Any], signed_at: str) -> Entry:
        """Add a signature made at this time, which the statement in it says too.

        Its line takes elapsed time and boot of the line before it: signing may happen on another machine, whose
        steady clock says nothing of this job, and so no byte of the last line can be changed unseen.
        """
        if self._dead:
            raise StoreError(self._dead)
        last = self._entries[-1]
        entry = self._put("signature", data, signed_at, last.mono_ms, last.boot)
        if self.keeper is not None:
            self.keeper.after(self.job_id, entry)
        return entry

    def moved_to(self, folder: Path) -> Self:
        """A writer of the same log in another folder, after a write here has failed; this one is given back.

        The entries that are durable here are written there whole and in one piece, then a `resumed` entry.
        """
        if not self._failed:
            raise StoreError(f"Nothing has failed in {self.name}: its log stays where it is.")
        path, calls = folder / self.path.name, self._calls
        with told(f"The log cannot go on in {folder}", "Choose a folder on another disk."), ExitStack() as undo:
            handle = _created(calls, path, undo)
            prefix = b"".join(line_of(entry) for entry in self._entries)
            write_all(calls, handle, prefix)
            calls.fsync(handle)
            calls.fsync_dir(folder)
            moved = type(self)(path, handle, self._clock, calls, LogRead(self.entries, len(prefix), b"", torn=False))
            moved.append("resumed", {"reason": MOVED, "torn_bytes": 0, "torn_sha256": None})
            undo.pop_all()
        self.close_file()
        return moved

    @classmethod
    @contextmanager
    def _reopened(cls, path: Path, clock: Clock, calls: FileCalls) -> Iterator[tuple[Self, LogRead]]:
        """Open, lock and verify an existing log; the file is given back if what follows fails."""
        advice = "Nothing was added to it. Check the disk, then open the job again."
        with told(f"The log {path.name} cannot be opened again", advice), ExitStack() as undo:
            handle = calls.open_log(path)
            undo.callback(close_quietly, calls, handle)
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
        self._mend_tail(read, why, read.entries, always=always)

    def _check(self, entry: Entry) -> None:
        check_next(self._last, self._closed, entry)
        check_seal(self._entries[0] if self._entries else None, entry)

    def _kept(self, entry: Entry) -> None:
        super()._kept(entry)
        self._entries.append(entry)
        self._closed = self._closed or entry.kind == "close"

    def _check_room(self, kind: str, size: int) -> None:
        kept_entries, kept_bytes = (_KEPT_ENTRIES, _KEPT_BYTES) if kind in ("did", "checkpoint") else (0, 0)
        if len(self._entries) + 1 > ENTRIES_MAX - kept_entries or self._size + size > LOG_MAX - kept_bytes:
            raise StoreError(
                f"The log of job {self.job_id} is full: it has {len(self._entries)} entries and {self._size} bytes. "
                'Close this job as "to be continued" and go on in a new one.'
            )


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


def _created(calls: FileCalls, path: Path, undo: ExitStack) -> int:
    """The locked handle of a new log, in a folder with room for a whole job; given back if what follows fails."""
    folder = path.parent
    calls.make_folder(folder)
    free = calls.free_bytes(folder)
    if free < FREE_MIN:
        raise StoreError(
            f"No job can be opened in {folder}: its disk has {free // 1024} KiB free, and {FREE_MIN // 1024} "
            "KiB are needed to save a whole job. Make room, or choose a folder on another disk."
        )
    handle = calls.create(path)
    undo.callback(close_quietly, calls, handle)
    _lock(calls, handle, path)
    return handle
