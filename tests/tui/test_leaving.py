"""The real program left in every way, and made too small: log whole, lock free, terminal as it was found."""

from __future__ import annotations

import fcntl
import os
import re
import signal
import struct
import termios
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import Session
from tests.support.fakeclock import FakeClock
from tests.support.typed import F10, Typist

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal"),
]
F12 = "\x1b[24~"
_MODES = re.compile(rb"\x1b\[\?([0-9;]+)([hl])")
_COOKED = termios.ECHO | termios.ICANON | termios.ISIG
_MOUSE = ("1000", "1002", "1003", "1006", "1015")


@pytest.fixture
def typist(job: Job, home: Path) -> Iterator[Typist]:
    """The walk of the reference job at its second step."""
    # A size that the shell exported must not hide the window's own.
    found = Typist(job, home, environ={"COLUMNS": "80", "LINES": "24"})
    found.terminal.wait_for("> NOW", "12 STOP")
    answers = found.keys()
    for key in answers:
        press(found, key)
    found.terminal.wait_for(found.now[:30])
    yield found
    with suppress(ProcessLookupError, ChildProcessError, OSError):
        found.terminal.kill()


def press(typist: Typist, key: str) -> None:
    """Press a key, slower than one that is held down."""
    typist.terminal.type(key)
    end = time.perf_counter() + 0.2
    while time.perf_counter() < end:
        typist.terminal.pump(0.05)


def modes(raw: bytes) -> dict[str, str]:
    """Return every mode of the terminal as it was left: `h` on, `l` off."""
    found: dict[str, str] = {}
    for names, state in _MODES.findall(raw):
        for name in names.decode().split(";"):
            found[name] = state.decode()
    return found


def check_whole(home: Path, entries: int) -> None:
    """The log can be taken up again at once, with every entry that was taken."""
    folders = find_folders(home)
    (log,) = folders.records.glob("[0-9]*.jsonl")
    session = Session.resume(log, folders=folders, clock=FakeClock())
    try:
        assert session.state.entries == entries
    finally:
        session.close()


@pytest.mark.parametrize("how", ["leave", "interrupt", "term", "hang up"])
def test_terminal_is_left_as_it_was_found(typist: Typist, home: Path, how: str) -> None:
    """The other screen is left, the cursor shown, no mouse report left on, the line's own settings are back.

    Shows: IR-01
    """
    terminal = typist.terminal
    if how == "leave":
        terminal.type(F10)
    elif how == "interrupt":
        terminal.type("\x03")
    else:
        os.kill(terminal.pid, signal.SIGTERM if how == "term" else signal.SIGHUP)
    code = terminal.wait_end()
    left = modes(bytes(terminal.raw))
    after = termios.tcgetattr(terminal.handle)  # of the program's own side, as a shell would find it
    os.close(terminal.handle)

    assert code == (0 if how == "leave" else 130)
    assert (left["1049"], left["25"]) == ("l", "h")
    assert [mode for mode in _MOUSE if left.get(mode) == "h"] == []
    assert after[3] & _COOKED == _COOKED
    check_whole(home, typist.state.entries)


def test_closed_terminal_ends_the_program_and_frees_the_log(typist: Typist, home: Path) -> None:
    """A window that is closed ends the program by itself; log whole, lock free. Shows: IR-01."""
    os.close(typist.terminal.handle)
    end = time.perf_counter() + 10
    while not os.waitpid(typist.terminal.pid, os.WNOHANG)[0]:
        assert time.perf_counter() < end, "the program did not end"
        time.sleep(0.05)

    check_whole(home, typist.state.entries)


def resize(typist: Typist, columns: int, lines: int) -> None:
    """Make the window so large; the program is told once, by the terminal itself."""
    terminal = typist.terminal
    fcntl.ioctl(terminal.handle, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
    terminal.screen.resize(lines, columns)


def test_too_small_a_window_keeps_the_walk(typist: Typist, home: Path) -> None:
    """Below the smallest size the walk says so and takes no answer; made larger it stands where it stood.

    Shows: HI-13
    """
    terminal, entries = typist.terminal, typist.state.entries
    press(typist, "1")
    resize(typist, 59, 19)
    terminal.wait_for("This window is too small: 59 by 19.", "Nothing is lost")
    for key in ("1", "\r", " "):
        press(typist, key)
    resize(typist, 80, 24)
    terminal.wait_for("> NOW", "12 STOP", typist.now[:30])
    terminal.type(F10)
    terminal.wait_for("1 of 3 places are filled and not recorded.")
    terminal.type("\x1b")
    terminal.wait_for("> NOW")
    resize(typist, 50, 15)
    terminal.wait_for("too small: 50 by 15")
    terminal.type(F10)

    assert terminal.wait_exit() == 0
    check_whole(home, entries)


def test_stop_works_in_too_small_a_window(typist: Typist, home: Path) -> None:
    """The stop key stops work whatever the size of the window. Shows: HI-01."""
    resize(typist, 50, 15)
    typist.terminal.wait_for("too small: 50 by 15")
    typist.terminal.type(F12)
    typist.terminal.pump(0.5)
    resize(typist, 80, 24)
    typist.terminal.wait_for("WORK STOPPED")
    os.kill(typist.terminal.pid, signal.SIGTERM)

    assert typist.terminal.wait_exit() == 130
    check_whole(home, typist.state.entries + 1)
