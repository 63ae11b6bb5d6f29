"""`ferrule roster`: begin, change, sign, take over and show the list of who may sign.

Must never: take a line out of a roster, or trust one that is unsigned.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from ferrule.engine.journal.roster import Member, Roster, RosterError, with_member, with_removal
from ferrule.engine.journal.sshsig import SshsigError, fingerprint, parse_public
from ferrule.engine.shell.ed25519 import PackageMissing, find_check, need_packages
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFileError, find_key
from ferrule.engine.shell.rosterfile import (
    RosterFile,
    RosterFileError,
    find_trust,
    own_roster,
    read_roster,
    read_text,
    root_print,
    seen_roster,
    sign_roster,
    take_roster,
    write_roster,
)
from ferrule.engine.shell.signing import utc_now
from ferrule.tui.around import Around, UsageError
from ferrule.tui.signing_words import (
    DONE,
    ask_secret,
    calls_of,
    clean,
    clock_of,
    moment,
    not_done,
    reading,
    roster_path,
    say,
    tell,
)

_REFUSED = (RosterError, RosterFileError, KeyFileError, PackageMissing, SshsigError)


def run_write(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Begin an empty roster; return 0, or 1 when there is one already."""
    path = _path(args, folders)
    if path.exists():
        return not_done(around, RosterFileError(f"There is a roster {path} already; add to that one."))
    write_roster(path, Roster(1, moment(args.expires), ()), calls_of(around))
    tell(around, f"{path}: version 1, nobody in it, not signed.")
    return DONE


def run_add(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Add a key; return 0, or 1 when the roster cannot take it."""
    after = moment(args.after) if args.after else utc_now(clock_of(around))
    name = clean(args.name, "letters of the printed name")
    try:
        found = _read(args, around, folders)
        public = _public(args.key, around)
        member = Member(args.signer, name, public, tuple(dict.fromkeys(args.role)), after, moment(args.before))
        return _changed(around, found, with_member(found.roster(), member))
    except _REFUSED as error:
        return not_done(around, error)


def run_retire(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Retire a key, or say that it was compromised; return 0, or 1 when that cannot be said."""
    try:
        found = _read(args, around, folders)
        roster = found.roster()
        public = _held(args.key, roster, around)
        if args.on:
            changed = with_removal(roster, public, retired=moment(args.on))
        else:
            changed = with_removal(roster, public, compromised=moment(args.since))
        return _changed(around, found, changed)
    except _REFUSED as error:
        return not_done(around, error)


def run_sign(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Sign the roster with the root key, shown whole before; return 0, or 1 when it was not signed."""
    calls = calls_of(around)
    try:
        need_packages()
        found = _read(args, around, folders)
        found.roster()
        with reading():
            key = find_key(args.key, folders.keys, calls)
        say(around, found.data.decode("utf-8"))
        signed = sign_roster(found, key, ask_secret(around, f"Passphrase of the root key {key.path.name}"), calls)
        seen = seen_roster(folders)
        if seen is None or seen.root == key.print:
            take_roster(signed, key.print, folders, calls, find_check())
    except _REFUSED as error:
        return not_done(around, error)
    tell(around, f"{found.path}: version {found.roster().version}, signed by {key.print}.")
    say(around, "Give each verifier that fingerprint by another way than the roster.")
    return DONE


def run_take(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Take the office's roster over; return 0, or 1 when it is not to be trusted."""
    calls = calls_of(around)
    try:
        with reading():
            found = read_roster(Path(args.file), calls)
            root = root_print(args.root, calls)
        trust = take_roster(found, root, folders, calls, find_check())
    except _REFUSED as error:
        return not_done(around, error)
    tell(around, f"Roster version {trust.roster.version if trust.roster else 0} taken over, signed by {trust.root}.")
    return DONE


def run_show(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Show who may sign; return 0 when the roster is to be trusted here, 1 when it is not in its form, 3 else."""
    calls = calls_of(around)
    try:
        found = _read(args, around, folders)
        roster = found.roster()
        with reading():
            trust, _ = find_trust(found.path, root_print(args.root, calls), folders, calls, find_check())
    except _REFUSED as error:
        return not_done(around, error)
    tell(around, f"{found.path}: version {roster.version}, runs out {roster.expires}.")
    if utc_now(clock_of(around)) > roster.expires:
        tell(around, "It ran out. Ask the office for the newest.")
    for member in roster.members:
        tell(around, f"{member.name} ({member.principal}), {' and '.join(member.roles)}")
        tell(around, f"  {fingerprint(member.public)} from {member.after} until {member.before}{_removal(member)}")
    tell(around, f"Signed by {trust.root}." if trust.roster else trust.why)
    return DONE if trust.roster else UNTRUSTED


UNTRUSTED = 3


def _removal(member: Member) -> str:
    retired = f", retired on {member.retired}" if member.retired else ""
    return retired + (f", compromised since {member.compromised}" if member.compromised else "")


def _changed(around: Around, found: RosterFile, roster: Roster) -> int:
    write_roster(found.path, roster, calls_of(around))
    tell(around, f"{found.path}: version {roster.version}, to be signed again with `ferrule roster sign`.")
    return DONE


def _path(args: argparse.Namespace, folders: Folders) -> Path:
    return roster_path(args.roster) or own_roster(folders)


def _read(args: argparse.Namespace, around: Around, folders: Folders) -> RosterFile:
    with reading():
        return read_roster(_path(args, folders), calls_of(around))


def _public(given: str, around: Around) -> bytes:
    with reading():
        return parse_public(read_text(Path(given), calls_of(around)).strip("\n"))


def _held(given: str, roster: Roster, around: Around) -> bytes:
    """The key of the roster that a fingerprint, a `.pub` file or a signer's name stands for."""
    found = [m for m in roster.members if given in (fingerprint(m.public), m.principal)]
    if len(found) > 1:
        raise UsageError(f"{given} has {len(found)} keys. Name one by its fingerprint.")
    if found:
        return found[0].public
    if given.startswith("SHA256:") or not Path(given).exists():
        raise RosterError(f"The roster holds no key of {given}.")
    return _public(given, around)
