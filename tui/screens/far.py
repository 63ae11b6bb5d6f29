"""The far view: the step's number, what to do, what is typed and what was found, large enough for two metres.

Must never: record anything, since no warning can be read whole in it; or say what a conductor is now.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import RenderResult
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget

from ferrule.engine.safety.facts import ZONES
from ferrule.engine.walk.situation import Situation
from ferrule.tui import screen_words, words
from ferrule.tui.pictures.base import ASCII, BOX, Signs
from ferrule.tui.pictures.letters import large, plainly, set_in_lines, tall, wide
from ferrule.tui.screens import entry, stages
from ferrule.tui.screens.draft import FORM_WORDS
from ferrule.tui.signs import is_ascii
from ferrule.tui.widgets.text import cut, rows

_AROUND = 4
"""Rows that stay in sight above and below: head, hint and key line."""
_FEW = 5
"""Large lines below which what was found stands in the terminal's own letters."""


class FarArea(Widget):
    """The step in large letters, over what stands between head and hint."""

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Without bars nothing has to be laid out again when the text grows."""
    DEFAULT_CSS = "FarArea { layer: far; position: absolute; offset: 0 2; width: 100%; padding: 0 1; }"

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._lines: tuple[str, ...] = ()

    def show(self, look: stages.Look, now_ms: int, size: Size) -> None:
        """Show a step and what is typed for it; what has not changed is not painted again."""
        height = size.height - _AROUND
        lines = far_lines(look, now_ms, size.width - 2, height, ASCII if is_ascii() else BOX)
        self.styles.height = height
        if lines != self._lines:
            self._lines = lines
            self.refresh()

    def render(self) -> RenderResult:
        """Return the letters as they were drawn for the window."""
        return rows(self._lines)


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


def turned(area: Sequence[FarArea], on: bool) -> bool:
    """Show or hide the area where it is mounted; True when it has to be mounted first."""
    for far in area:
        far.display = on
    return on and not area
