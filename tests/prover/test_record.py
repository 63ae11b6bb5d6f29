"""A proof counts for the very bytes and the very rules that it was made for, and for nothing else."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.canon import sha256_hex
from ferrule.engine.prover import fingerprint
from ferrule.engine.prover.fingerprint import tables_sum
from ferrule.engine.prover.judged import judge_set
from ferrule.engine.prover.prove import Remembered
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.proofs import PACKAGED, is_on_record, proof_key, proof_line, standing
from ferrule.engine.shell.sets import example_cards, find_job, packaged_set
from ferrule.engine.version import RULES, TABLES

DAY = "2026-11-25"


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    """Folders of a person who has nothing yet."""
    return Folders(tmp_path / "records", tmp_path / "practice", tmp_path / "cache")


def test_the_constant_stands_for_the_tables() -> None:
    """`version.TABLES` is the sum over the tables; a change of a table makes every older proof one of other rules."""
    assert tables_sum() == TABLES, f'set TABLES = "{tables_sum()}" in engine/version.py'


@pytest.mark.parametrize(
    "table",
    ["FAMILIES", "ACTS", "RULES", "DISTURBANCES", "ENDINGS", "HOLD_POINTS", "PAIRS", "PROVED"],
)
def test_each_table_counts(monkeypatch: pytest.MonkeyPatch, table: str) -> None:
    """Without one row of any table that the prover reads, the sum is another one."""
    rows = getattr(fingerprint, table)
    fewer = dict(list(rows.items())[1:]) if isinstance(rows, dict) else tuple(rows)[1:]
    monkeypatch.setattr(fingerprint, table, fewer)

    assert fingerprint.tables_sum() != TABLES


def test_packaged_cards_are_proved(folders: Folders) -> None:
    """Every packaged card's proof stands in the packaged record, for the bytes that are packaged.

    With FERRULE_GOLDEN=write the record is made anew, from proofs that are made now.
    """
    if os.environ.get("FERRULE_GOLDEN") == "write":
        _write(folders)
    record = json.loads((packaged_set() / PACKAGED).read_text(encoding="utf-8"))
    keys = {proof_key(find_job(card, folders).texts) for card in example_cards()}
    assert set(record) == keys
    assert all(line["tables"] == TABLES and line["rules"] == RULES for line in record.values())


def _write(folders: Folders) -> None:
    record = {}
    shown = Remembered()
    for card in example_cards():
        found = find_job(card, folders)
        judged = judge_set([(t.role, t.id, t.text) for t in found.texts], DAY, shown)
        assert judged.proved, [finding.message for finding in judged.findings]
        record[proof_key(found.texts)] = proof_line(sum(p.states for p in judged.proofs.values()), DAY)
    text = json.dumps(dict(sorted(record.items())), indent=1) + "\n"
    (packaged_set() / PACKAGED).write_text(text, encoding="utf-8")


def test_one_byte_more_is_another_set(folders: Folders) -> None:
    """A proof on record does not count for a card that differs in one byte."""
    found = find_job("saltmarsh-kr1-way-4", folders)
    assert is_on_record(proof_key(found.texts), folders)
    changed = tuple(
        replace(t, text=f"{t.text}\n", sha256=sha256_hex(f"{t.text}\n".encode())) if t.role == "card" else t
        for t in found.texts
    )
    assert not is_on_record(proof_key(changed), folders)


def test_a_set_that_is_not_on_record_is_proved_and_kept(folders: Folders) -> None:
    """A sound card of one's own is proved when it is first opened, and the proof is found the next time."""
    found = find_job("saltmarsh-kr1-way-4", folders)
    own = tuple(
        replace(t, text=f"# mine\n{t.text}", sha256=sha256_hex(f"# mine\n{t.text}".encode())) if t.role == "card" else t
        for t in found.texts
    )
    first = standing(own, folders, DAY)
    assert (first.proved, first.made_now) == (True, True)
    again = standing(own, folders, DAY)
    assert (again.proved, again.made_now) == (True, False)


def test_an_unsafe_set_is_not_kept(folders: Folders) -> None:
    """A set with one pair left out of its round is refused with the walk that shows it, and nothing is kept."""
    found = find_job("saltmarsh-kr1-way-4", folders)
    block = (
        "          - read: Neutral to earth\n            id: ne\n            keep: dead/N-E\n"
        "            with: indicator\n            judge: dead-pair\n            fails as: voltage found\n"
    )
    texts = tuple(replace(t, text=t.text.replace(block, "")) if t.id == "prove-dead" else t for t in found.texts)
    assert texts != found.texts
    texts = tuple(replace(t, sha256=sha256_hex(t.text.encode())) for t in texts)
    stands = standing(texts, folders, DAY)
    assert not stands.proved
    assert {f.code for f in stands.findings} >= {"unsafe-walk"}
    assert not is_on_record(proof_key(texts), folders)
