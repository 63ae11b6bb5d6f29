"""What stays in sight whatever is asked: head, safety strip, last verdict, hint and key line.

For: the walk and the replay alike, which differ only in the area between strip and verdict.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.geometry import Size
from textual.screen import Screen
from textual.widget import Widget

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words, words
from ferrule.tui.screens import views
from ferrule.tui.signs import shown
from ferrule.tui.widgets.text import Text, content, cut, rows

LEAST_WIDTH, LEAST_HEIGHT = 60, 20
SAID_ROWS = ((views.TALL, 9), (24, 3), (0, 1))
"""Rows of the last verdict from a height on."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What the fixed parts are drawn from."""

    job: Job
    situation: Situation
    mode: str
    """The word for it, always in sight."""
    now_ms: int
    acting: str
    said: Sequence[str]
    hint: str
    keys: str


def compose_frame(areas: Iterable[Widget]) -> ComposeResult:
    """Yield every widget of a screen, with its areas in the middle."""
    yield Text(id="small")
    with Vertical(id="whole"):
        yield Text(id="head")
        yield Text(id="strip")
        yield from areas
        yield Text(id="said")
        yield Text(id="hint")
        yield Text(id="keys")


def size_of(screen: Screen[None]) -> Size:
    """Return the window's size, which is known before the screen's own: so that what is painted first is right."""
    return screen.size if screen.size.width else screen.app.size


def too_small(screen: Screen[None]) -> bool:
    """True when the window cannot hold a step whole."""
    size = size_of(screen)
    return size.width < LEAST_WIDTH or size.height < LEAST_HEIGHT


def show_size(screen: Screen[None]) -> bool:
    """Show either the walk or that the window is too small; return whether the walk is shown."""
    small = too_small(screen)
    screen.query_one("#small").display = small
    screen.query_one("#whole").display = not small
    if small:
        size = size_of(screen)
        said = screen_words.TOO_SMALL.format(width=size.width, height=size.height)
        screen.query_one("#small", Text).show(content(said))
    return not small


def show_frame(screen: Screen[None], frame: Frame) -> None:
    """Bring the fixed parts up to date; what has not changed is not touched."""
    cells, lines = size_of(screen)
    screen.set_class(words.MODE_WORDS["practice"] in frame.mode, "practice")
    blocks = {
        "head": views.head(frame.job, frame.situation, frame.mode, cells, frame.acting),
        "strip": views.strip(frame.job, frame.situation, frame.now_ms, cells, lines),
        "said": said_content(frame.said, cells, next(most for least, most in SAID_ROWS if lines >= least)),
        "keys": content(cut(frame.keys, cells)),
    }
    for name, block in blocks.items():
        screen.query_one(f"#{name}", Text).show(block)
    show_hint(screen, frame.hint)


def show_hint(screen: Screen[None], hint: str) -> None:
    """Show which keys answer now."""
    screen.query_one("#hint", Text).show(content((cut(f" {hint}", screen.size.width), "bold")))


def said_content(said: Sequence[str], cells: int, most: int) -> Content:
    """Return the last verdict in as many rows as it has; what does not fit is named."""
    wrapped = [row for line in said for row in textwrap.wrap(shown(line), cells - 2) or [""]]
    if len(wrapped) > most:
        wrapped = wrapped[:most]
        wrapped[-1] = f"{cut(wrapped[-1], cells - 16)} … all: F3, F5"
    return rows(f" {row}" for row in wrapped)
