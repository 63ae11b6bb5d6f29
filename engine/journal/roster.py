"""The roster: who holds which key in which role from when to when, as OpenSSH's allowed-signers lines.

Rules of this module
1. Text in, roster out, or one error that names the line; nothing unknown is passed over, for a misspelt
   removal that is taken for a remark would leave a stolen key in force.
2. Times are in UTC and say so; without the Z the verifying machine's own zone would decide.
3. A line is never taken out: old records need old keys. Removal is said in words of its own.
4. It reads no clock: the moment to judge by is given.
"""

import re
from collections.abc import Iterable
from dataclasses import replace

from ferrule.engine.canon import sha256_hex
from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, SshsigError, fingerprint, parse_public, public_text
from ferrule.engine.journal.statement import is_principal, is_utc
from ferrule.engine.light import dataclass

ROSTER_MAX = 256 * 1024
"""Bytes of a roster (the bound of every text from outside)."""

_LINE = re.compile(
    r"(?P<principal>[^ ]+) "
    r'namespaces="(?P<namespaces>[^"]*)",valid-after="(?P<after>[0-9]{14}Z)",valid-before="(?P<before>[0-9]{14}Z)" '
    r"(?P<key>[^ ]+ [^ ]+) (?P<name>.+)"
)
_PRINT = r"(?P<print>SHA256:[A-Za-z0-9+/]{43})"
_REMOVED = re.compile(rf"# (?P<how>retired|compromised) {_PRINT} (?P<word>on|since) (?P<day>\S+)")
_HEAD = re.compile(r"# version (?P<version>[1-9][0-9]{0,8})\n# expires (?P<expires>\S+)\n")
_HOW = {"retired": "on", "compromised": "since"}


class RosterError(FerruleError):
    """A roster is not in the one form."""


@dataclass(frozen=True, slots=True)
class Member:
    """One key of one person."""

    principal: str
    name: str
    """The printed name; it stands where OpenSSH has the key's comment."""
    public: bytes
    roles: tuple[str, ...]
    after: str
    before: str
    retired: str = ""
    """From this moment on the key signs nothing new; what it signed earlier stands."""
    compromised: str = ""
    """From this moment on others may have held the key."""


@dataclass(frozen=True, slots=True)
class Roster:
    """A whole roster."""

    version: int
    expires: str
    members: tuple[Member, ...]

    def by_key(self, public: bytes) -> Member | None:
        """The member who holds this key, or None."""
        return next((m for m in self.members if m.public == public), None)


def roster_sha256(data: bytes) -> str:
    """The hash by which statements and logs name a roster."""
    return sha256_hex(data)


def render_roster(roster: Roster) -> str:
    """The text of a roster."""
    lines = [f"# version {roster.version}", f"# expires {roster.expires}"]
    for member in roster.members:
        for how, day in (("retired", member.retired), ("compromised", member.compromised)):
            if day:
                lines.append(f"# {how} {fingerprint(member.public)} {_HOW[how]} {day}")
        spaces = ",".join(ROLE_NAMESPACES[role] for role in member.roles)
        span = f'valid-after="{_ssh_time(member.after)}",valid-before="{_ssh_time(member.before)}"'
        lines.append(f'{member.principal} namespaces="{spaces}",{span} {public_text(member.public)} {member.name}')
    return "".join(f"{line}\n" for line in lines)


def parse_roster(data: bytes) -> Roster:
    """The roster in a file; RosterError when any line is not what `render_roster` would write."""
    if len(data) > ROSTER_MAX:
        raise RosterError(f"The roster has {len(data)} bytes; at most {ROSTER_MAX} are read.")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise RosterError(f"The roster is not UTF-8 text (byte {error.start + 1}).") from error
    head = _HEAD.match(text)
    if head is None or not is_utc(head["expires"]):
        raise RosterError(
            "The roster should begin with “# version N” and “# expires 2027-03-31T00:00:00Z”, one a line."
        )
    members: list[Member] = []
    removed: dict[tuple[str, str], str] = {}
    for number, line in enumerate(text[head.end() :].split("\n")[:-1], start=3):
        if line.startswith("#"):
            how, print_of, day = _removal(line, number)
            removed[print_of, how] = day
        else:
            members.append(_with_removals(_member(line, number), removed))
    found = Roster(int(head["version"]), head["expires"], tuple(members))
    _check_whole(found, removed)
    if render_roster(found) != text:
        raise RosterError(
            "The roster is not written in the one form: look at blanks, line ends and the order of lines."
        )
    return found


