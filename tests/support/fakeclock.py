"""A clock that stands still until a test moves it."""

from datetime import datetime, timedelta


class FakeClock:
    """Time of day and steady time, moved by hand, together or apart."""

    def __init__(
        self, wall: str = "2026-03-14T09:30:00.000+00:00", mono_ms: int = 500_000, boot: str = "boot-1"
    ) -> None:
        """Start at this time of day, with this much on the steady clock."""
        self._wall = datetime.fromisoformat(wall)
        self._mono_ms = mono_ms
        self._boot = boot

    def wall(self) -> str:
        """Time of day, RFC 3339 with offset."""
        return self._wall.isoformat(timespec="milliseconds")

    def date(self) -> str:
        """The day."""
        return self._wall.date().isoformat()

    def mono_ms(self) -> int:
        """Steady milliseconds."""
        return self._mono_ms

    def boot(self) -> str:
        """The id of this run of the machine."""
        return self._boot

    def advance(self, ms: int) -> None:
        """Let time pass on both clocks."""
        self._wall += timedelta(milliseconds=ms)
        self._mono_ms += ms

    def step_wall(self, ms: int) -> None:
        """Somebody sets the time of day."""
        self._wall += timedelta(milliseconds=ms)

    def reboot(self, boot: str, gap_ms: int = 60_000) -> None:
        """The machine is started anew: the steady clock begins again, the time of day went on."""
        self._wall += timedelta(milliseconds=gap_ms)
        self._mono_ms = 3_000
        self._boot = boot
