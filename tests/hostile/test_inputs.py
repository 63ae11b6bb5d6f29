"""Hostile files, names and texts by hand: refused in our words, soon, with nothing raw on the terminal."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from ferrule.engine.procedure.load import load_card, load_procedure
from ferrule.engine.shell.logfile import list_logs
from ferrule.engine.shell.sets import TEXT_MAX, packaged_set
from tests.support.plainrun import CARD, run
from tests.support.reference import folders, home, job

__all__ = ["folders", "home", "job"]

BOMBS = {
    "aliases": "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [{','.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(9)
    ),
    "brackets": "[" * 100_000,
    "braces": "{a: " * 50_000,
    "dashes": "- " * 100_000,
    "quote": '"' + "x" * 250_000,
    "key": "k" * 250_000 + ": v",
    "keys": "".join(f"k{n}: v\n" for n in range(30_000)),
    "blank": " " * 250_000,
    "lines": "\n" * 250_000,
    "deep": "".join(f"{' ' * n}a:\n" for n in range(700)),
    "python": "!!python/object/apply:os.system ['true']",
    "merge": "base: {a: 1}\nuse:\n  <<: {a: 2}\n",
    "documents": "---\n" * 60_000,
    "question": "? " * 100_000,
    "folded": ">\n" + " x\n" * 80_000,
    "tab": "a:\n\t- b\n",
    "mark": "\ufeffprocedure: x\n",
    "escapes": 'a: "\\x1b[2J\\u202e\\ud800"\n',
    "comment": "# " + "c" * 250_000,
    "numbers": "a: " + "9" * 250_000,
}  # fmt: skip
RAW = ("\x1b", "\u202e", "\x07", "\x00", "\u200b")
NAMES = [
    "../../../etc/passwd",
    "..",
    "/",
    "",
    " ",
    "-",
    "con",
    "a" * 5_000,
    "\u202etxt.yaml",
    "\x1b[2Jcard.yaml",
    "x.jsonl/",
    "../practice",
    "20260314t093000z-abcdefghij",
    "*.yaml",
    "$(true)",
    "\udcff",
    "a\0b",
]


@pytest.mark.parametrize("name", BOMBS)
def test_a_hostile_file_is_refused_soon(name: str) -> None:
    """Files that would grow, nest, run or repeat without end are refused with findings within two seconds."""
    for load in (load_card, load_procedure):
        start = time.perf_counter()
        value, found = load(BOMBS[name], "f.yaml")

        assert value is None
        assert found
        assert time.perf_counter() - start < 2.0


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("command", ["walk", "replay", "expect", "check"])
def test_a_hostile_name_is_refused_in_words(name: str, command: str, home: Path) -> None:
    """Whatever stands for a card or a log, the answer is a sentence and an exit code, never a raw character of it."""
    plain = ["--plain"] if command in ("walk", "replay") else []
    where = [] if command == "check" else ["--home", str(home)]
    ran = run(command, *plain, *where, "--", name)

    assert ran.code in (3, 64, 66, 73)
    assert "Traceback" not in ran.err
    assert not any(char in ran.out + ran.err for char in RAW)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name exist on POSIX only")
@pytest.mark.parametrize("command", ["walk", "replay", "expect", "check"])
def test_what_is_no_ordinary_file_is_refused_at_once(command: str, home: Path) -> None:
    """A pipe, a folder, a device, a broken link or a link in a circle in the place of a card or a log ends with a
    sentence and does not wait for anybody."""
    os.mkfifo(home / "pipe")
    (home / "folder").mkdir()
    (home / "lost").symlink_to(home / "nowhere")
    (home / "circle").symlink_to(home / "circle")
    plain = ["--plain"] if command in ("walk", "replay") else []
    where = [] if command == "check" else ["--home", str(home)]
    for target in ("pipe", "folder", "lost", "circle", "/dev/zero"):
        for ending in (".yaml", ".jsonl"):
            link = home / f"x-{target.strip('/').replace('/', '-')}{ending}"
            link.symlink_to(home / target)
            start = time.perf_counter()
            ran = run(command, *plain, *where, str(link))

            assert ran.code in (3, 66, 73), (target, ending, ran.err)
            assert ran.err.strip()
            assert time.perf_counter() - start < 2.0


def test_oversize_files_are_not_read_whole(home: Path) -> None:
    """A card or a log of a terabyte, mostly holes, is refused by its size within two seconds."""
    for name in ("card.yaml", "20260314t093000z-abcdefghij.jsonl"):
        path = home / name
        with path.open("wb") as big:
            big.truncate(1 << 40)
        start = time.perf_counter()
        ran = run("walk", str(path), "--plain", "--home", str(home))

        assert ran.code in (66, 73)
        assert "bytes" in ran.err
        assert time.perf_counter() - start < 2.0


def test_a_card_at_its_bound_is_read_and_one_byte_more_is_not(home: Path) -> None:
    """256 KiB is the bound itself: a card padded to it with a comment is good, one byte more is refused."""
    text = (packaged_set() / "cards" / f"{CARD}.yaml").read_bytes()
    path = home / "card.yaml"
    path.write_bytes(text + b"#" * (TEXT_MAX - len(text) - 1) + b"\n")
    good = run("check", str(path))
    path.write_bytes(path.read_bytes() + b"\n")
    bad = run("check", str(path))

    assert "more than" not in good.err
    assert bad.code == 66
    assert f"more than {TEXT_MAX} bytes" in bad.err


HOSTILE_NAMES = ["\x1b[2J.jsonl", "..jsonl", "20260314t093000z-ABCDEFGHIJ.jsonl", "20260314t093000z-abcdefghi1.jsonl"]


def test_hostile_names_in_the_folder_of_logs_are_no_logs(tmp_path: Path) -> None:
    """Files that only look like logs are not listed, opened or shown; what has a log's name and is none is told."""
    for name in HOSTILE_NAMES:
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "20260314t093000z-abcdefghij.jsonl").symlink_to(tmp_path / HOSTILE_NAMES[0])
    os.mkfifo(tmp_path / "20260314t093000z-bbbbbbbbbb.jsonl")

    assert [log.state for log in list_logs(tmp_path)] == ["unreadable", "unreadable"]


TYPED = [
    "\x1b[2J",
    "\u202e0.52",
    "0.5\u200b2",
    "٣",
    "1e3",
    "0x1F",
    "1_0",
    "NaN",
    "+1",
    "0.52 ohm",
    "1,000",
    "9" * 5_000,
]


@pytest.mark.parametrize("text", TYPED)
def test_hostile_typing_is_refused_and_never_shown_raw(text: str, home: Path) -> None:
    """What is typed with hidden characters, other digits or endless length is refused, shown only as code points,
    and leaves the log as it was."""
    ran = run("walk", CARD, "--plain", "--practice", "--home", str(home), typed=f"remark {text}\n{text}\n")
    kept = [line for line in ran.out.splitlines() if line.startswith("Saved as entry")]

    assert ran.code == 1
    assert not any(char in ran.out + ran.err for char in RAW)
    assert len(kept) <= 1
