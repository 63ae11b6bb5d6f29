"""Lines in fewer pieces show the same cells."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.segment import Segment
from rich.style import Style
from textual.color import Color

from ferrule.tui.fewer import FewerPieces

STYLES = st.one_of(
    st.none(),
    st.builds(
        Style,
        color=st.sampled_from(["#000000", "#ffffff"]),
        bgcolor=st.sampled_from(["#101010", "#eeeeee", None]),
        bold=st.sampled_from([None, True]),
        reverse=st.sampled_from([None, True]),
        underline=st.sampled_from([None, True]),
        strike=st.sampled_from([None, True]),
    ),
)
SEGMENTS = st.lists(st.builds(Segment, st.text(" a>", min_size=1, max_size=4), STYLES), max_size=8)


def cells(segments: list[Segment]) -> list[tuple[object, ...]]:
    """What each cell shows: its letter with all of its style, or a blank with what is seen of one."""
    found: list[tuple[object, ...]] = []
    for segment in segments:
        style = segment.style or Style()
        for char in segment.text:
            if char != " ":
                found.append((char, segment.style))
            elif style.reverse or style.underline or style.strike:
                found.append((char, style.color, style.bgcolor, style.reverse, style.underline, style.strike))
            else:
                found.append((char, style.bgcolor))
    return found


@given(SEGMENTS)
def test_every_cell_shows_what_it_showed(segments: list[Segment]) -> None:
    """Letters keep their style, blanks their ground and what is drawn on them; never more pieces than before."""
    made = FewerPieces().apply(segments, Color(0, 0, 0))

    assert cells(made) == cells(segments)
    assert len(made) <= len(segments)


def test_blanks_go_with_their_line() -> None:
    """A line of text with blanks around it on one ground is one piece."""
    ground, ink = Style(bgcolor="#eeeeee"), Style(color="#000000", bgcolor="#eeeeee")
    made = FewerPieces().apply([Segment(" ", ground), Segment("read", ink), Segment("    ", ground)], Color(0, 0, 0))

    assert made == [Segment(" read    ", ink)]
