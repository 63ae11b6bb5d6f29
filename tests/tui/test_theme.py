"""Colours and keys: contrast from the theme's own values, and a key table without clashes."""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem

from ferrule.tui.bindings import ANSWER_KEYS, BY_FUNCTION, BY_LETTER, KEYS, SIDE_KEYS, key_line
from ferrule.tui.theme import ORDER, PALETTES, Pair, first_theme, next_theme
from ferrule.tui.widgets.paint import EMPHASIS
from tests.tui.contrast import contrast, luminance


def test_contrast_formula_at_its_ends() -> None:
    """Black on white is 21 to 1, a colour on itself 1 to 1 (from memory)."""
    assert contrast(Pair("#000000", "#ffffff")) == pytest.approx(21)
    assert contrast(Pair("#777777", "#777777")) == pytest.approx(1)


@pytest.mark.parametrize(("theme", "part"), [(t, p) for t in ORDER for p in PALETTES[t]])
def test_text_has_contrast(theme: str, part: str) -> None:
    """Every text of every theme has a contrast of 7 to 1 or more. Shows: HI-03."""
    assert contrast(PALETTES[theme][part]) >= 7


TERMINALS = {
    "console": "000000 aa0000 00aa00 aa5500 0000aa aa00aa 00aaaa aaaaaa "
    "555555 ff5555 55ff55 ffff55 5555ff ff55ff 55ffff ffffff",
    "xterm": "000000 cd0000 00cd00 cdcd00 0000ee cd00cd 00cdcd e5e5e5 "
    "7f7f7f ff0000 00ff00 ffff00 5c5cff ff00ff 00ffff ffffff",
}
"""The sixteen colours of a text console and of xterm (from memory)."""


@pytest.mark.parametrize("terminal", TERMINALS)
@pytest.mark.parametrize(("theme", "part"), [(t, p) for t in ORDER for p in PALETTES[t]])
def test_sixteen_colours_keep_the_contrast(theme: str, part: str, terminal: str) -> None:
    """In the sixteen colours that a pair becomes on such a terminal it has 7 to 1 too. Shows: HI-03, HI-14."""
    shown = TERMINALS[terminal].split()
    pair = PALETTES[theme][part]
    numbers = [Color.parse(end).downgrade(ColorSystem.STANDARD).number for end in (pair.ink, pair.ground)]
    ink, ground = (f"#{shown[number]}" for number in numbers if number is not None)

    assert contrast(Pair(ink, ground)) >= 7


def test_day_is_dark_on_light_and_night_light_on_dark() -> None:
    """The page of the day theme is dark on light, that of the night theme light on dark. Shows: HI-03, HI-04."""
    day, night = PALETTES["day"]["page"], PALETTES["night"]["page"]

    assert luminance(day.ink) < luminance(day.ground)
    assert luminance(night.ink) > luminance(night.ground)


def test_mono_has_two_colours() -> None:
    """The mono theme gets by with black and white. Shows: HI-05, HI-14."""
    assert {end for pair in PALETTES["mono"].values() for end in (pair.ink, pair.ground)} == {"#000000", "#ffffff"}


def test_every_part_has_its_colours_in_each_theme() -> None:
    """The themes name the same parts, and nothing that sets a text apart blinks. Shows: HI-15."""
    assert len({frozenset(parts) for parts in PALETTES.values()}) == 1
    assert set(PALETTES) == set(ORDER)
    assert not any(style.blink for style in EMPHASIS.values())


@pytest.mark.parametrize(
    ("environ", "theme"),
    [({}, "day"), ({"NO_COLOR": "1"}, "mono"), ({"TERM": "linux"}, "night"), ({"TERM": "xterm-256color"}, "day")],
)
def test_first_theme_fits_the_terminal(environ: dict[str, str], theme: str) -> None:
    """A console of 16 colours starts dark, and where colour is unwanted there is none. Shows: HI-14."""
    assert first_theme(environ) == theme
    assert next_theme("mono") == "day"


def test_no_key_has_two_meanings() -> None:
    """Each function key, letter and action stands once, and no letter is one that answers. Shows: HI-16."""
    every = (*KEYS, *SIDE_KEYS)

    assert len(BY_FUNCTION) == len(BY_LETTER) == len({key.action for key in every}) == len(every)
    assert len(KEYS) == 12
    assert not set(BY_LETTER) & set("0123456789.,+-*/<> ")
    assert all(len(letter) == 1 for letter in BY_LETTER)


def test_stop_stands_apart() -> None:
    """The stop key is the last of the row; beside it stands a menu that changes nothing by itself. Shows: HI-02."""
    assert (BY_FUNCTION["f12"], BY_LETTER["!"], BY_FUNCTION["f11"]) == ("stop", "stop", "more")


@pytest.mark.parametrize("cells", range(60, 140, 7))
def test_key_line_fits_and_names_stop_and_help(cells: int) -> None:
    """The key line fits every width; help comes first and stop last. Shows: HI-13, HI-16."""
    line = key_line(cells)

    assert len(line) <= cells
    assert line.startswith("F1 help")
    assert line.endswith("STOP")


def test_answers_need_no_letter() -> None:
    """Every answer is given from a number pad and the keys around it. Shows: HI-02."""
    pad = "Enter Space 1 to 9 + - * / Up, Down PageUp, PageDown Esc a digit shown"

    assert all(keys in pad for keys, _ in ANSWER_KEYS)
