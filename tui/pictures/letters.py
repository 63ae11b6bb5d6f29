"""Large letters and digits, drawn here, to be read from far away.

For: the far view.  Five dots high; with blocks two dots share a row of the terminal, in ASCII each has its own.
Must never: leave a sign out; one that has no drawing here stands as a frame.

A letter is read from 200 times its own height (rule of thumb, common practice): at two metres 10 mm, which is what
three rows of a usual terminal have.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from ferrule.engine.text import visible
from ferrule.tui.pictures.base import ASCII, Signs
from ferrule.tui.signs import in_ascii

HIGH = 5
"""Dots of a letter from top to bottom."""

_DRAWN = """
A .#. #.# ### #.# #.#|B ##. #.# ##. #.# ##.|C .## #.. #.. #.. .##|D ##. #.# #.# #.# ##.|E ### #.. ##. #.. ###
F ### #.. ##. #.. #..|G .### #... #.## #..# .###|H #.# #.# ### #.# #.#|I ### .#. .#. .#. ###|J ..# ..# ..# #.# .#.
K #..# #.#. ##.. #.#. #..#|L #.. #.. #.. #.. ###|M #...# ##.## #.#.# #...# #...#|N #..# ##.# #.## #..# #..#
O .##. #..# #..# #..# .##.|P ##. #.# ##. #.. #..|Q .##. #..# #..# #.#. .#.#|R ##. #.# ##. #.# #.#
S .## #.. .#. ..# ##.|T ### .#. .#. .#. .#.|U #..# #..# #..# #..# .##.|V #.# #.# #.# #.# .#.
W #...# #...# #.#.# ##.## #...#|X #.# #.# .#. #.# #.#|Y #.# #.# .#. .#. .#.|Z #### ..#. .#.. #... ####
0 ### #.# #.# #.# ###|1 .#. ##. .#. .#. ###|2 ##. ..# .#. #.. ###|3 ##. ..# .#. ..# ##.|4 #.# #.# ### ..# ..#
5 ### #.. ##. ..# ##.|6 .## #.. ##. #.# ##.|7 ### ..# .#. .#. .#.|8 .#. #.# .#. #.# .#.|9 .## #.# .## ..# ##.
. . . . . #|, .. .. .. .# #.|: . # . # .|; .. .# .. .# #.|! # # # . #|? ##. ..# .#. ... .#.|- ... ... ### ... ...
_ ... ... ... ... ###|+ ... .#. ### .#. ...|/ ..# ..# .#. #.. #..|( .# #. #. #. .#|) #. .# .# .# #.
< ..# .#. #.. .#. ..#|> #.. .#. ..# .#. #..|= ... ### ... ### ...|% #.# ..# .#. #.. #.#|' # # . . .
" #.# #.# ... ... ...|* ... #.# .#. #.# ...|~ .... .#.# #.#. .... ....|# .#.#. ##### .#.#. ##### .#.#.
[ ## #. #. #. ##|] ## .# .# .# ##
"""
_FRAME = ("####", "#..#", "#..#", "#..#", "####")
_BLANK = ("..",) * HIGH
_HALVES = " ▀▄█"
_CUT = "~"


def _read(drawn: str) -> dict[str, tuple[str, ...]]:
    cells = [cell for line in drawn.strip().split("\n") for cell in line.split("|")]
    return {cell[0]: tuple(cell[1:].split()) for cell in cells}


_LETTERS = {**_read(_DRAWN), " ": _BLANK}


def plainly(text: str) -> str:
    """Return a text in the signs that are drawn here: capitals, without accents; a sign unknown here stays itself."""
    return "".join(sign if sign.isascii() else _spelled(sign) for sign in visible(text)).upper()


def _spelled(sign: str) -> str:
    made = in_ascii(sign)
    if not made.startswith("<U+"):
        return made
    letters = "".join(part for part in unicodedata.normalize("NFKD", sign) if unicodedata.category(part) != "Mn")
    return letters if letters.isascii() else sign


def _letter(sign: str) -> tuple[str, ...]:
    return _LETTERS.get(sign, _FRAME)


def wide(text: str) -> int:
    """Return how many cells a text in large letters fills."""
    return sum(len(_letter(sign)[0]) + 1 for sign in text) - 1 if text else 0


def tall(signs: Signs) -> int:
    """Return how many rows a line of large letters fills, with the free row or half row below it."""
    return HIGH + 1 if signs is ASCII else (HIGH + 1) // 2


def large(text: str, signs: Signs) -> tuple[str, ...]:
    """Return one line of text in large letters."""
    dots = [".".join(_letter(sign)[row] for sign in text) for row in range(HIGH)]
    if signs is ASCII:
        return tuple(row.replace("#", signs.block).replace(".", " ").rstrip() for row in dots)
    dots.append("." * len(dots[0]))
    return tuple(
        "".join(
            _HALVES[(above == "#") + 2 * (below == "#")] for above, below in zip(upper, lower, strict=True)
        ).rstrip()
        for upper, lower in zip(dots[::2], dots[1::2], strict=True)
    )


def set_in_lines(text: str, cells: int, most: int) -> tuple[str, ...]:
    """Return a text in at most so many lines that fit when drawn large; what is cut ends in a mark."""
    lines: list[str] = []
    for word in text.split():
        for piece in _pieces(word, cells):
            if lines and wide(f"{lines[-1]} {piece}") <= cells:
                lines[-1] += f" {piece}"
            else:
                lines.append(piece)
    if len(lines) <= most:
        return tuple(lines)
    kept = lines[: max(0, most)]
    if kept:
        while kept[-1] and wide(f"{kept[-1]}{_CUT}") > cells:
            kept[-1] = kept[-1][:-1]
        kept[-1] += _CUT
    return tuple(kept)


def _pieces(word: str, cells: int) -> Sequence[str]:
    """Return a word in pieces that fit a line."""
    pieces = [""]
    for sign in word:
        if pieces[-1] and wide(pieces[-1] + sign) > cells:
            pieces.append("")
        pieces[-1] += sign
    return pieces
