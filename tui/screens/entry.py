"""The entry area as contents: the table of places, the field, the choices, and which keys answer.

Must never: show an expected value that the situation leaves out, or judge what is typed.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from ferrule.engine.text import width
from ferrule.engine.walk.cell_view import CellView
from ferrule.tui import screen_words, words
from ferrule.tui.demand import Demand
from ferrule.tui.origin_words import value_words
from ferrule.tui.screens.draft import FORM_WORDS, Draft, Line
from ferrule.tui.screens.stages import (
    AWAY,
    BLOCKED,
    CLOSED,
    DECISIONS,
    FILL,
    HOLD,
    PENDING,
    READY,
    RUNNING,
    SHUT,
    START,
    WAIT,
    Look,
    stage_of,
)
from ferrule.tui.signs import shown
from ferrule.tui.summary_words import summary_lines
from ferrule.tui.time_words import wait_ends
from ferrule.tui.widgets.rows import Row
from ferrule.tui.widgets.text import Part, content, cut, rows


def table(look: Look, cells: int) -> tuple[list[Row], tuple[int, ...]]:
    """Return the places of a step with several of them, one row each; on a wide screen with what is expected."""
    wide = cells >= 110
    pointed = any(place.point for place in look.draft.places)
    found = []
    for number, place in enumerate(look.draft.places):
        value, unit = _value(look.draft, number, place), screen_words.unit_shown(place)
        columns = [place.prompt, f"{value} {unit if _has_unit(look.draft, number, place) else ''}".rstrip()]
        if pointed:
            columns.insert(0, f"{place.point} {place.point_name}".strip())
        if wide:
            columns.append(place.expected)
        found.append(Row(tuple(columns)))
    return found, _widths(found, cells, wide=wide, pointed=pointed)


def _widths(found: Sequence[Row], cells: int, *, wide: bool, pointed: bool) -> tuple[int, ...]:
    """Return the columns' cells: as wide as their longest text within a bound; what is filled in takes the rest."""
    most = (*((16 if cells < 66 else 20,) if pointed else ()), 34 if wide or not pointed else 26)
    asked = [min(bound, max(width(shown(row.columns[n])) for row in found)) for n, bound in enumerate(most)]
    return (*asked, 0, 24) if wide else (*asked, 0)


def _has_unit(draft: Draft, number: int, place: CellView) -> bool:
    return place.kind == "number" and draft.forms[number] not in FORM_WORDS


def _value(draft: Draft, number: int, place: CellView) -> str:
    """Return what stands in a place: an open field, the typed text, or the word of its form."""
    form, line = draft.forms[number], draft.lines[number]
    if number == draft.at and form not in FORM_WORDS and place.kind != "state":
        return f"[{with_cursor(line, 22)}]"
    if form in FORM_WORDS:
        return form_value(place, form)
    if form:
        return line.text
    return f"{line.text} ?" if line.text else "[ ]"


def form_value(place: CellView, form: str) -> str:
    """Return the word of an answer that is not a number, with the end that it stands for."""
    end = {"above range": place.above, "below range": place.below}.get(form, "")
    return f"above range, {end}" if form == "above range" and end else end or FORM_WORDS[form]


