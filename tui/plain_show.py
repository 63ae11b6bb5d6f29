"""A situation as lines of text, in one order, for a screen reader, a serial console or a paper copy.

Must never: leave out a warning, shorten one, or put it behind the sentence that it belongs to.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.situation import Situation, StepView
from ferrule.tui import words
from ferrule.tui.origin_words import origin_lines, value_words
from ferrule.tui.summary_words import summary_lines
from ferrule.tui.time_words import next_words, wait_ends


def situation_lines(situation: Situation, job: Job, mode: str, now_ms: int) -> tuple[str, ...]:
    """Return everything that the screen would show, linearly."""
    card = job.card
    lines = [
        "",
        f"{words.MODE_WORDS[mode]}. {card.title}. Board {card.board}, way {card.way}.",
        f"Stage {situation.stage} of {situation.stages}: {situation.stage_title}. Limits: {situation.edition}.",
    ]
    step = situation.step
    if step is not None:
        section = f" Section {step.section}." if step.section else ""
        lines.append(f"{words.revision_words(step)}.{section} Step {step.number} of {step.count}.")
    lines += [f"  {line}" for line in words.safety_lines(situation, job, now_ms)]
    if situation.outstanding:
        lines.append("Still to be put right:")
        lines += [f"  {words.fact_words(f, situation.facts[f], job)}" for f in situation.outstanding]
    if situation.previous:
        lines.append(f"Before: {situation.previous}")
    if situation.why_here:
        lines.append(f"Why here: {situation.why_here}")
    lines += words.notice_lines(situation)
    lines += _now(situation, job, step)
    if situation.next:
        lines.append(f"Next: {next_words(situation)}")
    return tuple(lines)


def _now(situation: Situation, job: Job, step: StepView | None) -> list[str]:
    if step is None:
        end = f" Outcome: {situation.outcome}." if situation.outcome else ""
        return [f"No step is open.{end}"]
    lines = [*(summary_lines(job) if step.opening else ()), *map(words.warning_words, step.warnings)]
    if step.hazard:
        lines.append(f"Hazard of this act: {step.hazard}.")
    lines.append(f"NOW: {step.text}")
    if step.critical:
        lines.append("This cannot be taken back, or can injure.")
    if step.second_person:
        lines.append("A second person looks here; alone, the same person looks again.")
    if situation.missing:
        lines.append("The step is shut. It waits for:")
        lines += [f"  {words.missing_words(missing, job)}" for missing in situation.missing]
    if step.hold is not None:
        lines += words.hold_words(step.hold, job)
    if situation.pending is not None:
        lines.append(words.pending_words(situation))
    if step.wait is not None:
        lines.append(wait_ends(step.wait))
    if step.wait_left_ms:
        lines.append(f"To wait: {-(-step.wait_left_ms // 1000)} s.")
    lines.append(f"Name of the step: {step.where}")
    lines += ask_lines(step, situation)
    return lines


def ask_lines(step: StepView, situation: Situation) -> list[str]:
    """Return what is to be typed at this step."""
    if situation.pending is not None:
        return ["Type: settle pass, fail or again, because REASON."]
    if step.kind == "hold":
        name = step.hold.name if step.hold else ""
        return [f"Type: sign {name} as ROLE by PERSON."]
    lines = []
    if step.must_start:
        lines.append("Type “start” when the round begins; what was read is typed afterwards.")
    elif step.is_round and step.round_started_ms is not None and step.round_ended_ms is None:
        lines.append("The round has begun. Type “end” when it is over, then what was read.")
    typed = [cell for cell in step.cells if cell.kind != "computed"]
    computed = [cell for cell in step.cells if cell.kind == "computed"]
    lines += [f"Computed: {value_words(cell)}" for cell in computed]
    if not typed:
        lines.append("Type “done” when it is done.")
    lines += [*_places(typed), *origin_lines(typed)]
    if step.not_applicable:
        lines.append("This step may be answered: not applicable because REASON.")
    return lines


def _places(cells: Sequence[CellView]) -> list[str]:
    """Return each place once, with the points at which it is asked."""
    points = {cell.point: cell.point_name for cell in cells if cell.point}
    lines = []
    if points:
        named = ", ".join(f"{point} {name}".strip() for point, name in points.items())
        lines.append(f"Points, {len(points)}: {named}.")
    groups: dict[tuple[bool, str], list[CellView]] = {}
    for cell in cells:
        groups.setdefault((bool(cell.point), cell.cell), []).append(cell)
    for (at_points, name), group in groups.items():
        where = f"At each point, {name}: " if at_points else f"Once, {name}: " if points else ""
        where = where or (f"{name}: " if len(groups) > 1 else "")
        lines.append(f"{where}{_form(group[0])}")
        lines += _expected(group)
    return lines


def _form(cell: CellView) -> str:
    prompt = words.full_stop(cell.prompt)
    if cell.kind == "state":
        listed = "; ".join(f"{number} {seen}" for number, seen in enumerate(cell.states, 1))
        return f"{prompt} What is seen: {listed}."
    if cell.kind == "number":
        unit = f" in {unit_words(cell)}" if cell.unit else ""
        ends = [f"“above” for {cell.above}"] if cell.above else []
        ends += [f"“none” for {cell.below}"] if cell.below else []
        ends += ["“unstable”", "“not reached”"]
        return f"{prompt} A number{unit}, steps of {cell.resolution}; or {', '.join(ends)}. {cell.instrument}."
    if cell.kind == "match":
        return f"{prompt} Type what is read on the equipment itself."
    return f"{prompt} Words."


def unit_words(cell: CellView) -> str:
    """Return the unit of a place as it is written beside a number."""
    return UNITS[cell.unit].shown if cell.unit else ""


def _expected(group: Sequence[CellView]) -> list[str]:
    """Return what is expected and allowed, in one line where it is the same at every point."""
    lines = []
    for name, values in (
        ("Expected", [(cell.point, cell.expected) for cell in group]),
        ("Passes", [(cell.point, cell.limit) for cell in group]),
    ):
        found = {value for _, value in values if value}
        if len(found) == 1:
            lines.append(f"  {name}: {found.pop()}.")
        elif found:
            lines.append(f"  {name}: " + "; ".join(f"{point} {value}" for point, value in values if value) + ".")
    return lines


def prompt_words(cell: CellView) -> str:
    """Return the short prompt for one open place."""
    where = f"{cell.point} {cell.point_name}, ".lstrip() if cell.point else ""
    unit = f" ({unit_words(cell)})" if cell.unit else ""
    return f"{where}{cell.prompt}{unit}: "


def why_lines(step: StepView | None) -> tuple[str, ...]:
    """Return why the step is there and what says so."""
    if step is None:
        return ("No step is open.",)
    return (f"Why: {step.why or 'no reason is given.'}", f"Source: {step.source or 'none is given'}.")
