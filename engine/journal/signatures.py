"""Each signature of a log by itself: does it belong to this log, and was its signer entitled to give it.

Three results, with a reason code: good, bad, cannot tell.  Codes of `BROKEN` say that log or signature was changed.

Rules of this module
1. Whether a signature belongs to the log is asked first and needs no roster: the statement is rendered and compared.
2. A signature is judged by the dates in force when it was given, which is the signer's own claim.
3. A stolen key can have signed anything with any date, so an earlier date does not clear it.
"""

from collections.abc import Sequence

from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.roster import Member, Roster
from ferrule.engine.journal.sshsig import (
    ROLE_NAMESPACES,
    Check,
    Sshsig,
    SshsigError,
    fingerprint,
    parse,
    signed_bytes,
)
from ferrule.engine.journal.statement import REJECTED, Claims, StatementError, read_claims, render
from ferrule.engine.journal.trust import NO_PACKAGE, Trust
from ferrule.engine.light import dataclass

GOOD, BAD, UNSURE = "good", "bad", "cannot tell"
BROKEN = frozenset(("statement", "armour", "namespace", "signature", "envelope"))
"""The codes of a signature that does not belong to the log that it stands in."""


@dataclass(frozen=True, slots=True)
class SignatureFound:
    """One signature of a log and what it came to."""

    entry: int
    """Number of its line, from 1."""
    role: str
    result: str
    code: str
    why: str
    claims: Claims | None = None
    """What was signed; None where the signature was not verified, so that nobody reads what nobody signed (SG-04)."""
    public: bytes = b""

    @property
    def key(self) -> str:
        """Fingerprint of the key; empty when none could be read."""
        return fingerprint(self.public) if self.public else ""


def judge_signatures(entries: Sequence[Entry], trust: Trust, check: Check | None) -> tuple[SignatureFound, ...]:
    """Every signature of a log, in order, each with its result."""
    found: list[SignatureFound] = []
    trust = _not_older(entries[0], trust)
    for entry in entries:
        if entry.kind == "signature":
            one = _judge(entries[: entry.seq], entry, trust, check)
            found.append(_among(one, found) if one.code not in BROKEN else one)
    return tuple(found)


def _not_older(opened: Entry, trust: Trust) -> Trust:
    """The trust, unless the job was opened under a newer roster than the one given."""
    named = opened.data["roster"]
    if trust.roster is None or named is None or named["version"] <= trust.roster.version:
        return trust
    why = (
        f"The job was opened under roster version {named['version']}; the one given is version "
        f"{trust.roster.version}. Get the newest."
    )
    return Trust(None, trust.sha256, trust.root, "roster-older", why)


def _judge(before: Sequence[Entry], entry: Entry, trust: Trust, check: Check | None) -> SignatureFound:
    number, role = entry.seq + 1, str(entry.data["role"])
    statement = str(entry.data["statement"])
    try:
        claims = read_claims(role, statement)
        same = render(before, claims) == statement
    except StatementError as error:
        return SignatureFound(number, role, BAD, "statement", f"Its statement is not one that ferrule makes. {error}")
    if not same:
        why = "Its statement is not what this log says: it belongs to another log, or one of the two was changed."
        return SignatureFound(number, role, BAD, "statement", why)
    last = before[-1]
    if (entry.wall, entry.mono_ms, entry.boot) != (claims.signed_at, last.mono_ms, last.boot):
        why = "Its line has other times than its statement and the line before it."
        return SignatureFound(number, role, BAD, "envelope", why)
    try:
        sshsig = parse(str(entry.data["sshsig"]))
    except SshsigError as error:
        result, code = (UNSURE, "algorithm") if error.code == "algorithm" else (BAD, "armour")
        return SignatureFound(number, role, result, code, str(error))
    apart = _belongs(sshsig, role, statement, check)
    if apart is not None:
        return SignatureFound(number, role, *apart, public=sshsig.public)
    return SignatureFound(number, role, *_entitled(claims, sshsig.public, trust), claims, sshsig.public)


_Found = tuple[str, str, str]


