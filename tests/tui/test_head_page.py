"""The head of a log on a page: letters always, a QR code where its package is installed, right way round."""

from __future__ import annotations

import sys

import pytest

from ferrule.engine.journal.headcode import Head, head_letters, qr_text
from ferrule.tui import signs
from ferrule.tui.head_page import NO_BLOCKS, NO_QR, page_lines, qr_lines

HEAD = Head("20260314t093000z-abcdefghij", 143, "0123456789abcdef" * 4)


def squares(lines: tuple[str, ...], *, light_screen: bool) -> list[list[bool]]:
    """The squares that a person sees: True is dark."""
    rows: list[list[bool]] = []
    for line in lines:
        rows.append([(char in "▀█") == light_screen for char in line])
        rows.append([(char in "▄█") == light_screen for char in line])
    return rows


def test_the_code_is_dark_on_light_on_either_screen() -> None:
    """On a light screen and on a dark one the same dark squares are seen, with an empty border around them."""
    segno = pytest.importorskip("segno")
    matrix = [[bool(square) for square in row] for row in segno.make_qr(qr_text(HEAD), error="l").matrix_iter(border=2)]
    for light in (True, False):
        seen = squares(qr_lines(qr_text(HEAD), light_screen=light), light_screen=light)

        assert seen[: len(matrix)] == matrix
        assert not any(any(row) for row in seen[len(matrix) :] + seen[:2])


def test_the_code_fits_a_terminal_of_eighty_columns() -> None:
    """The code of the longest log takes at most 41 columns and 21 lines."""
    pytest.importorskip("segno")
    lines = qr_lines(qr_text(Head(HEAD.job_id, 20_000, HEAD.sum)), light_screen=False)

    assert max(map(len, lines)) <= 41
    assert len(lines) <= 21


def test_without_the_package_the_letters_stand_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the package is missing the page says how to get it, and has sum and letters all the same."""
    monkeypatch.setitem(sys.modules, "segno", None)
    lines = page_lines(HEAD, light_screen=True)

    assert lines[-1] == NO_QR
    assert f"Sum: {HEAD.sum}" in lines
    assert f"Code: {head_letters(HEAD.sum)}" in lines


def test_a_terminal_of_ascii_has_the_letters_alone() -> None:
    """Without the signs of blocks no code is drawn that could not be read; the letters are there. Shows: HI-14."""
    signs.set_ascii(True)
    try:
        lines = page_lines(HEAD, light_screen=True)
    finally:
        signs.set_ascii(False)

    assert lines[-1] == NO_BLOCKS
    assert f"Code: {head_letters(HEAD.sum)}" in lines
    assert all(line.isascii() for line in lines)
