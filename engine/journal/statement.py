"""The statement that a signer signs: rendered from the log, compared byte by byte, never trusted as parsed.

Rules of this module
1. What a statement says of the log is worked out from the log's own entries, every time.
2. Only what nobody but the signer can say is read from a statement: decision, remarks, name, time, roster.
3. The role is given by the entry; the meaning follows from role and decision.
4. Values hold no control characters, so that what is shown is what is signed.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import datetime

from ferrule.engine.canon import dumps, sha256_hex
from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import STRING_MAX, Entry
from ferrule.engine.light import dataclass

ACCEPTED, WITH_REMARKS, REJECTED = "accepted", "accepted with remarks", "rejected"
MEANINGS = {
    ("technician", ACCEPTED): "I carried out the recorded steps and entered the readings taken.",
    ("supervisor", ACCEPTED): "I reviewed this record, countersign the releases by telephone in it, and accept it.",
    ("supervisor", WITH_REMARKS): (
        "I reviewed this record, countersign the releases by telephone in it, and accept it with the remarks above."
    ),
    ("supervisor", REJECTED): "I reviewed this record and reject it for the reasons in the remarks above.",
}
"""The fixed sentence of each role and decision; there is no other decision."""
NO_ROSTER = "none"
REMARKS_MAX = 2_000
"""UTF-8 bytes of remarks (our choice: a statement is one string of the log, with room for the rest)."""

_TITLE = "ferrule statement 1"
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")
_SIGNER = re.compile(r"[A-Za-z0-9][A-Za-z0-9._@+-]{0,127}")
_ROSTER = re.compile(r"none|[0-9]{1,9} sha256:[0-9a-f]{64}")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_OWN = ("decision", "remarks", "signer", "name", "signed-at", "roster")


class StatementError(FerruleError):
    """A statement is not in the form that ferrule renders, or cannot be rendered."""


@dataclass(frozen=True, slots=True)
class Claims:
    """What the signer says of the signing; nothing of the log is in it."""

    role: str
    decision: str
    signer: str
    """The principal in the roster."""
    name: str
    signed_at: str
    """By the signer's own clock, in UTC."""
    roster: str = NO_ROSTER
    """Version and hash of the roster that the signer had, or `none`."""
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Release:
    """A hold point that was released by telephone."""

    entry: int
    hold: str
    role: str
    person: str
    words: str


def is_utc(text: str) -> bool:
    """True for a time such as 2026-03-14T11:42:07Z that exists; of two such texts the later is the greater."""
    if not _TIME.fullmatch(text):
        return False
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def is_principal(text: str) -> bool:
    """True for a name that a roster may hold: no blanks, no patterns."""
    return _SIGNER.fullmatch(text) is not None


def telephone_releases(entries: Iterable[Entry]) -> tuple[Release, ...]:
    """The hold points released by telephone, in the order of the log, each with the number of its entry."""
    return tuple(
        Release(entry.seq + 1, *(str(event.get(key, "")) for key in ("hold", "role", "person", "telephone")))
        for entry in entries
        if entry.kind == "did"
        for event in entry.data["events"]
        if event.get("event") == "signed" and event.get("telephone")
    )


def render(before: Sequence[Entry], claims: Claims) -> str:
    """The statement over these entries, which are all that stand before the signature."""
    fault = find_fault(claims)
    if fault:
        raise StatementError(fault)
    opened = before[0].data
    closed = next((entry for entry in before if entry.kind == "close"), None)
    if closed is None:
        raise StatementError("The log is not closed, so there is nothing to sign yet.")
    by_telephone = ", ".join(str(release.entry) for release in telephone_releases(before))
    lines = {
        "job": opened["job_id"],
        "texts": f"sha256:{sha256_hex(dumps(opened['texts']))}",
        "rules": opened["rules"],
        "records": str(len(before)),
        "head": f"sha256:{before[-1].sum}",
        "outcome": closed.data["outcome"],
        "by-telephone": by_telephone,
        "role": claims.role,
        "decision": claims.decision,
        "remarks": claims.remarks,
        "signer": claims.signer,
        "name": claims.name,
        "signed-at": claims.signed_at,
        "roster": claims.roster,
        "meaning": MEANINGS[claims.role, claims.decision],
    }
    if any(_CONTROL.search(value) for value in lines.values()):
        raise StatementError("A value of the log that belongs in the statement holds a control character.")
    text = "".join(f"{line}\n" for line in (_TITLE, *(f"{key}: {value}" for key, value in lines.items() if value)))
    if len(text.encode("utf-8")) > STRING_MAX:
        raise StatementError(f"The statement is longer than {STRING_MAX} bytes. Shorten the remarks.")
    return text


def read_claims(role: str, statement: str) -> Claims:
    """What the signer says in a statement; StatementError when it cannot be one that `render` wrote.

    The caller renders the statement anew with these claims and compares it whole.
    """
    found: dict[str, str] = {}
    for line in statement.split("\n"):
        key, colon, value = line.partition(": ")
        if colon and key in _OWN and key not in found:
            found[key] = value
    missing = [key for key in _OWN if key not in found and key != "remarks"]
    if missing:
        raise StatementError(f"It does not say “{missing[0]}”.")
    claims = Claims(
        role,
        found["decision"],
        found["signer"],
        found["name"],
        found["signed-at"],
        found["roster"],
        found.get("remarks", ""),
    )
    fault = find_fault(claims)
    if fault:
        raise StatementError(fault)
    return claims


def find_fault(claims: Claims) -> str:
    """Why these claims cannot stand in a statement, or an empty text."""
    if (claims.role, claims.decision) not in MEANINGS:
        known = ", ".join(decision for role, decision in MEANINGS if role == claims.role)
        return f"A {claims.role} does not decide “{claims.decision}”; known are: {known or 'none'}."
    for what, value in (("name", claims.name), ("remarks", claims.remarks)):
        if _CONTROL.search(value) or value != value.strip():
            return f"The {what} may hold no control characters and no blank at either end."
    if not claims.name or len(claims.name.encode("utf-8")) > 200:
        return "The printed name should have 1 to 200 bytes."
    if bool(claims.remarks) != (claims.decision in (WITH_REMARKS, REJECTED)):
        return "Remarks belong to “accepted with remarks” and “rejected”, and to nothing else."
    if len(claims.remarks.encode("utf-8")) > REMARKS_MAX:
        return f"The remarks are longer than {REMARKS_MAX} bytes."
    if not is_principal(claims.signer):
        return "The signer should be named as in a roster: letters, digits and . _ @ + - only."
    if not is_utc(claims.signed_at):
        return "The time should be in UTC, such as 2026-03-14T11:42:07Z."
    return "" if _ROSTER.fullmatch(claims.roster) else "The roster should be named by version and SHA-256, or be none."
