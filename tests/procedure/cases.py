"""The small sound set, and the bad files that each spoil it in one way."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CASES = Path(__file__).resolve().parents[1] / "cases"
Texts = list[tuple[str, str, str]]


def name_of(text: str) -> tuple[str, str]:
    """Role and id of a file, as its first key says."""
    first = next(line for line in text.splitlines() if line and not line.startswith("#"))
    role, _, name = first.partition(": ")
    return role, name


@cache
def _good_texts() -> tuple[tuple[str, str, str], ...]:
    texts = [path.read_text("utf-8") for path in sorted((CASES / "good").glob("*.yaml"))]
    return tuple((*name_of(text), text) for text in texts)


def good_set() -> Texts:
    """The texts of the small sound set."""
    return list(_good_texts())


def with_text(text: str) -> Texts:
    """The small set with one of its texts replaced by a text of the same role and id."""
    name = name_of(text)
    texts = [(role, key, text if (role, key) == name else own) for role, key, own in good_set()]
    assert any(own == text for _, _, own in texts), name
    return texts


def good(role: str, name: str) -> str:
    """One text of the small set."""
    return next(text for own_role, own_name, text in good_set() if (own_role, own_name) == (role, name))


@dataclass(frozen=True)
class Bad:
    """A bad file: what is expected where, how it is mended, and the day and the absent file that its case wants."""

    file: str
    text: str
    expect: tuple[str, ...]
    mends: tuple[tuple[str, str], ...]
    today: str
    without: str

    def texts(self) -> Texts:
        """The set with the bad file in it."""
        return [entry for entry in with_text(self.text) if entry[0] != self.without]

    def mended(self) -> Texts:
        """The whole set with the file after its mends."""
        body = "".join(line for line in self.text.splitlines(keepends=True) if not line.startswith("# "))
        for bad, sound in self.mends:
            assert bad in body
            body = body.replace(bad, sound, 1)
        return with_text(body)


def bad_files() -> list[Bad]:
    """All bad files, read with their heads."""
    return [_bad(path) for path in sorted((CASES / "bad").glob("*.yaml"))]


def _bad(path: Path) -> Bad:
    text = path.read_text("utf-8")
    heads = [line[2:].partition(": ") for line in text.splitlines() if line.startswith("# ")]
    return Bad(
        path.name,
        text,
        tuple(value for key, _, value in heads if key == "expect"),
        tuple((bad, sound) for key, _, value in heads if key == "mend" for bad, sound in [json.loads(value)]),
        next((value for key, _, value in heads if key == "today"), ""),
        next((value for key, _, value in heads if key == "without"), ""),
    )
