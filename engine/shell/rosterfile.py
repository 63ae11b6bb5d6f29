"""The roster on disk: read with its signature, written whole, and what this machine has learned to trust.

Rules of this module
1. A roster file and its signature (`.sig` beside it) are judged together; neither is used alone.
2. The root key is pinned once, by a person who names its fingerprint; after that no other key is taken for it.
3. The newest version taken over is remembered, and an older one is refused.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from ferrule.engine.canon import CanonError, dumps, loads_canonical
from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.roster import ROSTER_MAX, Roster, parse_roster, render_roster
from ferrule.engine.journal.sshsig import ROSTER_NAMESPACE, Check, fingerprint, make, parse_public
from ferrule.engine.journal.trust import NO_TRUST, Seen, Trust, judge_roster
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFile, unlock
from ferrule.engine.shell.logfile import told
from ferrule.engine.shell.setaside import write_all

ROSTER_NAME = "allowed_signers"
_TRUSTED = "trusted.json"


class RosterFileError(FerruleError):
    """A roster file cannot be used as asked."""


@dataclass(frozen=True, slots=True)
class RosterFile:
    """A roster as it lies on disk."""

    path: Path
    data: bytes
    armour: str | None
    """Its signature; None when there is none beside it."""

    def roster(self) -> Roster:
        """What it says; RosterError when it is not in the one form."""
        return parse_roster(self.data)


def read_roster(path: Path, calls: FileCalls) -> RosterFile:
    """A roster and its signature."""
    data = _read(path, calls)
    signature = signature_path(path)
    armour = read_text(signature, calls) if signature.exists() else None
    return RosterFile(path, data, armour)


def signature_path(path: Path) -> Path:
    """Where the signature of a roster lies."""
    return path.with_name(f"{path.name}.sig")


def own_roster(folders: Folders) -> Path:
    """Where this machine keeps the roster that it took over."""
    return folders.roster / ROSTER_NAME


def find_trust(
    path: Path | None, root: str, folders: Folders, calls: FileCalls, check: Check | None
) -> tuple[Trust, Path | None]:
    """What a roster is worth here, and which file was looked at: the one given, or the one taken over."""
    used = path or (own_roster(folders) if own_roster(folders).exists() else None)
    if used is None:
        return NO_TRUST, None
    found = read_roster(used, calls)
    seen = seen_roster(folders)
    return judge_roster(found.data, found.armour, root or (seen.root if seen else ""), seen, check), used


def seen_roster(folders: Folders) -> Seen | None:
    """What this machine has learned to trust; None before a roster was taken over."""
    path = folders.roster / _TRUSTED
    try:
        stored = loads_canonical(path.read_bytes())
        return Seen(str(stored["root"]), int(stored["version"]), str(stored["sha256"]))
    except FileNotFoundError:
        return None
    except (OSError, CanonError, KeyError, TypeError, ValueError) as error:
        raise RosterFileError(
            f"{path} cannot be read, so which roster is trusted here is not known. Take the roster over again, "
            "after deleting that file and asking the office for its root key's fingerprint."
        ) from error


def take_roster(found: RosterFile, root: str, folders: Folders, calls: FileCalls, check: Check | None) -> Trust:
    """Take a roster over as this machine's own; RosterFileError says why it is not taken."""
    seen = seen_roster(folders)
    if seen and root and root != seen.root:
        raise RosterFileError(f"The root key {seen.root} is trusted here already; {root} is another one.")
    trust = judge_roster(found.data, found.armour, root or (seen.root if seen else ""), seen, check)
    if trust.roster is None or found.armour is None:
        raise RosterFileError(f"The roster was not taken over. {trust.why}")
    own = own_roster(folders)
    with told("The roster cannot be kept", "Make room; the one in use was not touched."):
        calls.make_folder(folders.roster)
        if found.path.absolute() != own.absolute():
            replace_file(signature_path(own), found.armour.encode("utf-8"), calls)
            replace_file(own, found.data, calls)
        trusted = {"root": trust.root, "version": trust.roster.version, "sha256": trust.sha256}
        replace_file(folders.roster / _TRUSTED, dumps(trusted), calls)
    return trust


def write_roster(path: Path, roster: Roster, calls: FileCalls) -> None:
    """Write a roster that was changed; the signature of what it was before is taken away first."""
    with told(f"The roster {path} cannot be written", "Make room or choose another place."):
        calls.make_folder(path.absolute().parent)
        with suppress(FileNotFoundError):
            signature_path(path).unlink()
        replace_file(path, render_roster(roster).encode("utf-8"), calls)


def sign_roster(found: RosterFile, key: KeyFile, passphrase: str, calls: FileCalls) -> RosterFile:
    """Sign a roster with the office's root key."""
    found.roster()
    armour = make(ROSTER_NAMESPACE, found.data, key.public, unlock(key, passphrase))
    with told(f"The signature of {found.path} cannot be written", "Make room or choose another place."):
        replace_file(signature_path(found.path), armour.encode("ascii"), calls)
    return RosterFile(found.path, found.data, armour)


def root_print(given: str, calls: FileCalls) -> str:
    """The fingerprint that a person gave, as itself or as the `.pub` file of the key."""
    if not given or given.startswith("SHA256:"):
        return given
    return fingerprint(parse_public(read_text(Path(given), calls).strip("\n")))


def read_text(path: Path, calls: FileCalls) -> str:
    """A small text file, such as a public key; bytes that are no text show as such and match nothing."""
    return _read(path, calls).decode("utf-8", "replace")


def replace_file(path: Path, data: bytes, calls: FileCalls) -> None:
    """Write a file whole, durably, or leave it as it was."""
    part = path.with_name(f"{path.name}.part")
    with suppress(FileNotFoundError):
        part.unlink()
    handle = calls.create(part)
    try:
        write_all(calls, handle, data)
        calls.fsync(handle)
    finally:
        calls.close(handle)
    os.replace(part, path)
    calls.fsync_dir(path.absolute().parent)


def _read(path: Path, calls: FileCalls) -> bytes:
    with told(f"The file {path} cannot be read", "Check the name and the medium it is on."):
        handle = calls.open_read(path)
        try:
            if not calls.is_regular(handle):
                raise RosterFileError(f"{path} is not an ordinary file.")
            return calls.read(handle, ROSTER_MAX + 1, 0)
        finally:
            calls.close(handle)
