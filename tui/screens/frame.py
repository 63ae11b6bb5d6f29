"""One screen as one sheet: what stays in sight whatever is asked, and an area between that takes turns.

For: the walk, the replay and the first screen alike, which differ in what they put on the sheet.
Must never: lose the hint and the key line, which stand in the last two rows of every screen.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.screen import Screen
from textual.strip import Strip

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.text import width
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words
from ferrule.tui.screens import views
from ferrule.tui.screens.areas import Area
from ferrule.tui.screens.reach import Reach
from ferrule.tui.signs import shown
from ferrule.tui.widgets.paint import Block, Painter, Room, Rowed
from ferrule.tui.widgets.sheet import Sheet
from ferrule.tui.widgets.text import content, cut, rows

LEAST_WIDTH, LEAST_HEIGHT = 60, 20
SAID_ROWS = ((views.TALL, 9), (24, 3), (0, 1))
"""Rows of the last verdict from a height on."""
_UNCUT = 2
"""Rows of a block that is never cut: a prompt with its field."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What the fixed parts are drawn from."""

    job: Job
    situation: Situation
    mode: str
    """The word for it, always in sight."""
    practice: bool
    now_ms: int
    acting: str
    said: Sequence[str]
    marks: bool = True
    """Whether board and way are named; a second person reads them without sight of the card."""

    def head(self, size: Size) -> Block:
        """Return mode, title, board and way, and the place in the procedure."""
        found = views.head(self.job, self.situation, self.mode, size.width, self.acting, marks=self.marks)
        return Block("head", "practice" if self.practice else "head", found)

    def strip(self, size: Size) -> Block:
        """Return what is recorded on safety."""
        return Block("strip", "strip", views.strip(self.job, self.situation, self.now_ms, size.width, size.height))

    def verdict(self, size: Size) -> Block:
        """Return the last verdict."""
        most = next(most for least, most in SAID_ROWS if size.height >= least)
        return Block("said", "said", said_content(self.said, size.width, most))


class SheetScreen(Screen[None]):
    """A screen that is drawn whole on its sheet at each change; the sheet sends what differs."""

    SMALL_KEYS: ClassVar[str] = screen_words.SMALL_LEAVE
    """The keys that answer in too small a window."""

    def __init__(self) -> None:
        super().__init__()
        self.reach = Reach()
        """Which rows of the area are in sight."""
        self._ends: dict[str, int] = {}
        """The row of the area at which each of its blocks ends."""
        self._sheet = Sheet()

    def compose(self) -> ComposeResult:
        """Mount the sheet."""
        yield self._sheet

    def on_mount(self) -> None:
        """Draw for the first time."""
        self.draw()

    def on_resize(self) -> None:
        """Draw for the new size, once the screen has taken it."""
        self.call_later(self.draw)

    def draw(self, *, follow: bool = False) -> None:
        """Put on the sheet what is to be shown now; to follow is to show the end of the area."""
        if not self.is_attached:
            return
        if self.too_small:
            self._put_too_small()
        else:
            self.put_all(follow=follow)

    def put_all(self, *, follow: bool) -> None:
        """Put everything on the sheet of a window that is large enough."""
        raise NotImplementedError

    @property
    def room(self) -> Size:
        """The window's size, which is known before the screen's own: so that what is painted first is right."""
        return self.size if self.size.width else self.app.size

    @property
    def too_small(self) -> bool:
        """True when the window cannot hold a step whole."""
        return self.room.width < LEAST_WIDTH or self.room.height < LEAST_HEIGHT

    @property
    def theme_name(self) -> str:
        """The theme that the application is in."""
        return str(self.app.theme_name)  # type: ignore[attr-defined]

    def ends_in_sight(self, name: str) -> bool:
        """True when a block of the area is in sight to its end, or is not there."""
        return self.reach.shows(self._ends.get(name, 0))

    def put(
        self,
        top: Sequence[Block],
        area: Area,
        bottom: Sequence[Block],
        hint: Callable[[], str],
        keys: str,
        *,
        follow: bool = False,
    ) -> None:
        """Draw blocks above and below an area that takes the rest; the hint is asked for when the area stands."""
        painter, size = self._painter(), self.room
        above, below = _fixed(painter, top, size.width), _fixed(painter, bottom, size.width)
        room = max(0, size.height - len(above) - len(below) - 2)
        found, self._ends = _laid_out(painter, area, size.width - area.beside_cells, room)
        self.reach.fit(len(found), room, follow=follow)
        middle = found[self.reach.first : self.reach.first + room]
        middle += [painter.blank(size.width - area.beside_cells)] * (room - len(middle))
        if area.beside is not None:
            middle = list(map(Strip.join, zip(middle, painter.room(area.beside, area.beside_cells, room), strict=True)))
        last = (
            Block("hint", "page", content((hint_line(hint(), size.width), "bold"))),
            Block("keys", "keys", content(cut(keys, size.width))),
        )
        self._sheet.show([*above, *middle, *below, *_fixed(painter, last, size.width)][: size.height])

    def _put_too_small(self) -> None:
        """Say that the window is too small, and what can still be done."""
        painter, size = self._painter(), self.room
        said = screen_words.TOO_SMALL.format(width=size.width, height=size.height) + self.SMALL_KEYS
        blank = painter.blank(size.width)
        drawn = [blank, *painter.rows(Block("small", "page", content(said), pad=2), size.width)]
        self._sheet.show([*drawn, *[blank] * (size.height - len(drawn))][: size.height])

    def _painter(self) -> Painter:
        painter = self._sheet.painter
        painter.use(self.theme_name, self.app.get_line_filters())
        return painter


