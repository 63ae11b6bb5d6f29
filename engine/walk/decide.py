"""What a command leads to: events, or a refusal with its reason.  It changes nothing itself.

Rules
1. No clock, no file, no chance: person and time arrive inside the command.
2. A gate has no overrule.  Every act is measured against its needs here, whoever asks and by whatever way.
3. The same state and command always give the same events; replay rests on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import reduce
from typing import Any

from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.text import check_text
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import decide_around as around
from ferrule.engine.walk import decide_ending as ending
from ferrule.engine.walk import decide_step as step
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, refuse_person
from ferrule.engine.walk.evolve import evolve
from ferrule.engine.walk.notices import changed_cautions
from ferrule.engine.walk.ruling import Decision
from ferrule.engine.walk.state import State

_WHILE_AWAY = (c.ComeBack, c.StopWork, c.Remark, c.Report, c.Resume)
_WEIGHTY = (e.Answered, e.FactsChanged, e.StruckOut, e.CardAmended)
"""Events that change facts, readings or the card."""
_REASONED = ("reason", "text", "note")


def decide(job: Job, state: State, command: c.Command) -> Decision:
    """Return the events that a command leads to, or a refusal."""
    if state.outcome or state.facts.get("log") == "closed":
        return Refusal("closed", "The log is closed; nothing can be added.")
    if command.at.ms < state.last_ms:
        return Refusal("time-backwards", "The time of this command lies before the last one.")
    refused = refuse_person(job, command) or _refuse_text(command)
    if refused:
        return refused
    if state.away_ms is not None and not isinstance(command, _WHILE_AWAY):
        return Refusal("away", "You are marked as away from the board. Say that you are back first.", kept=True)
    found = _DECIDE[type(command)](amended_job(job, state.amendments), state, command)
    return found if isinstance(found, Refusal) else (*found, *_beside(job, state, found))


def _beside(job: Job, state: State, events: tuple[e.Event, ...]) -> Iterator[e.Event]:
    """Yield what stands in no decision by itself and follows from all of its events together."""
    if any(isinstance(event, _WEIGHTY) for event in events):
        after = reduce(evolve, events, state)
        yield from changed_cautions(amended_job(job, after.amendments), state, after)


def refused_events(refusal: Refusal, where: str) -> tuple[e.Event, ...]:
    """Return the event under which an attempt at a shut gate, or a value that is held, is kept in the log."""
    if refusal.doubts:
        return (e.Doubted(where, refusal.doubts),)
    return (e.Refused(where, refusal.code, refusal.reason),)


def _refuse_text(command: c.Command) -> Refusal | None:
    for name in _REASONED:
        text = getattr(command, name, None)
        if isinstance(text, str):
            why = check_text(text)
            if why:
                return Refusal("text", why)
    return None


_DECIDE: dict[type, Callable[[Job, State, Any], Decision]] = {
    c.Answer: step.answer,
    c.StampRound: step.stamp_round,
    c.NotApplicable: step.not_applicable,
    c.Settle: step.settle,
    c.Sign: step.sign,
    c.Correct: around.correct,
    c.Remark: around.remark,
    c.StopWork: around.stop,
    c.CarryOn: around.carry_on,
    c.EndAs: ending.end_as,
    c.StepAway: around.step_away,
    c.ComeBack: around.come_back,
    c.Resume: around.resume,
    c.HandOver: around.hand_over,
    c.Report: around.report,
    c.SayPresence: around.say_presence,
    c.Amend: around.amend,
}
