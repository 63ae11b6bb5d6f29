"""Questions beside the step: a list to choose from, or one line to type, with what follows from the answer.

Must never: fill in an answer, or start on a choice that changes the work.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import field

from ferrule.engine.light import dataclass
from ferrule.tui.screens.draft import Line
from ferrule.tui.widgets.rows import Row


@dataclass(frozen=True, slots=True)
class Choice:
    """One line to choose: its columns, and what is told of it while it is marked."""

    columns: tuple[str, ...]
    detail: str = ""


@dataclass
class Pick:
    """A list to choose from."""

    title: str
    intro: tuple[str, ...]
    choices: Sequence[Choice]
    on_pick: Callable[[int], object]
    widths: tuple[int, ...] = (0,)
    at: int = 0
    numbered: bool = True
    """Whether lines carry a digit that marks them; a list that is only read has none."""
    steps: Sequence[str] = ()
    """The step of each line, where a remark may be added to it."""

    def key(self, name: str, char: str) -> bool:
        """Take a key; False when it is not for a list.  A digit marks, Enter takes what is marked."""
        last = len(self.choices) - 1
        moves = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8, "home": -len(self.choices), "end": len(self.choices)}
        if name in moves:
            self.at = max(0, min(last, self.at + moves[name]))
            return True
        if self._few and len(char) == 1 and char in "123456789" and int(char) <= len(self.choices):
            self.at = int(char) - 1
            return True
        if name == "enter" and self.choices:
            self.on_pick(self.at)
            return True
        return False

    @property
    def step(self) -> str:
        """The step of the marked line; empty where lines are about none."""
        return self.steps[self.at] if self.steps else ""

    @property
    def _few(self) -> bool:
        return self.numbered and len(self.choices) <= 9

    def rows(self) -> list[Row]:
        """Return the lines as rows; a short list carries digits."""
        found = []
        for number, choice in enumerate(self.choices, 1):
            first = f"{number}  {choice.columns[0]}" if self._few else choice.columns[0]
            found.append(Row((first, *choice.columns[1:])))
        return found


@dataclass
class Ask:
    """One line to type."""

    title: str
    intro: tuple[str, ...]
    prompt: str
    on_text: Callable[[str], object]
    optional: bool = False
    line: Line = field(default_factory=Line)
    fault: str = ""

    def key(self, name: str, char: str) -> bool:
        """Take a key; every sign that can be printed is text here."""
        if name == "enter":
            if self.line.text.strip() or self.optional:
                self.on_text(self.line.text.strip())
            else:
                self.fault = "Nothing was typed yet."
            return True
        self.fault = ""
        if self.line.key(name):
            return True
        if len(char) == 1 and char.isprintable():
            self.line.put(char)
            return True
        return False


@dataclass
class Page:
    """Text to read."""

    title: str
    lines: tuple[str, ...]


def moved_mark(mark: int | None, count: int, name: str, char: str) -> int | None:
    """Return the line that a key marks among some; None for another key.  Nothing is marked to begin with."""
    if len(char) == 1 and char in "123456789" and int(char) <= count:
        return int(char) - 1
    if name not in ("up", "down") or not count:
        return None
    if mark is None:
        return 0 if name == "down" else count - 1
    return max(0, min(count - 1, mark + (1 if name == "down" else -1)))


class Bounce:
    """Tells a key that was struck twice at once, or is held down (HI-02)."""

    def __init__(self, least_s: float) -> None:
        self._least_s = least_s
        self._last = ("", 0.0)

    def is_repeat(self, name: str) -> bool:
        """True for the same key again within the least time; each repeat begins that time anew."""
        last, at = self._last
        moment = time.monotonic()
        self._last = (name, moment)
        return name == last and moment - at < self._least_s
