"""Typing into the places of a step: the keys of a number pad, refused numbers, going back."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cell_view import CellView
from ferrule.tui.screens.draft import LINE_MAX, Draft, Fault, Line

NUMBER = CellView(
    "S1", "glaze table", "ohm", "Line to neutral", "number", "ohm", "low resistance", "tester", "0.01", (), "", "",
    "> 99.9 Ω", "",
)  # fmt: skip
STATE = replace(NUMBER, cell="lock", kind="state", function="", unit="", states=("closed", "moves"), above="")
TYPED = replace(NUMBER, cell="way", kind="match", function="", unit="", above="")
VOLTS = replace(NUMBER, function="indicator", unit="V", below="no indication, < 12 V")


def typed(draft: Draft, *keys: str) -> Draft:
    """Give keys to a draft; a text of one sign is typed, a longer one is the name of a key."""
    for key in keys:
        draft.key(key, key if len(key) == 1 else "")
    return draft


@dataclass(frozen=True)
class Refused:
    """A text that is no number here, with the column that the cursor goes to (0 where none is meant)."""

    text: str
    column: int
    source: str = "HI-06"


MALFORMED = [
    Refused("0..2", 3),
    Refused(".2", 1),
    Refused("2.", 2),
    Refused("0,2", 2),
    Refused("1e3", 2),
    Refused("0.2x", 4),
    Refused("x", 1),
    Refused("1 2", 2),
    Refused("--2", 1),
    Refused("0.222", 5),
    Refused("100.5", 0),
    Refused("1.2.3", 4),
    Refused("2Ω", 2),
    Refused(" ", 0),
    Refused("", 0),
    Refused("٣", 1),
    Refused("1_0", 2),
    Refused("NaN", 1),
    Refused("0x1", 2),
    Refused(">5", 2),
    Refused("<5", 0),
    Refused("+1", 1),
    Refused("0.2 ohm", 4),
    Refused("1,000", 0),
    Refused("1e5000", 2),
    Refused("inf", 1),
    Refused("0.2.", 4),
    Refused("9999999", 0),
    Refused("0.2\u200b", 4),
    Refused("½", 1),
]


@pytest.mark.parametrize("row", MALFORMED, ids=lambda r: repr(r.text))
def test_malformed_number_is_blocked_and_stays(job: Job, row: Refused) -> None:
    """A malformed number is refused with a sentence and its place, never repaired; the text stays. Shows: HI-06."""
    draft = Draft(job, (NUMBER,))
    draft.lines[0] = Line(row.text, len(row.text))

    draft.key("enter", "")

    assert draft.fault is not None
    assert len(draft.fault.reason) > 10
    assert draft.lines[0].text == row.text
    assert not draft.forms[0]
    assert draft.here is NUMBER
    if row.column:
        assert draft.fault.column == row.column


@pytest.mark.parametrize("text", ["0", "0.2", "0.20", "99.9", "7", "0.01"])
def test_good_number_is_kept_as_typed(job: Job, text: str) -> None:
    """A number goes on verbatim, with its trailing zeros. Shows: HI-06."""
    draft = typed(Draft(job, (NUMBER,)), *text, "enter")

    assert draft.ready
    assert draft.answers() == (c.CellAnswer("S1", "ohm", c.NUMBER, text),)


@pytest.mark.parametrize(("second", "again"), [("2.20", True), ("0.22", False), ("2.2", False)])
def test_a_value_that_is_held_is_typed_anew(job: Job, second: str, again: bool) -> None:
    """The place is emptied, so that Enter alone gives nothing; only the same text counts as given again.

    Shows: HI-08
    """
    draft = typed(Draft(job, (NUMBER,)), *"2.20", "enter")
    draft.hold("S1", "ohm")
    draft.point_at("S1", "ohm", Fault("This is about ten times what is expected."))
    empty = typed(draft, "enter").ready

    assert not empty
    assert typed(draft, *second, "enter").answers() == (c.CellAnswer("S1", "ohm", c.NUMBER, second, again),)


@pytest.mark.parametrize(
    ("place", "key", "form"),
    [
        (NUMBER, "+", c.ABOVE),
        (VOLTS, "-", c.BELOW),
        (NUMBER, "*", c.NOT_REACHED),
        (NUMBER, "/", c.UNSTABLE),
        (STATE, "*", c.NOT_REACHED),
        (TYPED, "*", c.NOT_REACHED),
    ],
)
def test_what_is_no_number_has_one_key(job: Job, place: CellView, key: str, form: str) -> None:
    """Above range, no indication, not reached and unstable are each one key of a number pad. Shows: HI-02."""
    draft = typed(Draft(job, (place,)), key, "enter")

    assert draft.ready
    assert draft.answers()[0].form == form


@pytest.mark.parametrize(("place", "key"), [(VOLTS, "+"), (NUMBER, "-")])
def test_choice_that_the_range_lacks_is_refused(job: Job, place: CellView, key: str) -> None:
    """A range without an end cannot be above it, and a display down to zero shows zero. Shows: HI-06."""
    draft = typed(Draft(job, (replace(place, above=""),)), key)

    assert draft.fault is not None
    assert not draft.filled


def test_choice_after_digits_is_refused(job: Job) -> None:
    """A choice key after digits replaces nothing in silence. Shows: HI-06."""
    draft = typed(Draft(job, (NUMBER,)), "0", ".", "2", "+")

    assert draft.fault is not None
    assert draft.lines[0].text == "0.2"
    assert not draft.filled


def test_states_go_on_by_themselves_and_numbers_by_enter(job: Job) -> None:
    """In a round a digit fills a state and goes on; Enter takes a number and goes on."""
    draft = typed(Draft(job, (STATE, NUMBER, replace(STATE, point="S2"))), "2", "0", ".", "3", "enter", "1")

    assert draft.ready
    assert [a.entered for a in draft.answers()] == ["moves", "0.3", "closed"]


def test_one_state_waits_for_enter(job: Job) -> None:
    """A state that stands alone is only marked by its digit, so that a slip can be put right."""
    draft = typed(Draft(job, (STATE,)), "1", "2")

    assert not draft.ready
    assert typed(draft, "enter").answers()[0].entered == "moves"


def test_state_that_is_not_listed_is_refused(job: Job) -> None:
    """A digit beyond the list says so and fills nothing."""
    draft = typed(Draft(job, (STATE,)), "3")

    assert draft.fault is not None
    assert not draft.filled


def test_going_back_and_forward(job: Job) -> None:
    """Up goes back to a value, which stays and can be changed; nothing repeats the last value. Shows: SP-12."""
    draft = typed(Draft(job, (NUMBER, replace(NUMBER, point="S2"))), "1", "enter", "2", "enter")
    assert draft.ready

    typed(draft, "up", "up", "backspace", "5")
    assert not draft.ready
    assert draft.forms[0] == ""

    typed(draft, "enter", "enter")
    assert [a.entered for a in draft.answers()] == ["5", "2"]


def test_open_places_are_gone_to(job: Job) -> None:
    """After the last place the cursor goes to the first that is still open. Shows: SP-12."""
    places = tuple(replace(NUMBER, point=f"S{n}") for n in range(3))
    draft = typed(Draft(job, places), "down", "down", "3", "enter")

    assert draft.at == 0
    assert not draft.ready


def test_refused_place_gets_the_cursor(job: Job) -> None:
    """A refusal of the walk that names a place puts the cursor there, with the reason; the text stays."""
    draft = typed(Draft(job, (NUMBER, replace(NUMBER, point="S2"))), "1", "enter", "2", "enter")

    draft.point_at("S2", "ohm", Fault("Not this one.", 1))

    assert draft.at == 1
    assert draft.lines[1].text == "2"
    assert not draft.ready


def test_line_edits_at_its_cursor() -> None:
    """A typed line is edited anywhere, and never grows past its bound."""
    line = Line()
    line.put("abd")
    for name in ("left", "home", "right", "right"):
        assert line.key(name)
    line.put("c")
    assert (line.text, line.at) == ("abcd", 3)

    line.key("backspace")
    line.key("delete")
    assert line.text == "ab"

    line.put("x" * 2 * LINE_MAX)
    assert len(line.text) == LINE_MAX
    assert not line.key("f1")
