"""The texts that a job rests on, found in files and compiled, with the compiled form cached by its hash.

The cache holds plain JSON and can be thrown away at any time: what does not decode is made again.
"""

from __future__ import annotations

import json
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import ferrule.procedures
from ferrule.engine.canon import sha256_hex
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.codec import job_from_json, job_to_json
from ferrule.engine.procedure.compiled import Job, Texts
from ferrule.engine.shell.folders import Folders
from ferrule.engine.version import RULES, VERSION

TEXT_MAX = 256 * 1024
ROLES = {"steps": "procedure", "plans": "plan", "limits": "limits"}
"""Folder of a set to the role that its files have in the log."""


class MissingTextError(FerruleError):
    """A file that was asked for is not there or cannot be read."""


@dataclass(frozen=True, slots=True)
class JobTexts:
    """A job as compiled, and the texts that it was compiled from."""

    job: Job
    texts: tuple[Texts, ...]


def packaged_set() -> Path:
    """Return the folder of the packaged procedures, plans, limits and example cards."""
    return Path(next(iter(ferrule.procedures.__path__)))


def copy_packaged_set(folder: Path) -> int:
    """Copy the texts of the packaged set into a new folder and return how many; MissingTextError where it cannot be."""
    base = packaged_set()
    paths = [base / "glossary.yaml", *(p for name in ("cards", *ROLES) for p in sorted((base / name).glob("*.yaml")))]
    try:
        folder.mkdir(parents=True)
        for path in paths:
            target = folder / path.relative_to(base)
            target.parent.mkdir(exist_ok=True)
            target.write_bytes(path.read_bytes())
    except OSError as error:
        raise MissingTextError(
            f"{folder} cannot be made: {error.strerror}. Name a folder that is not there."
        ) from error
    return len(paths)


def example_cards(folder: Path | None = None) -> tuple[str, ...]:
    """Return the ids of the packaged example cards."""
    return tuple(sorted(p.stem for p in ((folder or packaged_set()) / "cards").glob("*.yaml")))


def find_job(name: str, folders: Folders, *, set_folder: Path | None = None) -> JobTexts:
    """Return the job of a card, given as a file or as the id of a packaged example card.

    Raises MissingTextError when there is no such card, and BadFile with every finding when it cannot be used.
    """
    base = set_folder or packaged_set()
    path = Path(name)
    if not path.suffix and not path.exists():
        path = base / "cards" / f"{name}.yaml"
        if not path.exists():
            known = ", ".join(example_cards(base))
            raise MissingTextError(f"There is no card file “{name}” and no example card of that name. Known: {known}.")
    card = Texts("card", path.stem, "", read_text(path))
    return _compiled((_hashed(card), *set_texts(base)), folders)


def set_texts(base: Path) -> tuple[Texts, ...]:
    """Return every plan, procedure and limits text of a set, in a fixed order."""
    found = []
    for folder, role in ROLES.items():
        for path in sorted((base / folder).glob("*.yaml")):
            found.append(_hashed(Texts(role, path.stem, "", read_text(path))))
    return tuple(found)


def embedded_job(stored: Iterable[dict[str, str]], folders: Folders) -> JobTexts:
    """Return the job that a log embeds, compiled from the log's own texts."""
    return _compiled(tuple(Texts(t["role"], t["id"], t["sha256"], t["text"]) for t in stored), folders)


def _hashed(text: Texts) -> Texts:
    return Texts(text.role, text.id, sha256_hex(text.text.encode()), text.text)


def read_text(path: Path) -> str:
    """Return the text of a file; MissingTextError with a sentence when it cannot be read.

    Only an ordinary file is opened, and no more of it is read than a text may hold: a pipe would wait for ever.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise MissingTextError(f"{path} is not an ordinary file. Look at what was put there.")
        with path.open("rb") as source:
            data = source.read(TEXT_MAX + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise MissingTextError(f"{path} cannot be read: {reason}. Check the name and its rights.") from error
    if len(data) > TEXT_MAX:
        raise MissingTextError(f"{path} has more than {TEXT_MAX} bytes; no file of a set is that long.")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise MissingTextError(f"{path} is not UTF-8 text (byte {error.start + 1}). Save it as UTF-8.") from error


def _compiled(texts: tuple[Texts, ...], folders: Folders) -> JobTexts:
    listed = [VERSION, RULES, *(f"{t.role} {t.id} {t.sha256}" for t in texts)]
    key = sha256_hex("\n".join(listed).encode())
    path = folders.cache / f"{key}.json"
    by_name = {f"{t.role}/{t.id}": t for t in texts}
    cached = _from_cache(path)
    if cached is not None:
        with suppress(KeyError, TypeError, ValueError, AttributeError):
            used = tuple(by_name[name] for name in cached["texts"])
            return JobTexts(job_from_json(cached["job"]), used)
    from ferrule.engine.procedure.load import compile_job
    from ferrule.engine.procedure.needed import needed_texts

    files = [(t.role, t.id, t.text) for t in texts]
    names = needed_texts(files)
    used = tuple(t for t in texts if (t.role, t.id) in names)
    job = compile_job([(t.role, t.id, t.text) for t in used])
    _to_cache(path, {"texts": [f"{t.role}/{t.id}" for t in used], "job": job_to_json(job)})
    return JobTexts(job, used)


def _from_cache(path: Path) -> dict[str, Any] | None:
    """Return what the cache holds, if it is byte for byte what was written: a hash and, on the next line, JSON."""
    try:
        told, _, data = path.read_bytes().partition(b"\n")
        found = json.loads(data) if sha256_hex(data).encode() == told else None
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None


def _to_cache(path: Path, value: object) -> None:
    """Write the cache; a cache that cannot be written costs time and nothing else."""
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(".part")
        data = json.dumps(value, ensure_ascii=False).encode("utf-8")
        part.write_bytes(sha256_hex(data).encode() + b"\n" + data)
        part.replace(path)
