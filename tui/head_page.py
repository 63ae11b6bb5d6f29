"""The head of a log to look at: in letters, and as a QR code where the package for it is installed.

Must never: shorten what the QR code holds, or colour it; its squares are drawn with the signs of blocks.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.journal.headcode import Head, head_lines, qr_text
from ferrule.tui.signs import is_ascii

QUIET = 2
"""Empty squares around the code; the standard asks for four (ISO/IEC 18004, from memory), readers manage with two."""
NO_QR = 'For a QR code to photograph, install ferrule with its extra: pip install "ferrule[qr]".'
NO_BLOCKS = "This terminal lacks the signs that a QR code is drawn with: write the letters down."
PHOTOGRAPH = "Photograph the code or write the letters down, away from this machine: later they show a changed log."


def page_lines(head: Head, *, light_screen: bool) -> tuple[str, ...]:
    """Return the head in words, and under it the QR code or how to get one."""
    if is_ascii():
        return (*head_lines(head), NO_BLOCKS)
    drawn = qr_lines(qr_text(head), light_screen=light_screen)
    return (*head_lines(head), PHOTOGRAPH, "", *(drawn or (NO_QR,)))


def qr_lines(text: str, *, light_screen: bool) -> tuple[str, ...]:
    """Return a QR code, two rows of squares a line; nothing where the package is missing.

    On a dark screen the blocks are the light squares, so that the code is dark on light on either.
    """
    try:
        import segno
    except ImportError:
        return ()
    code = segno.make_qr(text, error="l")
    squares = [[bool(square) == light_screen for square in row] for row in code.matrix_iter(border=QUIET)]
    if len(squares) % 2:
        squares.append([not light_screen] * len(squares[0]))
    return tuple(_line(upper, lower) for upper, lower in zip(squares[::2], squares[1::2], strict=True))


def _line(upper: Sequence[bool], lower: Sequence[bool]) -> str:
    return "".join(" ▀▄█"[above + 2 * below] for above, below in zip(upper, lower, strict=True))
