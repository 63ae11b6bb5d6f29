"""The device from the front: its toggle, the finger on it, the button marked T, and what the socket showed.

For: the check that a held toggle cannot keep the contacts closed.
Must never: conclude anything from a toggle; the reading at the socket stands beside it.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass
from ferrule.tui.pictures.base import Signs, cut, within

_WIDTH = 13
_GAP = 3


@dataclass(frozen=True, slots=True)
class Toggle:
    """What is drawn: where the toggle was last seen, whether a finger holds it, and the socket's reading."""

    title: str
    marks: str
    place: str
    """`on`, `off`, `tripped` or empty where it was not seen."""
    held: bool
    said: tuple[str, ...]
    """Each thing asked, with its answer or that it is open."""

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the device with what was seen beside it."""
        front = self._front(signs)
        beside = [cut(line, cells - _WIDTH - 2 - _GAP, signs) for line in self.said]
        if cells < _WIDTH + 20 or rows < len(front) + 1:
            return within([self.title, self._words(), *self.said], cells, rows, signs)
        high = max(len(front), len(beside))
        front += [" " * (_WIDTH + 2)] * (high - len(front))
        beside += [""] * (high - len(beside))
        lines = [f"{a}{' ' * _GAP}{b}" for a, b in zip(front, beside, strict=True)]
        return within([self.title, *lines], cells, rows, signs)

    def _words(self) -> str:
        place = f"toggle seen at {self.place}" if self.place else "toggle not seen yet"
        return f"{place}{', a finger on it' if self.held else ''}"

    def _front(self, signs: Signs) -> list[str]:
        finger = "< finger" if self.held else ""
        rows = {"on": "[#] on", "tripped": "[#] between", "off": "[#] off"}
        slots = [rows[p] if p == self.place else " | " for p in rows]
        if self.held:
            slots[0] = f"[#]{finger}" if self.place == "on" or not self.place else slots[0]
        if not self.place and not self.held:
            slots[1] = "[?] not seen"
        inside = [f" {self.marks}", "", *(f" {slot}" for slot in slots), "", " ( T )"]
        lines = [f"{signs.upright}{cut(text, _WIDTH, signs):<{_WIDTH}}{signs.upright}" for text in inside]
        edge = signs.flat * _WIDTH
        return [
            f"{signs.top_left}{edge}{signs.top_right}",
            *(line for line in lines if line.strip(signs.upright + " ")),
            f"{signs.bottom_left}{edge}{signs.bottom_right}",
        ]
