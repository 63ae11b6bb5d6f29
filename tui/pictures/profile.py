"""Readings along the circuit as upright bars, one for each point, in the card's order from leg 1 on.

For: seeing the one value that stands out among many.
Must never: draw an expected value where nothing was entered, or drop a point without saying so.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import plain
from ferrule.tui.pictures.base import Grid, Signs, cut, left_out, short_names, within, wrapped
from ferrule.tui.pictures.scale import Scale, scale_of

OPEN, ABOVE, BELOW, NOT_REACHED, UNSTABLE = "", "above range", "below range", "not reached", "unstable"
_FORM_SIGNS = {ABOVE: "^", BELOW: "v", NOT_REACHED: "x", UNSTABLE: "?"}
_FORM_WORDS = {ABOVE: "above range", BELOW: "no indication", NOT_REACHED: "not reached", UNSTABLE: "unstable"}
_HERE = ">"
_LEAST_ROWS = 5
_VALUES_FROM = 5
"""Cells of a bar from which its value stands below it."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One point: its number, or the form that it was answered with; open while both are missing."""

    id: str
    value: Decimal | None
    form: str
    expected: tuple[Decimal, Decimal] | None
    here: bool

    @property
    def filled(self) -> bool:
        """True when something was entered here."""
        return self.value is not None or self.form != OPEN


@dataclass(frozen=True, slots=True)
class Profile:
    """All points of a round."""

    title: str
    unit: str
    bars: tuple[Bar, ...]
    log: bool

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the bars over their points; those for which there is no room are counted."""
        if rows < _LEAST_ROWS:
            return within([self.title, *wrapped(self._said(), cells, signs)], cells, rows, signs)
        numbers = [b.value for b in self.bars if b.value is not None]
        numbers += [end for b in self.bars if b.filled and b.expected is not None for end in b.expected]
        top = scale_of(numbers, 2, log=self.log)
        axis = max(map(len, top.ends)) + 2
        each, fitting = self._room(cells - axis)
        drawn, left = self.bars[:fitting], len(self.bars) - fitting
        legend = wrapped(self._legend(drawn, left, signs), cells, signs)
        valued = each >= _VALUES_FROM
        high = rows - 1 - (2 if valued else 1) - len(legend)
        if high < 1:
            return within([self.title, *wrapped(self._said(), cells, signs)], cells, rows, signs)
        scale = scale_of(numbers, high, log=self.log)
        grid = Grid(cells, high + (2 if valued else 1))
        self._axis(grid, scale, axis, high, signs)
        for number, bar in enumerate(drawn):
            self._bar(grid, bar, axis + number * each, each, scale, high, signs)
        return within([self.title, *grid.lines(), *legend], cells, rows, signs)

    def _room(self, cells: int) -> tuple[int, int]:
        """Return the cells of each bar and how many bars fit."""
        each = min(8, max(2, cells // max(1, len(self.bars))))
        return each, min(len(self.bars), max(0, cells // each))

    def _axis(self, grid: Grid, scale: Scale, axis: int, high: int, signs: Signs) -> None:
        low, top = scale.ends
        for row in range(high):
            grid.put(row, axis - 1, signs.upright)
        grid.put(0, axis - 1 - len(top), top)
        if high > 1:
            grid.put(high - 1, axis - 1 - len(low), low)

    def _bar(self, grid: Grid, bar: Bar, at: int, each: int, scale: Scale, high: int, signs: Signs) -> None:
        bottom = high - 1
        if bar.value is not None:
            up = scale.column(bar.value) if high > 1 else 0
            for row in range(up + 1):
                grid.put(bottom - row, at, signs.block)
        elif bar.form != OPEN:
            grid.put(0 if bar.form == ABOVE else bottom, at, _FORM_SIGNS[bar.form])
        else:
            grid.put(bottom, at, _HERE if bar.here else ".")
        if bar.filled and bar.expected is not None and high > 1:
            for row in range(scale.column(bar.expected[0]), scale.column(bar.expected[1]) + 1):
                grid.put(bottom - row, at + 1, signs.flat)
        name = self._name(bar.id)
        if len(name) < each or at % (2 * each) < each:
            grid.put(high, at, cut(name, max(each, 2) if len(name) >= each else each - 1, signs))
        if each >= _VALUES_FROM and bar.value is not None:
            grid.put(high + 1, at, cut(plain(bar.value), each - 1, signs))

    def _name(self, point: str) -> str:
        """Return a point's name; of many that begin alike only what differs."""
        ids = [bar.id for bar in self.bars]
        return point if len(ids) <= 10 else short_names(ids)[point]

    def _legend(self, drawn: tuple[Bar, ...], left: int, signs: Signs) -> list[str]:
        filled = sum(b.filled for b in self.bars)
        found = [f"{filled} of {len(self.bars)} points entered, in {self.unit or 'numbers'}"]
        if left:
            found.append(left_out(left, "point"))
        if any(b.filled and b.expected for b in drawn):
            found.append(f"{signs.flat} expected there")
        found += [
            f"{sign} {_FORM_WORDS[form]}" for form, sign in _FORM_SIGNS.items() if any(b.form == form for b in drawn)
        ]
        return found

    def _said(self) -> list[str]:
        """Return every entered value in words, for a room that is too small to draw in."""
        found = [
            f"{b.id} {plain(b.value) if b.value is not None else _FORM_WORDS[b.form]}" for b in self.bars if b.filled
        ]
        return [*found, f"{len(self.bars) - len(found)} points open"]
