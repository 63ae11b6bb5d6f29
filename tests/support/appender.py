"""A real process that confirms steps until it is killed, stopped by the system, or told how many.

Called as: appender.py FOLDER JOB_ID COUNT [FILE_SIZE_LIMIT]. It prints the number of each entry once it is durable,
and the message of the first refusal.
"""

import sys
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.store import LogWriter
from tests.support.demolog import did_data, open_data


def main(folder: Path, job_id: str, count: int, limit: int | None) -> None:
    """Open or go on with the job, then confirm steps."""
    path = folder / f"{job_id}.jsonl"
    if path.exists():
        log, _ = LogWriter.resume(path, SystemClock())
    else:
        log = LogWriter.create(folder, open_data(job_id), SystemClock())
    _say(log.entries[-1].seq)
    if limit is not None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    for number in range(count):
        _say(log.append("did", did_data(number % 100)).seq)


def _say(words: object) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4]) if len(sys.argv) > 4 else None)
    except FerruleError as error:
        _say(f"{type(error).__name__}: {error}")
