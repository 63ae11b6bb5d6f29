"""Where the time of an entry comes from.

For: one reading of the device's clocks per stamp.
Must never be imported by the pure rooms; time reaches them as an argument.
"""

import os
import sys
import time
from datetime import datetime
from typing import Protocol

_BOOT_ID = "/proc/sys/kernel/random/boot_id"
"""Linux: an id made at each start of the machine (from memory: random(4))."""


class Clock(Protocol):
    """The four readings a shell needs; tests bring their own."""

    def wall(self) -> str:
        """Time of day, RFC 3339 with offset."""

    def date(self) -> str:
        """The day at this place, as year-month-day."""

    def mono_ms(self) -> int:
        """Milliseconds by a clock that nobody can set; only differences mean anything."""

    def boot(self) -> str:
        """Within one such id, readings of `mono_ms` can be compared."""


class SystemClock:
    """The device's own clocks."""

    def __init__(self) -> None:
        self._boot = _boot_id()

    def wall(self) -> str:
        """Time of day with the offset in force now, in milliseconds."""
        return _local_now().isoformat(timespec="milliseconds")

    def date(self) -> str:
        """The day at this place."""
        return _local_now().date().isoformat()

    def mono_ms(self) -> int:
        """Milliseconds that go on while the machine sleeps, where the system has such a clock."""
        return _steady_ns() // 1_000_000

    def boot(self) -> str:
        """The machine's boot id, or one made for this process where the system has none."""
        return self._boot


def _local_now() -> datetime:
    return datetime.now().astimezone()


def _steady_ns() -> int:
    """Linux: CLOCK_BOOTTIME; macOS: CLOCK_MONOTONIC, which also counts sleep (from memory)."""
    if sys.platform == "linux":
        steady = time.clock_gettime_ns(time.CLOCK_BOOTTIME)
    elif sys.platform == "darwin":
        steady = time.clock_gettime_ns(time.CLOCK_MONOTONIC)
    else:
        steady = time.monotonic_ns()
    return steady


def _boot_id() -> str:
    try:
        with open(_BOOT_ID, encoding="ascii") as source:
            return source.read(64).strip() or os.urandom(16).hex()
    except (OSError, UnicodeDecodeError):
        return os.urandom(16).hex()
