"""A real pseudo-terminal with a program in it: type keys, wait for what is painted, measure the time."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Mapping, Sequence

import pyte


class Terminal:
    """A program in a pseudo-terminal of a given size, with its screen as text."""

    def __init__(
        self, command: Sequence[str], *, columns: int = 80, lines: int = 24, environ: Mapping[str, str] | None = None
    ) -> None:
        self.screen = pyte.Screen(columns, lines)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = bytearray()
        self.started = time.perf_counter()
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
            os.execvpe(command[0], list(command), {**os.environ, **(environ or {})})

    def type(self, keys: str) -> None:
        """Type keys."""
        os.write(self.handle, keys.encode())

    def text(self) -> str:
        """Return the screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def pump(self, seconds: float) -> bool:
        """Take in what the program writes for at most some seconds; False when it has ended."""
        ready, _, _ = select.select([self.handle], [], [], seconds)
        if not ready:
            return True
        try:
            data = os.read(self.handle, 65536)
        except OSError:
            return False
        if not data:
            return False
        self.take(data)
        return True

    def take(self, data: bytes) -> None:
        """Bring the screen up to date with what the program wrote."""
        self.raw += data
        self._stream.feed(data)

    def wait_for(self, *wanted: str, seconds: float = 20.0) -> float:
        """Return the seconds since the start until all the texts are on screen; an error when they do not come."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            if all(word in self.text() for word in wanted):
                return time.perf_counter() - self.started
            if not self.pump(0.05):
                break
        raise AssertionError(f"{wanted} did not come on screen:\n{self.text()}")

    def wait_exit(self, seconds: float = 10.0) -> int:
        """Return the exit code of the program, and give the pseudo-terminal back."""
        code = self.wait_end(seconds)
        os.close(self.handle)
        return code

    def wait_end(self, seconds: float = 10.0) -> int:
        """Return the exit code of the program; the pseudo-terminal stays open and can be looked at."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            self.pump(0.05)
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status)
        raise AssertionError(f"the program did not end:\n{self.text()}")

    def kill(self) -> None:
        """End the program at once."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.handle)
