"""The record of proofs: which sets were shown safe, by the bytes of their texts and the version of the rules.

For: opening a job for work only where its set was proved.
Must never: take a proof of other bytes or of other rules for one of these.

A proof stands in the packaged record or among the person's own files; both hold the same lines.
The record is a memory, no signature: whoever can write there can write anything there.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ferrule.engine.canon import sha256_hex
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Texts
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.sets import packaged_set
from ferrule.engine.version import RULES, TABLES

if TYPE_CHECKING:
    from ferrule.engine.findings import Finding
    from ferrule.engine.prover.judged import Judged

PACKAGED = "proofs.json"


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether a set is proved, and what stands against it where it is not."""

    proved: bool
    findings: tuple[Finding, ...] = ()
    states: int = 0
    made_now: bool = False
    """Whether the proof was made just now and not found on record."""


def proof_key(texts: Iterable[Texts]) -> str:
    """Return the sum under which a proof of these texts stands."""
    listed = sorted(f"{t.role} {t.id} {t.sha256}" for t in texts)
    return sha256_hex("\n".join([RULES, TABLES, *listed]).encode())


def is_on_record(key: str, folders: Folders) -> bool:
    """True when a proof stands in the packaged record or in the person's own."""
    if (_own(folders) / f"{key}.json").exists():
        return True
    return key in _packaged()


def _packaged() -> dict[str, Any]:
    with suppress(OSError, ValueError):
        found = json.loads((packaged_set() / PACKAGED).read_text(encoding="utf-8"))
        if isinstance(found, dict):
            return found
    return {}


def _own(folders: Folders) -> Path:
    return folders.records.parent / "proofs"


def standing(texts: tuple[Texts, ...], folders: Folders, today: str) -> Standing:
    """Return whether these texts are proved; where no proof is on record, one is made and kept."""
    key = proof_key(texts)
    if is_on_record(key, folders):
        return Standing(True)
    from ferrule.engine.prover.judged import judge_set

    judged = judge_set([(t.role, t.id, t.text) for t in texts], today)
    states = sum(proof.states for proof in judged.proofs.values())
    if judged.proved:
        keep(key, folders, states, today)
    return Standing(judged.proved, judged.findings, states, made_now=True)


def keep_proofs(files: list[tuple[str, str, str]], judged: Judged, folders: Folders, today: str) -> None:
    """Keep the proof of a job that was judged as it is walked: its card with the texts that it needs."""
    from ferrule.engine.procedure.needed import needed_texts

    names = needed_texts(files)
    texts = [Texts(role, name, sha256_hex(text.encode()), text) for role, name, text in files if (role, name) in names]
    keep(proof_key(texts), folders, sum(proof.states for proof in judged.proofs.values()), today)


def keep(key: str, folders: Folders, states: int, today: str) -> None:
    """Keep a proof among the person's own; where it cannot be written it is made again the next time."""
    with suppress(OSError):
        folder = _own(folders)
        folder.mkdir(parents=True, exist_ok=True)
        part = folder / f"{key}.part"
        part.write_text(json.dumps(proof_line(states, today)), encoding="utf-8")
        part.replace(folder / f"{key}.json")


def proof_line(states: int, today: str) -> dict[str, Any]:
    """Return what a record says of one proof."""
    return {"rules": RULES, "tables": TABLES, "states": states, "on": today}
