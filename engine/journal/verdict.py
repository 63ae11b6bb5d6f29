"""What a log comes to: sound and signed, changed, incomplete, or not to be judged.

Rules of this module
1. The order is fixed: size, frame, sum, canonical form, number and link, schema, embedded hashes, signatures.
2. The sign-off plan is the one frozen in the first entry; the roster is the one given.
3. Four results (record_format.md §6).  A broken signature, or one that may not stand where one is wanted, is 1;
   one that cannot be judged where one is wanted is 3; nothing where one is wanted is 2.
4. It says what stands beside the result: remarks, and what was not checked.
"""

from collections.abc import Iterator, Sequence

from ferrule.engine.journal.chain import LogDamaged, LogRead, read_log
from ferrule.engine.journal.entry import ENTRY_START, Entry, EntryError, decode, wall_ms
from ferrule.engine.journal.signatures import (
    BAD,
    BROKEN,
    GOOD,
    UNSURE,
    SignatureFound,
    is_rejection,
    judge_signatures,
)
from ferrule.engine.journal.sshsig import Check
from ferrule.engine.journal.statement import Release, telephone_releases
from ferrule.engine.journal.trust import Trust
from ferrule.engine.light import dataclass
from ferrule.engine.version import KNOWN_RULES

SIGNED, CHANGED, INCOMPLETE, UNJUDGED = 0, 1, 2, 3
WORST_FIRST = (CHANGED, UNJUDGED, INCOMPLETE, SIGNED)
"""The order in which one result prevails over another."""
PLAN_ROLES = {
    "alone": ("technician",),
    "supervised": ("technician", "supervisor"),
    "reviewed later": ("technician",),
}
"""The signatures that each sign-off plan asks for before a log counts as signed."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a log comes to, with everything that a reader is to be told."""

    code: int
    reasons: tuple[str, ...]
    """Why it is not signed, worst first; empty when it is."""
    read: LogRead | None = None
    """None when the log is damaged or of a form that is not known."""
    entry: int = 0
    """The entry that first shows damage; 0 for none."""
    signatures: tuple[SignatureFound, ...] = ()
    releases: tuple[Release, ...] = ()
    remarks: tuple[str, ...] = ()


def judge_log(data: bytes, trust: Trust, check: Check | None, today: str = "") -> Verdict:
    """The verdict on a log; `today` is a moment in UTC by which a roster may have run out, or empty."""
    strange = _unknown_format(data)
    if strange:
        return Verdict(UNJUDGED, (strange,))
    try:
        read = read_log(data)
    except LogDamaged as error:
        return Verdict(CHANGED, (str(error),), entry=error.entry)
    if not read.entries:
        return Verdict(INCOMPLETE, ("It holds no whole entry, so no step was ever confirmed in it.",), read)
    signatures = judge_signatures(read.entries, trust, check)
    found = sorted(_shortfalls(read, signatures), key=lambda pair: WORST_FIRST.index(pair[0]))
    return Verdict(
        found[0][0] if found else SIGNED,
        tuple(reason for _, reason in found),
        read,
        0,
        signatures,
        telephone_releases(read.entries),
        tuple(_remarks(read, signatures, trust, today)),
    )


def _unknown_format(data: bytes) -> str:
    """Says so when a log is whole as far as its first line but of a format that is not known; else empty."""
    line = data[: data.find(b"\n") + 1]
    if not line.startswith(ENTRY_START):
        return ""
    try:
        told = decode(line).data.get("format")
    except EntryError:
        return ""
    if type(told) is not int or told == 1:
        return ""
    return f"It is of format {told}, and this version knows format 1 only."


def _shortfalls(read: LogRead, signatures: Sequence[SignatureFound]) -> Iterator[tuple[int, str]]:
    """Everything that keeps a log from counting as signed, each with the result that it leads to."""
    opened = read.entries[0].data
    for one in signatures:
        if one.code in BROKEN:
            yield CHANGED, f"Entry {one.entry}: the {one.role}'s signature is not good. {one.why}"
    if opened["rules"] not in KNOWN_RULES:
        yield UNJUDGED, f"It was kept by rules {opened['rules']}, which this version does not know."
    if opened["mode"] == "practice":
        yield INCOMPLETE, "It is a practice log: no record of work, and never to be signed."
    if read.torn:
        yield INCOMPLETE, f"Its end is torn: {len(read.tail)} bytes after the last whole entry count for nothing."
    if not read.closed:
        yield INCOMPLETE, "It is open: the job was not closed."
    elif not signatures:
        yield INCOMPLETE, "It is unsigned."
    for one in signatures:
        if is_rejection(one):
            yield INCOMPLETE, f"It was rejected by {_name(one)}: {one.claims.remarks if one.claims else ''}"
    if signatures:
        for role in PLAN_ROLES[str(opened["sign_off"])]:
            yield from _lacking(role, signatures)


def _lacking(role: str, signatures: Sequence[SignatureFound]) -> Iterator[tuple[int, str]]:
    """Why a signature that the plan asks for does not stand; nothing when it does."""
    given = [one for one in signatures if one.role == role]
    if any(one.result == GOOD for one in given):
        return
    for one in given:
        if one.result == BAD and one.code not in BROKEN:
            yield CHANGED, f"Entry {one.entry}: the {role}'s signature does not stand. {one.why}"
        if one.result == UNSURE:
            yield UNJUDGED, f"Entry {one.entry}: the {role}'s signature cannot be judged. {one.why}"
    if not given:
        yield INCOMPLETE, f"The {role}'s signature, which the sign-off plan asks for, is missing."


def _remarks(read: LogRead, signatures: Sequence[SignatureFound], trust: Trust, today: str) -> Iterator[str]:
    opened = read.entries[0].data
    good = {one.role for one in signatures if one.result == GOOD}
    accepted = {one.role for one in signatures if one.result == GOOD and not is_rejection(one)}
    if opened["sign_off"] == "reviewed later" and "technician" in good and "supervisor" not in good:
        yield "Awaiting review: the supervisor has not signed yet."
    for one in signatures:
        if one.role in good and one.result != GOOD and one.code not in BROKEN:
            yield f"Entry {one.entry}: a {one.role}'s signature beside the good one does not count. {one.why}"
        yield from _clock_remarks(read.entries, one)
    unsigned = len(read.entries) - signatures[-1].entry if signatures else 0
    if unsigned:
        yield f"After the last signature {unsigned} more entries stand, which nobody signed."
    for release in telephone_releases(read.entries):
        state = "countersigned by the supervisor" if "supervisor" in accepted else "not countersigned"
        yield f"Entry {release.entry}: hold point {release.hold} was released by telephone, {state}."
    if trust.roster is not None and today and today > trust.roster.expires:
        yield f"The roster ran out on {trust.roster.expires}. Ask the office for the newest."


def _clock_remarks(entries: Sequence[Entry], one: SignatureFound) -> Iterator[str]:
    closed = next((entry for entry in entries if entry.kind == "close"), None)
    if one.claims and closed and wall_ms(one.claims.signed_at) + 1_000 <= wall_ms(closed.wall):
        yield f"Entry {one.entry} is dated {one.claims.signed_at}, before the job was closed: a clock was wrong."


def _name(one: SignatureFound) -> str:
    return one.claims.name if one.claims else "somebody"
