"""Commands and events as sentences, for the path so far and for replay.

Must never: leave an event without its own sentence, or repeat what a step may still hide.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import step_at
from ferrule.tui.fact_words import fact_words, object_name, outcome_words, person_name
from ferrule.tui.time_words import length_words, since_opening


def event_words(event: e.Event, job: Job | None = None) -> str:
    """Return one event as a sentence; with the job, steps, people and objects carry their names."""
    return _EVENTS[type(event)](event, job)


def event_lines(event: e.Event, job: Job | None = None) -> tuple[str, ...]:
    """Return one event as lines: an answer has one for each of its places, all else is one sentence."""
    return _answered_lines(event, job) if isinstance(event, e.Answered) else (event_words(event, job),)


def command_words(command: c.Command, job: Job | None = None) -> str:
    """Return what was asked, as a sentence without its consequences."""
    return _COMMANDS[type(command)](command, job)


def _step(where: str, job: Job | None) -> str:
    step = step_at(job, where) if job else None
    return f"“{step.text}”" if step else f"“{where}”"


def _on(where: str, job: Job | None) -> str:
    return f" on {_step(where, job)}" if where else ""


def _who(person: str, job: Job | None) -> str:
    return person_name(job, person) if job else person


def _because(reason: str) -> str:
    return f": {reason}" if reason else "."


# --- events ---


def _answered_lines(x: e.Answered, job: Job | None) -> tuple[str, ...]:
    lines = [f"{_step(x.step, job)} gave {outcome_words(x.word)}."]
    lines += [_cell(cell) for cell in x.cells]
    lines += [str(check["sentence"]) for check in x.checks]
    if x.self_check:
        lines.append("The same person looked again: a self-check, not an independent one.")
    if x.origin != "typed":
        lines.append(f"The values were {x.origin}.")
    return tuple(lines)


def _cell(cell: e.CellRecord) -> str:
    where = f"{cell.point} {cell.cell}".strip()
    if cell.verdict:
        carried = ", ".join(key for key in cell.verdict["reads"] if key != cell.slot)
        return f"{where}: {cell.verdict['sentence']}{f' Carried: {carried}.' if carried else ''}"
    entered = cell.entered or cell.form
    return f"{where}: “{entered}”, {outcome_words(cell.outcome)}."


def _facts(x: e.FactsChanged, job: Job | None) -> str:
    changes = "; ".join(fact_words(fact, value, job) for fact, value in x.changes)
    return f"Because of “{x.because}”: {changes}."


def _rested(x: e.ResultRested, _job: Job | None) -> str:
    if not x.slots:
        return f"The result {x.result} rests on what was seen."
    return f"The result {x.result} rests on {', '.join(x.slots)}."


def _proved(x: e.Proved, job: Job | None) -> str:
    return f"No voltage was found on {x.pairs} pairs at {x.points} points, by {_who(x.person, job)}."


def _wanted(x: e.DecisionWanted, job: Job | None) -> str:
    who = "the person alone or the supervisor" if x.alone else "the supervisor"
    return f"{_step(x.step, job)} gave {outcome_words(x.word)}; {who} decides."


def _settled(x: e.Settled, job: Job | None) -> str:
    return f"{_step(x.step, job)} settled as {x.decision} by {_who(x.person, job)}: {x.reason}"


def _signed(x: e.Signed, job: Job | None) -> str:
    by_telephone = f" by telephone, read back: {x.telephone}" if x.telephone else ""
    return f"Hold point {x.hold} signed as {x.role} by {_who(x.person, job)}{by_telephone}."


def _end(x: e.EndChosen, job: Job | None) -> str:
    return f"{_who(x.person, job)} says that the job ends as {x.end}: {x.reason}"


def _lock(x: e.LockTaken, job: Job | None) -> str:
    name = object_name(job, "source", x.source) if job else x.source
    return f"The lock on {name} is that of {_who(x.person, job)}."


def _reported(x: e.Reported, job: Job | None) -> str:
    of = f" of {x.of}" if x.of else ""
    return f"Reported by {_who(x.person, job)}: {x.what}{of}{_because(x.note)}"


def _amended(x: e.CardAmended, job: Job | None) -> str:
    return (
        f"The card's {x.field} was “{x.old}” and is now “{x.new}”. "
        f"Seen: {x.seen}. Agreed by {_who(x.agreed_by, job)}, written by {_who(x.person, job)}."
    )


def _doubted(x: e.Doubted, _job: Job | None) -> str:
    held = "; ".join(f"{f'{cell.point} {cell.cell}'.strip()} {cell.entered}: {cell.sentence}" for cell in x.cells)
    return f"Held until it is entered again: {held}"


def _moved(x: e.Moved, job: Job | None) -> str:
    if not x.step:
        return f"The walk stands at no step. {x.why}".strip()
    return f"Next: {_step(x.step, job)}. {x.why}".strip()


def _section(x: e.SectionEnded, job: Job | None) -> str:
    title = job.procedures[x.section].title if job else x.section
    counted = ((x.done, "done"), (x.not_applicable, "not applicable"), (x.deferred, "deferred"), (x.open, "open"))
    said = [f"{len(steps)} {word}" for steps, word in counted if steps]
    counts = ", ".join(said if x.open else [*said, "nothing open"])
    left = "; ".join(_step(f"{x.section}/{step}", job) for step in (*x.deferred, *x.open))
    return f"Section “{title}” ended: {counts}{f': {left}' if left else ''}."


def _wait(x: e.WaitBegan, job: Job | None) -> str:
    length = length_words(x.due_ms - x.start_ms)
    return f"{_step(x.step, job)} waits {length}. {since_opening(x.start_ms, x.due_ms)}."


def _headed(x: e.Headed, job: Job | None) -> str:
    if not x.step:
        return "No search waits any longer."
    return f"The search goes on at {_step(x.step, job)} as soon as what is missing is there."


_EVENTS: dict[type, Callable[[Any, Job | None], str]] = {
    e.Answered: lambda x, job: " ".join(_answered_lines(x, job)),
    e.FactsChanged: _facts,
    e.ResultRested: _rested,
    e.IndicatorProved: lambda _x, _: (
        "The voltage indicator showed what it should; the age of its proof counts from here."
    ),
    e.Proved: _proved,
    e.RoundStamped: lambda x, job: f"The {x.mark} of {_step(x.step, job)} was stamped.",
    e.DecisionWanted: _wanted,
    e.Settled: _settled,
    e.PassedOver: lambda x, job: f"{_step(x.step, job)} does not apply, by {_who(x.person, job)}: {x.reason}",
    e.Signed: _signed,
    e.StruckOut: lambda x, job: f"Entry {x.entry} was struck out by {_who(x.person, job)}: {x.reason}",
    e.Remarked: lambda x, job: f"Remark by {_who(x.person, job)}{_on(x.step, job)}: {x.text}",
    e.Stopped: lambda x, _: f"Work was stopped: {x.reason}",
    e.WentOn: lambda x, job: f"Work goes on, by {_who(x.person, job)}: {x.reason}",
    e.EndChosen: _end,
    e.WentAway: lambda x, job: f"{_who(x.person, job)} left the board{_because(x.reason)}",
    e.CameBack: lambda x, job: f"{_who(x.person, job)} is at the board again.",
    e.TakenUp: lambda x, job: f"The walk was taken up again by {_who(x.person, job)}{_because(x.reason)}",
    e.HandedOver: lambda x, job: f"Handed over from {_who(x.person, job)} to {_who(x.to, job)}. Locks: {x.locks}",
    e.LockTaken: _lock,
    e.Reported: _reported,
    e.CardAmended: _amended,
    e.Refused: lambda x, _: f"Not taken: {x.reason}",
    e.Doubted: _doubted,
    e.CautionApplied: lambda x, _: f"In effect from here on: {x.say}",
    e.CautionLifted: lambda x, _: f"No longer in effect: {x.say}",
    e.Moved: _moved,
    e.WaitBegan: _wait,
    e.SectionEnded: _section,
    e.Headed: _headed,
    e.Ended: lambda x, _: f"The log is to be closed as “{x.outcome}”.",
}
"""Every event of the walk has its sentence here; a test holds the table complete."""


# --- commands ---


def _typed(x: c.Answer, job: Job | None) -> str:
    cells = [f"{f'{a.point} {a.cell}'.strip()} {_form(a)}" for a in x.cells]
    return f"Answered {_step(x.step, job)}: {'; '.join(cells) or 'done'}."


def _form(answer: c.CellAnswer) -> str:
    again = " again" if answer.again else ""
    return f"“{answer.entered}”{again}" if answer.form in (c.NUMBER, c.SEEN, c.WORDS) else answer.form


_COMMANDS: dict[type, Callable[[Any, Job | None], str]] = {
    c.Answer: _typed,
    c.StampRound: lambda x, job: f"Stamped the {x.mark} of {_step(x.step, job)}.",
    c.NotApplicable: lambda x, job: f"Answered {_step(x.step, job)} as not applicable: {x.reason}",
    c.Settle: lambda x, job: f"Settled {_step(x.step, job)} as {x.decision}: {x.reason}",
    c.Sign: lambda x, _: f"Signed hold point {x.hold} as {x.role}.",
    c.Correct: lambda x, _: f"Struck out entry {x.entry}: {x.reason}",
    c.Remark: lambda x, job: f"Remarked{_on(x.step, job)}: {x.text}",
    c.StopWork: lambda x, _: f"Stopped work{_because(x.reason)}",
    c.CarryOn: lambda x, _: f"Took work up again after the stop: {x.reason}",
    c.EndAs: lambda x, _: f"Said that the job ends as {x.end}: {x.reason}",
    c.StepAway: lambda x, _: f"Left the board{_because(x.reason)}",
    c.ComeBack: lambda _x, _: "Came back to the board.",
    c.Resume: lambda x, _: f"Opened the job again{_because(x.reason)}",
    c.HandOver: lambda x, job: f"Handed the job to {_who(x.to, job)}. Locks: {x.locks}",
    c.Report: lambda x, _: f"Reported: {x.what}{f' of {x.of}' if x.of else ''}{_because(x.note)}",
    c.SayPresence: lambda x, _: f"Said that the supervisor is {'present' if x.present else 'absent'}.",
    c.Amend: lambda x, _: f"Amended the card's {x.field} to “{x.new}”.",
}