def _fixed(painter: Painter, blocks: Sequence[Block], cells: int) -> Rowed:
    return [row for block in blocks for row in painter.rows(block, cells)]


def _laid_out(painter: Painter, area: Area, cells: int, room: int) -> tuple[Rowed, dict[str, int]]:
    """Return all rows of an area, and the row at which each block ends."""
    blocks = [block for block in area.blocks if isinstance(block, Block)]
    fixed = {block.name: painter.rows(block, cells) for block in blocks}
    if _least(fixed, area.blocks) > room:
        fixed |= {block.name: painter.rows(block.shortened, cells) for block in blocks if block.short is not None}
    if not area.scrolled:
        _shorten(painter, fixed, area.blocks, cells, room)
    free = room - sum(map(len, fixed.values()))
    found: Rowed = []
    ends = {}
    for block in area.blocks:
        if isinstance(block, Room):
            height = max(block.least, free)
            found += painter.room(block, cells, min(height, block.most) if block.most else height)
        else:
            found += fixed[block.name]
        ends[block.name] = len(found)
    return found, ends


def _least(fixed: dict[str, Rowed], blocks: Sequence[Block | Room]) -> int:
    """Return the fewest rows in which an area is whole."""
    return sum(map(len, fixed.values())) + sum(block.least for block in blocks if isinstance(block, Room))


def _shorten(painter: Painter, fixed: dict[str, Rowed], blocks: Sequence[Block | Room], cells: int, room: int) -> None:
    """Cut the longest blocks of an area that nothing turns to what there is room for, each with a mark in its last row.

    A block of two rows or fewer stays, so that what is asked and its field are never cut.
    """
    mark = painter.rows(Block("cut", "page", content("…"), pad=1), cells)
    while (over := _least(fixed, blocks) - room) > 0:
        name = max(fixed, key=lambda name: len(fixed[name]), default="")
        rows_before = fixed.get(name, [])
        if len(rows_before) <= _UNCUT:
            return
        fixed[name] = [*rows_before[: max(1, len(rows_before) - over - 1)], *mark]


def hint_line(hint: str, cells: int) -> str:
    """Return the hint in one row: closer together where it would not fit, then cut with a mark."""
    line = f" {hint}"
    if width(line) > cells:
        for long, short in (("  ", " "), ("PageDown: more", "PgDn more"), (" > ", " >")):
            line = line.replace(long, short)
    return cut(line, cells)


def said_content(said: Sequence[str], cells: int, most: int) -> Content:
    """Return the last verdict in as many rows as it has; what does not fit is named."""
    wrapped = [row for line in said for row in textwrap.wrap(shown(line), cells - 2) or [""]]
    if len(wrapped) > most:
        wrapped = wrapped[:most]
        wrapped[-1] = f"{cut(wrapped[-1], cells - 16)} … all: F3, F5"
    return rows(f" {row}" for row in wrapped)
