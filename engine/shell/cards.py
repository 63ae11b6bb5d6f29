"""Cards of one's own as files: listed, checked by the loader, written once.

Must never: write over a card, or keep one that the loader refuses.
"""

from __future__ import annotations

from pathlib import Path

from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.compiled import Card
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import told
from ferrule.engine.shell.sets import packaged_set, set_texts

ENDING = ".yaml"


def own_cards(folders: Folders, calls: FileCalls = SYSTEM_CALLS) -> tuple[Path, ...]:
    """Return the card files in the folder of cards, by name."""
    with told(f"The folder {folders.cards} cannot be listed", "Check that it is a folder and open to this user."):
        names = calls.names(folders.cards)
    return tuple(folders.cards / name for name in names if name.endswith(ENDING))


def example_card(name: str) -> tuple[str, Card]:
    """Return text and content of a packaged example card."""
    from ferrule.engine.procedure.load import load_card

    text = (packaged_set() / "cards" / f"{name}{ENDING}").read_text(encoding="utf-8")
    card, found = load_card(text, name)
    assert card is not None, found
    return text, card


def faults_of_card(name: str, text: str) -> tuple[Finding, ...]:
    """Return the errors that the loader finds in a card beside the packaged set; none when it can be walked."""
    from ferrule.engine.procedure.load import compile_parts
    from ferrule.engine.procedure.needed import needed_texts

    every = [("card", name, text), *((t.role, t.id, t.text) for t in set_texts(packaged_set()))]
    needed = needed_texts(every)
    _, found = compile_parts([each for each in every if each[:2] in needed])
    return tuple(finding for finding in found if finding.level is Level.ERROR)


def write_card(name: str, text: str, folders: Folders, calls: FileCalls = SYSTEM_CALLS) -> Path:
    """Write a card that is not there yet and return its file; StoreError where one of that name is there already."""
    path = folders.cards / f"{name}{ENDING}"
    with told(f"The card {path.name} cannot be written", "Give it another name, or look at the folder of cards."):
        calls.make_folder(folders.cards)
        handle = calls.create(path)
        try:
            data = memoryview(text.encode("utf-8"))
            while data:
                data = data[calls.write(handle, data) :]
            calls.fsync(handle)
        finally:
            calls.close(handle)
        calls.fsync_dir(folders.cards)
    return path
