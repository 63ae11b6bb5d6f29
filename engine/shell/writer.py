"""A file of chained lines that is locked and open for appending: durable before it returns, or refused in words.

For: the log of a job and the diary of a folder, which are written by the same rules.

Rules of this module
1. A line is on durable storage before `_put` returns.
2. A write that fails is cut away again, and the writer goes on.
3. A failed fsync ends the writer. It is never tried again: the system may report success for bytes that it lost
   (from memory: Linux marks the pages clean after a failed fsync).
   For the same reason the last line is written over itself, and the folder synced, before anything is built on it.
4. Nothing is edited, and only a torn tail is ever cut, after a durable copy of it was made.
"""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from ferrule.engine.journal.chain import LogRead
from ferrule.engine.journal.entry import NO_SUM, Entry, encode
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.elapsed import Elapsed
from ferrule.engine.shell.logfile import StoreError, why
from ferrule.engine.shell.setaside import SetAside, find_unnamed, set_aside, write_all

FREE_MIN = 16 * 1024 * 1024
"""Free bytes below which no job is opened (record_format.md §2)."""


class LockedError(StoreError):
    """Another running copy of ferrule writes to this file."""


class ChainWriter:
    """The part of a writer that logs and diaries share; what may follow what is for the heir to say."""

    name = "this file"
    """What the file is called in a sentence."""

    def __init__(self, path: Path, handle: int, clock: Clock, calls: FileCalls, last: Entry | None, size: int) -> None:
        """Take a handle that is already locked, and the end of a file that was already verified."""
        self.path = path
        self.cut_tails: tuple[SetAside, ...] = ()
        """The torn tails that this writer's `resumed` lines name."""
        self._handle = handle
        self._calls = calls
        self._last = last
        self._size = size
        self._dead = ""
        self._failed = False
        self._elapsed = Elapsed(clock, last)

    @property
    def head(self) -> str:
        """The sum of the last line: it stands for the whole file up to there."""
        return self._last.sum if self._last else NO_SUM

    @property
    def count(self) -> int:
        """How many lines are durable in the file."""
        return self._last.seq + 1 if self._last else 0

    @property
    def failed(self) -> bool:
        """True once a write or a sync has failed here."""
        return self._failed

    def append(self, kind: str, data: Mapping[str, Any]) -> Entry:
        """Add one line; it is durable when this returns."""
        if self._dead:
            raise StoreError(self._dead)
        return self._put(kind, data, *self._elapsed.stamp(self._last))

    def close_file(self) -> None:
        """Give the file and its lock back."""
        self._dead = f"The file of {self.name} is no longer open here. Open the job again to go on."
        close_quietly(self._calls, self._handle)
        self._handle = -1

    # --- for the heir to say ---

    def _check(self, entry: Entry) -> None:
        """Raise EntryError unless the entry may follow."""
        raise NotImplementedError

    def _check_room(self, kind: str, size: int) -> None:
        """Raise StoreError when the file may not grow by this."""
        raise NotImplementedError

    def _kept(self, entry: Entry) -> None:
        """Take note of an entry that is durable now."""
        self._last = entry

    # --- writing ---

    def _put(self, kind: str, data: Mapping[str, Any], wall: str, mono_ms: int, boot: str = "") -> Entry:
        line, entry = encode(kind, self.count, self.head, wall, mono_ms, boot or self._elapsed.boot, data)
        self._check(entry)
        self._check_room(kind, len(line))
        self._dead = f"An earlier save in {self.name} was broken off. Open the job again to see what was kept."
        try:
            self._write(line)
        except OSError as error:
            self._failed = True
            self._take_back(error)
        try:
            self._sync()
        except OSError as error:
            self._failed = True
            self._dead = (
                f"The disk did not confirm the last save in {self.name}: {why(error)}. "
                "Nothing more is written to this file from here. Open the job again to see what was kept."
            )
            raise StoreError(self._dead) from error
        self._dead = ""
        self._size += len(line)
        self._kept(entry)
        return entry

    def _take_back(self, error: OSError) -> None:
        """After a failed write: back to the last whole entry and raise; if that fails too, the writer is dead."""
        try:
            self._cut()
        except OSError as second:
            self._dead = (
                f"The last save in {self.name} failed and could not be taken back: {why(second)}. "
                "Nothing more is written to this file from here. Open the job again to see what was kept."
            )
            raise StoreError(self._dead) from error
        self._dead = ""
        raise StoreError(
            f"This could not be saved in {self.name}: {why(error)}. "
            "Nothing of it was kept and the step is still open. Put the disk right, then confirm it again."
        ) from error

    def _mend_tail(self, read: LogRead, reason: str, resumed: Iterable[Entry], *, always: bool) -> None:
        """Set a torn tail aside and cut it; name every tail that no `resumed` line names yet."""
        tails = find_unnamed(self._calls, self.path, resumed)
        if read.torn:
            made = set_aside(self._calls, self.path, self._size, read.tail)
            self._cut()
            tails = [tail for tail in tails if not tail.same_tail(made)] + [made]
        for tail in tails:
            self.append("resumed", {"reason": reason, "torn_bytes": tail.size, "torn_sha256": tail.sha256})
        if always and not tails:
            self.append("resumed", {"reason": reason, "torn_bytes": 0, "torn_sha256": None})
        self.cut_tails = tuple(tails)

    def _write(self, line: bytes) -> None:
        write_all(self._calls, self._handle, line)

    def _sync(self) -> None:
        self._calls.fsync(self._handle)

    def _sync_folder(self) -> None:
        self._calls.fsync_dir(self.path.parent)

    def _cut(self) -> None:
        self._calls.ftruncate(self._handle, self._size)
        self._calls.fsync(self._handle)


def close_quietly(calls: FileCalls, handle: int) -> None:
    """Close without a complaint: whatever was acknowledged is durable already."""
    with suppress(OSError):
        calls.close(handle)
