"""What the first screen offers, fetched from the folders; most of it only when a person looks at it.

Must never: open a job, or write anything but a new card.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ferrule.engine.findings import FerruleError
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.cards import example_card, faults_of_card, own_cards, write_card
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import list_logs
from ferrule.engine.shell.sets import example_cards
from ferrule.tui.screens.jobs import Made, Offer

if TYPE_CHECKING:
    from ferrule.engine.procedure.new_card import Asked


def offer_of(folders: Folders, calls: FileCalls, *, practice: bool) -> Offer:
    """Return the offer for the logs of work, or for those of practice."""
    from ferrule.tui.left_words import left_lines

    folder = folders.practice if practice else folders.records
    return Offer(
        tuple(list_logs(folder, calls)),
        tuple(str(path) for path in own_cards(folders, calls)),
        example_cards(),
        lambda log: left_lines(log.path, folders),
        _procedures,
        _page,
        _asked,
        lambda example, said: _make(example, said, folders, calls),
    )


def _procedures() -> Sequence[tuple[str, str]]:
    from ferrule.tui.procedure_texts import read_set

    found = read_set().parts.procedures
    return sorted(((name, procedure.title) for name, procedure in found.items()), key=lambda pair: pair[1])


def _page(name: str) -> tuple[str, ...]:
    from ferrule.engine.procedure.page import page_of
    from ferrule.engine.procedure.page_forms import text_lines
    from ferrule.tui.pattern_words import WORDING
    from ferrule.tui.procedure_texts import read_with

    found, procedure = read_with(name)
    return tuple(text_lines(page_of(procedure, found.parts.procedures, found.parts.limits, WORDING)))


def _asked(example: str) -> tuple[Asked, ...]:
    from ferrule.engine.procedure.new_card import asked_of

    return asked_of(example_card(example)[1])


def _make(example: str, said: Mapping[str, str], folders: Folders, calls: FileCalls) -> Made:
    """Make the card, have the loader check it, and write it where none of that name is."""
    from ferrule.engine.procedure.new_card import TAKEN_OVER, card_text

    text, card = example_card(example)
    try:
        made = card_text(text, card, said)
        faults = faults_of_card(said["card"], made)
        if faults:
            return Made("", tuple(f"{fault.message} {fault.hint}".rstrip() for fault in faults))
        path = write_card(said["card"], made, folders, calls)
    except FerruleError as error:
        return Made("", (str(error),))
    over = ("Taken over from the example; look through it in the file before work:", *(f"- {x}" for x in TAKEN_OVER))
    return Made(str(path), (f"{path}", "", *over, "", "It stands under “Start a job from a card”."))
