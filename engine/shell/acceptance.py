"""A person's own word, given once for each key, that what it signs binds them; and wrong passphrases, kept to be told.

Rules of this module
1. Nothing is signed with a key whose holder has not accepted in writing; the acceptance is signed by that key.
2. A wrong passphrase leaves a line that the holder is shown; the passphrase itself is nowhere.
"""

from __future__ import annotations

from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.sshsig import Check, Sign, SshsigError, fingerprint, make, parse, signed_bytes
from ferrule.engine.journal.statement import is_utc
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.keys import KeyFile
from ferrule.engine.shell.logfile import told
from ferrule.engine.shell.rosterfile import read_text, replace_file

NAMESPACE = "ferrule-acceptance@v1"
"""An acceptance can stand for no signature of a record, and no signature for it."""
_BEGIN = "-----BEGIN"
_WRONG, _OPENED = "wrong passphrase", "opened"


class NotAccepted(FerruleError):  # noqa: N818 - it says what is missing
    """The holder of a key has not accepted that it binds them."""


@dataclass(frozen=True, slots=True)
class Tries:
    """How often a key was tried with a wrong passphrase since it was last opened."""

    wrong: tuple[str, ...] = ()
    """The moments, in UTC."""


def acceptance_text(name: str, public: bytes, day: str) -> str:
    """The words that are accepted; `name` is printed, `day` a moment in UTC."""
    return (
        f"I, {name}, accept that what I sign with the key\n"
        f"{fingerprint(public)}\n"
        "binds me as a signature by my own hand does. I keep the key and its passphrase to myself,\n"
        "and tell the office at once when somebody else may have had either.\n"
        f"Given {day}\n"
    )


def acceptance_path(key: KeyFile) -> Path:
    """Where the acceptance for a key lies: beside it, on whatever medium that is."""
    return key.path.with_name(f"{key.path.name}.accepted")


def write_acceptance(key: KeyFile, name: str, day: str, sign: Sign, calls: FileCalls) -> Path:
    """Sign the words and keep both beside the key, durably; one that is there already is replaced."""
    words = acceptance_text(name, key.public, day)
    path = acceptance_path(key)
    with told(f"The acceptance {path} cannot be written", "Make room, or copy the key to where one can write."):
        replace_file(path, (words + make(NAMESPACE, words.encode("utf-8"), key.public, sign)).encode("utf-8"), calls)
    return path


def check_acceptance(key: KeyFile, name: str, check: Check, calls: FileCalls) -> None:
    """Raise NotAccepted unless this person accepted, in these words and with this key."""
    path = acceptance_path(key)
    how = f'Accept once with: ferrule keys accept {key.path.name} --name "{name}"'
    if not path.exists():
        raise NotAccepted(f"{name} has not accepted in writing that the key {key.path.name} binds. {how}")
    words, begin, rest = read_text(path, calls).partition(_BEGIN)
    day = words.rpartition("Given ")[2].rstrip("\n")
    try:
        found = parse(begin + rest)
    except SshsigError as error:
        raise NotAccepted(f"{path.name} is damaged. {error} {how}") from error
    same = is_utc(day) and words == acceptance_text(name, key.public, day)
    message = signed_bytes(NAMESPACE, words.encode("utf-8"))
    if not same or found.namespace != NAMESPACE or found.public != key.public:
        raise NotAccepted(f"{path.name} is not {name}'s acceptance for this key. {how}")
    if not check(key.public, found.signature, message):
        raise NotAccepted(f"{path.name} was changed after it was signed. {how}")


def note_wrong(key: KeyFile, folder: Path, moment: str, calls: FileCalls) -> None:
    """Keep that a passphrase did not open a key."""
    _note(key, folder, f"{moment} {_WRONG}", calls)


def note_opened(key: KeyFile, folder: Path, moment: str, calls: FileCalls) -> None:
    """Keep that a key was opened; what went wrong before has been shown by then."""
    if tries_of(key, folder, calls).wrong:
        _note(key, folder, f"{moment} {_OPENED}", calls)


def tries_of(key: KeyFile, folder: Path, calls: FileCalls) -> Tries:
    """What went wrong since the key was last opened on this machine."""
    path = _tries_path(key, folder)
    if not path.exists():
        return Tries()
    wrong: list[str] = []
    for line in read_text(path, calls).splitlines():
        moment, _, what = line.partition(" ")
        wrong = [*wrong, moment] if what == _WRONG else []
    return Tries(tuple(wrong))


def _tries_path(key: KeyFile, folder: Path) -> Path:
    """On this machine, by the key itself: a medium may be read-only, and a file can be renamed."""
    return folder / f"{key.public.hex()[:16]}.tries"


def _note(key: KeyFile, folder: Path, line: str, calls: FileCalls) -> None:
    path = _tries_path(key, folder)
    with told(f"{path} cannot be written", "Make room."):
        calls.make_folder(folder)
        before = read_text(path, calls) if path.exists() else ""
        replace_file(path, f"{before}{line}\n".encode(), calls)
