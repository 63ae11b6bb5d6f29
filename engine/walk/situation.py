"""What is on screen now: where the walk stands, what may be done, what is missing and who supplies it.

The whole input of every reader: screen, plain mode and replay draw from it and decide nothing themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from ferrule.engine.electrics.limits import Band, Bound
from ferrule.engine.electrics.model import Function
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Cell, Job, Step, Warned
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.quantity.exact import shown
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.facts import RESULTS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk.access import indicator_lapsed
from ferrule.engine.walk.answering import Slot, expected_of, inputs_of, readings_of, slots_of
from ferrule.engine.walk.decide_step import wait_left_ms
from ferrule.engine.walk.notices import notices
from ferrule.engine.walk.place import gate, goal_is_met, goals_of, holds, is_so_already, locate, suppliers_of
from ferrule.engine.walk.state import Pending, Proof, State

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Figure, Inputs, Unknown


@dataclass(frozen=True, slots=True)
class CellView:
    """One place to fill in, with everything needed to ask for it."""

    point: str
    point_name: str
    cell: str
    prompt: str
    kind: str
    """`number`, `state`, `match`, `words` or `computed`."""
    unit: str
    function: str
    instrument: str
    resolution: str
    states: tuple[str, ...]
    expected: str
    """The expected value in words; empty while it is hidden or where there is none."""
    limit: str
    above: str
    """What the choice above range stands for, e.g. `> 200 MΩ`; empty where the range has no end."""
    below: str
    """What the choice below range stands for, e.g. `no indication (< 12 V)`; empty where there is none."""


@dataclass(frozen=True, slots=True)
class HoldView:
    """A hold point: who has signed and who still has to."""

    name: str
    title: str
    wanted: tuple[str, ...]
    signed: tuple[tuple[str, str, str], ...]
    telephone: bool
    self_check: bool
    """True where one person alone signs after looking again; never called independent."""


@dataclass(frozen=True, slots=True)
class StepView:
    """The step that is to be done now."""

    where: str
    procedure: str
    revision: int
    draft: bool
    section: str
    number: int
    count: int
    kind: str
    text: str
    warnings: tuple[Warned, ...]
    hazard: str
    why: str
    source: str
    critical: bool
    live: bool
    not_applicable: bool
    hidden: bool
    cells: tuple[CellView, ...]
    hold: HoldView | None
    is_round: bool
    must_start: bool
    """Whether the start of the round has to be stamped first."""
    round_started_ms: int | None
    round_ended_ms: int | None
    wait_left_ms: int
    second_person: bool


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that a shut gate waits for, and the procedure that supplies it."""

    fact: str
    now: str
    wanted: tuple[str, ...]
    by: str


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything that a reader shows at one moment."""

    stage: int
    stages: int
    stage_title: str
    step: StepView | None
    why_here: str
    missing: tuple[Missing, ...]
    previous: str
    next: str
    facts: Mapping[str, str]
    proof: Proof | None
    custody: Mapping[str, str]
    pending: Pending | None
    outstanding: tuple[str, ...]
    """Facts that must be put right before the end: failed, doubtful or void results, links, items, failed checks."""
    away_ms: int | None
    stopped: bool
    operator: str
    outcome: str
    may: tuple[str, ...]
    """Names of the commands that are open now."""
    reports: tuple[str, ...]
    lapsed: bool
    """True when the proof of the indicator is too old for the round on screen."""
    notices: tuple[str, ...] = ()
    """Advice beside the step: a withdrawn edition, readings that disagree with each other."""
    edition: str = ""
    """The edition whose limits the job is held against, picked by its card and frozen with it."""


def situation(job: Job, state: State, now_ms: int, today: str = "") -> Situation:
    """Return what is to be shown for a state at a moment; without a day nothing is said of a withdrawn edition."""
    job = amended_job(job, state.amendments)
    found = locate(job, state.step)
    step = found[0].steps[found[1]] if found else None
    goals = goals_of(job, state.facts)
    met = [goal_is_met(job, g, state.facts) for g in goals]
    first = met.index(False) if False in met else len(goals)
    title = goals[first].title or job.procedures[goals[first].by].title if first < len(goals) else "Finished"
    return Situation(
        min(first + 1, len(goals)),
        len(goals),
        title,
        _step_view(job, state, now_ms) if step else None,
        state.why_here,
        _missing(job, state, step),
        _text_of(job, state.last_step),
        _next_text(job, state),
        state.facts,
        state.proof,
        state.custody,
        state.pending,
        _outstanding(state),
        state.away_ms,
        state.facts.get("work") == "stopped",
        state.operator,
        state.outcome,
        _may(job, state, step),
        tuple(DISTURBANCES),
        indicator_lapsed(job, state, step, now_ms),
        notices(job, state, today),
        job.limits.edition,
    )


def _text_of(job: Job, where: str) -> str:
    found = locate(job, where)
    return found[0].steps[found[1]].text if found else ""


def _next_text(job: Job, state: State) -> str:
    found = locate(job, state.step)
    if found is None:
        return ""
    procedure, index = found
    for step in procedure.steps[index + 1 :]:
        if holds(step.when, job.card_facts) and not is_so_already(job, step, state.facts):
            return step.text
    here = {procedure.id}
    for goal in goals_of(job, state.facts):
        if goal.by not in here and not goal_is_met(job, goal, state.facts):
            return goal.title or job.procedures[goal.by].title
    return ""


def _missing(job: Job, state: State, step: Step | None) -> tuple[Missing, ...]:
    if step is None or state.pending is not None:
        return ()
    return tuple(
        Missing(
            n.fact,
            state.facts.get(n.fact, "not on the card"),
            n.values,
            next((job.procedures[g.by].title for g in suppliers_of(job, n)), ""),
        )
        for n in gate(job, step, state.facts)
    )


def _outstanding(state: State) -> tuple[str, ...]:
    facts = state.facts
    bad = [f"result:{r}" for r in RESULTS if facts.get(f"result:{r}") in ("fail", "refer", "void")]
    bad += [f for f, v in facts.items() if f.startswith("check:") and v == "failed"]
    bad += [f for f, v in facts.items() if f.startswith("link:") and v == "fitted"]
    bad += [f for f, v in facts.items() if f.startswith("item:") and v == "off"]
    bad += [f for f, v in facts.items() if f.startswith("terminal:") and v == "loose"]
    bad += [f for f, v in facts.items() if f.startswith("lock:") and v == "lost"]
    return tuple(bad)


def _may(job: Job, state: State, step: Step | None) -> tuple[str, ...]:
    if state.outcome or state.facts.get("log") == "closed":
        return ()
    if state.away_ms is not None:
        return ("come-back", "stop-work", "remark", "report")
    found = ["remark", "report", "correct", "step-away", "hand-over", "amend", "say-presence"]
    found.append("carry-on" if state.facts.get("work") == "stopped" else "stop-work")
    if state.pending is not None:
        return ("settle", *found)
    if step is None or gate(job, step, state.facts):
        return tuple(found)
    if step.kind == "hold":
        return ("sign", *found)
    if step.kind == "round":
        found.append("stamp-round")
    if step.not_applicable:
        found.append("not-applicable")
    return ("answer", *found)


def _step_view(job: Job, state: State, now_ms: int) -> StepView:
    found = locate(job, state.step)
    assert found is not None
    procedure, index = found
    step = procedure.steps[index]
    act = ACTS.get(step.act)
    applying = [s for s in procedure.steps if holds(s.when, job.card_facts)]
    hands = bool(act and (act.touches or act.live))
    return StepView(
        state.step,
        procedure.title,
        procedure.revision,
        procedure.draft,
        step.section,
        applying.index(step) + 1 if step in applying else index + 1,
        len(applying),
        step.kind,
        step.text,
        step.warnings,
        act.hazard if act else "",
        step.why,
        step.source,
        step.critical,
        bool(act and act.live),
        step.not_applicable,
        step.hidden,
        cell_views(job, state, step),
        _hold_view(job, state, step),
        step.kind == "round",
        step.kind == "round" and hands and state.round_start_ms is None,
        state.round_start_ms,
        state.round_end_ms,
        wait_left_ms(job, state, step, now_ms),
        step.kind == "verify",
    )


def _hold_view(job: Job, state: State, step: Step) -> HoldView | None:
    if step.kind != "hold":
        return None
    point = HOLD_POINTS[step.act.removeprefix("release hold point ")]
    wanted = point.signers(job.card.sign_off)
    return HoldView(
        point.name,
        point.title,
        wanted,
        state.signed.get(point.name, ()),
        point.may_be_by_telephone,
        job.card.sign_off != "supervised",
    )


def cell_views(job: Job, state: State, step: Step) -> tuple[CellView, ...]:
    """Return the places that a step asks for; what is expected stays out of it while the step hides it."""
    asked = slots_of(job, step)
    if not asked:
        return ()
    shown_before = any(slot.cell.expect for slot in asked) and not step.hidden
    inputs = inputs_of(job, readings_of(state)) if shown_before else None
    views = []
    for slot in asked:
        cell = slot.cell
        figure = expected_of(inputs, slot) if inputs is not None else None
        owner = function_of(job.card, cell.function) if cell.function else None
        function = owner[1] if owner else None
        views.append(
            CellView(
                slot.point,
                slot.point_name,
                cell.id,
                cell.prompt,
                _kind(cell),
                function.unit if function else "",
                cell.function,
                f"{getattr(owner[0], 'name', owner[0].id)}, serial {owner[0].serial}" if owner else "",
                str(function.resolution) if function else "",
                tuple(s.seen for s in cell.states),
                expected_words(figure, function),
                "" if step.hidden else _limit_words(job, state, slot),
                _end_words(function.full_scale, "> ", function) if function else "",
                _end_words(function.lowest, "no indication, < ", function) if function else "",
            )
        )
    return tuple(views)


def _kind(cell: Cell) -> str:
    if cell.figure:
        return "computed"
    if cell.function:
        return "number"
    if cell.states:
        return "state"
    return "match" if cell.matches else "words"


def _end_words(end: Decimal | None, sign: str, function: Function) -> str:
    return "" if end is None else f"{sign}{end} {UNITS[function.unit].shown}"


def expected_words(figure: Figure | Unknown | None, function: Function | None) -> str:
    """Return an expected figure in words, rounded for display to the instrument's resolution."""
    if figure is None:
        return ""
    from ferrule.engine.electrics.figures import Unknown

    if isinstance(figure, Unknown):
        return f"not known: {figure.reason}"
    step = function.resolution if function else Decimal("0.01")
    low, high = shown(figure.low, step), shown(figure.high, step)
    unit = UNITS[figure.unit].shown
    mark = " (rests on an assumed value)" if figure.assumed else ""
    return f"{low} {unit}{mark}" if low == high else f"{low} to {high} {unit}{mark}"


