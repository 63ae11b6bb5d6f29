"""How far a roster can be relied on: signed by the office's root key, not older than one seen, not run out.

For: turning a roster's bytes and its signature into something that signatures can be judged by, or the reason why not.
Must never: read a file or a clock, or let an unsigned roster decide.
"""

from ferrule.engine.journal.roster import Roster, RosterError, parse_roster, roster_sha256
from ferrule.engine.journal.sshsig import ROSTER_NAMESPACE, Check, SshsigError, fingerprint, parse, signed_bytes
from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Seen:
    """The newest roster of an office that this machine took over."""

    root: str
    """Fingerprint of the office's root key."""
    version: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Trust:
    """A roster that signatures can be judged by; without one, the code and the sentence why not."""

    roster: Roster | None
    sha256: str = ""
    root: str = ""
    """Fingerprint of the key that signed the roster."""
    code: str = ""
    why: str = ""

    @property
    def name(self) -> str:
        """Version and hash, as a statement names a roster; empty without one."""
        return f"{self.roster.version} sha256:{self.sha256}" if self.roster else ""


NO_TRUST = Trust(None, code="roster-missing", why="No roster was given, so whose keys these are is not known.")


def judge_roster(data: bytes, armour: str | None, root: str, seen: Seen | None, check: Check | None) -> Trust:
    """The roster with what speaks for it; `root` is the fingerprint that the office gave, or empty."""
    try:
        roster = parse_roster(data)
    except RosterError as error:
        return Trust(None, code="roster-form", why=str(error))
    sha256 = roster_sha256(data)
    if armour is None:
        return Trust(None, sha256, code="roster-unsigned", why="The roster is not signed by the office's root key.")
    if check is None:
        return Trust(None, sha256, code="no-package", why=NO_PACKAGE)
    try:
        found = parse(armour)
    except SshsigError as error:
        return Trust(None, sha256, code="roster-signature", why=f"The roster's signature cannot be read. {error}")
    signer = fingerprint(found.public)
    if found.namespace != ROSTER_NAMESPACE or not check(
        found.public, found.signature, signed_bytes(ROSTER_NAMESPACE, data)
    ):
        return Trust(None, sha256, signer, "roster-signature", "The roster's signature does not belong to this roster.")
    fault = _root_fault(signer, root) or _seen_fault(roster, sha256, signer, seen)
    if fault:
        return Trust(None, sha256, signer, *fault)
    return Trust(roster, sha256, signer)


NO_PACKAGE = (
    'Signatures cannot be checked here, because a package is missing. Install it with: pip install "ferrule[sign]".'
)


def _root_fault(signer: str, root: str) -> tuple[str, str] | None:
    if not root:
        return "root-unknown", (
            f"The roster is signed by the key {signer}, and whether that is the office's root key is not known here. "
            "Ask the office for the fingerprint of its root key and give it with --root."
        )
    if signer != root:
        return "root-differs", f"The roster is signed by the key {signer}, not by the office's root key {root}."
    return None


def _seen_fault(roster: Roster, sha256: str, signer: str, seen: Seen | None) -> tuple[str, str] | None:
    if seen is None or seen.root != signer:
        return None
    if roster.version < seen.version:
        return "roster-older", (
            f"The roster is version {roster.version}, older than version {seen.version}, which was seen here. "
            "Ask the office for the newest."
        )
    if roster.version == seen.version and sha256 != seen.sha256:
        return "roster-differs", f"Two rosters of version {roster.version} were seen. Ask the office which one holds."
    return None
