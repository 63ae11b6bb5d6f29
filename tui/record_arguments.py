"""What can be asked of `keys`, `roster`, `sign` and `verify`, and which function answers.

Nothing that signs or verifies is imported before it is wanted.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any

from ferrule.engine.shell.folders import Folders
from ferrule.tui.around import Around

Find = Callable[[str], Folders]
"""The folders for what was given with --home."""
Run = Callable[[argparse.Namespace, Around, Folders], int]

_ROLES = ("technician", "supervisor")
_DECISIONS = ("accepted", "accepted with remarks", "rejected")


def add_keys(commands: Any, find: Find) -> None:
    """Add `keys` and what can be done with it."""
    keys = commands.add_parser("keys", help="make, take over and show signing keys")
    kinds = keys.add_subparsers(title="what to do", metavar="DO", required=True)
    new = kinds.add_parser("new", help="make a key under a passphrase")
    new.add_argument("name", metavar="NAME", help="the name of the key file")
    taken = kinds.add_parser("import", help="copy a key that ssh-keygen made")
    taken.add_argument("file", metavar="FILE", help="the private key")
    taken.add_argument("name", metavar="NAME", help="the name of the key file here")
    show = kinds.add_parser("show", help="the fingerprints and public halves of the keys here")
    show.add_argument("name", nargs="?", default="", metavar="NAME", help="one key, by its name or its file")
    accept = kinds.add_parser("accept", help="accept once, in writing, that what a key signs binds its holder")
    accept.add_argument("key", nargs="?", default="", metavar="KEY", help="the key, by its name or its file")
    accept.add_argument("--name", required=True, help="the holder's printed name, as records are signed with")
    runs = ((new, "run_new"), (taken, "run_import"), (accept, "run_accept"), (show, "run_show"))
    for parser, name in runs:
        _run(parser, find, "keys_command", name)


def add_roster(commands: Any, find: Find) -> None:
    """Add `roster` and what can be done with it."""
    roster = commands.add_parser("roster", help="keep the office's list of who may sign with which key")
    kinds = roster.add_subparsers(title="what to do", metavar="DO", required=True)
    write = kinds.add_parser("write", help="begin an empty roster")
    write.add_argument("--expires", metavar="DAY", required=True, help="when a newer one should be asked for")
    add = kinds.add_parser("add", help="add a person's key")
    add.add_argument("signer", metavar="SIGNER", help="the name in the roster, such as ash.glaze@saltmarsh.example")
    add.add_argument("--name", required=True, help="the printed name")
    add.add_argument("--role", action="append", required=True, choices=_ROLES, help="may be given twice")
    add.add_argument("--key", required=True, metavar="FILE", help="the public key, a .pub file")
    add.add_argument("--from", dest="after", metavar="DAY", help="valid from; now unless given")
    add.add_argument("--until", dest="before", metavar="DAY", required=True, help="valid until")
    retire = kinds.add_parser("retire", help="end a key: it signs nothing new")
    retire.add_argument("key", metavar="KEY", help="its fingerprint, its .pub file or the signer's name")
    how = retire.add_mutually_exclusive_group(required=True)
    how.add_argument("--on", metavar="DAY", help="retired on; what it signed earlier stands")
    how.add_argument("--compromised-since", dest="since", metavar="DAY", help="others may have held it since")
    sign = kinds.add_parser("sign", help="sign the roster with the office's root key")
    sign.add_argument("--key", default="", metavar="KEY", help="the root key, by its name or its file")
    take = kinds.add_parser("take", help="take the office's roster over on this machine")
    take.add_argument("file", metavar="FILE", help="the roster; its signature lies beside it as FILE.sig")
    _root(take)
    show = kinds.add_parser("show", help="who may sign, and what the roster is worth here")
    _root(show)
    for parser in (write, add, retire, sign, show):
        parser.add_argument("--roster", default="", metavar="FILE", help="the roster; else the one of this machine")
    for parser in (write, add, retire, sign, take, show):
        _run(parser, find, "roster_command", f"run_{parser.prog.rpartition(' ')[2]}")


def add_sign(commands: Any, find: Find) -> None:
    """Add `sign`."""
    sign = commands.add_parser(
        "sign",
        help="sign a closed log",
        description="Shows the whole statement, then asks for the passphrase, then signs. Without a terminal the "
        "passphrase is read as one line. Ends with 0 when signed, with 1 and the reasons when not.",
    )
    sign.add_argument("log", metavar="LOG", help="the log of a job, by its file or its id")
    sign.add_argument("--role", choices=_ROLES, default="technician", help="technician unless given")
    sign.add_argument("--decision", choices=_DECISIONS, default="accepted", help="accepted unless given")
    sign.add_argument("--remarks", default="", metavar="TEXT", help="for “accepted with remarks” and “rejected”")
    sign.add_argument("--key", default="", metavar="KEY", help="the key, by its name or its file, on any medium")
    sign.add_argument("--signer", default="", metavar="SIGNER", help="your name in a roster that is not at hand")
    sign.add_argument("--name", default="", metavar="NAME", help="your printed name, where no roster gives it")
    _trust(sign)
    _run(sign, find, "sign_command", "run_sign")


def add_verify(commands: Any, find: Find) -> None:
    """Add `verify`."""
    verify = commands.add_parser(
        "verify",
        help="tell whether logs are whole, signed, and by whom",
        description="Reads only, and writes nothing. Ends with 0 closed and signed as its plan asks, 1 damaged, "
        "changed or badly signed, 2 sound but incomplete, 3 cannot judge; of several files the worst.",
    )
    verify.add_argument("files", nargs="+", metavar="FILE", help="logs, by their files or the ids of their jobs")
    _trust(verify)
    verify.add_argument("--diary", default="", metavar="FILE", help="the diary to hold the logs against")
    verify.add_argument("--heads", default="", metavar="FILE", help="diary lines that were copied to a second medium")
    verify.add_argument("--replay", action="store_true", help="decide every command afresh as well")
    verify.add_argument("--json", action="store_true", help="the result as JSON")
    _run(verify, find, "verify_command", "run_verify")


def _trust(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--roster", default="", metavar="FILE", help="the roster; else the one of this machine")
    _root(parser)


def _root(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--root",
        default="",
        metavar="KEY",
        help="the office's root key: fingerprint or .pub; else the one trusted here",
    )


def _run(parser: argparse.ArgumentParser, find: Find, module: str, name: str) -> None:
    parser.add_argument("--home", metavar="DIR", default="", help="the folder for logs, keys and roster")

    def run(args: argparse.Namespace, around: Around) -> int:
        from importlib import import_module

        command: Run = getattr(import_module(f"ferrule.tui.{module}"), name)
        return command(args, around, find(args.home))

    parser.set_defaults(run=run)
