"""The program with a clock that stands still until it is put forward: `python jumping.py FILE walk CARD …`.

For: real programs in a pseudo-terminal that have to wait for minutes; FILE holds the milliseconds that have passed.
"""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from pathlib import Path

from ferrule.tui.cli import main

DAY = datetime.fromisoformat("2026-11-25T09:30:00.000+00:00")


class JumpingClock:
    """A clock that a file puts forward, on a day that stays the same."""

    def __init__(self, passed: Path) -> None:
        self._passed = passed

    def mono_ms(self) -> int:
        """What the file says."""
        return int(self._passed.read_text(encoding="ascii") or "0")

    def wall(self) -> str:
        """The time of day that goes with it."""
        return (DAY + timedelta(milliseconds=self.mono_ms())).isoformat(timespec="milliseconds")

    def date(self) -> str:
        """The day."""
        return self.wall()[:10]

    def boot(self) -> str:
        """One run of the machine."""
        return "boot-1"


if __name__ == "__main__":
    sys.exit(main(sys.argv[2:], clock=JumpingClock(Path(sys.argv[1]))))
