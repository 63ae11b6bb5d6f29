"""Time since a job was opened, carried over breaks of the program and restarts of the machine.

For: the elapsed time in each entry, and telling when the time of day and it disagree.
Must never go back, whatever anybody does to the time of day.
"""

from typing import Any

from ferrule.engine.journal.entry import Entry, wall_ms
from ferrule.engine.shell.clock import Clock

STEP_MS = 2_000
"""More than this between time of day and elapsed time is a clock step (record_format.md §1)."""


class Elapsed:
    """Stamps for one job's entries."""

    def __init__(self, clock: Clock, last: Entry | None) -> None:
        """Count on from the job's last entry, or from 0 for a new job."""
        self._clock = clock
        self._zero_ms = clock.mono_ms() if last is None else _zero_of(clock, last)

    @property
    def boot(self) -> str:
        """The clock's boot id, and what its steady clock showed when the elapsed time was 0.

        With both in each entry a later process in the same run of the machine counts on exactly.
        """
        return f"{self._clock.boot()}:{self._zero_ms}"

    def now_ms(self, last: Entry | None) -> int:
        """Elapsed time, never less than the last entry has."""
        return max(self._clock.mono_ms() - self._zero_ms, last.mono_ms if last else 0)

    def stamp(self, last: Entry | None) -> tuple[str, int]:
        """Time of day and elapsed time for the next entry."""
        return self._clock.wall(), self.now_ms(last)

    def today(self) -> str:
        """The day at this place."""
        return self._clock.date()

    def wall(self) -> str:
        """The time of day at this place, as it stands in an entry."""
        return self._clock.wall()


def find_step(last: Entry, wall: str, mono_ms: int) -> dict[str, Any] | None:
    """The data of a `clock_step` entry if somebody set the time of day since the last entry."""
    apart = (wall_ms(wall) - wall_ms(last.wall)) - (mono_ms - last.mono_ms)
    if abs(apart) <= STEP_MS:
        return None
    return {
        "wall_before": last.wall,
        "wall_after": wall,
        "mono_ms_before": last.mono_ms,
        "mono_ms_after": mono_ms,
    }


def _zero_of(clock: Clock, last: Entry) -> int:
    """After a restart of the machine only the time of day bridges the gap, and never backwards."""
    boot, _, zero = last.boot.rpartition(":")
    if boot == clock.boot() and zero.removeprefix("-").isdecimal():
        return int(zero)
    gap = max(0, wall_ms(clock.wall()) - wall_ms(last.wall))
    return clock.mono_ms() - (last.mono_ms + gap)
