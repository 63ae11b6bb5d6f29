"""The far view: the step's number, what to do, what is typed and what was found, large enough for two metres.

Must never: record anything, since no warning can be read whole in it; or say what a conductor is now.
"""

from __future__ import annotations

from textual.geometry import Size

from ferrule.engine.safety.facts import ZONES
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words, words
from ferrule.tui.pictures.base import ASCII, BOX, Signs
from ferrule.tui.pictures.letters import large, plainly, set_in_lines, tall, wide
from ferrule.tui.screens import entry, stages
from ferrule.tui.screens.areas import Area
from ferrule.tui.screens.draft import FORM_WORDS
from ferrule.tui.signs import is_ascii
from ferrule.tui.widgets.paint import Block
from ferrule.tui.widgets.text import content, cut

_AROUND = 4
"""Rows that stay in sight above and below: head, hint and key line."""
_FEW = 5
"""Large lines below which what was found stands in the terminal's own letters."""


def far_area(look: stages.Look, now_ms: int, size: Size) -> Area:
    """Return the far view for a window, of which head, hint and key line keep their rows."""
    lines = far_lines(look, now_ms, size.width - 2, size.height - _AROUND, ASCII if is_ascii() else BOX)
    return Area((Block("far", "page", content(("\n".join(lines), "bold")), pad=1),))


def far_lines(look: stages.Look, now_ms: int, cells: int, height: int, signs: Signs) -> tuple[str, ...]:
    """Return the far view in at most so many rows, none of them wider than the cells."""
    room = height // tall(signs)
    found = plainly(_found(look.situation, now_ms))
    few = room < _FEW
    if few:
        room = (height - 1) // tall(signs)
    safety = () if few else set_in_lines(found, cells, 2)
    value = set_in_lines(plainly(_value(look, cells)), cells, 1)
    first = set_in_lines(plainly(_first(look.situation, cells)), cells, 2)
    left = max(0, room - len(first) - len(value) - len(safety))
    step = look.situation.step
    text = set_in_lines(plainly(step.text if step is not None else "Nothing is open here."), cells, left)
    drawn = [row for line in (*first, *text, *value, *safety) for row in large(line, signs)]
    if few:
        drawn.append(cut(found, cells))
    return tuple(drawn[:height])


def _first(situation: Situation, cells: int) -> str:
    """Return the place in the procedure, and the worst signal word of the step."""
    step = situation.step
    if step is None:
        return "NOW"
    place = f"NOW {step.number}/{step.count}"
    signals = [
        words.SEVERITY_WORDS.get(w.severity, w.severity.upper()) for w in step.warnings if w.severity != words.NOTICE
    ]
    if not signals:
        return f"{place} ! HAZARD" if step.hazard else place
    worst = max(signals, key=lambda signal: signal.count("!"))
    spelled = f"{place} {worst}"
    return spelled if wide(plainly(spelled)) <= cells else f"{place} {worst.partition(' ')[0]}"


def _found(situation: Situation, now_ms: int) -> str:
    """Return what was found, and that nothing is to be touched where that is not enough."""
    if situation.stopped:
        return screen_words.FAR_STOPPED
    proof = situation.proof
    if proof is None or any(situation.facts.get(f"zone:{zone}") != "proved" for zone in ZONES):
        return screen_words.FAR_SHUT
    return screen_words.FAR_FOUND.format(ago=words.ago(proof.at_ms, now_ms))


def _value(look: stages.Look, cells: int) -> str:
    """Return what is typed or counted at the step."""
    situation, draft = look.situation, look.draft
    stage = stages.stage_of(situation, draft)
    step = situation.step
    if stage == stages.WAIT and step is not None:
        return screen_words.wait_words(step.wait_left_ms)
    if stage == stages.PENDING and situation.pending is not None:
        return words.outcome_words(situation.pending.word)
    fixed = {stages.AWAY: "away", stages.SHUT: "shut", stages.CLOSED: situation.outcome}
    if stage in fixed:
        return fixed[stage]
    if stage not in (stages.FILL, stages.READY) or not draft.places:
        return ""
    at = min(draft.at, len(draft.places) - 1)
    typed = _typed(look, at, stage == stages.FILL)
    asked = f"{draft.places[at].prompt}: {typed or '?'}"
    return asked if not typed or (len(draft.places) > 1 and wide(plainly(asked)) <= cells) else typed


def _typed(look: stages.Look, at: int, open_here: bool) -> str:
    draft, place = look.draft, look.draft.places[at]
    form, line = draft.forms[at], draft.lines[at]
    where = f"{place.point} " if place.point else ""
    if form in FORM_WORDS:
        return f"{where}{entry.form_value(place, form)}"
    if place.kind == "state":
        return f"{where}{line.text}" if form else ""
    typed = entry.with_cursor(line, 12) if open_here and not form else line.text
    return f"{where}{typed} {screen_words.unit_shown(place)}".rstrip()
