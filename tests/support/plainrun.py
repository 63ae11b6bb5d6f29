"""One run of the command line in process, with everything that it reads and writes at hand."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.tui.cli import main
from tests.support.fakeclock import FakeClock
from tests.support.script import Script, TypedInput

CARD = "saltmarsh-kr1-way-4"
DAY = "2026-11-25T09:30:00.000+00:00"


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Say so."""
        return True


@dataclass(frozen=True)
class Ran:
    """What a run gave."""

    code: int
    out: str
    err: str


def run(
    *argv: str, typed: str | io.TextIOBase = "", clock: FakeClock | None = None, calls: FileCalls = SYSTEM_CALLS
) -> Ran:
    """Run a command with typed text as its input."""
    out, err = io.StringIO(), io.StringIO()
    stdin = io.StringIO(typed) if isinstance(typed, str) else typed
    code = main(argv, clock=clock or FakeClock(DAY), calls=calls, stdin=stdin, stdout=out, stderr=err)  # type: ignore[arg-type]
    return Ran(code, out.getvalue(), err.getvalue())


def walk(home: Path, script: Script, *more: str, clock: FakeClock | None = None, card: str = CARD) -> Ran:
    """Walk a job in practice with a script, the reference job where none is named."""
    used = clock or FakeClock(DAY)
    return run(
        "walk", card, "--plain", "--practice", "--home", str(home), *more, typed=TypedInput(script, used), clock=used
    )


def extended(script: Script, lines: Sequence[str], gap_ms: int = 1_000) -> Script:
    """Return a script with more lines after its end, each a little later."""
    last = script.at_ms[-1] if script.at_ms else 0
    times = tuple(last + gap_ms * number for number in range(1, len(lines) + 1))
    return Script((*script.lines, *lines), (*script.at_ms, *times), script.walker)


def only_log(home: Path, mode: str = "practice") -> Path:
    """Return the one log of a folder."""
    (log,) = (home / mode).glob("[0-9]*.jsonl")
    return log
