"""The roster: one form, nothing unknown passed over, and a root key that must be known."""

from __future__ import annotations

import random
import subprocess
from pathlib import Path

import pytest

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.roster import (
    Roster,
    RosterError,
    parse_roster,
    render_roster,
    roster_sha256,
    with_member,
    with_removal,
)
from ferrule.engine.journal.sshsig import ROLE_NAMESPACES, fingerprint, make
from ferrule.engine.journal.trust import Seen, judge_roster
from tests.support.outside import need_program
from tests.support.signing import (
    BEFORE,
    CHECK,
    OTHER_ROOT,
    ROOT,
    ROSTER,
    STRANGER,
    SUPER,
    TECH,
    roster_armour,
    roster_of,
    trust_in,
)

TEXT = ROSTER.decode()
ROOT_PRINT = fingerprint(ROOT.public)


def test_roster_is_read_as_it_is_written() -> None:
    """Version, dates, people, roles and removals come back from the text."""
    removed = with_removal(parse_roster(ROSTER), TECH.public, retired="2026-06-01T00:00:00Z")
    removed = with_removal(removed, SUPER.public, compromised="2026-05-01T12:30:00Z")
    text = render_roster(removed)

    assert parse_roster(text.encode()) == removed
    assert removed.version == 5
    assert removed.members[0].before == "2026-06-01T00:00:00Z"
    assert f"# retired {fingerprint(TECH.public)} on 2026-06-01T00:00:00Z\n" in text
    assert f"# compromised {fingerprint(SUPER.public)} since 2026-05-01T12:30:00Z\n" in text
    assert 'valid-before="20260501123000Z"' in text


HEAD = "# version 3\n# expires 2027-01-01T00:00:00Z\n"
WRONG = {
    "no version": TEXT.replace("# version 3\n", ""),
    "version nought": TEXT.replace("# version 3", "# version 0"),
    "head turned round": TEXT.replace(HEAD, "".join(reversed(HEAD.splitlines(keepends=True)))),
    "expires without Z": TEXT.replace("# expires 2027-01-01T00:00:00Z", "# expires 2027-01-01"),
    "local time": TEXT.replace('valid-after="20260101000000Z"', 'valid-after="20260101000000"', 1),
    "no such day": TEXT.replace('valid-before="20270101000000Z"', 'valid-before="20270230000000Z"', 1),
    "no span": TEXT.replace('valid-after="20260101000000Z"', 'valid-after="20280101000000Z"', 1),
    "any purpose": TEXT.replace('namespaces="ferrule-technician@v1",', "", 1),
    "unknown purpose": TEXT.replace("ferrule-technician@v1", "git", 1),
    "a pattern": TEXT.replace(TECH.principal, "*"),
    "two signers in one": TEXT.replace(TECH.principal, "a@b,c@d"),
    "an authority": TEXT.replace(f"{TECH.principal} ", f"{TECH.principal} cert-authority,"),
    "a misspelt removal": TEXT.replace(HEAD, f"{HEAD}# retierd {fingerprint(TECH.public)} on 2026-06-01T00:00:00Z\n"),
    "a free remark": TEXT.replace(HEAD, f"{HEAD}# the office\n"),
    "removal of nobody": TEXT.replace(
        HEAD, f"{HEAD}# retired {fingerprint(STRANGER.public)} on 2026-06-01T00:00:00Z\n"
    ),
    "removal behind its key": f"{TEXT}# retired {fingerprint(TECH.public)} on 2026-06-01T00:00:00Z\n",
    "one key twice": TEXT + TEXT.splitlines()[2] + "\n",
    "one signer, two names": TEXT.replace(SUPER.principal, TECH.principal),
    "no printed name": TEXT.replace(" Ash Glaze", ""),
    "hidden letters": TEXT.replace("Ash Glaze", "Ash\u202eGlaze"),
    "another kind of key": TEXT.replace("ssh-ed25519", "ssh-rsa", 1),
    "a broken key": TEXT.replace("AAAAC3NzaC1lZDI1NTE5AAAAI", "AAAAC3NzaC1lZDI1NTE5AAAAJ", 1),
    "a blank line": TEXT.replace(HEAD, f"{HEAD}\n"),
    "carriage returns": TEXT.replace("\n", "\r\n"),
    "no last line end": TEXT[:-1],
    "two blanks": TEXT.replace(" ssh-ed25519", "  ssh-ed25519", 1),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_roster_in_another_form_is_refused(case: str) -> None:
    """Whatever two readers could take differently, or pass over, is refused with a sentence."""
    assert WRONG[case] != TEXT

    with pytest.raises(RosterError) as caught:
        parse_roster(WRONG[case].encode())
    assert len(str(caught.value)) > 20


def test_any_bytes_give_a_roster_or_the_one_error() -> None:
    """Two thousand damaged rosters: each is refused with ferrule's own error, or is one in its one form."""
    chance = random.Random(5)
    read = 0
    for _ in range(2_000):
        data = bytearray(ROSTER)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(data))
            data[at : at + chance.randint(0, 2)] = chance.randbytes(chance.randint(0, 2))
        try:
            found = parse_roster(bytes(data))
        except FerruleError:
            continue
        assert render_roster(found).encode() == bytes(data)
        read += 1

    assert read < 400


