"""`ferrule expect JOB`: the whole sheet of expected readings and limits of a job, before anything is read.

For: the electrician who wants to know what each reading should be, as a table or as JSON.
Must never: judge a reading, or fill in a value that the card does not give.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from pathlib import Path
from typing import TextIO

from ferrule.engine.electrics.figures import Figure, Inputs, Unknown, compute
from ferrule.engine.electrics.laying import lay
from ferrule.engine.electrics.limits import Compares, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.electrics.uncertainty import plausible
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Check, Job, Procedure, Step
from ferrule.engine.procedure.lists import function_of, points_of
from ferrule.engine.quantity.exact import EXACT, plain, shown
from ferrule.engine.quantity.interval import Interval, describe
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.quantity.units import UNITS, convert
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.engine.text import visible
from ferrule.engine.walk.cells import Slot, inputs_of, readings_of, slots_of
from ferrule.engine.walk.place import holds
from ferrule.tui.walk_command import find_log

SHOWN = 0
_FINE = Decimal("0.001")
"""The step that a figure is shown in where no instrument reads it."""
_FINEST = Decimal("0.0001")
"""The step that a limit is shown in; `--json` has it exact."""


@dataclass(frozen=True, slots=True)
class Line:
    """One place of the sheet: what is read, what to expect, and what passes."""

    procedure: str
    step: str
    cell: str
    """The cell's id, or the limits row of a check between readings."""
    what: str
    point: str
    point_name: str
    key: str
    """Where the reading is kept; empty for a check."""
    unit: str
    low: Decimal | None
    high: Decimal | None
    rounded: str
    """What to expect to the instrument's digit; empty where nothing is expected."""
    unknown: str
    """Why the expected value or the limit is not known; empty when it is."""
    believable: str
    passes: tuple[Interval, ...]
    """What passes, exact; over the reading, or over its difference or ratio as `compares` says."""
    limit_unit: str
    compares: str
    guard: str
    row: str
    source: str
    assumed: tuple[str, ...]

    def to_json(self) -> dict[str, object]:
        """The line as texts; numbers are decimal strings."""
        expected = None
        if self.low is not None and self.high is not None:
            expected = {"low": plain(self.low), "high": plain(self.high), "unit": self.unit, "rounded": self.rounded}
        return {
            "procedure": self.procedure,
            "step": self.step,
            "cell": self.cell,
            "what": self.what,
            "point": self.point,
            "point_name": self.point_name,
            "key": self.key,
            "unit": self.unit,
            "expected": expected,
            "unknown": self.unknown or None,
            "believable": self.believable or None,
            "passes": [
                {
                    "low": _end(stretch.low),
                    "low_belongs": stretch.low_closed,
                    "high": _end(stretch.high),
                    "high_belongs": stretch.high_closed,
                    "unit": self.limit_unit,
                }
                for stretch in self.passes
            ],
            "compares": self.compares or None,
            "guard": self.guard or None,
            "row": self.row or None,
            "source": self.source,
            "assumed": list(self.assumed),
        }


def run_expect(name: str, folders: Folders, *, as_json_text: bool, out: TextIO) -> int:
    """Write the sheet of a card or of a log as it stands; return the exit code."""
    job, readings = _job(name, folders)
    lines = tuple(sheet(job, readings))
    if as_json_text:
        head = {"job": job.card.id, "title": job.card.title, "limits": job.limits.id, "edition": job.limits.edition}
        out.write(json.dumps({**head, "lines": [line.to_json() for line in lines]}, ensure_ascii=True, indent=1) + "\n")
        return SHOWN
    for text in table(job, lines):
        out.write(f"{visible(text)}\n")
    return SHOWN


def _job(name: str, folders: Folders) -> tuple[Job, Mapping[str, Reading]]:
    """The job of a card with no reading taken, or of a log with the readings that stand in it."""
    log = find_log(name, folders)
    if log is None:
        return find_job(name, folders).job, {}
    replay = open_replay(Path(log), folders)
    state = replay.last.state
    return amended_job(replay.job, state.amendments), readings_of(state)


def sheet(job: Job, readings: Mapping[str, Reading]) -> Iterator[Line]:
    """Yield every place of the job's procedures where something is expected or judged, in the order of the plan."""
    inputs = inputs_of(job, readings)
    for procedure in _procedures(job):
        for step in procedure.steps:
            if not holds(step.when, job.card_facts):
                continue
            for slot in slots_of(job, step):
                if slot.cell.expect or slot.cell.judge or slot.cell.figure:
                    yield _slot_line(job, inputs, procedure, step, slot)
            for check in step.checks:
                yield from _check_lines(job, inputs, procedure, step, check)


def _procedures(job: Job) -> Iterable[Procedure]:
    """The procedures in the order of the plan: goals that apply, then what supplies them, then the rest."""
    goals = (goal for goal in (*job.plan.goals, *job.plan.suppliers) if holds(goal.when, job.card_facts))
    ruled_out = {goal.by for goal in (*job.plan.goals, *job.plan.suppliers) if not holds(goal.when, job.card_facts)}
    wanted = dict.fromkeys(goal.by for goal in goals)
    rest = (name for name in job.procedures if name not in wanted and name not in ruled_out)
    return [job.procedures[name] for name in (*wanted, *rest) if name in job.procedures]


def _slot_line(job: Job, inputs: Inputs, procedure: Procedure, step: Step, slot: Slot) -> Line:
    cell = slot.cell
    owner = function_of(job.card, cell.function) if cell.function else None
    name = cell.expect or cell.figure
    figure = compute(name, inputs, slot.point) if name else None
    row = job.limits.rows.get(cell.judge)
    where = (procedure.id, step.id, cell.id, cell.prompt.rstrip("."), slot.point, slot.point_name, slot.key)
    return _line(where, figure, row, inputs, slot.point, owner[1] if owner else None)


