"""A real process on a small disk: it fills up in the middle of a job, is emptied again, and the job goes on.

Called as: fulldisk.py FOLDER. Prints one word for each save, `saved` or `full`, then `sound` if the log is whole.
"""

import sys
from pathlib import Path

from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.logfile import StoreError, read_only
from ferrule.engine.shell.records import open_record
from ferrule.engine.shell.store import LogWriter
from tests.support.demolog import did_data, open_data

SAVES = 40
BALLAST = "ballast"


def main(folder: Path) -> None:
    """Open a job, fill the disk, save until it refuses, empty it, and save again."""
    log, _ = open_record(folder, open_data(), SystemClock(), SYSTEM_CALLS, None)
    acknowledged = list(log.entries)
    _fill(folder / BALLAST)
    words = [_save(log, acknowledged, number) for number in range(SAVES)]
    (folder / BALLAST).unlink()
    words += [_save(log, acknowledged, number) for number in range(3)]
    log.close_file()
    read = read_only(log.path)
    if not read.torn and list(read.entries) == acknowledged:
        words.append("sound")
    sys.stdout.write(" ".join(words))


def _fill(path: Path) -> None:
    """Take the free space in ever smaller pieces, down to the last page."""
    with path.open("wb", buffering=0) as ballast:
        for size in (1 << 20, 1 << 16, 1 << 12):
            try:
                while ballast.write(b"x" * size) == size:
                    pass
            except OSError:
                continue


def _save(log: LogWriter, acknowledged: list[object], number: int) -> str:
    try:
        acknowledged.append(log.append("did", did_data(number)))
    except StoreError as error:
        return "full" if "the disk is full" in str(error) else str(error)
    return "saved"


if __name__ == "__main__":
    main(Path(sys.argv[1]))
