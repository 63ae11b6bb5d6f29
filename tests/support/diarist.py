"""A real process that adds lines about one job to a diary, for tests of several at once.

Called as: diarist.py FOLDER COUNT LETTERS.
"""

import sys
from pathlib import Path

from ferrule.engine.journal.diary import job_line
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.diaryfile import DiaryBook


def main(folder: Path, count: int, letters: str) -> None:
    """Add so many lines."""
    book = DiaryBook(folder, SystemClock())
    for number in range(count):
        book.note("checkpoint", job_line(f"20260314t093000z-{letters}", number + 1, "0" * 64))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
