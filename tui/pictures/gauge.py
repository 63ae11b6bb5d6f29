"""One reading on a scale with its limit, the band of the instrument's error, and what was expected.

For: seeing after entry how near a reading lies to its limit.
Must never: judge; what passes is what the verdict says.  A mark that hides another one says so.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import plain
from ferrule.engine.text import width
from ferrule.tui.pictures.base import Signs, cut, shown, wrapped
from ferrule.tui.pictures.scale import Scale, scale_of

_LEAST = 24
"""Cells below which a scale says nothing."""
_BOTH = "&"


@dataclass(frozen=True, slots=True)
class Gauge:
    """What is set on the scale; numbers in one unit."""

    title: str
    value: Decimal
    bound: str
    """`>` or `<` where the display was off its scale, else empty."""
    unit: str
    passing: tuple[tuple[Decimal | None, Decimal | None], ...]
    """The stretches that pass; None is no end."""
    guard: Decimal
    """How far the instrument may be off; zero where no allowance is made."""
    expected: tuple[Decimal, Decimal] | None
    log: bool
    place: str = ""
    """The title in short, for a gauge without a row of its own for it."""

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the scale with its marks; with two rows the marks stand in the scale itself."""
        if rows < 1 or cells < _LEAST:
            return (cut(f"{self.title}: {self._read()}", cells, signs),)[:rows]
        low, high = self._scale(2).ends
        unit = shown(self.unit, signs)
        scale = self._scale(cells - len(low) - len(high) - width(unit) - 3)
        bar, marks = self._bar(scale, signs), self._marks(scale)
        both = _BOTH in marks
        if rows < 3:
            named = (
                [f"{self.place}:", *self._legend(signs, both=both)] if self.place else self._legend(signs, both=both)
            )
            legend = wrapped(named, cells, signs)
            bar = "".join(mark if mark != " " else sign for mark, sign in zip(marks, bar, strict=True))
            return (f"{low} {bar} {high} {unit}".rstrip(), *legend[:1])[:rows]
        legend = wrapped(self._legend(signs, both=both), cells, signs)
        title = [cut(self.title, cells, signs)] if self.title and rows >= 4 else []
        drawn = [*title, f"{' ' * len(low)} {marks}".rstrip(), f"{low} {bar} {high} {unit}".rstrip()]
        return tuple([*drawn, *legend][:rows])

    def _ends(self) -> list[Decimal]:
        return [end for stretch in self.passing for end in stretch if end is not None and end > 0]

    def _scale(self, cells: int) -> Scale:
        ends = self._ends()
        around = [end + sign * self.guard for end in ends for sign in (-1, 1) if end + sign * self.guard > 0]
        return scale_of([self.value, *ends, *around, *(self.expected or ())], cells, log=self.log)

    def _bar(self, scale: Scale, signs: Signs) -> str:
        drawn = [signs.flat] * scale.cells
        for low, high in self.passing:
            first = 0 if low is None else scale.column(low)
            last = scale.cells - 1 if high is None else scale.column(high)
            drawn[first : last + 1] = signs.passes * (last - first + 1)
        for end in self._ends():
            if self.guard > 0:
                first, last = scale.column(end - self.guard), scale.column(end + self.guard)
                drawn[first : last + 1] = signs.guard * (last - first + 1)
        for end in self._ends():
            drawn[scale.column(end)] = signs.limit
        return "".join(drawn)

    def _marks(self, scale: Scale) -> str:
        drawn = [" "] * scale.cells
        if self.expected is not None:
            first, last = (scale.column(end) for end in self.expected)
            drawn[first : last + 1] = "E" * (last - first + 1)
        at = scale.column(self.value)
        hidden = drawn[at] == "E" and drawn.count("E") == 1
        drawn[at] = _BOTH if hidden else self.bound or "R"
        return "".join(drawn)

    def _read(self) -> str:
        sign = f"{self.bound} " if self.bound else ""
        return f"{sign}{plain(self.value)} {self.unit}".rstrip()

    def _legend(self, signs: Signs, *, both: bool) -> list[str]:
        expected = ""
        if self.expected is not None:
            low, high = (plain(end) for end in self.expected)
            expected = f"expected {low if low == high else f'{low} to {high}'} {self.unit}".rstrip()
        if both:
            found = [f"{_BOTH} read {self._read()} and {expected}"]
        else:
            found = [f"{self.bound or 'R'} read {self._read()}", *([f"E {expected}"] if expected else [])]
        ends = list(dict.fromkeys(plain(end) for end in self._ends()))
        if ends:
            found.append(f"{signs.limit} limit {' and '.join(ends)} {self.unit}".rstrip())
        if self.guard > 0 and ends:
            found.append(f"{signs.guard} allowance for the instrument {plain(self.guard)} {self.unit}".rstrip())
        if self.passing:
            found.append(f"{signs.passes} passes")
        return found
