"""Signing a closed log: everything that may forbid it, the statement as it will be signed, and the signature.

Rules of this module
1. Nothing is signed while anything is open; the list is the walk's own.
2. The statement is rendered from the log as it lies locked on disk, shown whole, and those bytes are signed.
3. What was written is read back and judged before anybody is told that it is signed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.openpoints import NotSignable, check_signable
from ferrule.engine.journal.replay import Replay
from ferrule.engine.journal.signatures import BROKEN, GOOD, SignatureFound, judge_signatures
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, Check, Sign, make
from ferrule.engine.journal.statement import REJECTED, Claims, render
from ferrule.engine.journal.trust import Trust
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.sets import embedded_job
from ferrule.engine.shell.store import LogWriter


class SigningRefused(FerruleError):  # noqa: N818 - it says what happened
    """This signature cannot be given."""


@dataclass(frozen=True, slots=True)
class ToSign:
    """A log that is locked for signing, with the statement as it will be signed."""

    writer: LogWriter
    claims: Claims
    statement: str


def utc_now(clock: Clock) -> str:
    """The time by this machine's clock, in UTC and whole seconds."""
    return f"{datetime.fromisoformat(clock.wall()).astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def check_log(path: Path, folders: Folders, calls: FileCalls) -> Job:
    """The job of a log that may be signed; NotSignable lists what is open in it."""
    read = read_only(path, calls)
    if not read.entries:
        raise NotSignable(("It holds no whole entry, so no step was ever confirmed in it.",))
    job = embedded_job(read.entries[0].data["texts"], folders).job
    check_signable(read, Replay(job, read.entries))
    return job


@contextmanager
def opened_to_sign(path: Path, claims: Claims, clock: Clock, calls: FileCalls) -> Iterator[ToSign]:
    """The log locked, and the statement over all that it holds."""
    writer, _ = LogWriter.reopen_to_sign(path, clock, calls)
    try:
        yield ToSign(writer, claims, render(writer.entries, claims))
    finally:
        writer.close_file()


def seal(to_sign: ToSign, public: bytes, sign: Sign, trust: Trust, check: Check | None) -> Entry:
    """Sign the statement and add it to the log, durably."""
    role = to_sign.claims.role
    armour = make(ROLE_NAMESPACES[role], to_sign.statement.encode("utf-8"), public, sign)
    data = {"role": role, "statement": to_sign.statement, "sshsig": armour}
    entry = to_sign.writer.append_signature(data, to_sign.claims.signed_at)
    found = judge_signatures(to_sign.writer.entries, trust, check)[-1]
    if found.code in BROKEN:
        raise SigningRefused(f"The signature was written and does not verify: {found.why} Do not rely on it.")
    return entry


def check_signer(
    claims: Claims, public: bytes, entries: Sequence[Entry], job: Job, trust: Trust, check: Check | None
) -> None:
    """Raise SigningRefused when this signature could not stand: by roster, by card, or beside those before it."""
    earlier = judge_signatures(entries, trust, check)
    _check_order(claims, public, earlier)
    _check_card(claims, entries, job)
    if trust.roster is None:
        return
    member = trust.roster.by_key(public)
    if member is None:
        return
    if claims.role not in member.roles:
        raise SigningRefused(f"The roster lets this key sign as {' and '.join(member.roles)}, not as {claims.role}.")
    ends = [day for day in (member.before, member.retired, member.compromised) if day]
    if not member.after <= claims.signed_at < min(ends):
        raise SigningRefused(
            f"The roster lets this key sign from {member.after} to {min(ends)}, and it is {claims.signed_at} here."
        )


def _check_order(claims: Claims, public: bytes, earlier: Sequence[SignatureFound]) -> None:
    for one in earlier:
        if one.claims is None or one.code in BROKEN:
            raise SigningRefused(
                f"Entry {one.entry} is a signature that is not good. {one.why} Nothing is signed on top of it."
            )
        if one.claims.decision == REJECTED:
            raise SigningRefused(f"{one.claims.name} rejected this record. Do the job again under a new id.")
        if one.role == claims.role and one.result == GOOD:
            raise SigningRefused(f"{one.claims.name} signed this record as {one.role} already.")
        if one.role != claims.role and (one.public == public or one.claims.signer == claims.signer):
            raise SigningRefused(f"You signed this record as {one.role}. The {claims.role} is another person.")
        if one.role != claims.role and one.claims.name == claims.name:
            raise SigningRefused(
                f"{one.claims.name} signed this record as {one.role}. Give a name that tells you apart."
            )
    if claims.role == "supervisor" and not any(one.role == "technician" for one in earlier):
        raise SigningRefused("The technician signs first; the supervisor's signature covers that one.")
    if claims.role == "technician" and any(one.role == "supervisor" for one in earlier):
        raise SigningRefused("The supervisor has signed already; a technician's signature comes before it.")


def _check_card(claims: Claims, entries: Sequence[Entry], job: Job) -> None:
    """The printed name is one that the card gives the role to; a technician did some of the work."""
    named = [p for p in job.card.people if claims.role in p.roles]
    acted = {str(entry.data["person"]) for entry in entries if entry.kind == "did"}
    if claims.role == "technician":
        named = [p for p in named if p.id in acted]
    elif not named:
        return
    if claims.name not in {p.name for p in named}:
        known = ", ".join(p.name for p in named) or "nobody"
        raise SigningRefused(f"{claims.name} is not a {claims.role} of this job by its card. Named are: {known}.")
