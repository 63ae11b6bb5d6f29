"""How long a change of step takes to be read, fsync included, against a do-nothing application's update of one line.

Both run in pseudo-terminals and are measured by turns, by the clock.  The goal is held when asked for, on a quiet
machine; every run holds how much is written and that an idle step is silent (`tests/tui/test_terminal.py`).
"""

from __future__ import annotations

import os
import select
import statistics
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import Session, open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from tests.bench.terminal import Terminal
from tests.support.jumping import JumpingClock
from tests.support.plainrun import CARD
from tests.support.typed import Typist

pytestmark = [
    pytest.mark.nightly,
    pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal"),
]

HERE = Path(__file__).parent
F1, F2, F3, F5 = "\x1bOP", "\x1bOQ", "\x1bOR", "\x1b[15~"
STEPS = 60
MOST, MOST_P95 = 6.0, 10.0
"""A change of step may take this many times the peer's median: by its own median, and by its 95th percentile."""
MOST_BYTES = 4_000
MOST_MEMORY = 1.1
LONG = 10_000
QUIET_S = 0.06
SEEN = 40
ANSWERED = "answered a key"
CODE = "The code of the log"
VIEWS = {F2: "Every goal of this job", F3: "The path so far", F5: "Why this step"}


@dataclass
class Times:
    """What was measured: milliseconds until the new step can be read, the peer's, and bytes written."""

    ours: list[float] = field(default_factory=list)
    peer: list[float] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)

    @property
    def middle(self) -> float:
        """The median, as times of the peer's median."""
        return statistics.median(self.ours) / statistics.median(self.peer)

    @property
    def late(self) -> float:
        """The 95th percentile, as times of the peer's median."""
        return statistics.quantiles(self.ours, n=20)[-1] / statistics.median(self.peer)


def silent(terminal: Terminal) -> None:
    """Take in what is still written until nothing comes."""
    heard = -1
    while heard != len(terminal.raw):
        heard = len(terminal.raw)
        terminal.pump(QUIET_S)


def answered(terminal: Terminal, key: str, *wanted: str) -> tuple[float | None, int]:
    """Type a key; return milliseconds until one of the texts could be read, None when none came, and the bytes."""
    chunks: list[tuple[float, bytes]] = []
    begun = time.perf_counter()
    os.write(terminal.handle, key.encode())
    while select.select([terminal.handle], [], [], 0.15 if chunks else 2.0)[0]:
        data = os.read(terminal.handle, 65_536)
        chunks.append((time.perf_counter() - begun, data))
    found = None
    for at, data in chunks:
        terminal.take(data)
        if found is None and any(text in terminal.text() for text in wanted):
            found = at * 1000
    return found, sum(len(data) for _, data in chunks)


def measure(typist: Typist, steps: int) -> Times:
    """Walk so many steps, the peer's line changed after each; where the page of the code comes first, it counts."""
    times, terminal = Times(), typist.terminal
    terminal.wait_for("> NOW", "12 STOP")
    peer = Terminal([sys.executable, str(HERE / "minimal.py")], environ={"TERM": "xterm-256color"})
    peer.wait_for("ready to start")
    time.sleep(2.0)
    for _ in range(steps):
        keys = typist.keys()
        typist.catch_up()
        while "it counts down by itself" in terminal.text():
            terminal.pump(2.0)
        for key in keys[:-1]:
            terminal.type(key)
            silent(terminal)
        silent(peer)
        took, size = answered(terminal, keys[-1], typist.now[:SEEN].rsplit(" ", 1)[0], CODE)
        silent(terminal)
        if CODE in terminal.text():
            terminal.type("\x1b")
            terminal.wait_for("> NOW")
        assert took is not None, terminal.text()
        times.ours.append(took)
        times.sizes.append(size)
        answer, _ = answered(peer, F1, ANSWERED)
        assert answer is not None
        times.peer.append(answer)
    peer.kill()
    return times


def resident_kb(pid: int) -> int:
    """Return the memory of a process."""
    return int(Path(f"/proc/{pid}/status").read_text(encoding="ascii").split("VmRSS:")[1].split()[0])


def check(times: Times, what: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Tell what was measured, and hold it against the goal."""
    with capsys.disabled():
        sys.stdout.write(
            f"\nstep, {what}: {statistics.median(times.ours):.1f} ms against {statistics.median(times.peer):.1f} ms, "
            f"{times.middle:.1f} times, 95th percentile {times.late:.1f} times, "
            f"{max(times.sizes)} bytes at most, {len(times.ours)} steps\n"
        )

    assert max(times.sizes) <= MOST_BYTES
    assert times.middle <= MOST
    assert times.late <= MOST_P95


def test_step_is_near_a_do_nothing_application(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A change of step in a new log, interleaved with the peer."""
    typist = Typist(find_job(CARD, find_folders(home)).job, home)
    try:
        times = measure(typist, STEPS)
    finally:
        typist.terminal.kill()

    check(times, "new log", capsys)


def long_log(home: Path) -> Path:
    """Write a log of 10,000 entries that has not left its first step."""
    folders, jumped = find_folders(home), home / "jumped"
    jumped.write_text("0", encoding="ascii")
    clock = JumpingClock(jumped)
    session = Session.open_new(find_job(CARD, folders), folders=folders, clock=clock, mode="work", operator="tech")
    for number in range(LONG):
        session.submit(c.Remark("tech", session.stamp(), f"remark {number}"))
    session.close()
    return session.path


def test_step_stays_near_with_ten_thousand_entries(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same behind 10,000 entries: nothing that a step needs grows with the log. Shows: HI-17."""
    log, folders = long_log(home), find_folders(home)
    typist = Typist(find_job(CARD, folders).job, home, walk=str(log))
    try:
        typist.terminal.wait_for("> NOW", seconds=60.0)
        typist.walker.state = open_replay(log, folders).last.state
        times = measure(typist, STEPS)
    finally:
        typist.terminal.kill()

    check(times, f"{LONG} entries", capsys)


def test_sixty_steps_there_and_back_keep_the_memory(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After sixty changes of what is shown, there and back, memory is at most 1.1 times that at the first."""
    terminal = Typist(find_job(CARD, find_folders(home)).job, home).terminal
    try:
        terminal.wait_for("> NOW", "12 STOP")
        time.sleep(2.0)
        for key in VIEWS:
            turn(terminal, key)
        first = resident_kb(terminal.pid)
        for number in range(STEPS):
            turn(terminal, list(VIEWS)[number % 3])
        last = resident_kb(terminal.pid)
    finally:
        terminal.kill()
    with capsys.disabled():
        sys.stdout.write(f"\nmemory: {first} kB, after {STEPS} times there and back {last} kB\n")

    assert last <= MOST_MEMORY * first


def turn(terminal: Terminal, key: str) -> None:
    """Open another view and come back."""
    terminal.type(key)
    terminal.wait_for(VIEWS[key])
    terminal.type("\x1b")
    terminal.wait_for("> NOW")
    silent(terminal)
