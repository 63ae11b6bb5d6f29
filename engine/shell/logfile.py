"""Job logs as files: opened, read whole, listed; and the sentences for what can go wrong.

For: every reader of a log file on disk, whether it will write afterwards or not.
Must never write.
"""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.chain import AFTER_CLOSE, LOG_MAX, LogRead, read_log
from ferrule.engine.journal.entry import LINE_MAX, Entry, EntryError, decode
from ferrule.engine.journal.schema import is_job_id
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls

_WINDOW = 64 * 1024
"""How much of a log's end is read first for a summary; more only when it does not show the state."""

_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is used up",
    errno.EFBIG: "the file may not grow any further on this disk",
    errno.EIO: "the disk reports a fault",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "it is not open to this user",
    errno.EPERM: "the system does not permit it",
    errno.ENOENT: "it is not there",
    errno.ENOTDIR: "a file stands where a folder is needed",
    errno.EISDIR: "a folder stands where a file is needed",
    errno.EEXIST: "something of that name is there already",
    errno.ELOOP: "it is a link, and ferrule follows no links to a log",
    errno.ENXIO: "it is not an ordinary file",
}


class StoreError(FerruleError):
    """A log file could not be created, read or written."""


def why(error: OSError) -> str:
    """What went wrong in plain words, fit for the end of a sentence."""
    return _REASONS.get(error.errno or 0) or f"the system says: {error.strerror or error}"


@contextmanager
def told(what: str, advice: str) -> Iterator[None]:
    """Turn an OSError inside into a StoreError that says what could not be done, why, and what to do."""
    try:
        yield
    except OSError as error:
        raise StoreError(f"{what}: {why(error)}. {advice}") from error


def read_whole(calls: FileCalls, handle: int, path: Path) -> bytes:
    """All bytes of an open log; StoreError if it is no ordinary file or larger than any log."""
    if not calls.is_regular(handle):
        raise StoreError(f"{path.name} is not an ordinary file, so it is no job log. Look at what was put there.")
    size = calls.size(handle)
    if size > LOG_MAX:
        raise StoreError(f"{path.name} has {size} bytes, where a job log has at most {LOG_MAX}. It is left alone.")
    return read_span(calls, handle, 0, size)


def read_only(path: Path, calls: FileCalls = SYSTEM_CALLS) -> LogRead:
    """The verified log, read without a lock: it may be in use, and nothing can be added to it this way."""
    return read_log(read_bytes(path, calls))


def read_bytes(path: Path, calls: FileCalls = SYSTEM_CALLS) -> bytes:
    """The bytes of a log, read without a lock and not judged in any way."""
    with told(f"The log {path.name} cannot be read", "Check the name of the file and the disk it is on."):
        handle = calls.open_read(path)
        try:
            return read_whole(calls, handle, path)
        finally:
            calls.close(handle)


@dataclass(frozen=True, slots=True)
class LogSummary:
    """What a list of jobs shows of one log; it is read, not verified."""

    path: Path
    job_id: str
    title: str
    mode: str
    """`work` or `practice`; empty when the first entry cannot be read."""
    state: str
    """`open`, `closed`, `never opened` (no whole first entry) or `unreadable`."""
    outcome: str
    """As in the entry that closed the job; empty while it is open."""
    last_wall: str
    """Time of day of the last whole entry."""
    entries: int = 0
    """How many whole entries it seems to have, by the number of the last one."""


def list_logs(folder: Path, calls: FileCalls = SYSTEM_CALLS) -> list[LogSummary]:
    """A summary of each job log in the folder, oldest first; a log that cannot be read is listed as such."""
    with told(f"The folder {folder} cannot be listed", "Check that it is a folder and open to this user."):
        names = calls.names(folder)
    ids = [name.removesuffix(".jsonl") for name in names if name.endswith(".jsonl")]
    return [summary(folder / f"{job_id}.jsonl", calls) for job_id in ids if is_job_id(job_id)]


def summary(path: Path, calls: FileCalls = SYSTEM_CALLS) -> LogSummary:
    """The summary of one log."""
    job_id = path.name.removesuffix(".jsonl")
    try:
        handle = calls.open_read(path)
    except OSError:
        return LogSummary(path, job_id, "", "", "unreadable", "", "")
    try:
        return _peek(calls, handle, path, job_id)
    except (OSError, EntryError):
        return LogSummary(path, job_id, "", "", "unreadable", "", "")
    finally:
        calls.close(handle)


def _peek(calls: FileCalls, handle: int, path: Path, job_id: str) -> LogSummary:
    size = calls.size(handle)
    if not calls.is_regular(handle) or size > LOG_MAX:
        return LogSummary(path, job_id, "", "", "unreadable", "", "")
    start = read_span(calls, handle, 0, min(size, LINE_MAX))
    end = start.find(b"\n") + 1
    if not end:
        return LogSummary(path, job_id, "", "", "never opened" if size < LINE_MAX else "unreadable", "", "")
    first = decode(start[:end])
    title, mode = first.data.get("title"), first.data.get("mode")
    if first.kind != "open" or not isinstance(title, str) or not isinstance(mode, str):
        return LogSummary(path, job_id, "", "", "unreadable", "", "")
    last, close = _end_of(calls, handle, size, first)
    outcome = str(close.data.get("outcome", "")) if close else ""
    return LogSummary(path, job_id, title, mode, "closed" if close else "open", outcome, last.wall, last.seq + 1)


def _end_of(calls: FileCalls, handle: int, size: int, first: Entry) -> tuple[Entry, Entry | None]:
    """The last whole entry, and the one that closed the job if there is one."""
    window = _WINDOW
    while True:
        offset = max(0, size - window)
        lines = read_span(calls, handle, offset, size - offset).split(b"\n")[1 if offset else 0 : -1]
        last: Entry | None = None
        for line in reversed(lines):
            entry = _whole(line + b"\n")
            last = last or entry
            if entry and last and entry.kind not in AFTER_CLOSE:
                return last, entry if entry.kind == "close" else None
        if not offset:
            return last or first, None
        window *= 4


def _whole(line: bytes) -> Entry | None:
    try:
        return decode(line)
    except EntryError:
        return None


def read_span(calls: FileCalls, handle: int, offset: int, size: int) -> bytes:
    """The bytes from `offset` on, as many as there are up to `size`."""
    parts: list[bytes] = []
    while size > 0 and (part := calls.read(handle, size, offset)):
        parts.append(part)
        offset += len(part)
        size -= len(part)
    return b"".join(parts)
