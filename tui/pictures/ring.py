"""The ring as it lies: two legs at the board, the sockets in the card's order, the cross of steps two and three.

For: seeing which conductor meets which while readings are taken round the ring.
Must never: show a link that is not recorded as fitted, or drop a socket without saying so.
"""

from __future__ import annotations

from ferrule.engine.light import dataclass
from ferrule.tui.pictures.base import Grid, Signs, cut, left_out, short_names, shown, within, wrapped

_ROWS = 5
_HERE = ">"


@dataclass(frozen=True, slots=True)
class Socket:
    """A socket of the ring, or a spur from one."""

    id: str
    spur_from: str
    filled: bool
    here: bool


@dataclass(frozen=True, slots=True)
class Ring:
    """The ring with the other conductor that is read with the line."""

    title: str
    other: str
    """`neutral` or `earth`."""
    crossed: bool
    """Whether the cross at the board is recorded as fitted."""
    sockets: tuple[Socket, ...]

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return the ring with a row of spurs above and below where there are any."""
        on_ring = [s for s in self.sockets if not s.spur_from]
        half = -(-len(on_ring) // 2)
        top, bottom = on_ring[:half], on_ring[half:]
        spurs = [s for s in self.sockets if s.spur_from]
        above = any(s.spur_from in [t.id for t in top] for s in spurs)
        below = any(s.spur_from in [t.id for t in bottom] for s in spurs)
        grid = Grid(cells, _ROWS + above + below)
        names = self._labels(cells)
        first = 4 + max(map(len, names)) + 2
        self._rails(grid, int(above), names, cells, signs)
        room = max(0, cells - first - 4)
        ids = [s.id for s in on_ring]
        names_of = {i: i for i in ids}
        if half and room // half <= max(map(len, ids)):
            names_of = short_names(ids)
        each = max([min(8, room // max(1, half)), *(len(name) + 1 for name in names_of.values())])
        sides = _Sides(grid, names_of, spurs, first, room, each, signs)
        drawn = sides.draw(int(above), top, up=True) + sides.draw(int(above) + 4, bottom[::-1], up=False)
        said = "crossed at the board" if self.crossed else "ends apart at the board"
        grid.put(int(above) + 2, first, cut(said, room, signs))
        legend = wrapped(self._legend(drawn, signs), cells, signs)
        return within([self.title, *grid.lines(), *legend], cells, rows, signs)

    def _labels(self, cells: int) -> tuple[str, str, str, str]:
        if cells >= 64:
            return ("line leg 1", f"{self.other} leg 1", f"{self.other} leg 2", "line leg 2")
        letter = self.other[0].upper()
        return ("L leg 1", f"{letter} leg 1", f"{letter} leg 2", "L leg 2")

    def _rails(self, grid: Grid, top: int, names: tuple[str, ...], cells: int, signs: Signs) -> None:
        """Draw four rails, joined at the far side, and at the board as the recorded cross joins them."""
        right = cells - 1
        for row, name in zip((0, 1, 3, 4), names, strict=True):
            inner = row in (1, 3)
            grid.line(top + row, 2, right - (2 if inner else 0), signs.flat)
            grid.put(top + row, 4, f"{name} ")
        for row in range(1, 4):
            grid.put(top + row, right, signs.upright)
        grid.put(top + 2, right - 2, signs.upright)
        grid.put(top, right, signs.top_right)
        grid.put(top + 4, right, signs.bottom_right)
        grid.put(top + 1, right - 2, signs.top_right)
        grid.put(top + 3, right - 2, signs.bottom_right)
        if not self.crossed:
            for row in (0, 1, 3, 4):
                grid.put(top + row, 2, signs.open)
            return
        grid.put(top, 0, signs.top_left + signs.flat)
        grid.put(top + 1, 0, signs.upright + signs.top_left)
        grid.put(top + 2, 0, signs.upright * 2)
        grid.put(top + 3, 0, signs.bottom_left + signs.cross)
        grid.put(top + 4, 1, signs.bottom_left)

    def _legend(self, drawn: int, signs: Signs) -> list[str]:
        filled = sum(s.filled for s in self.sockets)
        found = [f"{signs.full} entered: {filled} of {len(self.sockets)}", f"{signs.open} open"]
        if any(s.here for s in self.sockets):
            found.append(f"{_HERE} now")
        if any(s.spur_from for s in self.sockets):
            found.append(f"{signs.top_left} spur")
        if drawn < len(self.sockets):
            found.append(left_out(len(self.sockets) - drawn, "socket"))
        return found


@dataclass(frozen=True, slots=True)
class _Sides:
    """Both sides of a ring share their room and their spacing."""

    grid: Grid
    names: dict[str, str]
    spurs: list[Socket]
    first: int
    room: int
    each: int
    signs: Signs

    def draw(self, row: int, side: list[Socket], *, up: bool) -> int:
        """Draw the sockets of one side and their spurs; return how many were drawn."""
        drawn = 0
        for number, socket in enumerate(side[: self.room // self.each]):
            at = self.first + number * self.each
            self.grid.put(row, at, shown(self.names[socket.id], self.signs))
            self.grid.put(row + (1 if up else -1), at, _sign(socket, self.signs))
            drawn += 1 + self._spurs(row + (-1 if up else 1), at, socket.id, up=up)
        return drawn

    def _spurs(self, row: int, at: int, root: str, *, up: bool) -> int:
        """Draw what leaves from a socket, where there is room for it; return how many spurs were drawn."""
        leaving = [s for s in self.spurs if s.spur_from == root]
        corner = self.signs.top_left if up else self.signs.bottom_left
        told = "".join(f"{corner}{shown(s.id, self.signs)}{_sign(s, self.signs)}" for s in leaving)
        if not leaving or len(told) > min(self.each, self.first + self.room - at):
            return 0
        self.grid.put(row, at, told)
        return len(leaving)


def _sign(socket: Socket, signs: Signs) -> str:
    return _HERE if socket.here else signs.full if socket.filled else signs.open
