"""The pairs of a round that looks for voltage as a field that fills: each pair at each point of the card.

For: seeing at a glance which pair is still open; three pairs on one phase, ten on three.
Must never: say what a conductor is; a sign says what the display showed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ferrule.engine.light import dataclass
from ferrule.engine.text import width
from ferrule.tui.pictures.base import Signs, left_out, pad, within, wrapped

BELOW, ABOVE, NOT_REACHED, UNSTABLE = "below range", "above range", "not reached", "unstable"
_SIGNS = {BELOW: "-", ABOVE: "^", NOT_REACHED: "x", UNSTABLE: "?"}
_WORDS = {BELOW: "no indication", ABOVE: "above range", NOT_REACHED: "not reached", UNSTABLE: "unstable"}
_HERE, _OPEN = ">", "."
_NAME_LEAST = 10


@dataclass(frozen=True, slots=True)
class Pairs:
    """The field: its points, its pairs, and what was entered."""

    title: str
    unit: str
    points: tuple[tuple[str, str], ...]
    """Id and name."""
    pairs: tuple[tuple[str, str], ...]
    """Id and short name, such as `L-N`."""
    entered: Mapping[tuple[str, str], tuple[str, str]]
    """Point and pair to form and text; what is missing is open."""
    here: tuple[str, str] | None

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the field with the longer side downwards where it fits, else the other way round."""
        legend = wrapped(self._legend(), cells, signs)
        deep = [(p, name) for p, name in self.pairs]
        flat = [(p, f"{p} {name}".strip()) for p, name in self.points]
        room = rows - 2 - len(legend)
        choices = ((deep, [(p, p) for p, _ in self.points], False), (flat, list(self.pairs), True))
        fitting = [self._table(*c, cells, signs) for c in choices if len(c[0]) <= room]
        whole = [lines for lines, left in fitting if not left]
        if whole:
            lines = whole[0]
        else:
            lines, left = self._table(*choices[1], cells, signs)
            legend += [left_out(left, "column")] if left else []
        room = max(0, rows - 1 - len(legend))
        return within([self.title, *lines[:room], *self._below(len(lines) - room, legend)], cells, rows, signs)

    def _below(self, left: int, legend: list[str]) -> list[str]:
        """Return the legend; in place of its last line how many rows of the field have no room."""
        return legend if left <= 0 else [left_out(left, "row"), *legend[:-1]]

    def _table(
        self,
        down: Sequence[tuple[str, str]],
        across: Sequence[tuple[str, str]],
        points_down: bool,
        cells: int,
        signs: Signs,
    ) -> tuple[list[str], int]:
        """Return head and rows of a field, and how many columns have no room."""
        each = max([6 if len(across) < 8 else 5, *(width(name) + 1 for _, name in across)])
        name = max(_NAME_LEAST, min(max(width(n) for _, n in down), cells - each * len(across) - 1))
        fitting = across[: max(0, (cells - name - 1) // each)]
        lines = [" " * (name + 1) + "".join(pad(n, each, signs) for _, n in fitting)]
        for i, label in down:
            keys = [(i, j) if points_down else (j, i) for j, _ in fitting]
            lines.append(f"{pad(label, name, signs)} " + "".join(pad(self._sign(key), each, signs) for key in keys))
        return lines, len(across) - len(fitting)

    def _sign(self, key: tuple[str, str]) -> str:
        if key in self.entered:
            form, text = self.entered[key]
            return _SIGNS.get(form, text)
        return _HERE if key == self.here else _OPEN

    def _legend(self) -> list[str]:
        count = len(self.points) * len(self.pairs)
        forms = {form for form, _ in self.entered.values()}
        found = [f"{len(self.entered)} of {count} entered, in {self.unit}"]
        found += [f"{sign} {_WORDS[form]}" for form, sign in _SIGNS.items() if form in forms]
        if len(self.entered) < count:
            found.append(f"{_OPEN} open")
        return [*found, *([f"{_HERE} now"] if self.here and self.here not in self.entered else [])]
