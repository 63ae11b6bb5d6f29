"""From what was typed to what it shows: every cell of a step parsed, judged and put into one answer word.

Figures and judgement are imported where a reading first needs them, so that a walk starts without them.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from ferrule.engine.electrics.limits import Outcome, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Check, Job, Step
from ferrule.engine.procedure.lists import card_words, function_of, points_of
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.safety.acts import ACTS, FAIL, INDICATOR, PASS, REFER, TRIPPED, VOLTS
from ferrule.engine.text import check_text
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import (
    AnswerError,
    Slot,
    inputs_of,
    instrument_for,
    judge_cell,
    reading_of,
    readings_of,
    slots_of,
)
from ferrule.engine.walk.doubts import Typed, refuse_doubtful
from ferrule.engine.walk.events import CellRecord
from ferrule.engine.walk.state import State

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Inputs
    from ferrule.engine.electrics.verdict import Verdict

_WORST_FIRST = (
    Outcome.FAIL,
    Outcome.OVER_RANGE,
    Outcome.UNSTABLE,
    Outcome.CONDITIONAL_FAIL,
    Outcome.NOT_MEASURED,
    Outcome.CONDITIONAL_PASS,
    Outcome.PASS,
)
_OWN_FIRST = (INDICATOR, VOLTS, TRIPPED)
"""A proof that failed decides before a voltage found: what such an indicator showed counts for nothing."""

_CLASS = {
    "pass": PASS,
    "done": PASS,
    "conditional-pass": REFER,
    "conditional-fail": REFER,
    "not-measured": REFER,
    "fail": FAIL,
    "over-range": FAIL,
    "unstable": FAIL,
}


@dataclass(frozen=True, slots=True)
class Evaluated:
    """All cells of a step as records, the answer word, and the answer class of each object."""

    cells: tuple[CellRecord, ...]
    checks: tuple[dict[str, object], ...]
    word: str
    by_point: Mapping[str, str]
    """Point to answer class, for an act that is done to each."""
    answer_class: str
    settle_alone: bool
    reads: tuple[str, ...]
    readings: Mapping[str, Reading]


def evaluate(job: Job, state: State, step: Step, command: c.Answer) -> Evaluated:
    """Return what the typed cells show; AnswerError when one cannot be taken or one is missing.

    DoubtError when a value is hard to believe and was not entered twice.
    """
    wanted = slots_of(job, step, state.facts)
    given = _given(wanted, command)
    readings = readings_of(state)
    taken: list[tuple[Slot, c.CellAnswer | None, Reading | None, Function | None, str]] = []
    for slot in wanted:
        answer = given.get((slot.point, slot.cell.id))
        reading, function, instrument = _read(job, slot, answer, command.at.on)
        if reading is not None and slot.key:
            readings[slot.key] = reading
        taken.append((slot, answer, reading, function, instrument))
    inputs = inputs_of(job, readings)
    typed = [Typed(slot, given, read) for slot, given, read, _, _ in taken if given is not None and read is not None]
    if typed:
        refuse_doubtful(inputs, typed, state.doubted)
    records = [_record(job, inputs, *each) for each in taken]
    checks = _checks(job, inputs, step)
    return _sum_up(job, step, wanted, records, checks, readings)


def _given(wanted: tuple[Slot, ...], command: c.Answer) -> dict[tuple[str, str], c.CellAnswer]:
    known = {(s.point, s.cell.id): s for s in wanted}
    given: dict[tuple[str, str], c.CellAnswer] = {}
    for answer in command.cells:
        key = (answer.point, answer.cell)
        if key not in known or key in given or known[key].cell.figure:
            raise AnswerError(f"There is no place for “{answer.cell}” at “{answer.point}”.", *key)
        given[key] = answer
    open_places = [s for s in wanted if (s.point, s.cell.id) not in given and not s.cell.figure]
    if open_places:
        named = ", ".join(f"{s.point_name or s.point} {s.cell.prompt}".strip() for s in open_places[:6])
        more = f" and {len(open_places) - 6} more" if len(open_places) > 6 else ""
        first = open_places[0]
        raise AnswerError(f"Still open: {named}{more}.", first.point, first.cell.id)
    return given


def _read(job: Job, slot: Slot, answer: c.CellAnswer | None, today: str) -> tuple[Reading | None, Function | None, str]:
    """Return the reading of a cell with the instrument that gave it; no reading for states and words."""
    cell = slot.cell
    if cell.figure or answer is None:
        return None, None, ""
    if not cell.function:
        if answer.form == c.NOT_REACHED or (answer.form == c.SEEN) == bool(cell.states):
            return None, None, ""
        raise AnswerError(f"“{cell.prompt}” is answered with what was seen.", slot.point, cell.id)
    if answer.form in (c.SEEN, c.WORDS):
        raise AnswerError(f"“{cell.prompt}” is answered with a reading.", slot.point, cell.id)
    instrument, function = instrument_for(job.card, cell.function, today, slot)
    return reading_of(job.card, slot, answer, function), function, instrument


def _record(
    job: Job,
    inputs: Inputs,
    slot: Slot,
    answer: c.CellAnswer | None,
    reading: Reading | None,
    function: Function | None,
    instrument: str,
) -> CellRecord:
    verdict: Verdict | None = None
    if slot.cell.figure:
        reading, outcome, verdict = _computed(job, inputs, slot)
    elif answer is not None and answer.form == c.UNSTABLE:
        outcome = Outcome.UNSTABLE.value
    elif reading is not None:
        verdict = judge_cell(job, inputs, slot, reading, function)
        outcome = verdict.outcome.value if verdict else Outcome.PASS.value
        if reading.value is None:
            outcome = Outcome.NOT_MEASURED.value
    else:
        outcome = _looked(job, slot, answer)
    if slot.cell.fails_as and outcome in (Outcome.FAIL, Outcome.OVER_RANGE):
        outcome = slot.cell.fails_as
    return CellRecord(
        slot.point,
        slot.cell.id,
        slot.key,
        answer.form if answer else "computed",
        answer.entered if answer else "",
        None if reading is None else dict(reading.to_json()),
        outcome,
        instrument,
        None if verdict is None else dict(verdict.to_json()),
    )


def _computed(job: Job, inputs: Inputs, slot: Slot) -> tuple[Reading | None, str, Verdict | None]:
    from ferrule.engine.electrics.figures import Unknown, compute

    figure = compute(slot.cell.figure, inputs, slot.point)
    if isinstance(figure, Unknown):
        return None, Outcome.NOT_MEASURED.value, None
    reading = Reading.measured(Decimal(figure.high), figure.unit)
    verdict = judge_cell(job, inputs, slot, reading, None)
    return reading, verdict.outcome.value if verdict else Outcome.PASS.value, verdict


def _looked(job: Job, slot: Slot, answer: c.CellAnswer | None) -> str:
    """Return the outcome of a state seen, of words that must match the card, or of free words."""
    if answer is None or answer.form == c.NOT_REACHED:
        return Outcome.NOT_MEASURED.value
    refused = check_text(answer.entered)
    if refused or not answer.entered.strip():
        raise AnswerError(refused or f"“{slot.cell.prompt}” is still empty.", slot.point, slot.cell.id)
    if slot.cell.states:
        for state in slot.cell.states:
            if state.seen == answer.entered:
                return state.answer
        raise AnswerError(f"“{answer.entered}” is not one of the states of this step.", slot.point, slot.cell.id)
    if slot.cell.matches:
        same = _same_words(answer.entered, card_words(job.card)[slot.cell.matches])
        return Outcome.PASS.value if same else Outcome.FAIL.value
    return Outcome.PASS.value


def _same_words(typed: str, wanted: str) -> bool:
    return "".join(typed.split()).casefold() == "".join(wanted.split()).casefold()


def _checks(job: Job, inputs: Inputs, step: Step) -> list[tuple[Verdict, bool]]:
    """Return the verdicts of the rows laid over readings of the round, at each of its points or once."""
    found: list[tuple[Verdict, bool]] = []
    points = ["", *(p.id for p in points_of(job, step.points))] if step.points else [""]
    for check in step.checks:
        row = job.limits.rows[check.judge]
        function = _function_behind(job, step, check.first)
        for point in points:
            verdict = _check(inputs, check, row, point, function)
            if verdict is not None:
                found.append((verdict, row.settle_alone))
    return found


def _check(inputs: Inputs, check: Check, row: Row, point: str, function: Function | None) -> Verdict | None:
    tail = f"/{point}" if point else ""
    first, second = inputs.readings.get(check.first + tail), inputs.readings.get(check.second + tail)
    if first is None or (second is None and check.second):
        return None
    from ferrule.engine.electrics.figures import compute
    from ferrule.engine.electrics.judge import judge

    return judge(
        first,
        row,
        figure_of=lambda name: compute(name, inputs, point),
        expected=compute(check.expect, inputs, point) if check.expect else None,
        other=second,
        function=function,
    )


def _function_behind(job: Job, step: Step, slot: str) -> Function | None:
    for cell in step.cells:
        if cell.slot == slot and cell.function:
            found = function_of(job.card, cell.function)
            return found[1] if found else None
    return None


def _sum_up(
    job: Job,
    step: Step,
    wanted: tuple[Slot, ...],
    records: list[CellRecord],
    checks: list[tuple[Verdict, bool]],
    readings: Mapping[str, Reading],
) -> Evaluated:
    act = ACTS.get(step.act)
    known = act.classes if act else frozenset((PASS, REFER, FAIL))
    words = [r.outcome for r in records] + [v.outcome.value for v, _ in checks]
    word = _worst(words) if words else "done"
    shared = _worst([v.outcome.value for v, _ in checks] + [r.outcome for r in records if not r.point])
    points: dict[str, list[str]] = {}
    for record in records:
        points.setdefault(record.point, []).append(record.outcome)
    by_point = {p: class_of(_worst([*found, shared]), known) for p, found in points.items() if p}
    doubtful = [
        _settles(job, s, r.outcome) for s, r in zip(wanted, records, strict=True) if class_of(r.outcome, known) == REFER
    ]
    doubtful += [
        alone and v.outcome != Outcome.CONDITIONAL_FAIL
        for v, alone in checks
        if class_of(v.outcome.value, known) == REFER
    ]
    reads = dict.fromkeys(
        [r.slot for r in records if r.slot]
        + [str(s) for r in records if r.verdict for s in r.verdict["reads"]]
        + [s for v, _ in checks for s in v.reads]
        + [s for check in step.checks for s in (check.first, check.second) if s in readings]
    )
    return Evaluated(
        tuple(records),
        tuple(dict(v.to_json()) for v, _ in checks),
        word,
        by_point,
        class_of(word, known),
        all(doubtful),
        tuple(reads),
        readings,
    )


def _settles(job: Job, slot: Slot, outcome: str) -> bool:
    """True when one person alone may settle this doubt; never a conditional fail (trade brief §11.1)."""
    row = job.limits.rows.get(slot.cell.judge)
    return outcome != Outcome.CONDITIONAL_FAIL and (row.settle_alone if row else bool(slot.cell.states))


def class_of(word: str, known: frozenset[str]) -> str:
    """Return the answer class of an answer word: its own where the act knows it, else pass, refer or fail."""
    return word if word in known else _CLASS.get(word, FAIL)


def _worst(words: list[str]) -> str:
    """Return the word that decides: an act's own class first (a failed proof before voltage), then worst first."""
    for own in (*_OWN_FIRST, *(w for w in words if w not in _CLASS)):
        if own in words:
            return own
    for outcome in _WORST_FIRST:
        if outcome.value in words:
            return outcome.value
    return Outcome.PASS.value