def with_cursor(line: Line, room: int) -> str:
    """Return a typed line with its cursor as a mark; a long one shows the part around the cursor."""
    text = shown(line.text[: line.at]) + "_" + shown(line.text[line.at :])
    at = width(shown(line.text[: line.at]))
    if width(text) <= room:
        return text
    first = max(0, min(at - room // 2, len(text) - room))
    return f"…{text[first + 1 : first + room - 1]}…"


def entry(look: Look, cells: int) -> Content:
    """Return the body of the entry area for the stage that the step is at."""
    stage = stage_of(look.situation, look.draft)
    maker = {
        CLOSED: _closed,
        AWAY: _away,
        PENDING: _pending,
        BLOCKED: _blocked,
        SHUT: lambda *_: content(""),
        HOLD: _hold,
        WAIT: _wait,
        START: lambda *_: rows(
            ["This round is done with both hands. Stamp its start, do it, then type what was read."]
        ),
        RUNNING: lambda *_: rows(["The round is under way: do it whole. Stamp its end when the hands are out."]),
        FILL: _place,
        READY: _ready,
    }[stage]
    return maker(look, cells)


def _closed(look: Look, _cells: int) -> Content:
    return rows([f"The log is closed: {look.situation.outcome}. Nothing can be added to it."])


def _away(_look: Look, _cells: int) -> Content:
    return rows(["You are marked as away from the board. F8 says that you are back."])


def _blocked(look: Look, _cells: int) -> Content:
    lines = [
        "No step is open. Strike out an answer (F3), report what happened (F7), amend the card (F11), or stop (F12)."
    ]
    lines += [f"  - {words.fact_words(f, look.situation.facts[f], look.job)}" for f in look.situation.outstanding]
    return rows(lines)


def _wait(look: Look, _cells: int) -> Content:
    step = look.situation.step
    assert step is not None
    ends = (wait_ends(step.wait),) if step.wait is not None else ()
    return rows([screen_words.wait_words(step.wait_left_ms), *ends])


def _pending(look: Look, _cells: int) -> Content:
    said = {"pass": "settle it as passed", "fail": "settle it as failed", "again": "read it again"}
    lines = [words.pending_words(look.situation), ""]
    return rows([*lines, *_marked([said[d] for d in DECISIONS], look.mark)])


def _hold(look: Look, cells: int) -> Content:
    step = look.situation.step
    assert step is not None
    assert step.hold is not None
    hold = step.hold
    lines = [f"Hold point {hold.name}: {hold.title}."]
    lines += [
        f"  signed as {role}{' by telephone' if telephone else ''}: {words.person_name(look.job, person)}"
        for role, person, telephone in hold.signed
    ]
    evidence = screen_words.hold_evidence(step, look.situation, look.job)
    if evidence:
        lines.append(cut(f"Rests on: {'; '.join(evidence)}", 2 * cells - 8) + (" F5" if len(evidence) > 2 else ""))
    choices = screen_words.signers(hold, look.job)
    lines += _marked([screen_words.signer_words(choice, hold, look.job) for choice in choices], look.mark)
    if not choices:
        lines.append("Nobody on the card may still sign here: amend the card (F11) or stop (F12).")
    return rows(lines)


def _marked(choices: Sequence[str], mark: int | None) -> list[str]:
    """Return lines to choose from by their digit; the marked one carries a sign."""
    return [f"{'>' if number - 1 == mark else ' '} {number} {said}" for number, said in enumerate(choices, 1)]


def _place(look: Look, cells: int) -> Content:
    """Return the place with the cursor: its prompt, its field with the unit, and what belongs to it."""
    draft, place = look.draft, look.draft.here
    if place is None:
        return content("")
    parts: list[Part] = ["\n".join(map(shown, summary_lines(look.job)))] if shows_summary(look) else []
    where = f"{place.point} {place.point_name}: ".lstrip() if place.point else ""
    step = look.situation.step
    if len(draft.places) > 1 or step is None or step.text.rstrip(".") != place.prompt.rstrip("."):
        parts += ["\n" if parts else "", f"{where}{place.prompt}"]
    if place.kind == "state":
        chosen = draft.lines[draft.at].text if draft.forms[draft.at] == "seen" else ""
        mark = place.states.index(chosen) if chosen in place.states else None
        parts += ["\n" if parts else "", "\n".join(_marked(place.states, mark))]
        if draft.forms[draft.at] in FORM_WORDS:
            parts.append(f"\n> {form_value(place, draft.forms[draft.at])}")
    elif len(draft.places) == 1 or look.pictured:
        parts += ["\n" if parts else "", *_field(draft, place, cells)]
    notes = screen_words.place_notes(place)
    return content(*parts, *(f"\n{note}" for note in notes)) if parts else rows(notes)


def shows_summary(look: Look) -> bool:
    """True at the first step of a job until something is answered there (SP-04)."""
    step = look.situation.step
    return step is not None and step.opening and not look.draft.begun


def _field(draft: Draft, place: CellView, cells: int) -> list[Part]:
    form, line = draft.forms[draft.at], draft.lines[draft.at]
    if form in FORM_WORDS:
        return [(f"[{form_value(place, form)}]", "bold")]
    size = screen_words.size_words(line.text) if place.kind == "number" else ""
    unit = screen_words.unit_shown(place)
    return [(f"[ {with_cursor(line, cells - 16)} ]", "bold"), f" {unit}", f"   {size}" if size else ""]


def _ready(look: Look, _cells: int) -> Content:
    draft, step = look.draft, look.situation.step
    assert step is not None
    lines = [value_words(place) for place in step.cells if place.kind == "computed"]
    if draft.places:
        lines.append(f"{draft.filled} of {len(draft.places)} filled.")
        if len(draft.places) == 1:
            place = draft.places[0]
            lines[-1] += f" {_value(draft, 0, place)} {screen_words.unit_shown(place)}".rstrip()
    what = "record it" if draft.places or step.cells else "say that it is done"
    if step.critical:
        lines += _demanded(look.demand, what)
    elif not lines:
        lines.append("Press Enter when it is done.")
    return rows(lines)


def _demanded(demand: Demand, what: str) -> list[str]:
    """Return what has to be pressed to confirm, always in the same place and order."""
    grave = "This cannot be taken back, or can injure."
    if not demand.lines:
        return [f"{grave} Press {demand.digit} to {what}; Enter does nothing here."]
    lines = [f"  {number} {said}" for number, said in enumerate(demand.lines, 1)]
    return [f"{grave} {demand.question} Its digit is to {what}; Enter does nothing here.", *lines]


def hint(look: Look) -> str:
    """Return which keys answer now, in one line."""
    stage, draft, step = stage_of(look.situation, look.draft), look.draft, look.situation.step
    if stage in (PENDING, HOLD):
        return "digit marks  Enter takes it"
    fixed = {
        CLOSED: "F10 leaves  F3 path",
        AWAY: "F8 back at the board",
        BLOCKED: "F3 path  F7 report  F11 more",
        SHUT: "F5 why  F3 path  F7 report",
        WAIT: "it counts down by itself",
        START: "Enter stamps the start",
        RUNNING: "Enter stamps the end",
    }
    if stage in fixed:
        return fixed[stage]
    assert step is not None
    passing = "  F11 not applicable" if step.not_applicable else ""
    if stage == READY:
        back = "  Up goes back" if draft.places else ""
        confirms = "the right line confirms" if look.demand.lines else f"{look.demand.digit} confirms"
        return f"{confirms if step.critical else 'Enter records'}{back}{passing}"
    place = draft.here
    assert place is not None
    enter = "Enter next" if len(draft.places) > 1 else "Enter takes it" if step.critical else "Enter records"
    return f"{screen_words.form_hint(place)}  {enter}{passing}"
