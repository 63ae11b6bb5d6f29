"""The signatures of a log in words, as they stand there: who, when, in which role, and what it means.

Must never: say that a signature is good; only verifying tells.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.statement import StatementError, read_claims

NOT_VERIFIED = "Not verified here; `ferrule verify` tells whether signatures are good."


def signature_lines(entries: Iterable[Entry]) -> tuple[str, ...]:
    """Return a line for each signature, and one that says that they were not verified; nothing without any."""
    found = tuple(signature_words(entry) for entry in entries if entry.kind == "signature")
    return (*found, NOT_VERIFIED) if found else ()


def signature_words(entry: Entry) -> str:
    """Return a signature in words: printed name, role, time and meaning."""
    role, statement = str(entry.data["role"]), str(entry.data["statement"])
    try:
        claims = read_claims(role, statement)
    except StatementError:
        return f"Entry {entry.seq + 1}: a signature as {role} whose statement is not in ferrule's form."
    meaning = statement.rstrip("\n").rpartition("\nmeaning: ")[2]
    remarks = f" Remarks: {claims.remarks}." if claims.remarks else ""
    return (
        f"Entry {entry.seq + 1}: signed as {role} by {claims.name} ({claims.signer}), {claims.signed_at}, "
        f"{claims.decision}: {meaning}{remarks}"
    )
