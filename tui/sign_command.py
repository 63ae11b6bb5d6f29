"""`ferrule sign`: the reasons against it, or the whole statement, then the passphrase, then the signature.

Must never: ask for a passphrase before everything that will be signed was shown.
"""

from __future__ import annotations

import argparse

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.openpoints import NotSignable
from ferrule.engine.journal.sshsig import fingerprint
from ferrule.engine.journal.statement import NO_ROSTER, Claims, StatementError
from ferrule.engine.journal.trust import Trust
from ferrule.engine.shell.acceptance import NotAccepted, check_acceptance
from ferrule.engine.shell.ed25519 import PackageMissing, find_check, need_packages
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.keys import KeyFile, KeyFileError, find_key
from ferrule.engine.shell.rosterfile import RosterFileError, find_trust, root_print
from ferrule.engine.shell.signing import SigningRefused, ToSign, check_log, check_signer, opened_to_sign, seal, utc_now
from ferrule.tui.around import Around, UsageError
from ferrule.tui.signing_words import (
    DONE,
    ask_secret,
    calls_of,
    clean,
    clock_of,
    log_path,
    not_done,
    reading,
    roster_path,
    say,
    tell,
    unlocked,
)

_REFUSED = (NotAccepted, NotSignable, SigningRefused, StatementError, KeyFileError, PackageMissing, RosterFileError)


def run_sign(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Sign a log; return 0 when it is signed, 1 when it is not."""
    try:
        return _sign(args, around, folders)
    except _REFUSED as error:
        return not_done(around, error)


def _sign(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    calls, clock, check = calls_of(around), clock_of(around), find_check()
    path = log_path(args.log, folders)
    with reading():
        job = check_log(path, folders, calls)
        need_packages()
        key = find_key(args.key, folders.keys, calls)
        trust, _ = find_trust(roster_path(args.roster), root_print(args.root, calls), folders, calls, check)
    claims = _claims(args, around, key, trust)
    if check is not None:
        check_acceptance(key, claims.name, check, calls)
    with opened_to_sign(path, claims, clock, calls) as to_sign:
        check_signer(claims, key.public, to_sign.writer.entries, job, trust, check)
        _show(around, to_sign, trust)
        passphrase = ask_secret(around, f"Passphrase of the key {key.path.name}, or nothing to leave it unsigned")
        if not passphrase:
            raise SigningRefused("Nothing was signed.")
        entry = seal(to_sign, key.public, unlocked(around, key, passphrase, folders), trust, check)
    tell(around, f"Signed as {claims.role} by {claims.name}: entry {entry.seq + 1}, head {entry.sum}.")
    return DONE


def _claims(args: argparse.Namespace, around: Around, key: KeyFile, trust: Trust) -> Claims:
    """Who signs, from the roster where it holds the key, else from what was given."""
    member = trust.roster.by_key(key.public) if trust.roster else None
    signer, name = (member.principal, member.name) if member else (args.signer, clean(args.name, "letters of the name"))
    for given, known, what in ((args.signer, signer, "signer"), (args.name, name, "printed name")):
        if given and given.strip() != known:
            raise UsageError(f"The roster has the {what} “{known}” for this key, not “{given}”.")
    if not (signer and name):
        why = "The roster does not hold this key" if trust.roster else "No roster to be trusted is at hand"
        raise UsageError(f"{why} ({fingerprint(key.public)}). Say who signs with --signer and --name.")
    return Claims(
        args.role,
        args.decision,
        signer,
        name,
        utc_now(clock_of(around)),
        trust.name or NO_ROSTER,
        clean(args.remarks, "remarks"),
    )


def _show(around: Around, to_sign: ToSign, trust: Trust) -> None:
    """Show the whole statement, its hash, and what the signature will not be judged by."""
    if trust.roster is None:
        say(around, f"{trust.why} The signature can be judged once a roster holds this key.")
    say(around, "You are about to sign this, word for word:\n")
    for line in to_sign.statement.splitlines():
        tell(around, line)
    say(around, f"\nSHA-256 of these lines: {sha256_hex(to_sign.statement.encode('utf-8'))}")