def _limit_words(job: Job, state: State, slot: Slot) -> str:
    row = job.limits.rows.get(slot.cell.judge)
    if row is None:
        return ""
    unit = UNITS[row.unit].shown
    passing = next((b for b in row.bands if b.outcome == "pass"), None)
    if passing is None:
        return ""
    inputs = inputs_of(job, readings_of(state))
    parts = [
        f"{word} {_bound_words(bound, inputs, slot.point)}".strip()
        for word, bound in _ends(passing)
        if bound is not None
    ]
    what = "" if row.compares == "value" else f" as a {row.compares}"
    return f"{' '.join(parts)} {unit}{what}".strip()


def _ends(band: Band) -> tuple[tuple[str, Bound | None], ...]:
    low = ("from" if band.low and band.low.closed else "above", band.low)
    high = ("up to" if band.high and band.high.closed else "below", band.high)
    return (low, high)


def _bound_words(bound: Bound | None, inputs: Inputs, point: str) -> str:
    if bound is None:
        return ""
    if bound.value is not None:
        return str(bound.value)
    from ferrule.engine.electrics.figures import Unknown, compute

    figure = compute(bound.figure, inputs, point)
    return "a figure not known yet" if isinstance(figure, Unknown) else str(figure.high)


def whole_list(job: Job, state: State) -> tuple[tuple[str, str, str], ...]:
    """Return every goal of the job with its state in words: title, state, reason."""
    job = amended_job(job, state.amendments)
    here = state.step.partition("/")[0]
    rows = []
    passed_now = False
    for goal in job.plan.made_safe if state.facts.get("work") == "stopped" else job.plan.goals:
        title = goal.title or job.procedures[goal.by].title
        if not holds(goal.when, job.card_facts):
            rows.append((title, "not applicable", "the card rules it out"))
        elif goal_is_met(job, goal, state.facts):
            rows.append((title, "done", ""))
        elif goal.by == here or not passed_now:
            rows.append((title, "now", state.why_here))
            passed_now = True
        else:
            rows.append((title, "not started", ""))
    return tuple(rows)
