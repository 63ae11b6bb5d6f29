"""Some screens with their colours, in each theme; without colour; and in plain ASCII.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.tui import signs
from ferrule.tui.app import FerruleApp
from ferrule.tui.theme import ORDER
from tests.tui.contrast import segments_of, styled_of
from tests.tui.fakes import FakeSession, screen_of, text_of
from tests.tui.keys import press
from tests.tui.test_golden import SCREENS

FOLDER = Path(__file__).parent / "golden_styled"
STYLED = ("critical", "several", "remark-refused", "far-danger")
SMALL, WIDE = (80, 24), (120, 36)


@pytest.fixture(autouse=True)
def utf8_again() -> Iterator[None]:
    """Leave the terminal's signs as they were."""
    yield
    signs.set_ascii(False)


def app_in(job: Job, name: str, **environ: str) -> tuple[FerruleApp, tuple[str, ...]]:
    """The application on one of the screens, in an environment, and the keys that lead there."""
    make, keys = SCREENS[name]
    return FerruleApp(screen_of(FakeSession(job, make(job))), environ), keys


@pytest.mark.parametrize("name", STYLED)
async def test_colours_are_as_they_were_read(tiny: Job, name: str) -> None:
    """Each part has the colours of its theme, and what matters is set apart in mono as well. Shows: HI-03, HI-05."""
    app, keys = app_in(tiny, name)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        for key in keys:
            await press(app, key)
            await pilot.pause()
        for theme in ORDER:
            assert app.theme_name == theme
            await pilot.pause()
            shown = styled_of(app)
            path = FOLDER / f"{name}-{theme}.txt"
            if os.environ.get("FERRULE_GOLDEN") == "write":
                path.write_text(shown, encoding="utf-8")

            assert shown == path.read_text(encoding="utf-8")
            await press(app, "f9")


@pytest.mark.parametrize("name", ["critical", "several", "remark"])
async def test_without_colour_none_is_painted(tiny: Job, name: str) -> None:
    """With NO_COLOR no colour is painted; head, warning and key line are reversed, and F9 changes nothing.

    Shows: HI-05, HI-14.
    """
    app, keys = app_in(tiny, name, NO_COLOR="1")
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        await press(app, *keys)
        await pilot.pause()
        before = text_of(app)
        await press(app, *(() if name == "remark" else ("f9",)))
        await pilot.pause()
        after = text_of(app)
        styles = [(segment.text, segment.style) for segment in segments_of(app)]

    assert styles
    assert all(style is None or (style.color, style.bgcolor) == (None, None) for _, style in styles)
    reversed_text = "".join(text for text, style in styles if style is not None and style.reverse)
    assert "KR1 way 4" in reversed_text
    assert "12 STOP" in reversed_text
    if name == "critical":
        assert "Shock and burns" in reversed_text
        assert "Take the cover off." not in reversed_text
    assert after == before


async def test_plain_ascii_is_taken_from_the_environment(tiny: Job) -> None:
    """On a terminal of ASCII a picture, a unit and a cut are shown in ASCII from the first painting. Shows: HI-14."""
    app, keys = app_in(tiny, "round-picture", FERRULE_ASCII="1")
    async with app.run_test(size=WIDE) as pilot:
        await pilot.pause()
        await press(app, *keys)
        await pilot.pause()
        shown = text_of(app)

    assert shown.isascii(), {sign for sign in shown if not sign.isascii()}
    assert "ohm" in shown
    assert "12 STOP" in shown


@pytest.mark.parametrize(
    ("environ", "plain"),
    [
        ({}, False),
        ({"FERRULE_ASCII": "1"}, True),
        ({"FERRULE_ASCII": "0", "LANG": "C.ISO-8859-1"}, False),
        ({"LANG": "en_GB.UTF-8"}, False),
        ({"LC_ALL": "C.utf8", "LANG": "en_GB.ISO-8859-1"}, False),
        ({"LANG": "en_GB.ISO-8859-1"}, True),
        ({"LC_CTYPE": "POSIX.US-ASCII"}, True),
        ({"LANG": "C"}, False),
    ],
)
def test_ascii_where_the_terminal_says_so(environ: dict[str, str], plain: bool) -> None:
    """ASCII is chosen by one setting of our own, or by a locale that names another set of signs. Shows: HI-14."""
    assert signs.wants_ascii(environ) is plain


def test_signs_in_ascii() -> None:
    """Each sign of the trade has a word, each line and block a shape, and anything else its number. Shows: HI-14."""
    assert signs.in_ascii("0.5 Ω ≤ 1 Ω, 2 mm² … “x”") == '0.5 ohm <= 1 ohm, 2 mm2 ~ "x"'
    assert signs.in_ascii("┌─┬│█") == "+-+|#"
    assert signs.in_ascii("é") == "<U+00E9>"
