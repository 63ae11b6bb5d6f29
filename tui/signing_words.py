"""What the commands on keys, roster, signing and verifying share: asking, reading, saying.

Must never: echo, keep or log a passphrase.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.sshsig import Sign
from ferrule.engine.journal.statement import is_utc
from ferrule.engine.shell.acceptance import note_opened, note_wrong, tries_of
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock, SystemClock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFile, WrongPassphrase, unlock
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.signing import utc_now
from ferrule.engine.text import check_text, visible
from ferrule.tui.around import Around, InputError, UsageError
from ferrule.tui.check_output import counted

DONE, NOT_DONE = 0, 1


def calls_of(around: Around) -> FileCalls:
    """The disk to work with."""
    return around.calls or SYSTEM_CALLS


def clock_of(around: Around) -> Clock:
    """The clock to work with."""
    return around.clock or SystemClock()


@contextmanager
def reading() -> Iterator[None]:
    """Turn what cannot be read into unreadable input, where nothing is written."""
    try:
        yield
    except StoreError as error:
        raise InputError(str(error)) from error


def ask_secret(around: Around, prompt: str) -> str:
    """A passphrase, typed unseen; without a terminal, the next line of the input."""
    if around.stdin.isatty():
        from getpass import getpass

        return getpass(f"{prompt}: ")
    say(around, f"{prompt}:")
    return around.stdin.readline().removesuffix("\n").removesuffix("\r")


def unlocked(around: Around, key: KeyFile, passphrase: str, folders: Folders) -> Sign:
    """What signs with a key; a wrong passphrase is kept, and the next right one is told of it (SG-15)."""
    calls, now = calls_of(around), utc_now(clock_of(around))
    try:
        sign = unlock(key, passphrase)
    except WrongPassphrase:
        note_wrong(key, folders.keys, now, calls)
        raise
    wrong = wrong_words(key, folders, calls)
    if wrong:
        say(around, wrong)
    note_opened(key, folders.keys, now, calls)
    return sign


def wrong_words(key: KeyFile, folders: Folders, calls: FileCalls) -> str:
    """How often a wrong passphrase was given since the key was last opened here, or nothing."""
    wrong = tries_of(key, folders.keys, calls).wrong
    if not wrong:
        return ""
    return (
        f"A wrong passphrase was given for {key.path.name} {counted(len(wrong), 'time')} since it was last opened "
        f"here, last {wrong[-1]}. If that was not you, tell the office: the key has to be retired."
    )


def say(around: Around, sentence: str) -> None:
    """Narrate beside the result."""
    around.stderr.write(f"{visible(sentence, keep_lf=True)}\n")


def tell(around: Around, line: str) -> None:
    """Give one line of the result."""
    around.stdout.write(f"{visible(line)}\n")


def not_done(around: Around, error: FerruleError) -> int:
    """Say why something was not done."""
    say(around, f"ferrule: {error}")
    return NOT_DONE


def moment(text: str) -> str:
    """A moment in UTC: as given, or the start of the day given."""
    found = text if "T" in text else f"{text}T00:00:00Z"
    if not is_utc(found):
        raise UsageError(f"“{text}” is no day such as 2026-03-14 and no moment such as 2026-03-14T11:42:07Z.")
    return found


def clean(text: str, what: str) -> str:
    """A text that may be signed: nothing in it is hidden."""
    fault = check_text(text)
    if fault:
        raise UsageError(f"The {what} cannot be signed as they were typed. {fault}")
    return text.strip()


def roster_path(given: str) -> Path | None:
    """The roster that was named, or None for the one of this machine."""
    return Path(given) if given else None


def log_path(named: str, folders: Folders) -> Path:
    """The log that a file name or a job's id stands for."""
    inside = folders.records / f"{named}.jsonl"
    return inside if inside.parent == folders.records and inside.exists() else Path(named)
