"""Invented people with invented keys, rosters that hold them, and small logs that they signed.

The keys are worked out from words that stand here, so anybody can sign with them: they are for tests only.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from ferrule.engine.canon import dumps, sha256_hex
from ferrule.engine.journal.entry import Entry, decode, encode
from ferrule.engine.journal.roster import Member, Roster, render_roster
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, ROSTER_NAMESPACE, fingerprint, make
from ferrule.engine.journal.statement import NO_ROSTER, Claims, render
from ferrule.engine.journal.trust import Trust, judge_roster
from ferrule.engine.journal.verdict import Verdict, judge_log
from ferrule.engine.shell.ed25519 import find_check
from tests.support.demolog import CLOSE_DATA, did_data, open_data, write_lines

CHECK = find_check()
PASSPHRASE = "an invented passphrase"
AFTER, BEFORE = "2026-01-01T00:00:00Z", "2027-01-01T00:00:00Z"
SIGNED_AT, REVIEWED_AT = "2026-03-14T11:42:07Z", "2026-03-15T08:00:00Z"


@dataclass(frozen=True)
class Person:
    """Somebody with a key."""

    principal: str
    name: str
    role: str

    @property
    def private(self) -> Ed25519PrivateKey:
        """The key, from the words of the person."""
        return Ed25519PrivateKey.from_private_bytes(hashlib.sha256(f"test key of {self.principal}".encode()).digest())

    @property
    def public(self) -> bytes:
        """Its public half."""
        return self.private.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)

    def member(self, **changes: Any) -> Member:
        """The line of a roster for this key."""
        given = {"roles": (self.role,), "after": AFTER, "before": BEFORE} | changes
        return Member(self.principal, self.name, self.public, **given)


TECH = Person("ash.glaze@saltmarsh.example", "Ash Glaze", "technician")
SUPER = Person("bay.kiln@saltmarsh.example", "Bay Kiln", "supervisor")
STRANGER = Person("col.slip@elsewhere.example", "Col Slip", "technician")
ROOT = Person("office@saltmarsh.example", "The office", "root")
OTHER_ROOT = Person("office@elsewhere.example", "Another office", "root")


def roster_of(*members: Member, version: int = 3, expires: str = BEFORE) -> bytes:
    """The bytes of a roster."""
    return render_roster(Roster(version, expires, members)).encode()


ROSTER = roster_of(TECH.member(), SUPER.member())


def roster_armour(data: bytes, root: Person = ROOT) -> str:
    """The signature of a roster."""
    return make(ROSTER_NAMESPACE, data, root.public, root.private.sign)


def trust_in(data: bytes = ROSTER, root: Person = ROOT) -> Trust:
    """A roster that is signed and known."""
    return judge_roster(data, roster_armour(data, root), fingerprint(root.public), None, CHECK)


def named(data: bytes = ROSTER) -> str:
    """A roster as a statement names it."""
    version = data.split(b"\n")[0].rpartition(b" ")[2].decode()
    return f"{version} sha256:{sha256_hex(data)}"


def claims_of(person: Person, **changes: Any) -> Claims:
    """What a person says when signing."""
    at = SIGNED_AT if person.role == "technician" else REVIEWED_AT
    given: dict[str, Any] = {
        "role": person.role,
        "decision": "accepted",
        "signer": person.principal,
        "name": person.name,
        "signed_at": at,
        "roster": NO_ROSTER,
    }
    return Claims(**(given | changes))


Change = Callable[[str], str]


def sign_line(
    lines: Sequence[bytes],
    person: Person,
    *,
    statement: Change = str,
    sshsig: Change = str,
    namespace: str = "",
    envelope: dict[str, Any] | None = None,
    **changes: Any,
) -> bytes:
    """The next line of a log: a signature, or, with changes, something that only looks like one.

    The statement is changed before it is signed, so that sums and signature hold.
    """
    before = [decode(line) for line in lines]
    claims = claims_of(person, **changes)
    text = statement(render(before, claims))
    armour = sshsig(make(namespace or ROLE_NAMESPACES[claims.role], text.encode(), person.public, person.private.sign))
    last = before[-1]
    data = {"role": claims.role, "statement": text, "sshsig": armour}
    members = {"wall": claims.signed_at, "mono_ms": last.mono_ms, "boot": last.boot} | (envelope or {})
    return encode("signature", len(lines), last.sum, members["wall"], members["mono_ms"], members["boot"], data)[0]


def closed_lines(sign_off: str = "alone", **changes: Any) -> list[bytes]:
    """A small closed log of work."""
    parts: list[tuple[str, Any]] = [
        ("open", open_data(sign_off=sign_off, **changes)),
        ("did", did_data(31)),
        ("did", did_data(32)),
        ("close", CLOSE_DATA),
    ]
    return write_lines(parts)


def signed_lines(*people: Person, sign_off: str = "alone", **changes: Any) -> list[bytes]:
    """A small closed log with the signatures of these people."""
    lines = closed_lines(sign_off, **changes)
    for person in people:
        lines.append(sign_line(lines, person))
    return lines


def verdict(lines: Sequence[bytes] | bytes, trust: Trust | None = None) -> Verdict:
    """What a log comes to, by the roster of the tests unless another is given."""
    data = lines if isinstance(lines, bytes) else b"".join(lines)
    return judge_log(data, trust_in() if trust is None else trust, CHECK)


def relinked(bodies: Sequence[dict[str, Any]]) -> list[bytes]:
    """The lines of these bodies with numbers, links and sums made right again, as a forger would."""
    lines: list[bytes] = []
    prev = "0" * 64
    for seq, body in enumerate(bodies):
        raw = dumps(body | {"seq": seq, "prev": prev})
        prev = sha256_hex(raw)
        lines.append(b'{"body":' + raw + b',"sum":"' + prev.encode() + b'"}\n')
    return lines


def body_of(line: bytes) -> dict[str, Any]:
    """What a line holds, to be changed and linked again."""
    entry: Entry = decode(line)
    return {name: getattr(entry, name) for name in ("kind", "seq", "prev", "wall", "mono_ms", "boot")} | {
        "data": dict(entry.data)
    }