def check_member(member: Member, others: Iterable[Member]) -> None:
    """Raise RosterError unless this member can stand beside the others."""
    if not is_principal(member.principal):
        raise RosterError(f"{member.principal[:60]!a} is no name for a signer: use letters, digits and . _ @ + - only.")
    if not member.name.isprintable() or member.name != member.name.strip() or not member.name:
        raise RosterError(f"The printed name of {member.principal} is empty or holds a hidden character.")
    if not member.roles or len(set(member.roles)) != len(member.roles):
        raise RosterError(f"{member.principal} needs one or more roles, each named once: {', '.join(ROLE_NAMESPACES)}.")
    if not (is_utc(member.after) and is_utc(member.before) and member.after < member.before):
        raise RosterError(f"The key of {member.principal} should be valid from one moment to a later one, in UTC.")
    for other in others:
        if other.public == member.public:
            raise RosterError(f"The key {fingerprint(member.public)} is in the roster already; one key has one holder.")
        if other.principal == member.principal and other.name != member.name:
            raise RosterError(f"{member.principal} has the printed name {other.name} already; one signer has one name.")


def with_member(roster: Roster, member: Member) -> Roster:
    """The next version, with one more key."""
    check_member(member, roster.members)
    return replace(roster, version=roster.version + 1, members=(*roster.members, member))


def with_removal(roster: Roster, public: bytes, *, retired: str = "", compromised: str = "") -> Roster:
    """The next version, in which this key is retired or compromised from a moment on; OpenSSH's date follows."""
    member = roster.by_key(public)
    if member is None:
        raise RosterError(f"The key {fingerprint(public)} is not in the roster.")
    day = retired or compromised
    if not is_utc(day) or day <= member.after:
        raise RosterError(f"Name a moment in UTC after {member.after}, from when the key was valid.")
    changed = replace(
        member,
        before=min(member.before, day),
        retired=retired or member.retired,
        compromised=compromised or member.compromised,
    )
    members = tuple(changed if m is member else m for m in roster.members)
    return replace(roster, version=roster.version + 1, members=members)


def _member(line: str, number: int) -> Member:
    found = _LINE.fullmatch(line)
    if found is None:
        raise RosterError(
            f"Line {number} of the roster should be: signer, namespaces, valid-after and valid-before with a Z, "
            "key, printed name."
        )
    roles = {space: role for role, space in ROLE_NAMESPACES.items()}
    spaces = found["namespaces"].split(",")
    unknown = [space for space in spaces if space not in roles]
    if unknown:
        raise RosterError(f"Line {number} of the roster names the namespace {unknown[0][:60]!a}, which is not known.")
    try:
        public = parse_public(found["key"])
    except SshsigError as error:
        raise RosterError(f"Line {number} of the roster: {error}") from error
    after, before = _plain_time(found["after"]), _plain_time(found["before"])
    return Member(found["principal"], found["name"], public, tuple(roles[s] for s in spaces), after, before)


def _removal(line: str, number: int) -> tuple[str, str, str]:
    found = _REMOVED.fullmatch(line)
    if found is None or _HOW[found["how"]] != found["word"] or not is_utc(found["day"]):
        raise RosterError(
            f"Line {number} of the roster begins with # and should be “# retired SHA256:… on TIME” or "
            "“# compromised SHA256:… since TIME”, just above its key."
        )
    return found["how"], found["print"], found["day"]


def _with_removals(member: Member, removed: dict[tuple[str, str], str]) -> Member:
    key = fingerprint(member.public)
    return replace(member, retired=removed.get((key, "retired"), ""), compromised=removed.get((key, "compromised"), ""))


def _check_whole(roster: Roster, removed: dict[tuple[str, str], str]) -> None:
    for number, member in enumerate(roster.members):
        check_member(member, roster.members[:number])
    known = {fingerprint(member.public) for member in roster.members}
    lost = [key for key, _ in removed if key not in known]
    if lost:
        raise RosterError(f"The roster removes the key {lost[0]}, which it does not hold.")


def _ssh_time(utc: str) -> str:
    return utc.replace("-", "").replace(":", "").replace("T", "")


def _plain_time(ssh: str) -> str:
    return f"{ssh[:4]}-{ssh[4:6]}-{ssh[6:8]}T{ssh[8:10]}:{ssh[10:12]}:{ssh[12:14]}Z"
