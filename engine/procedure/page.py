"""One procedure as a page to read: every step with its act, needs, answers, bands and reasons, in words.

For: who reads or approves a procedure before anybody walks it.
Must never: hide that a procedure is a draft, or add a need, an effect or a band that no table holds.

What an act needs and changes comes from the table of acts, bands from the limits, and both are put into words by a
`Wording` that the interface brings, so that a page and the walk say the same thing in the same words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from ferrule.engine.electrics.limits import Compares, Guard, LimitsSet
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Cell, Check, Procedure, Step, Warned
from ferrule.engine.procedure.page_words import (
    KIND_WORDS,
    band_words,
    by_target,
    figure_words,
    standing_words,
    when_words,
)
from ferrule.engine.procedure.words import FUNCTIONS
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER, Act
from ferrule.engine.safety.holds import HOLD_POINTS

_CLASS_WORDS: Mapping[str, str] = {PASS: "when it passes", REFER: "when it is doubtful", FAIL: "when it fails"}

_TARGET_WORDS: Mapping[str, str] = {
    "end": "the procedure ends",
    "ask": "wait for a decision",
    "stop": "work is stopped",
    "again": "do this step again",
}


@dataclass(frozen=True, slots=True)
class Wording:
    """How the interface says a fact with its values, and a warning."""

    fact: Callable[[str, tuple[str, ...], str], str]
    """Given the fact of the table (`source:*`, `lock:{of}`), its values, and the object or `each`."""
    warning: Callable[[Warned], str]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a part; a detail stands under the line before it."""

    text: str
    detail: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A named part of a page or of a step."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class StepPage:
    """One step as it is read: warnings first, then the sentence, then what stands behind it."""

    number: int
    id: str
    section: str
    kind: str
    text: str
    critical: bool
    warnings: tuple[str, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """A procedure as a page."""

    title: str
    standing: str
    """Id, revision, and whether it is approved."""
    parts: tuple[Part, ...]
    steps: tuple[StepPage, ...]


def page_of(
    procedure: Procedure, procedures: Mapping[str, Procedure], limits: LimitsSet | None, wording: Wording
) -> Page:
    """The page of a procedure; other procedures give the titles of where answers lead."""
    parts = [
        _part("Purpose", procedure.purpose),
        _part("Scope", procedure.scope),
        _part("Before", *procedure.prerequisites),
        _part("Limits", f"{limits.title} ({limits.edition})" if limits else ""),
    ]
    around = _Around(procedure, procedures, limits, wording)
    told: set[str] = set()
    steps = tuple(_step_page(number, step, around, told) for number, step in enumerate(procedure.steps, 1))
    standing = f"{procedure.id}, revision {procedure.revision}, {standing_words(procedure)}"
    return Page(procedure.title, standing, tuple(part for part in parts if part.lines), steps)


def _part(name: str, *texts: str) -> Part:
    return Part(name, tuple(Line(text) for text in texts if text))


@dataclass(frozen=True, slots=True)
class _Around:
    """What stands around the steps of a page."""

    procedure: Procedure
    procedures: Mapping[str, Procedure]
    limits: LimitsSet | None
    wording: Wording


def _step_page(number: int, step: Step, around: _Around, told: set[str]) -> StepPage:
    parts = [
        _part("Only where", when_words(step.when)),
        _part("At", _points_words(step)),
        *_act_parts(step, around.wording),
        _part("Wait", _wait_words(step)),
        Part("Answer", tuple(_answer_lines(step, around.limits, told))),
        _part("Leads", *leads_words(step, around.procedure, around.procedures)),
        _part("Ends", f"the log is closed: {step.outcome}" if step.outcome else ""),
        _part("Why", step.why),
        _part("Source", step.source),
    ]
    warnings = tuple(around.wording.warning(warned) for warned in step.warnings)
    kept = tuple(part for part in parts if part.lines)
    kind = KIND_WORDS[step.kind]
    return StepPage(number, step.id, step.section, kind, step.text, step.critical, warnings, kept)


def _points_words(step: Step) -> str:
    if not step.points:
        return ""
    return f"the {step.points}" if step.points.endswith(" point") else f"each of the {step.points}"


def _wait_words(step: Step) -> str:
    if not step.minutes:
        return ""
    return f"{step.minutes} min" if step.minutes.isdigit() else f"as long as the card says for the {step.minutes}"


# --- the act ---


def _act_parts(step: Step, wording: Wording) -> Iterator[Part]:
    act = ACTS.get(step.act)
    if act is None:
        return
    of = "" if not step.of else f", each {act.object}" if step.of == "each" else f", {step.of}"
    yield _part("Act", f"{act.name}{of}", *_act_notes(act))
    yield _part("Needs", *(wording.fact(need.fact, need.values, step.of) for need in act.needs))
    yield _part("Changes", *_changes(act, step.of, wording))
    yield _part("Makes void", ", ".join(act.voids))
    yield Part("Signed by", tuple(_signed(act)))


def _act_notes(act: Act) -> Iterator[str]:
    if act.critical:
        yield "CRITICAL: it cannot be undone, or it can injure."
    if act.touches:
        yield f"A hand is in: {', '.join(act.touches)}."
    if act.live:
        yield "Done on or beside live parts."
    if act.hazard:
        yield f"Hazard: {act.hazard}."
    if act.makes_safe:
        yield "Stays open after work was stopped."


def _changes(act: Act, of: str, wording: Wording) -> Iterator[str]:
    for word, effects in act.effects.items():
        said = "; ".join(wording.fact(effect.fact, (effect.value,), of) for effect in effects)
        yield f"{_CLASS_WORDS.get(word, f'when the answer is {word}')}: {said}"


def _signed(act: Act) -> Iterator[Line]:
    hold = next((h for h in HOLD_POINTS.values() if act.name == f"release hold point {h.name}"), None)
    if hold is not None:
        yield Line(f"working alone: {', '.join(hold.alone)}")
        yield Line(f"supervised: {', '.join(hold.supervised)}")
        if hold.may_be_by_telephone:
            yield Line("may be released by telephone, with the words read back")


# --- what is answered ---


def _answer_lines(step: Step, limits: LimitsSet | None, told: set[str]) -> Iterator[Line]:
    for cell in step.cells:
        yield Line(_cell_words(cell))
        if cell.when:
            yield Line(f"only where {when_words(cell.when)}", detail=True)
        yield from (Line(f"{state.seen}: {state.answer}", detail=True) for state in cell.states)
        if cell.expect:
            hidden = ", not shown before the entry" if step.hidden else ""
            yield Line(f"expected: {figure_words(cell.expect)}{hidden}", detail=True)
        yield from _row_lines(cell.judge, limits, told)
        if cell.fails_as:
            yield Line(f"a fail counts as: {cell.fails_as}", detail=True)
    for check in step.checks:
        yield from _check_lines(check, limits, told)
    if step.not_applicable:
        yield Line("May be answered as not applicable, with a reason.")


def _cell_words(cell: Cell) -> str:
    said = [cell.prompt.rstrip(".")]
    if cell.function:
        said.append(f"in {UNITS[FUNCTIONS[cell.function]].shown}, read with {cell.function}")
    if cell.matches:
        said.append(f"typed as read on the equipment, must equal the card's {cell.matches}")
    if cell.words:
        said.append("in own words, not judged")
    if cell.figure:
        said.append(f"worked out: {figure_words(cell.figure)}, nothing is typed")
    if cell.slot:
        said.append(f"kept as {cell.slot}")
    if cell.once:
        said.append("once, at the end of the round")
    return "; ".join(said)


def _check_lines(check: Check, limits: LimitsSet | None, told: set[str]) -> Iterator[Line]:
    pair = f"{check.first} and {check.second}" if check.second else f"{check.first} with what is expected"
    expected = f"; expected: {figure_words(check.expect)}" if check.expect else ""
    yield Line(f"Compared: {pair}{expected}")
    yield from _row_lines(check.judge, limits, told)


def _row_lines(name: str, limits: LimitsSet | None, told: set[str]) -> Iterator[Line]:
    """The limit with its bands where it is named first on a page; further on only its name."""
    if not name:
        return
    row = limits.rows.get(name) if limits else None
    if limits is None or row is None or name in told:
        yield Line(f"judged by the limit {name}{', as above' if name in told else ''}", detail=True)
        return
    told.add(name)
    compares = "" if row.compares is Compares.VALUE else f", its {row.compares}"
    unit = f" in {UNITS[row.unit].shown}" if UNITS[row.unit].shown else ""
    yield Line(f"judged by the limit {name}: {row.title}{unit}{compares}", detail=True)
    for band in row.bands:
        yield Line(f"{band.outcome}: {band_words(band, limits.settings)}", detail=True)
    if row.guard is not Guard.NONE:
        yield Line(f"decided with the instrument's {row.guard}", detail=True)
    if row.settle_alone:
        yield Line("a person working alone may settle a doubtful one", detail=True)
    basis = "" if row.basis in row.source else f" ({row.basis})"
    yield Line(f"limit from: {row.source}{basis}", detail=True)


# --- where it leads ---


def leads_words(step: Step, procedure: Procedure, procedures: Mapping[str, Procedure]) -> Iterator[str]:
    """One phrase for each place that answers lead to: the answers, then the place."""
    for target, words in by_target(step).items():
        yield f"{', '.join(words)}: {_target_words(target, step, procedure, procedures)}"


def _target_words(target: str, step: Step, procedure: Procedure, procedures: Mapping[str, Procedure]) -> str:
    kind, _, name = target.partition(":")
    if kind == "step":
        number = next((at for at, other in enumerate(procedure.steps, 1) if other.id == name), 0)
        return f"step {number}"
    if kind == "procedure":
        other = procedures.get(name)
        return f"the procedure {name}{f', {other.title}' if other else ''}"
    if target == "next":
        return "the procedure ends" if step.id == procedure.steps[-1].id else "go on"
    return _TARGET_WORDS[target]
