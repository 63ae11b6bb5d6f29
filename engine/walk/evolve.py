"""The state after an event: a fold, total over the closed list of events, and the only code that makes a state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import reduce
from typing import Any

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import left_by
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.safety.acts import THIS_WAY
from ferrule.engine.safety.facts import start_facts
from ferrule.engine.walk import events as e
from ferrule.engine.walk.commands import Command
from ferrule.engine.walk.marks import ANSWERED, LEFT, PASSED_BY, PASSED_OVER, STRUCK
from ferrule.engine.walk.notices import watched
from ferrule.engine.walk.place import next_place
from ferrule.engine.walk.state import Done, Kept, Pending, Proof, State


def start(job: Job, operator: str) -> State:
    """Return the state of a job at the opening of its log."""
    card = job.card
    ring = ("ring step one", "ring step two", "ring step three")
    not_required = () if card.circuit.kind == "ring" else ring
    nothing_stored = tuple(s.id for s in card.sources if s.wait_min == "0")
    facts = start_facts(job.objects, not_required, nothing_stored, left_by(card))
    place = next_place(job, facts, "", "")
    return State(facts=facts, step=place.step, why_here=place.why, operator=operator, cautions=watched(job, facts))


def advance(state: State, command: Command, events: Iterable[e.Event]) -> State:
    """Return the state after one command with its events: one line of the log."""
    after = reduce(evolve, events, state)
    return replace(after, entries=state.entries + 1, last_ms=command.at.ms)


def evolve(state: State, event: e.Event) -> State:
    """Return the state after one event; an unknown event is an error."""
    handler = _HANDLERS.get(type(event))
    if handler is None:
        raise TypeError(f"no such event: {type(event).__name__}")
    return handler(state, event)


def _answered(state: State, event: e.Answered) -> State:
    readings = dict(state.readings)
    for cell in event.cells:
        if cell.slot and cell.reading is not None:
            kept = Kept(Reading.from_json(cell.reading), event.entry, cell.outcome, cell.instrument)
            readings[cell.slot] = kept
    slots = tuple(cell.slot for cell in event.cells if cell.slot)
    done = {**state.done, event.entry: Done(event.step, event.word, (), slots)}
    count = max(1, len(event.cells))
    return replace(
        state,
        readings=readings,
        done=done,
        marks={**state.marks, event.step: (ANSWERED, event.entry)},
        last_step=event.step,
        last_entry=event.entry,
        confirmed=state.confirmed + count,
        round_start_ms=None,
        round_end_ms=None,
        doubted=(),
    )


def _facts(state: State, event: e.FactsChanged) -> State:
    facts = {**state.facts, **dict(event.changes)}
    signed = {h: s for h, s in state.signed.items() if (f"hold:{h}", "unsigned") not in event.changes}
    custody = {s: p for s, p in state.custody.items() if _lock_is_on(s, facts)}
    done = dict(state.done)
    entry = state.entries + 1
    if entry in done:
        done[entry] = replace(done[entry], changes=(*done[entry].changes, *event.changes))
    proof = state.proof if facts.get("dead test") == "clear" else None
    return replace(state, facts=facts, signed=signed, custody=custody, done=done, proof=proof)


def _lock_is_on(source: str, facts: Mapping[str, str]) -> bool:
    return facts.get("way lock" if source == THIS_WAY else f"lock:{source}") == "applied"


def _rested(state: State, event: e.ResultRested) -> State:
    return replace(state, rests={**state.rests, event.result: event.slots})


def _proved(state: State, event: e.Proved) -> State:
    return replace(state, proof=Proof(event.at_ms, event.person, event.pairs, event.points))


def _stamped(state: State, event: e.RoundStamped) -> State:
    if event.mark == "start":
        return replace(state, round_start_ms=event.at_ms, round_end_ms=None)
    return replace(state, round_end_ms=event.at_ms)


def _wanted(state: State, event: e.DecisionWanted) -> State:
    return replace(state, pending=Pending(event.step, event.entry, event.word, event.alone))


def _passed_over(state: State, event: e.PassedOver) -> State:
    marks = {**state.marks, event.step: (PASSED_OVER, state.entries + 1)}
    return replace(state, marks=marks, last_step=event.step)


def _signed(state: State, event: e.Signed) -> State:
    so_far = state.signed.get(event.hold, ())
    signed = {**state.signed, event.hold: (*so_far, (event.role, event.person, event.telephone))}
    marks = {**state.marks, state.step: (ANSWERED, state.entries + 1)}
    return replace(state, signed=signed, marks=marks, confirmed=state.confirmed + 1)


def _struck(state: State, event: e.StruckOut) -> State:
    readings = {k: v for k, v in state.readings.items() if v.entry != event.entry}
    marks = {
        step: (STRUCK, entry) if (mark, entry) == (ANSWERED, event.entry) else (mark, entry)
        for step, (mark, entry) in state.marks.items()
        if (mark, entry) != (PASSED_BY, event.entry)
    }
    return replace(state, struck=(*state.struck, event.entry), readings=readings, marks=marks)


def _went(state: State, event: e.WentAway) -> State:
    return replace(state, away_ms=event.at_ms)


def _handed(state: State, event: e.HandedOver) -> State:
    custody = {s: event.to if p == event.person else p for s, p in state.custody.items()}
    return replace(state, operator=event.to, custody=custody)


def _lock(state: State, event: e.LockTaken) -> State:
    return replace(state, custody={**state.custody, event.source: event.person})


def _amended(state: State, event: e.CardAmended) -> State:
    return replace(state, amendments=(*state.amendments, (event.field, event.new)))


def _moved(state: State, event: e.Moved) -> State:
    left = {} if state.step in state.marks or not state.step else {state.step: (LEFT, state.entries + 1)}
    return replace(
        state,
        marks={**state.marks, **left},
        step=event.step,
        why_here=event.why,
        entered_ms=event.at_ms,
        round_start_ms=None,
        round_end_ms=None,
        pending=None,
        doubted=(),
    )


def _section_ended(state: State, event: e.SectionEnded) -> State:
    names = (f"{event.section}/{step}" for step in event.not_applicable)
    by = {where: (PASSED_BY, state.entries + 1) for where in names if where not in state.marks}
    return replace(state, marks={**state.marks, **by})


def _headed(state: State, event: e.Headed) -> State:
    return replace(state, heading=event.step)


def _doubted(state: State, event: e.Doubted) -> State:
    held = {(cell.point, cell.cell, cell.entered) for cell in event.cells}
    return replace(state, doubted=tuple(sorted({*state.doubted, *held})))


def _ended(state: State, event: e.Ended) -> State:
    return replace(state, outcome=event.outcome)


_HANDLERS: dict[type, Callable[[State, Any], State]] = {
    e.Answered: _answered,
    e.FactsChanged: _facts,
    e.ResultRested: _rested,
    e.IndicatorProved: lambda s, x: replace(s, indicator_ms=x.at_ms),
    e.Proved: _proved,
    e.RoundStamped: _stamped,
    e.DecisionWanted: _wanted,
    e.Settled: lambda s, _: replace(s, pending=None),
    e.PassedOver: _passed_over,
    e.Signed: _signed,
    e.StruckOut: _struck,
    e.Remarked: lambda s, _: s,
    e.Stopped: lambda s, x: replace(s, stopped=x.reason),
    e.WentOn: lambda s, _: replace(s, stopped=""),
    e.EndChosen: lambda s, _: s,
    e.WentAway: _went,
    e.CameBack: lambda s, _: replace(s, away_ms=None),
    e.TakenUp: lambda s, _: replace(s, away_ms=None),
    e.HandedOver: _handed,
    e.LockTaken: _lock,
    e.Reported: lambda s, _: s,
    e.CardAmended: _amended,
    e.Refused: lambda s, _: replace(s, refusals=s.refusals + 1),
    e.Doubted: _doubted,
    e.CautionApplied: lambda s, x: replace(s, cautions=(*s.cautions, x.say)),
    e.CautionLifted: lambda s, x: replace(s, cautions=tuple(said for said in s.cautions if said != x.say)),
    e.Moved: _moved,
    e.WaitBegan: lambda s, _: s,
    e.SectionEnded: _section_ended,
    e.Headed: _headed,
    e.Ended: _ended,
}
