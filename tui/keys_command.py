"""`ferrule keys`: make a signing key, take one over, show what is there.

Must never: write a key without a passphrase, or over another file.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from ferrule.engine.journal.sshsig import public_text
from ferrule.engine.shell.ed25519 import PackageMissing, need_packages
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFile, KeyFileError, find_key, key_names, make_key, read_key, take_key
from ferrule.tui.around import Around
from ferrule.tui.signing_words import DONE, ask_secret, calls_of, not_done, reading, say, tell


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
                _told(around, find_key(name, folders.keys, calls))
        except KeyFileError as error:
            code = not_done(around, error)
    return code


def _told(around: Around, key: KeyFile) -> None:
    tell(around, f"{key.path.name}  {key.print}")
    tell(around, f"  {public_text(key.public)}")
    if not key.encrypted:
        say(around, f"{key.path.name} is not under a passphrase and cannot sign.")
