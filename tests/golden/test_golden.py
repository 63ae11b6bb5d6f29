"""The signed logs of every release: verified and replayed for ever, by ferrule, by the second verifier and by hand."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from ferrule.engine.version import VERSION
from tests.golden.make_signed import ROSTER, SUPER, TECH
from tests.support.outside import need_program
from tests.support.plainrun import run

HERE = Path(__file__).parent
RELEASES = sorted(folder for folder in HERE.glob("signed-*") if folder.is_dir())
LOGS = [log for release in RELEASES for log in sorted(release.glob("*.jsonl"))]
SECOND = HERE.parent / "second" / "verify_by_note.py"
DEVELOPERS = (HERE.parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_this_release_has_its_logs() -> None:
    """The release that is being built has a log signed alone and one signed by two people."""
    names = {log.name for log in LOGS if log.parent.name == f"signed-{VERSION}"}

    assert names == {"alone.jsonl", "supervised.jsonl"}


@pytest.mark.parametrize("log", LOGS, ids=lambda log: f"{log.parent.name}/{log.stem}")
def test_golden_log_verifies_and_replays(log: Path, tmp_path: Path) -> None:
    """A signed log of a release is still signed, and every command in it is decided the same, with nothing at hand but
    the file, the roster and the root key. Shows: RI-10, RI-16, SG-01, SG-11, AR-01."""
    before = log.read_bytes()
    ran = run(
        "verify", str(log), "--roster", str(log.parent / "allowed_signers"), "--root", str(log.parent / "root.pub"),
        "--replay", "--json", "--home", str(tmp_path),
    )  # fmt: skip
    (told,) = json.loads(ran.out)

    assert (ran.code, told["replay"], told["outcome"]) == (0, "replays the same", "complete")
    assert all(s["result"] == "good" and s["name"] and s["signed_at"] and s["meaning"] for s in told["signatures"])
    assert len(told["signatures"]) == (2 if log.stem == "supervised" else 1)
    assert log.read_bytes() == before


def test_supervised_golden_log_has_a_release_by_telephone(tmp_path: Path) -> None:
    """The log signed by two holds a hold point released by telephone, and both statements name its entry."""
    log = HERE / f"signed-{VERSION}" / "supervised.jsonl"
    text = log.read_text(encoding="utf-8")
    ran = run(
        "verify", str(log), "--roster", str(log.parent / "allowed_signers"), "--root", str(log.parent / "root.pub"),
        "--home", str(tmp_path),
    )  # fmt: skip
    (entry,) = re.findall(r"Remark: Entry (\d+): hold point five was released by telephone, countersigned", ran.out)

    assert text.count(f"by-telephone: {entry}\\n") == 2


@pytest.mark.parametrize("log", LOGS, ids=lambda log: f"{log.parent.name}/{log.stem}")
def test_second_verifier_agrees_on_golden_logs(log: Path) -> None:
    """The verifier written from the note calls the log signed too. Shows: SG-17."""
    need_program("ssh-keygen")
    root = (log.parent / "root.pub").read_text().split(" ")[2].strip()
    done = subprocess.run(
        [sys.executable, "-I", str(SECOND), str(log), str(log.parent / "allowed_signers"), root], capture_output=True
    )

    assert done.returncode == 0


def test_roster_of_the_golden_logs_is_the_one_of_the_script() -> None:
    """The stored roster is what the script makes, so that the script can be read to see who signed."""
    assert (HERE / f"signed-{VERSION}" / "allowed_signers").read_bytes() == ROSTER


# --- by hand: the recipe of the documents ---


def recipe(log: Path) -> subprocess.CompletedProcess[str]:
    """Run the shell recipe of the documents on a log, each signature by its own signer."""
    bash = need_program("bash")
    for name in ("jq", "sha256sum", "ssh-keygen"):
        need_program(name)
    found = re.search(r"<!-- record recipe -->\n```sh\n(.*?)```", DEVELOPERS, re.S)
    assert found is not None
    roster = HERE / f"signed-{VERSION}" / "allowed_signers"
    given = {"LOG": str(log), "ROSTER": str(roster), "SIGNER": TECH.principal}
    return subprocess.run([bash, "-c", found[1]], env={**os.environ, **given}, capture_output=True, text=True)


def test_recipe_of_the_documents_says_signed() -> None:
    """The recipe, with nothing but sha256sum, jq and ssh-keygen, calls the golden log signed."""
    done = recipe(HERE / f"signed-{VERSION}" / "alone.jsonl")

    assert (done.returncode, done.stdout) == (0, "signed\n"), done.stderr
    assert SUPER.principal not in done.stdout


@pytest.mark.parametrize("at", [300, -900, -100])
def test_recipe_of_the_documents_stops_at_a_change(at: int, tmp_path: Path) -> None:
    """With one byte changed, in the first entry, in the statement or in the last sum, the recipe stops."""
    data = bytearray((HERE / f"signed-{VERSION}" / "alone.jsonl").read_bytes())
    data[at] ^= 1
    (tmp_path / "log").write_bytes(data)
    done = recipe(tmp_path / "log")

    assert done.returncode != 0
    assert "signed" not in done.stdout


def test_one_record_by_hand() -> None:
    """The two commands for one record give the same sum. Shows: AR-10."""
    bash = need_program("bash")
    log = HERE / f"signed-{VERSION}" / "alone.jsonl"
    found = re.search(r"`(sed -n 3p LOG \| tail [^`]*)` equals `(sed -n 3p LOG [^`]*)`", DEVELOPERS)
    assert found is not None
    one, other = (
        subprocess.run([bash, "-c", command.replace("LOG", str(log))], capture_output=True, text=True).stdout
        for command in found.groups()
    )

    assert len(other) == 64
    assert one.split()[0] == other