def _belongs(sshsig: Sshsig, role: str, statement: str, check: Check | None) -> _Found | None:
    """Why the signature is not one over this statement in this role, or None."""
    if sshsig.namespace != ROLE_NAMESPACES[role]:
        return BAD, "namespace", f"It was made for another purpose than to sign as {role}."
    if check is None:
        return UNSURE, "no-package", NO_PACKAGE
    if not check(sshsig.public, sshsig.signature, signed_bytes(sshsig.namespace, statement.encode("utf-8"))):
        return BAD, "signature", "It does not belong to its statement and key."
    return None


def _entitled(claims: Claims, public: bytes, trust: Trust) -> _Found:
    """Whether the roster lets this key sign as it did."""
    if trust.roster is None:
        return UNSURE, trust.code, trust.why
    named = _named_roster(claims, trust.roster, trust.sha256)
    if named:
        return named
    member = trust.roster.by_key(public)
    if member is None:
        return UNSURE, "key-unknown", f"The roster does not hold the key {fingerprint(public)}."
    if member.principal != claims.signer:
        return BAD, "signer", f"The key belongs to {member.principal}, not to {claims.signer}."
    if member.name != claims.name:
        return BAD, "name", f"The roster has the printed name {member.name} for this key."
    if claims.role not in member.roles:
        return BAD, "role", f"The roster does not let this key sign as {claims.role}."
    return _by_date(claims, member)


def _named_roster(claims: Claims, roster: Roster, sha256: str) -> _Found | None:
    version, _, hash_named = claims.roster.partition(" sha256:")
    if not hash_named or int(version) < roster.version:
        return None
    if int(version) > roster.version:
        why = f"The signer had roster version {version}; the one given is version {roster.version}. Get the newest."
        return UNSURE, "roster-older", why
    if hash_named != sha256:
        return UNSURE, "roster-differs", f"The signer had another roster of version {version} than the one given."
    return None


def _by_date(claims: Claims, member: Member) -> _Found:
    at = claims.signed_at
    if at < member.after:
        return BAD, "not-yet-valid", f"The key is valid from {member.after}; it signed at {at}."
    if member.compromised and at >= member.compromised:
        return BAD, "compromised", f"The key was compromised since {member.compromised}; it signed at {at}."
    if member.retired and at > member.retired:
        return BAD, "retired", f"The key was retired on {member.retired}; it signed at {at}."
    if at > member.before:
        return BAD, "expired", f"The key was valid until {member.before}; it signed at {at}."
    if member.compromised:
        why = (
            f"The key was compromised since {member.compromised}. It says that it signed before, at {at}, "
            "but whoever held the key could say so, and nothing else bounds the time."
        )
        return UNSURE, "compromised-later", why
    return GOOD, "good", ""


def _among(one: SignatureFound, earlier: Sequence[SignatureFound]) -> SignatureFound:
    """The signature judged beside those before it: two people, two keys, the supervisor last, each role once."""
    standing = [other for other in earlier if other.code not in BROKEN and other.claims]
    code, why = "", ""
    others = [other for other in standing if other.role != one.role]
    if any(other.public == one.public for other in others):
        code, why = "same-key", "The same key signed in the other role; two signatures need two keys."
    elif one.claims and any(other.claims and _is_same_person(other.claims, one.claims) for other in others):
        code, why = "same-person", "The same person signed in the other role; two signatures need two people."
    elif one.role == "supervisor" and not any(other.role == "technician" for other in standing):
        code, why = "order", "The supervisor signs after the technician, and covers that signature; there is none."
    elif any(other.role == one.role and other.result == GOOD for other in standing):
        code, why = "repeated", f"The log was signed as {one.role} already; this one counts for nothing."
    if not code or one.result == BAD:
        return one
    return SignatureFound(one.entry, one.role, BAD, code, why, one.claims, one.public)


def _is_same_person(one: Claims, other: Claims) -> bool:
    return one.signer == other.signer or one.name == other.name


def is_rejection(found: SignatureFound) -> bool:
    """True for a good signature by which a supervisor rejects the record."""
    return found.result == GOOD and found.claims is not None and found.claims.decision == REJECTED
