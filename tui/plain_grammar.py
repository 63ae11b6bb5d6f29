"""The grammar of typed lines: one line to one command, or to the places of a step that it fills.

For: `walk --plain`, on a terminal and from a script.
Must never: repair a line, or take one that was meant for another step.

The lines
    PROCEDURE/STEP: ANSWER            answers the step that is on screen, if it has this name
    PROCEDURE/STEP POINT CELL: ANSWER  fills one place; POINT or CELL alone where that is enough
    PROCEDURE/STEP: A ; B ; C         fills every place of the step, in the order in which they are asked
    PROCEDURE/STEP: start | end       stamps a round
    PROCEDURE/STEP: settle DECISION because REASON
    PROCEDURE/STEP: not applicable because REASON
    any line of `COMMAND_FORMS` below; a line that starts with # and an empty line are passed over
On a terminal the name of the step may be left out; the answer then fills the next open place.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.situation import StepView
from ferrule.tui.plain_commands import COMMAND_FORMS, match_words, parse_command, read_settle
from ferrule.tui.plain_line import LINE_MAX, Around, Fill, Give, LineError, Local, Parsed

ANSWER_FORMS: tuple[tuple[str, str], ...] = (
    ("done", "a step with nothing to type was done"),
    ("a state, or its number", "what was seen, as listed"),
    ("a number", "a reading, without its unit"),
    ("a number confirmed", "the same reading again, after it was held as hard to believe"),
    ("above", "the display was above its range"),
    ("none", "no indication: below the lowest step that it shows"),
    ("not reached", "this could not be read or seen"),
    ("unstable", "the reading would not settle"),
)

_HEAD = re.compile(r"([A-Za-z0-9][\w.-]*/[A-Za-z0-9][\w.-]*)((?:[ \t]+[^\s:]+){0,2})[ \t]*:[ \t]*(.*)", re.DOTALL)


def parse_line(line: str, around: Around) -> Parsed:
    """Return what a typed line asks for; None for a comment or an empty line, LineError with the reason else."""
    text = line.strip()
    if not text or text.startswith("#"):
        return None
    if len(text) > LINE_MAX:
        raise LineError(f"This line has {len(text)} characters; at most {LINE_MAX} are taken.")
    head = _HEAD.fullmatch(text)
    if head:
        return _named(head[1], head[2].split(), head[3].strip(), around)
    if not _is_state(text, around):
        found = parse_command(text, around)
        if found is not None:
            return found
    if around.script:
        here = around.situation.step.where if around.situation.step else "procedure/step"
        raise LineError(f"In a script each answer names its step, as in “{here}: …”.")
    return _unnamed(text, around)


def _is_state(text: str, around: Around) -> bool:
    """True for words that name a state of the next open place: they are an answer before they are a command."""
    if around.script or not around.open_places:
        return False
    return _state(around.open_places[0], text) is not None


def _named(where: str, tokens: list[str], text: str, around: Around) -> Parsed:
    step = around.step()
    if where != step.where:
        raise LineError(f"This answers “{where}”; the walk stands at “{step.where}”. Nothing was taken.")
    if not tokens:
        at_step = _at_step(text, step, around)
        return at_step if at_step is not None else _all_places(text, step)
    cell = _place(tokens, _typed_places(step))
    return Fill((read_cell(cell, text),))


def _typed_places(step: StepView) -> tuple[CellView, ...]:
    return tuple(cell for cell in step.cells if cell.kind != "computed")


def _unnamed(text: str, around: Around) -> Parsed:
    step = around.step()
    at_step = _at_step(text, step, around)
    if at_step is not None:
        return at_step
    places = _typed_places(step)
    if not places or (";" in text and len(places) > 1):
        return _all_places(text, step)
    if not around.open_places:
        raise LineError("Every place of this step is filled.")
    return Fill((read_cell(around.open_places[0], text),))


def _at_step(text: str, step: StepView, around: Around) -> Parsed:
    """Return what is asked of the step as a whole: stamps of a round, a decision, not applicable."""
    word = text.casefold()
    if step.is_round and word in ("start", "end"):
        return Give(c.StampRound(around.person, around.at, step.where, word))
    if word == "clear":
        return Local("clear")
    if around.situation.pending is not None:
        found = match_words(r"settle (?P<decision>\w+) because (?P<reason>.+)", text)
        if found:
            return read_settle(found, around)
    found = match_words(r"not applicable because (?P<reason>.+)", text)
    return Give(c.NotApplicable(around.person, around.at, step.where, found["reason"])) if found else None


def _all_places(text: str, step: StepView) -> Fill:
    places = _typed_places(step)
    if step.kind == "hold":
        raise LineError(f"A hold point is signed: {COMMAND_FORMS[0][0]}.")
    if not places:
        if text.casefold() != "done":
            raise LineError("This step has nothing to type; it is answered with “done” once it was done.")
        return Fill(())
    if len(places) == 1:
        return Fill((read_cell(places[0], text),))
    values = [value.strip() for value in text.split(";")]
    if len(values) != len(places):
        first = " ".join(t for t in (places[0].point, places[0].cell) if t)
        raise LineError(
            f"This step has {len(places)} places and the line {len(values)}. "
            f"Give all, parted by “;”, or one by its name, as in “{step.where} {first}: …”."
        )
    return Fill(tuple(read_cell(place, value) for place, value in zip(places, values, strict=True)))


def _place(tokens: Sequence[str], places: Sequence[CellView]) -> CellView:
    if len(tokens) == 2:
        found = [p for p in places if (p.point, p.cell) == (tokens[0], tokens[1])]
    else:
        found = [p for p in places if p.point == tokens[0]] or [p for p in places if p.cell == tokens[0]]
    if len(found) == 1:
        return found[0]
    named = " ".join(tokens)
    if found:
        raise LineError(f"“{named}” names {len(found)} places of this step; name point and cell.")
    known = ", ".join(" ".join(t for t in (p.point, p.cell) if t) for p in places[:4])
    raise LineError(f"This step has no place “{named}”. Its places begin with: {known or 'none'}.")


def read_cell(cell: CellView, text: str) -> c.CellAnswer:
    """Return the answer to one place as it was typed; what it means is decided by the walk.

    A word that stands for a choice is kept as the choice, as the screen's key for it is.
    """
    word = text.casefold()
    if not text:
        raise LineError(f"“{cell.prompt}” is still empty.")
    if cell.kind == "number":
        form = _NUMBER_WORDS.get(word, c.NUMBER)
        if form != c.NUMBER:
            return c.CellAnswer(cell.point, cell.cell, form, "")
        again = word.endswith(CONFIRMED) and word != CONFIRMED.strip()
        return c.CellAnswer(cell.point, cell.cell, form, text[: -len(CONFIRMED)].rstrip() if again else text, again)
    state = _state(cell, text)
    if state is not None:
        return c.CellAnswer(cell.point, cell.cell, c.SEEN, state)
    if word == "not reached":
        return c.CellAnswer(cell.point, cell.cell, c.NOT_REACHED, "")
    if cell.kind == "state":
        listed = "; ".join(f"{n} {seen}" for n, seen in enumerate(cell.states, 1))
        raise LineError(f"“{text}” is not one of the states of “{cell.prompt}”: {listed}.")
    return c.CellAnswer(cell.point, cell.cell, c.WORDS, text)


CONFIRMED = " confirmed"
"""What stands after a reading that is given a second time."""

_NUMBER_WORDS = {
    "above": c.ABOVE,
    "none": c.BELOW,
    "not reached": c.NOT_REACHED,
    "unstable": c.UNSTABLE,
}


def _state(cell: CellView, text: str) -> str | None:
    """Return the state that a text names: by its words, else by its number in the list."""
    for seen in cell.states:
        if seen.casefold() == text.casefold():
            return seen
    if re.fullmatch("[1-9]", text) and int(text) <= len(cell.states):
        return cell.states[int(text) - 1]
    return None


def grammar_text() -> str:
    """Return the whole grammar as text for `help` and `walk --help`."""
    widest = max(len(form) for form, _ in (*ANSWER_FORMS, *COMMAND_FORMS))
    rows = [f"  {form:<{widest}}  {words}" for form, words in ANSWER_FORMS]
    more = [f"  {form:<{widest}}  {words}" for form, words in COMMAND_FORMS]
    return "\n".join(
        (
            "Answers to a step, one line each:",
            "  PROCEDURE/STEP: ANSWER             the step must be the one on screen",
            "  PROCEDURE/STEP POINT CELL: ANSWER  one place of a step with several",
            "  PROCEDURE/STEP: A ; B ; C          all places, in the order in which they are asked",
            "  PROCEDURE/STEP: start              stamps the start of a round, “end” its end",
            "On a terminal the name of the step may be left out.",
            "An answer is",
            *rows,
            "Other lines:",
            *more,
            "Empty lines and lines that start with # are passed over.",
        )
    )
