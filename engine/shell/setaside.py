"""What a broken-off write left at the end of a log: copied beside it before it is cut.

Rules of this module
1. The copy is durable, under a durable name, before the log is touched.
2. A copy is created, never overwritten and never trusted from an earlier try: an earlier one stays, the new one
   gets a name beside it.
3. Each torn tail is named by one `resumed` entry; one that a crash left unnamed is named at the next start.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.entry import Entry
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.logfile import StoreError, read_whole

_COPIES_MAX = 1000
"""Copies of one tail before giving up: each stands for one more crash at the same spot."""


@dataclass(frozen=True, slots=True)
class SetAside:
    """A whole copy of a torn tail, in a file beside the log."""

    path: Path
    offset: int
    """Where in the log the tail began."""
    size: int
    sha256: str

    def same_tail(self, other: "SetAside") -> bool:
        """True for two copies of one tail."""
        return (self.offset, self.sha256) == (other.offset, other.sha256)


def set_aside(calls: FileCalls, log: Path, offset: int, tail: bytes) -> SetAside:
    """Copy the torn tail, which begins at this offset of the log, to `<log>.torn-<offset>-<hash8>`, durably."""
    digest = sha256_hex(tail)
    base = f"{log.name}.torn-{offset}-{digest[:8]}"
    for number in range(1, _COPIES_MAX):
        path = log.with_name(base if number == 1 else f"{base}.{number}")
        try:
            handle = calls.create(path)
        except FileExistsError:
            continue
        try:
            write_all(calls, handle, tail)
            calls.fsync(handle)
        finally:
            calls.close(handle)
        calls.fsync_dir(log.parent)
        return SetAside(path, offset, len(tail), digest)
    raise StoreError(f"There are {_COPIES_MAX} files named {base} already. Move them to another folder and try again.")


def find_unnamed(calls: FileCalls, log: Path, entries: Iterable[Entry]) -> list[SetAside]:
    """One whole copy of each tail beside the log that no `resumed` entry names yet, by its place in the log."""
    named = Counter(entry.data["torn_sha256"] for entry in entries if entry.kind == "resumed")
    tails: list[SetAside] = []
    for copy in _whole_copies(calls, log):
        if not any(copy.same_tail(tail) for tail in tails):
            tails.append(copy)
    unnamed: list[SetAside] = []
    for tail in tails:
        if named[tail.sha256] > 0:
            named[tail.sha256] -= 1
        else:
            unnamed.append(tail)
    return unnamed


def write_all(calls: FileCalls, handle: int, data: bytes) -> None:
    """Write all the bytes, however few the system takes at a time."""
    rest = memoryview(data)
    while rest:
        taken = calls.write(handle, rest)
        if taken <= 0:
            raise OSError(None, "the system took none of the bytes and gave no reason")
        rest = rest[taken:]


def _whole_copies(calls: FileCalls, log: Path) -> Iterator[SetAside]:
    """Each file named as a copy of this log's tail whose content is what the name promises, by offset."""
    start = f"{log.name}.torn-"
    named: list[tuple[int, str, str]] = []
    for name in calls.names(log.parent):
        offset, _, rest = name.removeprefix(start).partition("-")
        if name.startswith(start) and offset.isascii() and offset.isdigit() and len(offset) < 12 and rest:
            named.append((int(offset), name, rest[:8]))
    for offset_bytes, name, promised in sorted(named):
        content = _content(calls, log.with_name(name))
        digest = sha256_hex(content)
        if content and digest.startswith(promised):
            yield SetAside(log.with_name(name), offset_bytes, len(content), digest)


def _content(calls: FileCalls, path: Path) -> bytes:
    """The file's bytes; nothing if it cannot be read now, so that it is named at a later start."""
    try:
        handle = calls.open_read(path)
        try:
            return read_whole(calls, handle, path)
        finally:
            calls.close(handle)
    except (OSError, StoreError):
        return b""
