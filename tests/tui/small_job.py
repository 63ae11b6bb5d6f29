"""A job with one step of each kind on the card of the reference job, made by hand so that no file can change it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from ferrule.engine.procedure.compiled import Cell, Goal, Job, Plan, Procedure, Step, Warned
from ferrule.engine.procedure.compiled import State as Seen
from ferrule.engine.safety.acts import ACTS, needs_of
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.state import Pending, Proof, State

STEPS = "small"
_ANSWERS = {"fail": "next", "over-range": "next", "unstable": "again"}
_WARNED = Warned(
    "danger",
    "Parts behind the cover",
    "Shock and burns that no breaker here clears",
    "Keep hands and tools outside until the barrier is on",
)


def _step(name: str, kind: str, text: str, **more: Any) -> Step:
    plain = Step(
        id=name,
        kind=kind,
        text=text,
        section="One of each",
        act="",
        of="",
        points="",
        cells=(),
        checks=(),
        answers=_ANSWERS,
        when=(),
        warnings=(),
        hidden=False,
        not_applicable=False,
        minutes="",
        outcome="",
        critical=False,
        why="Each kind of step is shown once.",
        source="common practice",
        line=1,
    )
    return replace(plain, **more)


_OHM = Cell("ohm", "Line to neutral", slot="small", function="low resistance", judge="lead-null")
_SEEN = Cell("lock", "Lock", states=(Seen("closed, does not move", "pass"), Seen("moves", "fail")))
_NOTED = Cell("ohm", "Line to neutral", slot="small", function="low resistance")
_MARKS = Cell("way", "Mark of the way", matches="way")

_ROWS = (
    _step("do", "do", "Lay the tools out.", not_applicable=True),
    _step("danger", "do", "Take the cover off.", critical=True, warnings=(_WARNED,)),
    _step("observe", "observe", "Look at the lock.", cells=(_SEEN,)),
    _step("type", "observe", "Read the mark on the board.", cells=(_MARKS,)),
    _step("measure", "measure", "Line to neutral.", cells=(_OHM,), hidden=True),
    _step("several", "observe", "Look at lock and mark.", cells=(_SEEN, _MARKS)),
    _step(
        "round",
        "round",
        "Read line to neutral at each socket.",
        act="read ring step two",
        points="sockets",
        cells=(_NOTED,),
    ),
    _step("hold", "hold", "Sign that the work may begin.", act="release hold point four"),
    _step("wait", "wait", "Wait until stored energy has gone.", minutes="5"),
    _step("payload", "do", "Set [b]x[/] and [x] beside [L-N].", why="[red]why[/red]"),
    _step("verify", "verify", "Look at the lock again.", cells=(_SEEN,)),
    _step("end", "do", "Put the tools away."),
)


def small(job: Job) -> Job:
    """Return the job with one procedure, and one goal that no step of it reaches."""
    procedure = Procedure(STEPS, 1, "Small job", "Show each kind of step.", "", (), True, _ROWS, "small.yaml")
    goal = Goal("check:condition", ("done",), STEPS, (), "Small job")
    safe = Goal("check:identity", ("done",), STEPS, (), "Leave the place")
    plan = Plan("small", 1, "Small job", (goal,), (), {"made safe": (safe,), "not begun": (safe,)})
    return replace(job, plan=plan, procedures={STEPS: procedure})


def at(
    job: Job, name: str, *, acts: Iterable[str] = ("read ring step two", "release hold point four"), **more: Any
) -> State:
    """Return a state that stands at a step, with everything that the steps' acts need as met."""
    state = start(job, "tech")
    facts = dict(state.facts)
    for act in acts:
        for need in needs_of(ACTS[act], "", job.objects):
            facts[need.fact] = need.values[0]
    proof = Proof(0, "tech", 12, 4)
    return replace(state, facts=facts, step=f"{STEPS}/{name}", why_here="", proof=proof, **more)


def doubtful(job: Job) -> State:
    """Return a state in which the last answer waits for a decision."""
    return at(job, "measure", pending=Pending(f"{STEPS}/measure", 1, "conditional-pass", True), entries=1)
