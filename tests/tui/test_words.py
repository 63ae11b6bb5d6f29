"""Sentences that only the screens say: sizes in words, verdicts with their numbers, what a hold point rests on."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import events as e
from ferrule.engine.walk.situation import situation
from ferrule.tui import screen_words
from ferrule.tui.bindings import KEYS, SIDE_KEYS
from tests.tui.small_job import at


@dataclass(frozen=True)
class Size:
    """A typed number and its size in words."""

    text: str
    words: str
    source: str = "HI-07"


@pytest.mark.parametrize(
    "row",
    [
        Size("0", "zero"),
        Size("0.00", "zero"),
        Size("0.4", "less than one"),
        Size("4.0", "ones"),
        Size("40", "tens"),
        Size("400", "hundreds"),
        Size("4000", "thousands"),
        Size("", ""),
        Size("4.", "ones"),
        Size("0..4", ""),
        Size("x", ""),
        Size("٣", ""),
    ],
    ids=lambda r: repr(r.text),
)
def test_size_in_words(row: Size) -> None:
    """What is typed is echoed in words of size, against slips by a factor of ten. Shows: HI-07."""
    assert screen_words.size_words(row.text) == row.words


def test_verdict_tells_word_numbers_and_branch(tiny: Job) -> None:
    """A verdict shows its word, the two sentences nearest to their limit or furthest outside, and why. Shows: WB-01."""
    told = [{"sentence": f"{9 - n} Ω, limit 1 Ω: fail.", "margin": f"-{8 - n}"} for n in (2, 0, 1, 3)]
    cells = tuple(
        e.CellRecord(f"S{n}", "ohm", "", "number", "5", None, "fail", "", verdict) for n, verdict in enumerate(told)
    )
    answered = e.Answered("small/round", 1, "fail", cells, (), 0, 0, 0, "typed", False)
    moved = e.Moved("small/do", "The round gave fail.", 0)

    lines = screen_words.verdict_lines((answered, moved), tiny)
    assert lines[0] == "Last: FAIL x  Read line to neutral at each socket."
    assert lines[1:3] == ("S1: 9 Ω, limit 1 Ω: fail.", "S2: 8 Ω, limit 1 Ω: fail.")
    assert lines[3:] == ("And 2 more such, under F3.", "Why this branch: The round gave fail.")

    assert screen_words.verdict_lines((moved,), tiny, "The round gave fail.") == ()


def test_hold_point_names_what_it_rests_on(tiny: Job) -> None:
    """A hold point lists each fact that it needs with what is recorded of it. Shows: VR-06."""
    shown = situation(tiny, at(tiny, "hold"), 0)
    assert shown.step is not None

    found = screen_words.hold_evidence(shown.step, shown, tiny)
    assert "device on paper: looked at" in found
    assert len(found) == 5


def test_help_names_every_key() -> None:
    """The help page names every command key by function key and by letter. Shows: HI-16."""
    page = "\n".join(screen_words.help_lines())

    for key in (*KEYS, *SIDE_KEYS):
        assert f"{key.shown:<4} {key.letter}  {key.words}" in page


def test_wait_is_told_in_minutes_and_seconds() -> None:
    """A wait never shows less than what is left of it. Shows: TM-03."""
    assert screen_words.wait_words(300_000) == "5 min left"
    assert screen_words.wait_words(1) == "0 min 01 s left"
    assert screen_words.wait_words(0) == "The time is over."
