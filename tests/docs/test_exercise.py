"""The exercise of the README is done as it is written, and what it shows is what the program says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.support.plainrun import run

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
CARD = "my-set/cards/saltmarsh-kr1-way-4.yaml"


def block(name: str) -> str:
    """The block of the README behind the remark that names it."""
    found = re.search(rf"<!-- exercise: {re.escape(name)} -->\n```[a-z]+\n((?s:.+?))^```$", README, re.M)
    assert found is not None, name
    return found.group(1)


def check() -> tuple[int, str]:
    """What the check of the changed set says of the reference card."""
    ran = run("check", "--set", "my-set", CARD)
    return ran.code, ran.out


def test_the_exercise(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A step is added and the job proved; a pair is taken out and the walk shown; it is put back and proved again."""
    monkeypatch.chdir(tmp_path)
    assert run("procedures", "copy", "my-set").code == 0

    sources = Path("my-set/steps/list-sources.yaml")
    sources.write_text(sources.read_text(encoding="utf-8") + block("add to steps/list-sources.yaml"), encoding="utf-8")
    assert check() == (0, "")

    prove = Path("my-set/steps/prove-dead.yaml")
    whole = prove.read_text(encoding="utf-8")
    lines = block("take out of steps/prove-dead.yaml")
    assert whole.count(lines) == 1
    prove.write_text(whole.replace(lines, ""), encoding="utf-8")
    assert check() == (1, block("what check says"))

    prove.write_text(whole, encoding="utf-8")
    assert check() == (0, "")


def test_a_broken_set_is_offered_for_practice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Walked for work, the broken set is refused with the way to practise by it."""
    monkeypatch.chdir(tmp_path)
    assert run("procedures", "copy", "my-set").code == 0
    prove = Path("my-set/steps/prove-dead.yaml")
    lines = block("take out of steps/prove-dead.yaml")
    prove.write_text(prove.read_text(encoding="utf-8").replace(lines, ""), encoding="utf-8")

    ran = run("walk", "saltmarsh-kr1-way-4", "--set", "my-set", "--plain", "--home", str(tmp_path / "home"))
    assert ran.code == 1
    assert "not opened for work" in ran.err
    assert "--practice" in ran.err
    assert not list((tmp_path / "home").rglob("*.jsonl"))
