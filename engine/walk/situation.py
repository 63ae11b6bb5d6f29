"""What is on screen now: where the walk stands, what may be done, what is missing and who supplies it.

The whole input of every reader: screen, plain mode and replay draw from it and decide nothing themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Job, Step, Warned
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.facts import RESULTS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk.access import indicator_lapsed
from ferrule.engine.walk.cell_view import CellView, cell_views
from ferrule.engine.walk.decide_ending import open_ends
from ferrule.engine.walk.decide_step import coming_wait
from ferrule.engine.walk.notices import notices
from ferrule.engine.walk.place import (
    every_goal,
    gate,
    goal_is_met,
    goals_of,
    holds,
    is_so_already,
    locate,
    suppliers_of,
)
from ferrule.engine.walk.state import Pending, Proof, State
from ferrule.engine.walk.waits import Wait, wait_left_ms, wait_now

if TYPE_CHECKING:
    pass


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
    wait: Wait | None
    second_person: bool
    opening: bool
    """True at the first step of the job, where its scope and summary are read (SP-04)."""


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
    """What a reader should know beside the step: cautions in effect, a withdrawn edition."""
    cautions: tuple[str, ...] = ()
    """Those of the notices that are cautions in effect."""
    ends: tuple[str, ...] = ()
    """The ways to end the job that can be picked now."""
    next_wait_ms: int = 0
    """How long is to be waited right after this step; 0 where no wait follows."""
    edition: str = ""
    """The edition whose limits the job is held against, picked by its card and frozen with it."""


def situation(job: Job, state: State, now_ms: int, wall: str = "") -> Situation:
    """Return what is to be shown for a state at a moment; `wall` is the local time then, or its day.

    Without a day nothing is said of a withdrawn edition, without a time no time of day of a wait.
    """
    job = amended_job(job, state.amendments)
    found = locate(job, state.step)
    step = found[0].steps[found[1]] if found else None
    goals = goals_of(job, state.facts)
    met = [goal_is_met(job, g, state.facts) for g in goals]
    first = met.index(False) if False in met else len(goals)
    title = goals[first].title or job.procedures[goals[first].by].title if first < len(goals) else "Finished"
    waits = coming_wait(job, state)
    return Situation(
        min(first + 1, len(goals)),
        len(goals),
        title,
        _step_view(job, state, now_ms, wall) if step else None,
        state.why_here,
        _missing(job, state, step),
        _text_of(job, state.last_step),
        _text_of(job, waits.step) if waits else _next_text(job, state),
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
        tuple(name for name, row in DISTURBANCES.items() if not row.object or job.objects.get(row.object)),
        indicator_lapsed(job, state, step, now_ms),
        notices(job, state, wall[:10]),
        state.cautions,
        open_ends(job, state.facts),
        waits.due_ms - waits.start_ms if waits else 0,
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
            next((job.procedures[g.by].title for g in suppliers_of(job, n, state.facts)), ""),
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
    bad += [f for f in ("earthing",) if facts.get(f) in ("off", "remade")]
    return tuple(bad)


def _may(job: Job, state: State, step: Step | None) -> tuple[str, ...]:
    if state.outcome or state.facts.get("log") == "closed":
        return ()
    if state.away_ms is not None:
        return ("come-back", "stop-work", "remark", "report")
    found = ["remark", "report", "correct", "step-away", "hand-over", "amend", "say-presence"]
    found.append("end-as")
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


def _step_view(job: Job, state: State, now_ms: int, wall: str) -> StepView:
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
        wait_now(job, state, step, now_ms, wall),
        step.kind == "verify",
        is_opening(job, state.step),
    )


def is_opening(job: Job, where: str) -> bool:
    """True for the first step of a job whose plan says what it is for: nothing else can be answered before it."""
    name, _, step = where.partition("/")
    first = job.plan.goals[0].by
    return bool(job.plan.purpose) and name == first and step == job.procedures[first].steps[0].id


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


def whole_list(job: Job, state: State) -> tuple[tuple[str, str, str], ...]:
    """Return every goal of the job with its state in words: title, state, reason."""
    job = amended_job(job, state.amendments)
    here = state.step.partition("/")[0]
    rows = []
    passed_now = False
    for goal in every_goal(job, state.facts):
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
