"""The screws of the device and its bars with how far each one is: landed, tightened, pulled, marked.

For: seeing which screw is still to be done.
Must never: call a screw tightened that the record does not.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass
from ferrule.engine.text import width
from ferrule.tui.pictures.base import Signs, left_out, pad, within, wrapped

_SCREWS = {"as found": "?", "empty": " ", "seated": "/", "checked": "#", "loose": "!"}
_NAME_LEAST = 30
"""Cells that a name and its sign want beside the words of a state."""
_TYPED = "typed 4 of 4"
DEVICE_PARTS = ("", "supply", "load")


@dataclass(frozen=True, slots=True)
class Screw:
    """One terminal: its torque in words, its recorded state, what was typed of it so far."""

    name: str
    torque: str
    part: str
    state: str
    said: str
    """The recorded state in words."""
    filled: int
    asked: int
    """Places that the step asks for at this screw; none where it asks for nothing."""
    here: bool


@dataclass(frozen=True, slots=True)
class Terminals:
    """All screws of the way, those of the device in its box and those of the bars below it."""

    title: str
    device: str
    """Its marks, such as `B 32 A, 30 mA type A`."""
    screws: tuple[Screw, ...]

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return one row for each screw, the device's own beside its box."""
        inside = [s for s in self.screws if s.part in DEVICE_PARTS]
        outside = [s for s in self.screws if s.part not in DEVICE_PARTS]
        box = min(width(self.device) + 2, max(8, cells // 4))
        top = f"{signs.top_left}{signs.flat * box}{signs.top_right}"
        named, legend = self._spoken(cells - box - 2, signs)
        lines = [self.title, top]
        for number, screw in enumerate(inside):
            label = pad(f" {self.device}" if number == 0 else "", box, signs)
            lines.append(f"{signs.upright}{label}{signs.right_tee}{self._screw(screw, cells - box - 2, named, signs)}")
        lines.append(f"{signs.bottom_left}{signs.flat * box}{signs.bottom_right}")
        for screw in outside:
            lines.append(pad(" bar", box + 2, signs) + self._screw(screw, cells - box - 2, named, signs))
        lines += legend
        if len(lines) > rows:
            return self._few(cells, rows, signs)
        return within(lines, cells, rows, signs)

    def _few(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the screws without the box, the one at hand first, and how many have no room."""
        order = sorted(self.screws, key=lambda s: (not s.here, s.state == "checked", s.state != "loose"))
        if len(order) + 1 <= rows:
            order = list(self.screws)
        fitting = order if len(order) + 1 <= rows else order[: max(0, rows - 2)]
        lines = [self.title, *(self._screw(s, cells, True, signs) for s in fitting)]
        if len(fitting) < len(order):
            lines.append(left_out(len(order) - len(fitting), "screw"))
        return within(lines, cells, rows, signs)

    def _spoken(self, cells: int, signs: Signs) -> tuple[bool, list[str]]:
        """Return whether states stand beside the screws, and else the lines that say what a sign stands for."""
        said = {s.state: s.said for s in self.screws}
        if not said or cells - max(map(width, said.values())) >= _NAME_LEAST:
            return True, []
        return False, wrapped([f"({_SCREWS.get(state, '?')}) {words}" for state, words in said.items()], cells, signs)

    def _screw(self, screw: Screw, cells: int, named: bool, signs: Signs) -> str:
        mark = ">" if screw.here else signs.flat
        said = screw.said if named else ""
        if screw.asked and screw.filled and screw.state != "checked":
            said = f"typed {screw.filled} of {screw.asked}"
        head = f"{mark}({_SCREWS.get(screw.state, '?')}) "
        room = cells - len(head) - (max(width(s.said) for s in self.screws) if named else len(_TYPED)) - 2
        name = f"{screw.name}, {screw.torque}" if width(screw.name) + width(screw.torque) + 2 <= room else screw.name
        return f"{head}{pad(name, max(8, room), signs)}  {said}"