def test_changes_raise_the_version_and_keep_every_line() -> None:
    """A key that is added or removed makes a new version; no line is ever taken out. Shows: SG-11."""
    first = Roster(1, BEFORE, ())
    second = with_member(first, TECH.member())
    third = with_removal(second, TECH.public, retired="2026-06-01T00:00:00Z")

    assert [r.version for r in (first, second, third)] == [1, 2, 3]
    assert third.members[0].public == TECH.public
    with pytest.raises(RosterError, match="already"):
        with_member(second, TECH.member())
    with pytest.raises(RosterError, match="not in the roster"):
        with_removal(second, SUPER.public, retired="2026-06-01T00:00:00Z")
    with pytest.raises(RosterError, match="after"):
        with_removal(second, TECH.public, compromised="2025-01-01T00:00:00Z")


# --- how far it can be relied on ---


def test_signed_roster_of_a_known_root_is_trusted() -> None:
    """With the office's signature and the root key's fingerprint the roster decides."""
    found = trust_in()

    assert found.roster == parse_roster(ROSTER)
    assert (found.root, found.sha256, found.code) == (ROOT_PRINT, roster_sha256(ROSTER), "")


@pytest.mark.parametrize(
    ("code", "armour", "root", "seen"),
    [
        ("roster-unsigned", None, ROOT_PRINT, None),
        ("root-unknown", roster_armour(ROSTER), "", None),
        ("root-differs", roster_armour(ROSTER, OTHER_ROOT), ROOT_PRINT, None),
        ("roster-signature", roster_armour(ROSTER + b"#"), ROOT_PRINT, None),
        ("roster-signature", "no armour", ROOT_PRINT, None),
        (
            "roster-signature",
            make(ROLE_NAMESPACES["supervisor"], ROSTER, ROOT.public, ROOT.private.sign),
            ROOT_PRINT,
            None,
        ),
        ("roster-older", roster_armour(ROSTER), ROOT_PRINT, Seen(ROOT_PRINT, 4, "0" * 64)),
        ("roster-differs", roster_armour(ROSTER), ROOT_PRINT, Seen(ROOT_PRINT, 3, "0" * 64)),
    ],
)
def test_roster_that_does_not_decide_says_why(code: str, armour: str | None, root: str, seen: Seen | None) -> None:
    """Unsigned, by an unknown or another key, altered, older than one seen: each has its own reason. Shows: SG-09."""
    found = judge_roster(ROSTER, armour, root, seen, CHECK)

    assert (found.roster, found.code) == (None, code)
    assert found.why


def test_without_the_package_a_roster_cannot_be_judged() -> None:
    """Where signatures cannot be checked, the roster does not decide, and the sentence says what to install."""
    found = judge_roster(ROSTER, roster_armour(ROSTER), ROOT_PRINT, None, None)

    assert (found.roster, found.code) == (None, "no-package")
    assert 'pip install "ferrule[sign]"' in found.why


# --- OpenSSH ---


@pytest.mark.parametrize(
    ("at", "good"),
    [
        ("20260101000000Z", True),
        ("20251231235959Z", False),
        ("20270101000000Z", True),
        ("20270101000001Z", False),
        ("20260314114207Z", True),
    ],
)
def test_openssh_reads_our_roster_and_agrees_on_dates(tmp_path: Path, at: str, good: bool) -> None:
    """ssh-keygen takes the roster as it is, and has a key valid from and until the same seconds."""
    keygen = need_program("ssh-keygen")
    statement = "text\n"
    (tmp_path / "roster").write_bytes(roster_of(TECH.member(), SUPER.member()))
    (tmp_path / "sig").write_text(
        make(ROLE_NAMESPACES["technician"], statement.encode(), TECH.public, TECH.private.sign)
    )
    done = subprocess.run(
        [
            keygen,
            "-Y",
            "verify",
            "-f",
            str(tmp_path / "roster"),
            "-I",
            TECH.principal,
            "-n",
            ROLE_NAMESPACES["technician"],
            "-s",
            str(tmp_path / "sig"),
            f"-Overify-time={at}",
        ],
        input=statement.encode(),
        capture_output=True,
    )

    assert (done.returncode == 0) is good
