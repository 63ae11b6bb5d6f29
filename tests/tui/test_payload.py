"""Hostile texts from card, procedure, file name, log and keyboard never reach the terminal as they are.

What is searched is all that a real program sends to a pseudo-terminal.
"""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.journal.entry import decode, line_of
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import WORK, Session
from ferrule.engine.shell.sets import find_job
from tests.bench.terminal import Terminal
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY
from tests.tui.payload import HIDDEN, HOSTILE, MARKUP, RAW, TURNED

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")

F = {1: "\x1bOP", 2: "\x1bOQ", 3: "\x1bOR", 4: "\x1bOS", 5: "\x1b[15~", 6: "\x1b[17~", 7: "\x1b[18~", 11: "\x1b[23~"}
"""What a terminal sends for a function key."""
PASTED = f"\x1b[200~\x9b31337m{MARKUP}{HIDDEN}{TURNED}\x1b[201~"
"""Escapes that begin with the escape sign are taken apart by the reader of keys before they are text."""


def found_in(terminal: Terminal) -> list[bytes]:
    """What of the hostile text was sent as it is."""
    return [part for part in RAW if part in bytes(terminal.raw)]


def press(terminal: Terminal, *keys: str) -> str:
    """Type keys one after the other and return all screens that they led to, one below the other."""
    shown = []
    for key in keys:
        terminal.type(key)
        seen = -1
        while seen != len(terminal.raw):
            seen = len(terminal.raw)
            terminal.pump(0.05)
        shown.append(terminal.text())
    return "\n".join(shown)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("step", "kind"),
    [("danger", "hostile"), ("several", "hostile"), ("hold", "hostile"), ("danger", "long"), ("danger", "empty")],
)
def test_texts_of_card_and_procedure(step: str, kind: str) -> None:
    """In every text of card, procedure, names and warnings: shown by name or cut with a mark, never raw."""
    terminal = Terminal([sys.executable, "-m", "tests.tui.payload", step, kind], environ={"TERM": "xterm-256color"})
    try:
        terminal.wait_for("12 STOP")
        shown = terminal.text()
        answers = {"danger": ("\x1b[6~",), "several": ("1", "x", "\r", "\r"), "hold": ("1", "\r")}[step]
        shown += press(terminal, F[1], F[2], F[3], F[5], "\x1b[6~", F[7], F[11], "\x1b", F[6], F[6], *answers)
    finally:
        terminal.kill()

    assert not found_in(terminal)
    assert "12 STOP" in shown
    if kind == "hostile":
        assert "<U+001B>[31337m" in shown.replace("\n", "")
        assert "[bold red]loud[/]" in shown.replace("\n", "")
    elif kind == "long":
        assert "xxx…" in shown


def test_what_is_typed_and_pasted(home: Path) -> None:
    """A remark that is pasted with escapes is shown by name and refused, and nothing of it is recorded."""
    terminal = Terminal(
        [sys.executable, "-m", "ferrule.tui.cli", "walk", CARD],
        environ={"FERRULE_HOME": str(home), "TERM": "xterm-256color"},
    )
    try:
        terminal.wait_for("> NOW", "12 STOP")
        shown = press(terminal, F[4], PASTED, "\r", "\x1b", F[3])
    finally:
        terminal.kill()

    assert not found_in(terminal)
    assert "<U+202E>evil" in shown
    assert "NOT TAKEN: Character 1 is U+009B" in shown.replace("\n", "")
    (log,) = find_folders(home).records.glob("[0-9]*.jsonl")
    assert len(log.read_bytes().split(b"\n")) == 2


def test_file_names_and_logs_on_the_first_screen(home: Path) -> None:
    """A card file with a hostile name and a log with a hostile title stand on the first screen by name only."""
    folders = find_folders(home)
    session = Session.open_new(
        find_job(CARD, folders), folders=folders, clock=FakeClock(DAY), mode=WORK, operator="tech"
    )
    session.close()
    entry = decode(session.path.read_bytes())
    session.path.write_bytes(line_of(replace(entry, data={**entry.data, "title": HOSTILE, "site": HOSTILE})))
    folders.cards.mkdir(parents=True, exist_ok=True)
    (folders.cards / f"{HOSTILE.replace(chr(0), '').replace('/', '')}.yaml").write_text(HOSTILE, encoding="utf-8")
    terminal = Terminal(
        [sys.executable, "-m", "ferrule.tui.cli", "walk"], environ={"FERRULE_HOME": str(home), "TERM": "xterm-256color"}
    )
    try:
        terminal.wait_for("Start a job from a card")
        shown = terminal.text()
        shown += press(terminal, "2", "\r", "\r")
    finally:
        terminal.kill()

    assert not found_in(terminal)
    assert shown.count("<U+001B>") >= 2
