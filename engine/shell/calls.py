"""The few calls to the operating system that keep a log durable, behind one small object.

For: one place where the platforms differ, and a seam where tests put a failing disk.
Must never retry, catch or hide a failure; it raises OSError as it comes.
"""

import os
import stat
import sys
from pathlib import Path
from typing import Protocol

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_COMMON = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_NO_WAIT = getattr(os, "O_NONBLOCK", 0)
"""Without it, opening a pipe that somebody put in a log's place would wait for ever."""
_LOCK_AT = 0x7FFF0000
"""Windows locks bytes, and a locked byte cannot be read: this one lies beyond the largest log."""


class FileCalls(Protocol):
    """What the store asks of the operating system; each call raises OSError when it fails."""

    def make_folder(self, folder: Path) -> None:
        """Create the folder and its parents where they are missing, durably."""

    def create(self, path: Path) -> int:
        """Create a file that must not exist yet, readable by its owner only; writes go to its end."""

    def open_log(self, path: Path) -> int:
        """Open an existing file to read and to append; a link is not followed."""

    def open_read(self, path: Path) -> int:
        """Open an existing file to read; a link is not followed."""

    def is_regular(self, handle: int) -> bool:
        """True for an ordinary file; False for a pipe, device or folder."""

    def lock(self, handle: int) -> None:
        """Take the only lock on the file; BlockingIOError when another process holds it."""

    def size(self, handle: int) -> int:
        """Bytes in the file."""

    def read(self, handle: int, size: int, offset: int) -> bytes:
        """Up to `size` bytes from `offset` on; nothing at the end of the file."""

    def write(self, handle: int, data: memoryview) -> int:
        """Append some of the bytes and return how many."""

    def rewrite(self, path: Path, data: bytes, offset: int) -> None:
        """Write bytes over equal bytes of an existing file, and return once they are on durable storage."""

    def fsync(self, handle: int) -> None:
        """Return once what was written is on durable storage."""

    def ftruncate(self, handle: int, size: int) -> None:
        """Cut the file to this size."""

    def fsync_dir(self, folder: Path) -> None:
        """Return once the names in the folder are on durable storage."""

    def names(self, folder: Path) -> list[str]:
        """Names of the files in the folder, sorted; none if there is no such folder."""

    def free_bytes(self, folder: Path) -> int:
        """Free space on the folder's disk."""

    def close(self, handle: int) -> None:
        """Give the file back; its lock goes with it."""


class SystemCalls:
    """The calls as the operating system offers them."""

    def make_folder(self, folder: Path) -> None:
        """Create the folder and its parents; each new name is made durable in its parent."""
        missing = [place for place in (folder, *folder.parents) if not place.exists()]
        for place in reversed(missing):
            place.mkdir(mode=0o700, exist_ok=True)
            self.fsync_dir(place.parent)

    def create(self, path: Path) -> int:
        """Create the file with mode 0600; FileExistsError when the name is taken."""
        return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_APPEND | _COMMON, 0o600)

    def open_log(self, path: Path) -> int:
        """Open to read and append."""
        return os.open(path, os.O_RDWR | os.O_APPEND | _COMMON | _NO_WAIT)

    def open_read(self, path: Path) -> int:
        """Open to read."""
        return os.open(path, os.O_RDONLY | _COMMON | _NO_WAIT)

    def is_regular(self, handle: int) -> bool:
        """True for an ordinary file."""
        return stat.S_ISREG(os.fstat(handle).st_mode)

    def lock(self, handle: int) -> None:
        """flock, not lockf: the latter's lock goes when any descriptor of the file closes."""
        if sys.platform == "win32":
            os.lseek(handle, _LOCK_AT, os.SEEK_SET)
            try:
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            except PermissionError as error:
                raise BlockingIOError(*error.args) from error
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def size(self, handle: int) -> int:
        """Bytes in the file."""
        return os.fstat(handle).st_size

    def read(self, handle: int, size: int, offset: int) -> bytes:
        """Read without regard to where the last read or write ended."""
        if sys.platform == "win32":
            os.lseek(handle, offset, os.SEEK_SET)
            part = os.read(handle, size)
        else:
            part = os.pread(handle, size, offset)
        return part

    def write(self, handle: int, data: memoryview) -> int:
        """Append; the system may take fewer bytes than offered."""
        return os.write(handle, data)

    def rewrite(self, path: Path, data: bytes, offset: int) -> None:
        """A second descriptor, because one opened to append would write at the end."""
        handle = os.open(path, os.O_WRONLY | _COMMON | _NO_WAIT)
        try:
            os.lseek(handle, offset, os.SEEK_SET)
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(handle, rest) :]
            self.fsync(handle)
        finally:
            os.close(handle)

    def fsync(self, handle: int) -> None:
        """macOS: fsync alone leaves data in the drive's own cache; F_FULLFSYNC does not (from memory: fsync(2))."""
        if sys.platform == "darwin":
            fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
        else:
            os.fsync(handle)

    def ftruncate(self, handle: int, size: int) -> None:
        """Cut the file."""
        os.ftruncate(handle, size)

    def fsync_dir(self, folder: Path) -> None:
        """Make names durable; Windows cannot, and the start of the next run checks instead."""
        if sys.platform != "win32":
            handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)

    def names(self, folder: Path) -> list[str]:
        """Names in the folder, sorted."""
        return sorted(os.listdir(folder)) if folder.exists() else []

    def free_bytes(self, folder: Path) -> int:
        """Free space for this user."""
        if sys.platform == "win32":
            import shutil  # only here: it pulls in the compression libraries

            free = shutil.disk_usage(folder).free
        else:
            disk = os.statvfs(folder)
            free = disk.f_bavail * disk.f_frsize
        return free

    def close(self, handle: int) -> None:
        """Close the descriptor."""
        os.close(handle)


SYSTEM_CALLS = SystemCalls()
"""Holds no state, so one serves everybody."""
