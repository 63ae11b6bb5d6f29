"""A disk in memory that forgets what was not synced, and fails when told to.

The model, from worst to kindest
1. Bytes are durable only after `fsync` of their file, names only after `fsync_dir` of their folder.
2. Before that a power loss leaves any of: nothing of a write, its first bytes, zero bytes in its place,
   zero bytes and then its end, or all of it; a later write may survive an earlier one.
3. After a failed `fsync` the bytes can still be read, but no later `fsync` makes them durable.
   The size of a file is durable after each `fsync` that succeeds.
"""

import errno
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

Image = dict[str, bytes]
"""What a disk holds after a power loss: name to content."""


@dataclass(frozen=True, slots=True)
class Change:
    """One write or cut that may not be durable yet."""

    offset: int
    data: bytes | None
    """None for a cut to `offset`."""

    def apply(self, content: bytes) -> bytes:
        """The content after this change; a gap before it reads as zeros."""
        if self.data is None:
            return content[: self.offset].ljust(self.offset, b"\0")
        whole = content.ljust(self.offset, b"\0")
        return whole[: self.offset] + self.data + whole[self.offset + len(self.data) :]

    def outcomes(self, content: bytes) -> Iterator[bytes]:
        """What a power loss in the middle of this change can leave."""
        yield self.apply(content)
        if self.data is None:
            return
        size = len(self.data)
        for cut in sorted({1, size - 1, *range(0, size, max(1, size // 20))} & set(range(1, size))):
            yield Change(self.offset, self.data[:cut]).apply(content)
            for torn in (self.data[:cut] + bytes(size - cut), bytes(cut) + self.data[cut:]):
                yield Change(self.offset, _over(content, self.offset, torn)).apply(content)
        yield Change(self.offset, _over(content, self.offset, bytes(size))).apply(content)


def _over(content: bytes, offset: int, data: bytes) -> bytes:
    """Zeros stand only where the file was not durable before: an overwrite of durable bytes keeps them."""
    old = content[offset : offset + len(data)]
    return old + data[len(old) :]


@dataclass(slots=True)
class _File:
    live: bytes = b""
    durable: bytes = b""
    pending: list[Change] = field(default_factory=list)

    def change(self, change: Change) -> None:
        self.live = change.apply(self.live)
        self.pending.append(change)

    def sync(self) -> None:
        for change in self.pending:
            self.durable = change.apply(self.durable)
        self.durable = self.durable[: len(self.live)].ljust(len(self.live), b"\0")
        self.pending.clear()

    def fail_to_sync(self, fate: int) -> None:
        """The durable bytes become one of those that a power loss could leave; the rest is given up."""
        outcomes = list(self.images())
        self.durable = outcomes[fate * (len(outcomes) - 1) // 100]
        self.pending.clear()

    def images(self) -> Iterator[bytes]:
        """Every content that a power loss now can leave."""
        yield self.durable
        base = self.durable
        for change in self.pending:
            yield from change.outcomes(base)
            yield from change.outcomes(self.durable)
            base = change.apply(base)


@dataclass(slots=True)
class _Handle:
    file: _File
    name: str
    locked: bool = False


class FaultCalls:
    """The store's calls on a disk in memory with one folder."""

    def __init__(self, image: Image | None = None, chunk: int = 1 << 30) -> None:
        """Begin with what a power loss left; `chunk` is the most that one write takes."""
        self._files = {name: _File(data, data) for name, data in (image or {}).items()}
        self._durable_names = dict(self._files)
        self._handles: dict[int, _Handle] = {}
        self._chunk = chunk
        self.free = 1 << 30
        self.fate = 0
        """How much a failing `fsync` saves before it fails, from 0 (nothing) to 100."""
        self.trace: list[str] = []
        """The names of the calls made so far."""
        self.fault: Callable[[str, int], int | None] = lambda _name, _number: None
        """Given a call's name and number, the error number with which it fails."""
        self.watch: Callable[[], None] = lambda: None
        """Called after each change to the disk or to what is durable."""

    def images(self) -> Iterator[Image]:
        """Every disk that a power loss now can leave: one file in doubt at a time, names kept or lost."""
        for names in (self._durable_names, self._files):
            kindest = {name: file.live for name, file in names.items()}
            worst = {name: file.durable for name, file in names.items()}
            for name, file in names.items():
                for content in file.images():
                    yield worst | {name: content}
                    yield kindest | {name: content}
            yield worst

    def end_process(self) -> None:
        """The program is gone and with it its handles and locks; the machine runs on, and faults are over."""
        self._handles.clear()
        self.fault = lambda _name, _number: None

    def content(self, name: str) -> bytes:
        """What a reader sees in the file now."""
        return self._files[name].live

    def contents(self) -> Image:
        """What a reader sees in each file now."""
        return {name: file.live for name, file in self._files.items()}

    def _called(self, name: str) -> None:
        number = len(self.trace)
        self.trace.append(name)
        code = self.fault(name, number)
        if code is not None:
            raise OSError(code, os.strerror(code))

    def _opened(self, name: str, file: _File) -> int:
        handle = 3 + len(self.trace)
        self._handles[handle] = _Handle(file, name)
        return handle

    def _existing(self, path: Path) -> _File:
        if path.name not in self._files:
            raise FileNotFoundError(errno.ENOENT, "no such file")
        return self._files[path.name]

    def make_folder(self, folder: Path) -> None:  # noqa: ARG002 - there is one folder
        """The one folder is there already."""
        self._called("make_folder")

    def create(self, path: Path) -> int:
        """A new name and an empty file, neither durable."""
        self._called("create")
        if path.name in self._files:
            raise FileExistsError(errno.EEXIST, "taken")
        self._files[path.name] = _File()
        self.watch()
        return self._opened(path.name, self._files[path.name])

    def open_log(self, path: Path) -> int:
        """Open to read and append."""
        self._called("open_log")
        return self._opened(path.name, self._existing(path))

    def open_read(self, path: Path) -> int:
        """Open to read."""
        self._called("open_read")
        return self._opened(path.name, self._existing(path))

    def is_regular(self, handle: int) -> bool:
        """All files here are ordinary."""
        return handle in self._handles

    def lock(self, handle: int) -> None:
        """One lock a file."""
        self._called("lock")
        mine = self._handles[handle]
        if any(other.locked and other.file is mine.file for other in self._handles.values()):
            raise BlockingIOError(errno.EWOULDBLOCK, "locked")
        mine.locked = True

    def size(self, handle: int) -> int:
        """Bytes in the file."""
        self._called("size")
        return len(self._handles[handle].file.live)

    def read(self, handle: int, size: int, offset: int) -> bytes:
        """Some of the bytes."""
        self._called("read")
        return self._handles[handle].file.live[offset : offset + size]

    def write(self, handle: int, data: memoryview) -> int:
        """Append at most one chunk."""
        self._called("write")
        file = self._handles[handle].file
        part = bytes(data[: self._chunk])
        file.change(Change(len(file.live), part))
        self.watch()
        return len(part)

    def rewrite(self, path: Path, data: bytes, offset: int) -> None:
        """Write over equal bytes and make them durable."""
        self._called("rewrite")
        file = self._existing(path)
        file.change(Change(offset, data))
        self.watch()
        file.sync()
        self.watch()

    def fsync(self, handle: int) -> None:
        """Make the file's bytes durable; if this fails they never will be."""
        file = self._handles[handle].file
        try:
            self._called("fsync")
        except OSError:
            file.fail_to_sync(self.fate)
            self.watch()
            raise
        file.sync()
        self.watch()

    def ftruncate(self, handle: int, size: int) -> None:
        """Cut the file."""
        self._called("ftruncate")
        self._handles[handle].file.change(Change(size, None))
        self.watch()

    def fsync_dir(self, folder: Path) -> None:  # noqa: ARG002 - there is one folder
        """Make the names durable."""
        self._called("fsync_dir")
        self._durable_names = dict(self._files)
        self.watch()

    def names(self, folder: Path) -> list[str]:  # noqa: ARG002 - there is one folder
        """All names, sorted."""
        self._called("names")
        return sorted(self._files)

    def free_bytes(self, folder: Path) -> int:  # noqa: ARG002 - there is one folder
        """As much as the test says."""
        self._called("free_bytes")
        return self.free

    def close(self, handle: int) -> None:
        """Give the handle back; nothing becomes durable by it."""
        del self._handles[handle]
