"""The second medium: a folder on another disk to which heads are copied at checkpoints and at close.

For: one line more in a file there each time, so that a log, or the diary's end, cannot be taken away unseen.
Must never: create the folder. Where a stick is not plugged in, that would make one on the first disk.
"""

from pathlib import Path

from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.diaryfile import wait_for_lock
from ferrule.engine.shell.logfile import told
from ferrule.engine.shell.setaside import write_all
from ferrule.engine.shell.writer import close_quietly


def heads_name(identity: str) -> str:
    """The file's name: each diary, told by the sum of its first line, has its own."""
    return f"heads-{identity[:16]}.jsonl"


class SecondMedium:
    """A folder on another medium."""

    def __init__(self, folder: Path, calls: FileCalls = SYSTEM_CALLS) -> None:
        self.folder = folder
        self._calls = calls

    def add(self, identity: str, line: bytes) -> None:
        """Add one whole line to the file of this diary; it is durable when this returns."""
        path, calls = self.folder / heads_name(identity), self._calls
        advice = "Plug the medium in, or name another one, when the job is opened next."
        with told(f"The head was not copied to the second medium {self.folder}", advice):
            try:
                handle = calls.open_log(path)
            except FileNotFoundError:
                handle = calls.create(path)
                calls.fsync_dir(self.folder)
            try:
                wait_for_lock(calls, handle, path.name)
                size = calls.size(handle)
                broken_off = size > 0 and calls.read(handle, 1, size - 1) != b"\n"
                write_all(calls, handle, (b"\n" if broken_off else b"") + line)
                calls.fsync(handle)
            finally:
                close_quietly(calls, handle)
