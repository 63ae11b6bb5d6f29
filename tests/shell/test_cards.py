"""Cards made by the form: valid for every example, complete, written once and never over another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.engine.findings import FerruleError, Level
from ferrule.engine.procedure.load import load_card
from ferrule.engine.procedure.new_card import AMOUNT, NOT_HERE, POINTS, Asked, asked_of, card_text, fault_of
from ferrule.engine.shell.cards import example_card, faults_of_card, own_cards, write_card
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.sets import example_cards

NEW = {
    "card": "drying-shed-way-12",
    "title": 'Replace the device of way 12: "drying" {shed}, #2',
    "site": "Saltmarsh Pottery, drying shed",
    "board": "DS1",
    "way": "12",
    "points": "by the door 4, long wall 9.5, window 12, far end",
    "circuit.length": "31",
    "how": "measured",
    "loads": "fan, heater",
}


def said_of(example: str, **own: str) -> dict[str, str]:
    """Return an answer to everything that the form asks: the example's own, except where it is said otherwise."""
    _, card = example_card(example)
    return {asked.key: NEW.get(asked.key, asked.example) or NOT_HERE for asked in asked_of(card)} | own


@pytest.mark.parametrize("example", example_cards())
def test_made_card_is_valid_by_construction(example: str) -> None:
    """From every example card the form makes a card in which the loader finds no error, whatever the texts hold."""
    text, card = example_card(example)
    made = card_text(text, card, said_of(example))

    assert faults_of_card(NEW["card"], made) == ()


@pytest.mark.parametrize("example", example_cards())
def test_made_card_says_what_was_said(example: str) -> None:
    """Everything that was said stands in the card, and nothing else of the example's site, points and loads."""
    text, card = example_card(example)
    made, found = load_card(card_text(text, card, said_of(example)), "new")

    assert made is not None, found
    assert (made.id, made.title, made.site, made.board, made.way) == tuple(
        NEW[key] for key in ("card", "title", "site", "board", "way")
    )
    assert [(p.name, p.distance_m.value) for p in made.circuit.points] == [
        ("by the door", 4), ("long wall", pytest.approx(9.5)), ("window", 12), ("far end", None),
    ]  # fmt: skip
    assert [load.name for load in made.loads] == ["fan", "heater"]
    assert made.circuit.kind == card.circuit.kind
    assert {p.id for p in made.circuit.points} >= {made.as_found_point, made.far_point, made.landing_point}
    assert not any(f"way {card.way}" in p.name and card.way != "12" for p in made.proving_points)


def test_comments_of_the_example_are_not_taken_over() -> None:
    """The file has one comment, which says what it was made from."""
    text, card = example_card("saltmarsh-kr1-way-4")
    lines = card_text(text, card, said_of("saltmarsh-kr1-way-4")).split("\n")

    assert [line for line in lines if line.startswith("#")] == [lines[0]]
    assert "saltmarsh-kr1-way-4" in lines[0]


def test_second_source_may_be_absent() -> None:
    """A dash takes a source of the example off the card; the main supply cannot be taken off."""
    text, card = example_card("saltmarsh-kr1-way-4")
    said = said_of("saltmarsh-kr1-way-4", **{"source inverter name": NOT_HERE})
    made, found = load_card(card_text(text, card, said), "new")
    main = next(asked for asked in asked_of(card) if asked.key == "source mains name")

    assert made is not None, found
    assert [source.id for source in made.sources] == ["mains"]
    assert "has to be said" in fault_of(main, NOT_HERE)


def test_source_without_isolator_makes_no_card() -> None:
    """A source that is there has an isolator, or no card is made."""
    text, card = example_card("saltmarsh-kr1-way-4")

    with pytest.raises(FerruleError, match="what isolates rooftop inverter"):
        card_text(text, card, said_of("saltmarsh-kr1-way-4", **{"source inverter isolator": NOT_HERE}))


@pytest.mark.parametrize(
    ("kind", "text", "told"),
    [
        ("id", "Kiln Way", "small letters"),
        ("id", "../x", "small letters"),
        ("date", "1.3.2027", "year, month and day"),
        ("date", "2027-13-01", "year, month and day"),
        (AMOUNT, "2,5", "comma"),
        (AMOUNT, "0", "above zero"),
        (AMOUNT, "1e3", ""),
        (POINTS, "a 1,, b 2", "nothing"),
        ("text", "  ", "empty"),
        ("text", "a\u202eb", "U+202E"),
        ("choice", "E", "Choose one of"),
    ],
)
def test_what_cannot_stand_is_refused_with_the_reason(kind: str, text: str, told: str) -> None:
    """A malformed answer is blocked at its field, in words. Shows: HI-06."""
    asked = Asked("x", "Job", "Something", kind, "", unit="mm2", choices=("B", "C"))
    fault = fault_of(asked, text)

    assert fault
    assert told.casefold() in fault.casefold()


def test_card_is_written_once(tmp_path: Path) -> None:
    """A card goes into the folder of cards, and none is ever written over."""
    folders = find_folders(tmp_path)
    path = write_card("one", "card: one\n", folders)

    with pytest.raises(StoreError, match="something of that name is there already"):
        write_card("one", "card: other\n", folders)
    assert path.read_text(encoding="utf-8") == "card: one\n"
    assert own_cards(folders) == (path,)
    assert own_cards(replace(folders, records=tmp_path / "elsewhere" / "records")) == ()


def test_faults_of_a_card_are_told() -> None:
    """A card that the loader refuses is told with its errors."""
    text, card = example_card("saltmarsh-kr1-way-4")
    broken = card_text(text, card, said_of("saltmarsh-kr1-way-4")).replace("kind: ring", "kind: square")

    assert [finding.level for finding in faults_of_card("x", broken)] == [Level.ERROR]
