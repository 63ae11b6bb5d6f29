"""What a terminal of sixteen colours and one without colour are sent, read from a pseudo-terminal."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

import pytest

from tests.bench.terminal import Terminal
from tests.support.plainrun import CARD

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")

_STYLES = re.compile(rb"\x1b\[([0-9;]*)m")
_COLOURS = {str(n) for base in (30, 40, 90, 100) for n in range(base, base + 8)} | {"38", "48"}


def sent(home: Path, **environ: str) -> tuple[Terminal, set[str]]:
    """The walk at its first step after a change of theme, and every part of a style that was sent."""
    clean = {"COLORTERM": "", "LANG": "C.UTF-8", "LC_ALL": "", "LC_CTYPE": "", "FERRULE_ASCII": "", "NO_COLOR": ""}
    terminal = Terminal(
        [sys.executable, "-m", "ferrule.tui.cli", "walk", CARD],
        environ={**clean, "FERRULE_HOME": str(home), **environ},
    )
    try:
        terminal.wait_for("> NOW", "12 STOP")
        terminal.type("t1")
        terminal.wait_for("> Sheet and card")
    finally:
        terminal.kill()
    parts = {part.decode() for found in _STYLES.findall(bytes(terminal.raw)) for part in found.split(b";")}
    return terminal, parts


def test_sixteen_colours(home: Path) -> None:
    """A console of sixteen colours is sent those alone, starts light on dark and shows every word. Shows: HI-14."""
    terminal, parts = sent(home, TERM="linux")

    assert "38" not in parts
    assert "48" not in parts
    assert parts & _COLOURS
    assert "counts as live. Touch nothing" in terminal.text()


def test_no_colour(home: Path) -> None:
    """Where no colour is wanted none is sent; bold and reversed text stay, and so does every word. Shows: HI-14."""
    terminal, parts = sent(home, TERM="xterm-256color", NO_COLOR="1")

    assert not parts & _COLOURS
    assert {"1", "7"} <= parts
    assert "counts as live. Touch nothing" in terminal.text()


def test_plain_ascii(home: Path) -> None:
    """A terminal that shows ASCII is sent nothing else. Shows: HI-14."""
    terminal, _ = sent(home, TERM="xterm-256color", FERRULE_ASCII="1")

    assert bytes(terminal.raw).isascii()
    assert "counts as live. Touch nothing" in terminal.text()
