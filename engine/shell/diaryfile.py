"""The diary on disk: opened for each line and given back at once, so that several jobs can be at work.

For: whoever opens, closes, signs or copies a log, or begins work in a folder of logs.
Must never: let a job be opened whose `opened` line is not durable, or hide what diary and folder disagree about.

What was verified once by this process is not read again: each later line is verified from the last one known.
"""

import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from ferrule.engine.journal.chain import LogDamaged, LogRead
from ferrule.engine.journal.diary import (
    DIARY_MAX,
    DIARY_NAME,
    LINES_MAX,
    check_line,
    job_line,
    read_diary,
    reconcile,
)
from ferrule.engine.journal.entry import Entry, line_of
from ferrule.engine.journal.schema import is_job_id
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.logfile import StoreError, read_only, read_span, summary, told
from ferrule.engine.shell.writer import ChainWriter, LockedError, close_quietly

LOCK_TRIES, LOCK_WAIT_S = 200, 0.025
"""How long to wait for another job's line: five seconds (our choice); a line takes a few milliseconds."""
_MISSING_SHOWN = 5
"""Jobs without a log that are named one by one at a start; the rest is counted."""


class DiaryDamaged(StoreError):  # noqa: N818 - it names the state of the diary
    """The diary is not what was written."""


@dataclass(frozen=True, slots=True)
class _Known:
    """A diary up to a line that this process has verified."""

    first: str
    """The sum of its first line, by which the diary is told from others."""
    last: Entry
    end: int
    resumed: tuple[Entry, ...]


class DiaryWriter(ChainWriter):
    """A diary, locked and verified."""

    name = "the diary"

    def __init__(self, path: Path, handle: int, clock: Clock, calls: FileCalls, known: _Known | None) -> None:
        """Take a locked handle and what is known of the file."""
        super().__init__(path, handle, clock, calls, known.last if known else None, known.end if known else 0)
        self.entries: tuple[Entry, ...] = ()
        """The lines that were verified when this was opened: all of them, at the first time."""
        self._first = known.first if known else ""
        self._resumed = list(known.resumed) if known else []

    @property
    def identity(self) -> str:
        """The sum of the first line; empty before there is one."""
        return self._first

    @property
    def known(self) -> _Known | None:
        """What the next one can go on from."""
        return _Known(self._first, self._last, self._size, tuple(self._resumed)) if self._last else None

    def _check(self, entry: Entry) -> None:
        check_line(self._last, entry)

    def _check_room(self, kind: str, size: int) -> None:  # noqa: ARG002 - all kinds count alike here
        if self.count >= LINES_MAX or self._size + size > DIARY_MAX:
            raise StoreError("The diary is full. Move diary.jsonl to another folder and keep it, then go on.")

    def _kept(self, entry: Entry) -> None:
        super()._kept(entry)
        self._first = self._first or entry.sum
        if entry.kind == "resumed":
            self._resumed.append(entry)

    def take_in(self, read: LogRead) -> None:
        """Count lines that were read and verified as those of this diary, and mend its end."""
        for entry in read.entries:
            self._kept(entry)
        self._size += read.good_size
        self.entries = read.entries
        if self._last is not None:
            line = line_of(self._last)
            self._calls.rewrite(self.path, line, self._size - len(line))
        self._sync_folder()
        self._mend_tail(
            LogRead((), self._size, read.tail, torn=read.torn), "a line was broken off", self._resumed, always=False
        )


