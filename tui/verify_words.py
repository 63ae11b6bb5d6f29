"""A verdict in words and as JSON.

Must never: leave out what was not checked, or claim more strength than what was checked gives.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ferrule.engine.canon import sha256_hex
from ferrule.engine.journal.signatures import GOOD, SignatureFound
from ferrule.engine.journal.statement import MEANINGS
from ferrule.engine.journal.verdict import CHANGED, INCOMPLETE, SIGNED, UNJUDGED

if TYPE_CHECKING:
    from ferrule.tui.verify_command import Verified

HEADS = {
    SIGNED: "SIGNED: closed, whole, and signed as its plan asks",
    CHANGED: "NOT GOOD: damaged, changed, or signed by somebody who may not",
    INCOMPLETE: "INCOMPLETE: whole as far as it goes",
    UNJUDGED: "CANNOT TELL",
}
CLAIM = "Whether it was signed at the time it says: that is the signer's claim, by the signer's own clock."
ALWAYS = ("Whether the readings were really taken, and whether the signers act together; no log can show that.",)
HEADS_MISSING = (
    "Whether a longer state of this log, or a later log, was taken away: give heads that left the machine (--heads)."
)
DIARY_MISSING = "Whether the diary tells the same of this job; give it with --diary."


def text_lines(one: Verified) -> Iterator[str]:
    """Yield what a person is told of one file."""
    verdict = one.verdict
    yield f"{one.path.name}: {HEADS[one.code]}."
    for reason in verdict.reasons:
        yield f"  {reason}"
    if verdict.read and verdict.read.entries:
        yield from _facts(one)
    for found in verdict.signatures:
        yield from signature_told(found)
    for remark in remarks(one):
        yield f"  Remark: {remark}"
    if one.diary is not None:
        yield f"  Diary and heads: {'not all agree' if one.diary.sentences else 'they agree with this log'}."
        yield from (f"    {sentence}" for sentence in one.diary.sentences)
    if one.replay:
        yield f"  Replay (a question of its own, not of damage): {one.replay}."
    for line in not_checked(one):
        yield f"  Not checked: {line}"


def _facts(one: Verified) -> Iterator[str]:
    read = one.verdict.read
    assert read is not None
    opened, head = read.entries[0].data, read.entries[-1]
    closed = next((entry.data for entry in read.entries if entry.kind == "close"), None)
    yield f"  Job {opened['job_id']}, {opened['mode']}: {opened['title']}. {opened['site']}"
    yield f"  Outcome: {closed['outcome'] if closed else 'none yet'}. Sign-off plan: {opened['sign_off']}."
    yield f"  {len(read.entries)} entries, head {head.sum}"


def signature_told(found: SignatureFound) -> Iterator[str]:
    """Yield what a signature says and came to; of one that was not verified only what it came to."""
    result = found.result if found.result == GOOD else f"{found.result} ({found.code}): {found.why}"
    if found.claims is None:
        yield f"  Entry {found.entry}, signature as {found.role}: {result}"
        return
    claims = found.claims
    yield f"  Entry {found.entry}, signature as {found.role}: {claims.name} ({claims.signer}), {claims.signed_at}"
    yield f"    {claims.decision}: {MEANINGS[claims.role, claims.decision]}"
    if claims.remarks:
        yield f"    remarks: {claims.remarks}"
    yield f"    key {found.key or 'not read'}; {result}"


def remarks(one: Verified) -> tuple[str, ...]:
    """What is to be known beside the result."""
    later = (f"Superseded by job {one.superseded_by}.",) if one.superseded_by else ()
    return (*one.verdict.remarks, *later)


def not_checked(one: Verified) -> tuple[str, ...]:
    """Everything that the result does not rest on."""
    found = []
    if one.verdict.signatures:
        if not one.roster:
            found.append("Whose keys signed: no roster to be trusted was at hand.")
        found.append(CLAIM)
    if not one.replay:
        found.append("Whether the decisions follow from the readings; ask with --replay.")
    if one.diary is None:
        found.append(DIARY_MISSING)
    if one.diary is None or not one.diary.heads:
        found.append(HEADS_MISSING)
    return (*found, *ALWAYS)


def as_json(one: Verified) -> dict[str, Any]:
    """Return the same for a program."""
    verdict = one.verdict
    entries = verdict.read.entries if verdict.read else ()
    opened = entries[0].data if entries else {}
    closed = next((entry.data for entry in entries if entry.kind == "close"), {})
    return {
        "file": one.path.name,
        "result": one.code,
        "says": HEADS[one.code],
        "reasons": list(verdict.reasons),
        "damaged_entry": verdict.entry or None,
        "job_id": opened.get("job_id"),
        "mode": opened.get("mode"),
        "sign_off": opened.get("sign_off"),
        "outcome": closed.get("outcome"),
        "entries": len(entries),
        "head": entries[-1].sum if entries else None,
        "signatures": [_signature_json(found, entries[found.entry - 1].data) for found in verdict.signatures],
        "remarks": list(remarks(one)),
        "replay": one.replay or None,
        "diary": {"result": one.diary.code, "says": list(one.diary.sentences), "heads": one.diary.heads}
        if one.diary
        else None,
        "roster": one.roster or None,
        "not_checked": list(not_checked(one)),
    }


def _signature_json(found: SignatureFound, data: Any) -> dict[str, Any]:
    claims = found.claims
    return {
        "entry": found.entry,
        "role": found.role,
        "result": found.result,
        "code": found.code,
        "why": found.why,
        "key": found.key or None,
        "statement_sha256": sha256_hex(str(data["statement"]).encode("utf-8")),
        "decision": claims.decision if claims else None,
        "meaning": MEANINGS[claims.role, claims.decision] if claims else None,
        "remarks": claims.remarks if claims else None,
        "signer": claims.signer if claims else None,
        "name": claims.name if claims else None,
        "signed_at": claims.signed_at if claims else None,
    }
