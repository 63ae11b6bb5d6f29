"""A screen held against its files at the three sizes, and against the contrast that is wanted in every theme.

The files are written anew with `FERRULE_GOLDEN=write`; read the difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

from textual.pilot import Pilot

from ferrule.tui.app import FerruleApp
from ferrule.tui.signs import set_ascii
from ferrule.tui.theme import ORDER
from tests.tui.contrast import LEAST, contrast, pair_of, segments_of
from tests.tui.fakes import text_of

SIZES = SMALL, TALL, SMALLEST = ((80, 24), (120, 36), (60, 20))


def file_of(folder: Path, name: str, size: tuple[int, int]) -> Path:
    """Return the file of a screen at a size."""
    return folder / f"{name}-{size[0]}x{size[1]}.txt"


def files_of(folder: Path, names: object) -> tuple[set[str], set[str]]:
    """Return the files that there are, and those that there should be, without their ending."""
    assert isinstance(names, dict)
    return {p.stem for p in folder.glob("*.txt")}, {file_of(folder, n, size).stem for n in names for size in SIZES}


def cut_rows(shown: str) -> list[int]:
    """Return the rows that stand for others which had no room, in an area that no key turns."""
    return [number for number, row in enumerate(shown.split("\n")) if row.strip() in ("…", "~")]


async def hold(app: FerruleApp, pilot: Pilot[int | str], folder: Path, name: str) -> None:
    """Compare what is shown at each size with its file; then text and contrast in each theme, then ASCII."""
    shown = ""
    for size in SIZES:
        await pilot.resize_terminal(*size)
        await pilot.pause()
        shown = text_of(app) + "\n"
        path = file_of(folder, name, size)
        if os.environ.get("FERRULE_GOLDEN") == "write":
            path.write_text(shown, encoding="utf-8")

        assert shown == path.read_text(encoding="utf-8")
        assert not cut_rows(shown)
    for _ in ORDER:
        app.action_next_theme()
        await pilot.pause()
        painted = {pair_of(segment) for segment in segments_of(app) if segment.text.strip()}

        assert len(painted) > 1
        assert not {pair for pair in painted if contrast(pair) < LEAST}, app.theme_name
        assert text_of(app) + "\n" == shown
    set_ascii(True)
    try:
        await pilot.resize_terminal(*TALL)
        await pilot.pause()
        plain = text_of(app)
    finally:
        set_ascii(False)

    assert plain.isascii(), {sign for sign in plain if not sign.isascii()}
    assert all(len(line) <= TALL[0] for line in plain.split("\n"))