class DiaryBook:
    """The diary of one folder of logs."""

    def __init__(self, folder: Path, clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> None:
        self.folder = folder
        self.path = folder / DIARY_NAME
        self._clock = clock
        self._calls = calls
        self._known: _Known | None = None

    @contextmanager
    def writing(self) -> Iterator[DiaryWriter]:
        """The diary, created where there is none, locked, verified and mended, and given back afterwards."""
        advice = "Put the disk right, then try again."
        with told(f"The diary in {self.folder} cannot be written", advice), ExitStack() as undo:
            self._calls.make_folder(self.folder)
            handle = self._opened()
            undo.callback(close_quietly, self._calls, handle)
            wait_for_lock(self._calls, handle, "The diary")
            diary = DiaryWriter(self.path, handle, self._clock, self._calls, self._known)
            diary.take_in(self._read_on(handle))
            yield diary
            self._known = diary.known

    def note(self, kind: str, data: Mapping[str, Any]) -> tuple[Entry, str]:
        """Add one line; returns it, durable, and the identity of the diary."""
        with self.writing() as diary:
            return diary.append(kind, data), diary.identity

    def _opened(self) -> int:
        try:
            return self._calls.open_log(self.path)
        except FileNotFoundError:
            try:
                return self._calls.create(self.path)
            except FileExistsError:
                return self._calls.open_log(self.path)

    def _read_on(self, handle: int) -> LogRead:
        """What stands after the lines that are known, verified."""
        if not self._calls.is_regular(handle):
            raise StoreError(f"{self.path.name} is not an ordinary file. Look at what was put there.")
        known, size = self._known, self._calls.size(handle)
        if size > DIARY_MAX + len(DIARY_NAME):
            raise DiaryDamaged(f"The diary has {size} bytes; at most {DIARY_MAX} are allowed. {_KEEP_IT}")
        if known is None:
            return self._verified(read_span(self._calls, handle, 0, size), None)
        line = line_of(known.last)
        data = read_span(self._calls, handle, known.end - len(line), size)
        if not data.startswith(line):
            raise DiaryDamaged(f"The diary was changed while this job was open. {_KEEP_IT}")
        return self._verified(data[len(line) :], known.last)

    def _verified(self, data: bytes, after: Entry | None) -> LogRead:
        try:
            return read_diary(data, after)
        except LogDamaged as error:
            raise DiaryDamaged(f"{error} {_KEEP_IT}") from error


_KEEP_IT = (
    "Move diary.jsonl to another folder and keep it as it is; the jobs that are here are then entered in a new diary "
    "as found."
)


def wait_for_lock(calls: FileCalls, handle: int, what: str) -> None:
    """Take the only lock on a file that others hold for moments only; LockedError when it does not come free."""
    for _ in range(LOCK_TRIES):
        try:
            calls.lock(handle)
        except BlockingIOError:
            time.sleep(LOCK_WAIT_S)
        else:
            return
    raise LockedError(f"{what} is held by another running copy of ferrule that does not let it go. Close it there.")


def enter_found(diary: DiaryWriter, calls: FileCalls = SYSTEM_CALLS) -> tuple[str, ...]:
    """Enter each log of the folder that the diary does not know, or whose close it does not know, as found.

    Returns a sentence for each of them, and for each job of the diary whose log is not there.
    """
    folder = diary.path.parent
    ids = [name.removesuffix(".jsonl") for name in calls.names(folder) if name.endswith(".jsonl")]
    seen = reconcile(diary.entries, [job_id for job_id in ids if is_job_id(job_id)])
    said = [_enter(diary, folder / f"{job_id}.jsonl", calls) for job_id in seen.unnamed]
    for line in seen.unended:
        path = folder / f"{line.data['job_id']}.jsonl"
        log = summary(path, calls)
        if log.state == "closed" and log.entries > line.data["entries"]:
            said.append(_enter(diary, path, calls))
    for line in seen.missing[:_MISSING_SHOWN]:
        said.append(
            f"The diary names job {line.data['job_id']} ({line.kind}, {line.wall}), and its log is not in this folder."
        )
    if len(seen.missing) > _MISSING_SHOWN:
        said.append(f"The logs of {len(seen.missing) - _MISSING_SHOWN} more jobs of the diary are not here either.")
    return tuple(filter(None, said))


def _enter(diary: DiaryWriter, path: Path, calls: FileCalls) -> str:
    job_id = path.name.removesuffix(".jsonl")
    try:
        read = read_only(path, calls)
    except (StoreError, LogDamaged) as error:
        return f"Job {job_id} could not be entered in the diary. {error}"
    if not read.entries:
        return ""
    diary.append("found", job_line(job_id, len(read.entries), read.entries[-1].sum))
    state = "closed" if read.closed else "open"
    return f"The diary did not know job {job_id} as {state}; it was entered as found, with {len(read.entries)} entries."
