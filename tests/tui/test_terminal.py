"""The program in a real pseudo-terminal: it starts light, ends clean from outside, and leaves the lock behind free."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import Session
from tests.bench.terminal import Terminal
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")

_ALTERNATE_OFF = b"\x1b[?1049l"


@pytest.fixture
def terminal(home: Path) -> Terminal:
    """The walk of the reference job in an 80 by 24 terminal, at its first step."""
    found = Terminal(
        [sys.executable, "-m", "ferrule.tui.cli", "walk", CARD],
        environ={"FERRULE_HOME": str(home), "TERM": "xterm-256color"},
    )
    found.wait_for("> NOW", "12 STOP")
    return found


@pytest.mark.parametrize(
    ("how", "code"), [("f10", 0), ("ctrl+c", 130), (signal.SIGTERM, 130), (signal.SIGHUP, 130)], ids=str
)
def test_ends_clean(terminal: Terminal, home: Path, how: str | signal.Signals, code: int) -> None:
    """Left, interrupted or ended from outside: screen restored, log whole, lock free. Shows: IR-01."""
    terminal.type("1")
    terminal.wait_for("name the same board")
    if isinstance(how, signal.Signals):
        os.kill(terminal.pid, how)
    elif how == "ctrl+c":
        terminal.type("\x03")
    else:
        terminal.type("\x1b[21~")
        terminal.wait_for("Stay at the step")
        terminal.type("2\r")

    assert terminal.wait_exit() == code
    assert _ALTERNATE_OFF in bytes(terminal.raw)
    folders = find_folders(home)
    (log,) = folders.records.glob("[0-9]*.jsonl")
    session = Session.resume(log, folders=folders, clock=FakeClock())
    assert session.state.entries == 0
    session.close()


def test_closed_terminal_leaves_the_log_whole(terminal: Terminal, home: Path) -> None:
    """The window is closed in the middle of a step: the program ends, log whole, lock free. Shows: IR-01."""
    terminal.type("1")
    terminal.wait_for("name the same board")
    os.close(terminal.handle)
    end = time.monotonic() + 10
    while not os.waitpid(terminal.pid, os.WNOHANG)[0]:
        assert time.monotonic() < end, "the program did not end"
        time.sleep(0.05)
    folders = find_folders(home)
    (log,) = folders.records.glob("[0-9]*.jsonl")
    session = Session.resume(log, folders=folders, clock=FakeClock())

    assert session.state.entries == 0
    session.close()


def test_no_mouse_and_no_key_query_is_asked_of_the_terminal(terminal: Terminal) -> None:
    """Keyboard only: neither mouse reports nor the extended key protocol are switched on. Shows: HI-01."""
    sent = bytes(terminal.raw)
    terminal.kill()

    for mode in (b"?1000h", b"?1003h", b"?1015h", b"?1006h", b">1u", b">25u"):
        assert mode not in sent


def test_start_path_is_light() -> None:
    """The screen brings in neither pydantic, YAML, cryptography nor the library's heavy widgets."""
    heavy = (
        "pydantic", "ruamel.yaml", "cryptography", "textual.widgets._data_table", "textual.widgets._footer",
        "textual.widgets._markdown", "ferrule.tui.screens.replay", "ferrule.tui.screens.jobs",
        "ferrule.tui.pictures.pick", "ferrule.tui.pictures.ring", "ferrule.tui.pictures.gauge_of",
    )  # fmt: skip
    code = f"import sys, ferrule.tui.app; print(*[m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def _bytes_after(terminal: Terminal, keys: str, wanted: str) -> int:
    """Return how many bytes the terminal is sent for a key."""
    before = len(terminal.raw)
    terminal.type(keys)
    terminal.wait_for(wanted)
    _drain(terminal)
    return len(terminal.raw) - before


def _drain(terminal: Terminal) -> None:
    """Take in what the program still writes, until it is silent."""
    seen = -1
    while seen != len(terminal.raw):
        seen = len(terminal.raw)
        terminal.pump(0.15)


def test_step_change_sends_little_and_idling_nothing(terminal: Terminal) -> None:
    """A step change sends at most 4 kB and an idle second nothing (performance goals, section 0)."""
    _bytes_after(terminal, "1", "> Sheet and card")
    _bytes_after(terminal, "1", "> Kind of record")
    _bytes_after(terminal, "1", "> If it cannot")
    _bytes_after(terminal, "1", "4 of 4 filled")
    confirmed = _bytes_after(terminal, "\r", "Ask the client for the outage.")
    typed = _bytes_after(terminal, "1", "> Who may give")
    before = len(terminal.raw)
    for _ in range(6):
        terminal.pump(0.2)
    idle = len(terminal.raw) - before
    terminal.kill()

    assert confirmed <= 4_000
    assert typed <= 2_000
    assert idle == 0