def _check_lines(job: Job, inputs: Inputs, procedure: Procedure, step: Step, check: Check) -> Iterator[Line]:
    """Yield the lines of a row that is laid over readings of the round: at each point where its reading has one."""
    row = job.limits.rows[check.judge]
    first = next((cell for cell in step.cells if cell.slot == check.first), None)
    each = bool(step.points) and first is not None and not first.once
    for point, name in [(p.id, p.name) for p in points_of(job, step.points)] if each else [("", "")]:
        figure = compute(check.expect, inputs, point) if check.expect else None
        words = " and ".join(slot for slot in (check.first, check.second) if slot)
        where = (procedure.id, step.id, check.judge, f"{row.title}: {words}", point, name, "")
        owner = function_of(job.card, first.function) if first is not None and first.function else None
        yield _line(where, figure, row, inputs, point, owner[1] if owner else None)


def _line(
    where: tuple[str, str, str, str, str, str, str],
    figure: Figure | Unknown | None,
    row: Row | None,
    inputs: Inputs,
    point: str,
    function: Function | None,
) -> Line:
    unit = function.unit if function else figure.unit if isinstance(figure, Figure) else row.unit if row else "1"
    low, high, rounded, believable = None, None, "", ""
    unknown = figure.reason if isinstance(figure, Unknown) else ""
    sources = [row.source if row.basis in row.source else f"{row.source} ({row.basis})"] if row else []
    assumed: tuple[str, ...] = ()
    if isinstance(figure, Figure):
        low, high = (convert(end, figure.unit, unit) for end in (figure.low, figure.high))
        rounded = _shown(low, high, function)
        believable = _believable(low, high, function)
        sources.append(figure.source)
        assumed = figure.assumed
    passing = _passing(row, inputs, point)
    return Line(
        *where,
        unit=unit,
        low=low,
        high=high,
        rounded=rounded,
        unknown=unknown or passing.unknown,
        believable=believable,
        passes=passing.stretches,
        limit_unit=row.unit if row else "",
        compares=row.compares.value if row else "",
        guard=row.guard.value if row else "",
        row=row.id if row else "",
        source="; ".join(dict.fromkeys((*sources, *passing.sources))),
        assumed=assumed,
    )


def _shown(low: Decimal, high: Decimal, function: Function | None) -> str:
    step = function.resolution if function else _FINE
    first, last = shown(low, step), shown(high, step)
    return first if first == last else f"{first} to {last}"


def _believable(low: Decimal, high: Decimal, function: Function | None) -> str:
    """Between which numbers a reading is believable at all; another question than the limit."""
    if function is None or low <= 0:
        return ""
    least, most = plausible(low).low, plausible(high).high
    if least is None or most is None:
        return ""
    return f"{shown(least, function.resolution)} to {shown(most, function.resolution)}"


@dataclass(frozen=True, slots=True)
class Passing:
    """What passes by a row: the stretches of numbers, or why they are not known yet."""

    stretches: tuple[Interval, ...] = ()
    unknown: str = ""
    sources: tuple[str, ...] = ()


def _passing(row: Row | None, inputs: Inputs, point: str) -> Passing:
    if row is None:
        return Passing()
    laid = lay(row, lambda name: compute(name, inputs, point))
    if isinstance(laid, Unknown):
        return Passing(unknown=laid.reason)
    return Passing(laid.passing(), "", tuple(figure.source for figure in laid.figures))


def _limit_words(line: Line) -> str:
    """What passes, for reading: at most four decimals, each end cut to its safe side."""
    if not line.passes:
        return "—"
    words = " or ".join(describe(_cut(stretch), line.limit_unit, shown=True) for stretch in line.passes)
    return words if line.compares == Compares.VALUE else f"{line.compares} {words}"


def _cut(stretch: Interval) -> Interval:
    low = None if stretch.low is None else _short(stretch.low, ROUND_CEILING)
    high = None if stretch.high is None else _short(stretch.high, ROUND_FLOOR)
    return Interval(low, stretch.low_closed, high, stretch.high_closed)


def _short(value: Decimal, rounding: str) -> Decimal:
    return Decimal(plain(value.quantize(_FINEST, rounding=rounding).normalize(EXACT)))


def _end(value: Decimal | None) -> str | None:
    return None if value is None else plain(value)


def table(job: Job, lines: Sequence[Line]) -> Iterator[str]:
    """Yield the sheet as text, one line a place, procedure by procedure."""
    yield f"{job.card.title}: expected readings and limits"
    yield f"{job.card.site}, board {job.card.board}, way {job.card.way}"
    yield f"Limits: {job.limits.title} ({job.limits.edition})"
    before = ""
    for line in lines:
        if line.procedure != before:
            yield ""
            yield f"{job.procedures[line.procedure].title} ({line.procedure})"
            before = line.procedure
        yield f"  {_named(line):<44}  {_expected(line):<26}  {_limit_words(line)}"
        if line.unknown:
            yield f"      not known yet: {line.unknown}"
        if line.assumed:
            yield f"      rests on an assumed value: {', '.join(line.assumed)}"
    yield ""
    yield f"{len(lines)} places. `--json` gives each with its source."


def _named(line: Line) -> str:
    return f"{line.what}, {line.point}" if line.point else line.what


def _expected(line: Line) -> str:
    if not line.rounded:
        return "—"
    return f"{line.rounded} {UNITS[line.unit].shown}".rstrip()
