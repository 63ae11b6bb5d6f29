"""Which picture goes with a step, made from the card, the situation and what is typed.

For: one key that shows it; a step without a picture has none.
Must never: show an expected value before its reading was entered, or where a step hides it before it was recorded.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from ferrule.engine.electrics.figure import Figure, Unknown
from ferrule.engine.electrics.model import Terminal
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import UNITS, convert
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import Slot, expected_of, inputs_of, readings_of, slots_of
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.state import State
from ferrule.tui.fact_words import value_words
from ferrule.tui.pictures.base import Picture, Signs, within
from ferrule.tui.pictures.pairs import Pairs
from ferrule.tui.pictures.profile import Bar, Profile
from ferrule.tui.pictures.ring import Ring, Socket
from ferrule.tui.pictures.terminals import Screw, Terminals
from ferrule.tui.pictures.toggle import Toggle
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.has_picture import (
    ALONG,
    CROSSES,
    LANDING,
    LEAST_POINTS,
    OLD_LANDING,
    PRESSES,
    PROVING,
    RING_ROUNDS,
    is_round_the_ring,
)

LOGARITHMIC = ("insulation 250", "insulation 500", "loop")
"""Functions whose readings run over powers of ten."""
_RING_ROWS = 8
_FORM_OF = {CellState.OVER_RANGE: c.ABOVE, CellState.UNDER_RANGE: c.BELOW, CellState.NOT_MEASURED: c.NOT_REACHED}


@dataclass(frozen=True, slots=True)
class Both:
    """The ring with its profile below it; in a low room the one that tells more."""

    ring: Ring
    profile: Profile

    def draw(self, cells: int, rows: int, signs: Signs) -> tuple[str, ...]:
        """Return both where there is room for both."""
        ring = self.ring.draw(cells, _RING_ROWS + 3, signs)
        if rows - len(ring) >= _RING_ROWS:
            return (*ring, "", *self.profile.draw(cells, min(rows - len(ring) - 1, 12), signs))
        if any(bar.filled for bar in self.profile.bars):
            return self.profile.draw(cells, rows, signs)
        return within(ring, cells, rows, signs)


@dataclass(frozen=True, slots=True)
class Entered:
    """What stands in a place: its form, and its number where it has one."""

    form: str
    text: str
    value: Decimal | None


def picture_of(job: Job, state: State, draft: Draft) -> Picture | None:
    """Return the picture of the step on screen, or None where it has none."""
    job = amended_job(job, state.amendments)
    step = step_at(job, state.step)
    if step is None:
        return None
    if step.act == PROVING:
        return _pairs(job, state, step, draft)
    if step.act in (*LANDING, *OLD_LANDING):
        return _terminals(job, state, step, draft)
    if step.act in PRESSES:
        return _toggle(job, state, step, draft)
    if is_round_the_ring(job, state, step):
        return _ring(job, state, step, draft)
    profile = _profile(job, state, step, draft, typed=True) if step.points in ALONG else None
    return profile if profile is not None and len(profile.bars) >= LEAST_POINTS else None


def _typed(draft: Draft) -> dict[tuple[str, str], Entered]:
    """Return what is entered in the places so far; a place that is still being typed is open."""
    found = {}
    for place, form, line in zip(draft.places, draft.forms, draft.lines, strict=True):
        if form:
            found[place.point, place.cell] = Entered(form, line.text, _number(line.text) if form == c.NUMBER else None)
    return found


def _number(text: str) -> Decimal | None:
    try:
        return Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        return None


def _here(draft: Draft) -> tuple[str, str] | None:
    return (draft.here.point, draft.here.cell) if draft.here is not None else None


# --- readings along the circuit ---


def _cross(state: State) -> str:
    """Return the cross that is recorded as fitted, empty where none is."""
    return next((link for link in CROSSES if state.facts.get(f"link:{link}") == "fitted"), "")


def _ring(job: Job, state: State, step: Step, draft: Draft) -> Picture:
    cross = step.of if step.of in CROSSES else _cross(state)
    if not cross and step.act in RING_ROUNDS:
        cross = RING_ROUNDS[step.act]
    taken = step if step.act in RING_ROUNDS else _round_of(job, cross)
    profile = _profile(job, state, taken, draft, typed=taken is step) if taken is not None else None
    bars = profile.bars if profile is not None else ()
    crossed = state.facts.get(f"link:{cross}") == "fitted"
    by_id = {bar.id: bar for bar in bars}
    sockets = tuple(
        Socket(p.id, p.spur_from, p.id in by_id and by_id[p.id].filled, p.id in by_id and by_id[p.id].here)
        for p in job.card.circuit.points
    )
    where = f"{job.card.circuit.name}, {job.card.board} way {job.card.way}"
    other = "earth" if "earth" in cross else "neutral"
    ring = Ring(f"Ring: {where}", other, crossed, sockets)
    return ring if profile is None or len(bars) < LEAST_POINTS else Both(ring, profile)


def _round_of(job: Job, cross: str) -> Step | None:
    """Return the round that is read with a cross fitted."""
    acts = [act for act, needs in RING_ROUNDS.items() if needs == cross and cross]
    steps = (step for procedure in job.procedures.values() for step in procedure.steps)
    return next((step for step in steps if step.act in acts), None)


def _profile(job: Job, state: State, step: Step, draft: Draft, *, typed: bool) -> Profile | None:
    """Return what is read at each point of a round, typed at this step or as recorded; None where nothing is."""
    here = _here(draft) if typed else None
    cell = _cell_at(step, here)
    if cell is None or not step.points:
        return None
    entered = _typed(draft) if typed else {}
    slots = [s for s in slots_of(job, step) if s.cell.id == cell.id and s.point]
    inputs = None if typed and step.hidden else inputs_of(job, readings_of(state))
    unit, bars = _unit_of(job, cell), []
    for slot in slots:
        found = entered.get((slot.point, cell.id)) if typed else _recorded(state, slot)
        figure = expected_of(inputs, slot) if found is not None and inputs is not None else None
        is_here = here is not None and here[0] == slot.point and found is None
        value = found.value if found is not None else None
        bars.append(Bar(slot.point, value, _form(found), _ends(figure, unit), is_here))
    shown = UNITS[unit].shown if unit else ""
    return Profile(f"{cell.prompt}, from leg 1 on", shown, tuple(bars), cell.function in LOGARITHMIC)


def _cell_at(step: Step, here: tuple[str, str] | None) -> Cell | None:
    """Return the reading with the cursor, else the first that is taken at every point."""
    read = [cell for cell in step.cells if cell.function and not cell.once]
    at = [cell for cell in read if here is not None and cell.id == here[1]]
    return next(iter([*at, *read]), None)


def _unit_of(job: Job, cell: Cell) -> str:
    found = function_of(job.card, cell.function)
    return found[1].unit if found is not None else ""


def _ends(figure: Figure | Unknown | None, unit: str) -> tuple[Decimal, Decimal] | None:
    if not isinstance(figure, Figure) or not unit:
        return None
    return convert(figure.low, figure.unit, unit), convert(figure.high, figure.unit, unit)


def _form(found: Entered | None) -> str:
    return "" if found is None or found.value is not None else found.form


def _recorded(state: State, slot: Slot) -> Entered | None:
    kept = state.readings.get(slot.key)
    if kept is None:
        return None
    reading: Reading = kept.reading
    form = _FORM_OF.get(reading.state, c.NUMBER)
    return Entered(form, reading.entered, reading.value if form == c.NUMBER else None)


# --- pairs, screws, toggle ---


def _pairs(job: Job, state: State, step: Step, draft: Draft) -> Picture:
    slots = [s for s in slots_of(job, step, state.facts) if s.cell.function and s.point]
    points = tuple(dict.fromkeys((s.point, s.point_name) for s in slots))
    pairs = tuple(dict.fromkeys((s.cell.id, s.cell.slot.rpartition("/")[2] or s.cell.id) for s in slots))
    entered = {key: (x.form, x.text) for key, x in _typed(draft).items() if any(key[1] == p for p, _ in pairs)}
    unit = _unit_of(job, slots[0].cell) if slots else ""
    shown = UNITS[unit].shown if unit else ""
    return Pairs("Every pair at every point, as the display showed it", shown, points, pairs, entered, _here(draft))


def _terminals(job: Job, state: State, step: Step, draft: Draft) -> Picture:
    old = step.act in OLD_LANDING
    device, listed = job.card.device, job.card.old_terminals if old else job.card.device.terminals
    family, typed, here = "old terminal" if old else "terminal", _typed(draft), _here(draft)
    screws = []
    for terminal in listed:
        value = state.facts.get(f"{family}:{terminal.id}", "loose")
        places = [p for p in draft.places if p.point == terminal.id]
        filled = sum((p.point, p.cell) in typed for p in places)
        at = here is not None and here[0] == terminal.id
        words = value_words(family, value)
        screws.append(Screw(terminal.name, _torque(terminal), terminal.part, value, words, filled, len(places), at))
    marks = f"{device.curve} {plain(device.rating_a)} A, {plain(device.residual_ma)} mA"
    title = f"Screws of {job.card.board} way {job.card.way}"
    return Terminals(title, "old device" if old else marks, tuple(screws))


def _torque(terminal: Terminal) -> str:
    if terminal.nominal_nm is not None:
        return f"{plain(terminal.nominal_nm)} N·m"
    ends = [plain(end) for end in (terminal.low_nm, terminal.high_nm) if end is not None]
    return f"{' to '.join(ends)} N·m" if ends else ""


def _toggle(job: Job, state: State, step: Step, draft: Draft) -> Picture:
    typed, device = _typed(draft), job.card.device
    said, place = [], {"on": "on", "old on": "on", "off": "off"}.get(state.facts.get("device", ""), "")
    held = PRESSES[step.act]
    for view in draft.places:
        found = typed.get((view.point, view.cell))
        unit = UNITS[view.unit].shown if view.unit else ""
        answer = "open" if found is None else f"{found.text or found.form} {unit if found.value is not None else ''}"
        said.append(f"{view.prompt}: {answer}".rstrip())
        if found is not None and found.form == c.SEEN:
            seen = _place_in(found.text)
            place, held = seen or place, held and not seen
    marks = f"{device.curve} {plain(device.rating_a)} A"
    return Toggle("The device from the front", marks, place, held, tuple(said))


def _place_in(words: str) -> str:
    """Return the place of a toggle that a state names; empty where it names none."""
    return "tripped" if "tripped" in words else "on" if words.endswith("at on") else ""
