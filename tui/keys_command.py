"""`ferrule keys`: make a signing key, take one over, show what is there.

Must never: write a key without a passphrase, or over another file.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from ferrule.engine.journal.sshsig import public_text
from ferrule.engine.shell.acceptance import acceptance_path, acceptance_text, write_acceptance
from ferrule.engine.shell.ed25519 import PackageMissing, need_packages
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFile, KeyFileError, find_key, key_names, make_key, read_key, take_key
from ferrule.engine.shell.signing import utc_now
from ferrule.tui.around import Around
from ferrule.tui.signing_words import (
    DONE,
    ask_secret,
    calls_of,
    clean,
    clock_of,
    not_done,
    reading,
    say,
    tell,
    unlocked,
    wrong_words,
)


def run_new(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Make a key; return 0, or 1 when it was not made."""
    try:
        need_packages()
        say(
            around,
            "The passphrase is asked again at each signature. It is kept nowhere: whoever forgets it needs a new key.",
        )
        passphrase = ask_secret(around, "Passphrase")
        if ask_secret(around, "The same again") != passphrase:
            raise KeyFileError("The two passphrases differ; no key was made.")
        key = make_key(folders.keys, args.name, passphrase, calls_of(around), comment=args.name)
    except (KeyFileError, PackageMissing) as error:
        return not_done(around, error)
    _told(around, key)
    say(around, f"Give {key.path.name}.pub to the office for its roster. The other file goes to nobody.")
    say(around, f'Before it signs: ferrule keys accept {key.path.name} --name "YOUR PRINTED NAME"')
    return DONE


def run_import(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Copy a key that was made elsewhere; return 0, or 1 when it was not taken."""
    calls = calls_of(around)
    try:
        need_packages()
        with reading():
            source = read_key(Path(args.file), calls)
        key = take_key(source, folders.keys, args.name, ask_secret(around, "Its passphrase"), calls)
    except (KeyFileError, PackageMissing) as error:
        return not_done(around, error)
    _told(around, key)
    return DONE


def run_accept(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Accept once in writing that what a key signs binds; return 0, or 1 when it was not done."""
    calls, clock = calls_of(around), clock_of(around)
    try:
        need_packages()
        with reading():
            key = find_key(args.key, folders.keys, calls)
        name, now = clean(args.name, "letters of the name"), utc_now(clock)
        say(around, "You are about to accept this, word for word:\n")
        for line in acceptance_text(name, key.public, now).splitlines():
            tell(around, line)
        passphrase = ask_secret(around, f"Passphrase of the key {key.path.name}, or nothing to leave it")
        if not passphrase:
            raise KeyFileError("Nothing was accepted.")
        path = write_acceptance(key, name, now, unlocked(around, key, passphrase, folders), calls)
    except (KeyFileError, PackageMissing) as error:
        return not_done(around, error)
    say(around, f"Kept as {path.name}. Give a copy to the office with the key's .pub file.")
    return DONE


def run_show(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Show the keys here; return 0, or 1 when one of them cannot be used."""
    calls = calls_of(around)
    names = [args.name] if args.name else list(key_names(folders.keys, calls))
    if not names:
        say(around, "There are no keys here. `ferrule keys new NAME` makes one.")
    code = DONE
    for name in names:
        try:
            with reading():
                key = find_key(name, folders.keys, calls)
                _told(around, key)
                _more(around, key, folders)
        except KeyFileError as error:
            code = not_done(around, error)
    return code


def _told(around: Around, key: KeyFile) -> None:
    tell(around, f"{key.path.name}  {key.print}")
    tell(around, f"  {public_text(key.public)}")
    if not key.encrypted:
        say(around, f"{key.path.name} is not under a passphrase and cannot sign.")


def _more(around: Around, key: KeyFile, folders: Folders) -> None:
    """Say what stands in the way of signing with a key, and what was tried with it."""
    if not acceptance_path(key).exists():
        say(around, f"{key.path.name} signs nothing until its holder has accepted that it binds: ferrule keys accept.")
    wrong = wrong_words(key, folders, calls_of(around))
    if wrong:
        say(around, wrong)
