"""Make the signed logs of this release, from whole walks typed into the real command line.

Called as: python -m tests.golden.make_signed.  The logs of a release that is out are never made again.
The keys are the invented ones of tests/support/signing.py.
"""

from __future__ import annotations

import hashlib
import itertools
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from ferrule.engine.journal.sshsig import fingerprint, public_text
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.signing import check_log, check_signer, opened_to_sign, seal, utc_now
from ferrule.engine.version import VERSION
from tests.support.fakeclock import FakeClock
from tests.support.jobs import REFERENCE, card_path, job_of
from tests.support.plainrun import only_log, run
from tests.support.script import Choices, TypedInput, circuit_instrument, healthy_script
from tests.support.signing import CHECK, ROOT, SUPER, TECH, Person, claims_of, named, roster_armour, roster_of, trust_in

HERE = Path(__file__).parent
DAY = "2026-11-25T09:30:00.000+00:00"
ROSTER = roster_of(TECH.member(), SUPER.member())
TELEPHONE = "telephone hold point five read back word for word, at the kiln-room telephone"


def main() -> None:
    """Write both logs, the roster, and the root key's public half."""
    folder = HERE / f"signed-{VERSION}"
    folder.mkdir(exist_ok=True)
    (folder / "allowed_signers").write_bytes(ROSTER)
    (folder / "allowed_signers.sig").write_text(roster_armour(ROSTER), encoding="ascii")
    (folder / "root.pub").write_text(f"{public_text(ROOT.public)} {fingerprint(ROOT.public)}\n", encoding="ascii")
    with tempfile.TemporaryDirectory() as home:
        (folder / "alone.jsonl").write_bytes(made(Path(home, "alone"), REFERENCE, (TECH,)).read_bytes())
        (folder / "supervised.jsonl").write_bytes(made(Path(home, "second"), "supervised", (TECH, SUPER)).read_bytes())


def made(home: Path, name: str, people: tuple[Person, ...]) -> Path:
    """The log of a whole walk of this card for work, signed by these people."""
    job = job_of(name)
    released = ["sign five as technician by tech", f"sign five as supervisor by super {TELEPHONE}"]
    instead = {"hold-five/sign": released} if job.card.sign_off == "supervised" else {}
    script = healthy_script(job, Choices(circuit_instrument(job), instead=instead))
    clock = FakeClock(DAY)
    with patch("ferrule.engine.shell.session.os.urandom", chosen(name)):
        ran = run(
            "walk", str(card_path(name)), "--plain", "--home", str(home), "--person", "tech",
            typed=TypedInput(script, clock), clock=clock,
        )  # fmt: skip
    if ran.code:
        raise SystemExit(ran.err)
    log = only_log(home, "records")
    for person in people:
        clock.advance(3_600_000)
        sign(log, person, clock, home)
    return log


def sign(log: Path, person: Person, clock: FakeClock, home: Path) -> None:
    """Sign a log as `ferrule sign` does, with a key that is not on disk."""
    job = check_log(log, find_folders(home), SYSTEM_CALLS)
    claims = claims_of(person, signed_at=utc_now(clock), roster=named(ROSTER))
    trust = trust_in(ROSTER)
    with opened_to_sign(log, claims, clock, SYSTEM_CALLS) as to_sign:
        check_signer(claims, person.public, to_sign.writer.entries, job, trust, CHECK)
        seal(to_sign, person.public, person.private.sign, trust, CHECK)


def chosen(name: str) -> Iterator[bytes]:
    """Bytes in place of chance, worked out from the card's name, so that the same walk gives the same log."""
    counter = itertools.count()
    return lambda size: hashlib.sha256(f"{name} {next(counter)}".encode()).digest()[:size]  # type: ignore[return-value]


if __name__ == "__main__":
    main()
