"""The real program in a pseudo-terminal, walked by the keys of a sound job; a walk in memory knows what comes next."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.state import State
from tests.bench.terminal import Terminal
from tests.support import jumping
from tests.support.plainrun import CARD
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession
from tests.tui.keys import healthy_keys

F10 = "\x1b[21~"
_SENT = {"enter": "\r", "space": " "}


class Typist:
    """A person at the terminal who does a sound job and reads the screen before each step."""

    def __init__(
        self,
        job: Job,
        home: Path,
        *more: str,
        environ: Mapping[str, str] | None = None,
        columns: int = 80,
        lines: int = 24,
        walk: str = CARD,
    ) -> None:
        self.jumped = home / "jumped"
        self.jumped.write_text("0", encoding="ascii")
        command = [sys.executable, jumping.__file__, str(self.jumped), "walk", walk, *more]
        self.terminal = Terminal(
            command,
            columns=columns,
            lines=lines,
            environ={"TERM": "xterm-256color", "FERRULE_HOME": str(home), **(environ or {})},
        )
        self.walker = Walker.begin(job)

    @property
    def state(self) -> State:
        """Where the walk in memory stands."""
        return self.walker.state

    @property
    def now(self) -> str:
        """The step that the walk stands at; empty at the end."""
        step = self.walker.step()
        return step.text if step is not None else ""

    def keys(self) -> list[str]:
        """Return what is sent for the step on screen, key by key; the walk in memory goes on by the same answers."""
        walker, entries = self.walker, self.state.entries
        session = FakeSession(walker.job, walker.state, now_ms=walker.now_ms)
        keys = healthy_keys(session)
        digit = ""
        while walker.state.entries == entries or walker.state.round_start_ms is not None:
            digit = str(1 + (walker.state.entries * 4 + 2) % 9)
            command = self._command()
            found = walker.give(command)
            assert not isinstance(found, Refusal), found
            walker.now_ms = command.at.ms
        return [digit if key == "confirm" else _SENT.get(key, key) for key in keys]

    def _command(self) -> c.Command:
        """Return the next command of a sound walk; a round that was started is stamped at its end first."""
        state = self.state
        if state.round_start_ms is not None and state.round_end_ms is None:
            return c.StampRound(state.operator, self.walker.stamp(), state.step, "end")
        command = self.walker.healthy()
        assert command is not None
        return command

    def catch_up(self) -> None:
        """Put the program's clock forward to where the walk in memory is."""
        self.jumped.write_text(str(self.walker.now_ms), encoding="ascii")
