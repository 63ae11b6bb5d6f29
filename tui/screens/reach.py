"""Which rows of an area are in sight: it is turned by keys and shows no bar.

Must never: move by itself, except to stay within what there is.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass

_ALL = 10**6
"""More rows than any area has."""


@dataclass
class Reach:
    """The rows in sight of an area that may be longer than its room."""

    first: int = 0
    room: int = 0
    total: int = 0

    def fit(self, total: int, room: int, *, follow: bool = False) -> None:
        """Take what there is now, and the room for it; to follow is to show its end."""
        self.total, self.room = total, room
        self._go(_ALL if follow else self.first)

    def home(self) -> None:
        """Show the first rows."""
        self.first = 0

    def turn(self, name: str) -> bool:
        """Turn by a key; False when it is another one."""
        moves = {"up": -1, "down": 1, "pageup": -self.room, "pagedown": self.room, "home": -_ALL, "end": _ALL}
        if name not in moves:
            return False
        self._go(self.first + moves[name])
        return True

    @property
    def more_below(self) -> bool:
        """True when something stands below what is in sight."""
        return self.first + self.room < self.total

    def shows(self, row: int) -> bool:
        """True when everything above a row was or is in sight."""
        return row <= self.first + self.room

    def _go(self, first: int) -> None:
        self.first = max(0, min(first, self.total - self.room))
