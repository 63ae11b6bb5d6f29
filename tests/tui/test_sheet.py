"""The sheet: only what differs is painted; the painter: what stays is not made again; the reach: what is in sight."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from ferrule.engine.procedure.compiled import Job
from ferrule.tui.screens.frame import hint_line
from ferrule.tui.screens.panes import Ask, Choice, Pick
from ferrule.tui.screens.reach import Reach
from ferrule.tui.theme import ORDER
from ferrule.tui.widgets.paint import Block, Painter, Room
from ferrule.tui.widgets.rows import Row, Rows
from ferrule.tui.widgets.sheet import changed_cells
from ferrule.tui.widgets.text import content
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import walk_of
from tests.tui.small_job import at

WIDTH = 12
STYLES = st.sampled_from([Style(bgcolor="#ffffff"), Style(bgcolor="#ffffff", bold=True), Style(bgcolor="#e4e4e4")])
SIGNS = st.lists(st.sampled_from(["a", "b", " ", "中", "e\u0301", "a\u0301"]), max_size=4).map("".join)
PIECES = st.lists(st.builds(Segment, SIGNS, STYLES, st.none()), max_size=5)


def row(pieces: list[Segment]) -> Strip:
    """A row of the sheet's width, whatever it says."""
    return Strip(pieces).adjust_cell_length(WIDTH, Style(bgcolor="#ffffff"))


def cells(strip: Strip) -> list[tuple[str, Style | None]]:
    """Each cell's sign and style; a wide sign stands in its first cell, what combines goes with the cell before."""
    found: list[tuple[str, Style | None]] = []
    for segment in strip:
        for char in segment.text:
            size = Segment(char).cell_length
            if size == 0 and found:
                found[-1] = (found[-1][0] + char, found[-1][1])
            else:
                found += [(char, segment.style), *[("", segment.style)] * (size - 1)]
    return found


@given(PIECES, PIECES)
def test_what_is_left_out_of_a_row_looks_the_same(old: list[Segment], new: list[Segment]) -> None:
    """Behind the cells that are painted, two rows are the same cell by cell."""
    before, after = row(old), row(new)
    count = changed_cells(before, after)

    assert cells(before)[count:] == cells(after)[count:]
    assert 0 <= count <= WIDTH


def test_the_last_cell_painted_is_the_last_that_differs() -> None:
    """A word that changed in a line of one style is painted up to its end; equal rows need nothing."""
    ground = Style(bgcolor="#ffffff")
    first, second = row([Segment("found 1 ago", ground)]), row([Segment("found 2 ago", ground)])

    assert changed_cells(first, second) == 7
    assert changed_cells(first, row([Segment("found 1 ago", ground)])) == 0
    assert changed_cells(first, Strip([Segment("found 1 ago", ground)])) == 11


def test_what_stays_is_not_painted_again() -> None:
    """A block that says the same has the very rows as before; another theme or width makes new ones."""
    painter = Painter()
    painter.use("day", ())
    block = Block("now", "now", content(("> NOW", "bold"), " read"), pad=1)
    first = painter.rows(block, 20)

    assert painter.rows(Block("now", "now", content(("> NOW", "bold"), " read"), pad=1), 20) is first
    assert painter.rows(Block("now", "now", content("> NOW", " read"), pad=1), 20) != first
    assert [r.cell_length for r in painter.rows(block, 8)] == [8, 8]
    painter.use("night", ())
    assert painter.rows(block, 20) != first


@pytest.mark.parametrize("theme", ORDER)
def test_a_room_has_exactly_the_rows_it_is_given(theme: str) -> None:
    """A list takes the rows that it is given: filled with blank ones, or a window around its mark."""
    painter = Painter()
    painter.use(theme, ())
    listed = Rows(tuple(Row((f"row {n}",)) for n in range(5)), (0,), 4)
    tall, low = (painter.room(Room("list", "page", listed, 3), 20, height) for height in (7, 3))

    assert [r.text.strip() for r in tall] == ["row 0", "row 1", "row 2", "row 3", "> row 4", "", ""]
    assert [r.text.strip() for r in low] == ["row 3", "> row 4", "rows 4 to 5 of 5"]


def test_reach_stays_within_what_there_is() -> None:
    """A page is turned no further than its ends, and a shorter one comes back into sight."""
    reach = Reach()
    reach.fit(30, 10)
    assert (reach.more_below, reach.shows(10), reach.shows(11)) == (True, True, False)
    assert reach.turn("pagedown")
    assert (reach.first, reach.shows(11)) == (10, True)
    assert reach.turn("end")
    assert (reach.first, reach.more_below) == (20, False)
    assert reach.turn("up")
    reach.fit(12, 10)
    assert reach.first == 2
    reach.home()
    reach.fit(12, 10, follow=True)
    assert reach.first == 2
    assert not reach.turn("tab")


QUESTIONS = {
    "field": Ask("Why?", tuple(f"line {n} of what is told" for n in range(30)), "Reason", print),
    "both": Pick(
        "Which?",
        tuple(f"line {n} of what is told" for n in range(30)),
        [Choice(("one",), "\n".join(f"told {n}" for n in range(12)))],
        print,
    ),
    "list": Pick("Which?", tuple(f"line {n} of what is told" for n in range(30)), [Choice(("one",), "told")], print),
}


@pytest.mark.parametrize("name", QUESTIONS)
async def test_a_long_question_keeps_its_field(tiny: Job, name: str) -> None:
    """What is told before a question is cut with a mark where it has no room; the field stays. Shows: HI-13."""
    app = app_of(FakeSession(tiny, at(tiny, "do")))
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.pause()
        walk_of(app).open(QUESTIONS[name])
        await pilot.pause()
        rows = [r.strip() for r in text_of(app).split("\n")]

    assert "…" in rows
    wanted = {"field": ("Reason:", "[ _ ]"), "list": ("> 1  one", "told"), "both": ("> 1  one", "told 0")}[name]
    assert set(wanted) <= set(rows)
    assert "line 0 of what is told" in rows
    assert rows[-1].startswith("F1 help")


@pytest.mark.parametrize("cells", [60, 70, 80])
def test_a_hint_moves_together_before_it_is_cut(cells: int) -> None:
    """In a narrow window the keys of a hint stand closer; what still has no room leaves a mark. Shows: HI-13."""
    hint = "PageDown: more  + > 99.9 ohm  * not reached  / unstable  Enter next"
    line = hint_line(hint, cells)

    assert len(line) <= cells
    assert "Enter next" in line
    assert line == f" {hint}" if cells >= 70 else "PgDn more + >99.9 ohm" in line
    assert hint_line(f"{hint}  Ins point  Tab picture", 60).endswith("…")


@pytest.mark.parametrize("size", [(1, 1), (3, 2), (5, 1), (20, 4), (59, 60), (200, 19)])
async def test_no_window_is_too_small_to_be_drawn(tiny: Job, size: tuple[int, int]) -> None:
    """Down to one cell a window shows what of the sentence it can, and the walk is whole when it grows again."""
    app = app_of(FakeSession(tiny, at(tiny, "several")))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = text_of(app)
        await pilot.resize_terminal(*size)
        await pilot.pause()
        small = text_of(app).split("\n")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        after = text_of(app)

    assert all(len(row) <= size[0] for row in small)
    assert len(small) <= size[1]
    assert after == before
