"""All sentences of the interface that screen and plain mode share.

For: one wording for one thing, wherever it is shown.
Must never: state a conductor's condition as a present fact, or carry a colour, a key or a layout.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ferrule.engine.procedure.compiled import Job, Warned
from ferrule.engine.text import caret_lines, visible
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.situation import HoldView, Missing, Situation, StepView, situation
from ferrule.tui.event_words import command_words, event_lines, event_words
from ferrule.tui.fact_words import (
    FACT_WORDS,
    OUTCOME_WORDS,
    ago,
    fact_name,
    fact_words,
    object_name,
    outcome_words,
    person_name,
    safety_lines,
    value_words,
)

if TYPE_CHECKING:
    from ferrule.engine.journal.replay import Moment
    from ferrule.engine.network.causes import Cause

MOST_CAUSES = 6
"""Causes that are told; further ones explain the readings too badly to help."""

__all__ = [
    "FACT_WORDS",
    "MODE_WORDS",
    "OUTCOME_WORDS",
    "SEVERITY_WORDS",
    "ago",
    "cause_lines",
    "command_words",
    "event_lines",
    "event_words",
    "fact_name",
    "fact_words",
    "full_stop",
    "hold_words",
    "missing_words",
    "notice_lines",
    "notices_at",
    "object_name",
    "outcome_words",
    "pending_words",
    "person_name",
    "refusal_lines",
    "revision_words",
    "safety_lines",
    "value_words",
    "warning_words",
]

MODE_WORDS: Mapping[str, str] = {"work": "WORK", "practice": "PRACTICE"}

NOTICE = "notice"
"""The severity of what harms nobody."""

SEVERITY_WORDS: Mapping[str, str] = {
    "danger": "!!! DANGER",
    "warning": "!! WARNING",
    "caution": "! CAUTION",
    NOTICE: "NOTICE",
}
"""Severity by word and by shape: the more marks, the worse (from memory: the four signal words of ANSI Z535.4)."""


def warning_words(warning: Warned) -> str:
    """Return a warning whole: severity, hazard, consequence, how to avoid it."""
    head = SEVERITY_WORDS.get(warning.severity, warning.severity.upper())
    return f"{head}: {full_stop(warning.hazard)} {full_stop(warning.consequence)} {full_stop(warning.avoid)}"


def full_stop(text: str) -> str:
    """Return a text that ends like a sentence."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def revision_words(step: StepView) -> str:
    """Return procedure, revision and whether it is approved for work."""
    draft = ", DRAFT: not approved for work" if step.draft else ""
    return f"{step.procedure}, revision {step.revision}{draft}"


def missing_words(missing: Missing, job: Job | None = None) -> str:
    """Return what a shut gate waits for: the fact, its value now, what is wanted and who supplies it."""
    wanted = " or ".join(value_words(missing.fact, value) for value in missing.wanted)
    by = f" “{missing.by}” brings it about." if missing.by else " Nothing on the plan brings it about."
    return f"{fact_name(missing.fact, job)}: wanted {wanted}; recorded {value_words(missing.fact, missing.now)}.{by}"


def hold_words(hold: HoldView, job: Job | None = None) -> tuple[str, ...]:
    """Return who has signed a hold point and who still has to."""
    lines = [f"Hold point {hold.name}: {hold.title}."]
    for role, person, telephone in hold.signed:
        how = " by telephone" if telephone else ""
        lines.append(f"Signed as {role}{how}: {person_name(job, person) if job else person}.")
    have = {role for role, _, _ in hold.signed}
    for role in hold.wanted:
        if role not in have:
            named = [p for p in job.card.people if role in p.roles] if job else []
            who = f" (on the card: {', '.join(f'{p.id} = {p.name}' for p in named)})" if named else ""
            lines.append(f"Still to sign: {role}{who}.")
    if hold.self_check:
        lines.append("One person working alone signs after looking again: a self-check, not an independent one.")
    if hold.telephone:
        lines.append("May be released by telephone: the words that were read back are kept.")
    return tuple(lines)


def pending_words(situation: Situation) -> str:
    """Return that a doubtful answer waits for a decision, and who may decide; empty where none waits."""
    pending = situation.pending
    if pending is None:
        return ""
    who = "The person alone may settle it." if pending.alone else "Only the supervisor may settle it as pass."
    return f"Entry {pending.entry} gave {outcome_words(pending.word)}. It must be settled first. {who}"


def refusal_lines(refusal: Refusal, entered: str = "") -> tuple[str, ...]:
    """Return why a command was not taken; where a column is known, with the text and a caret under the fault."""
    lines = [f"Not taken: {refusal.reason}"]
    if refusal.column and entered:
        lines += [f"  {line}" for line in caret_lines(entered, refusal.column).split("\n")]
    if refusal.kept:
        lines.append("What was typed is kept in the log." if refusal.doubts else "The attempt is kept in the log.")
    return tuple(lines)


def notice_lines(situation: Situation) -> tuple[str, ...]:
    """Return what a reader should know beside the step; a caution is marked as in effect (SP-02)."""
    return tuple(
        f"{'IN EFFECT' if notice in situation.cautions else 'NOTICE'}: {notice}" for notice in situation.notices
    )


def notices_at(moment: Moment, job: Job) -> tuple[str, ...]:
    """Return what a reader should have known after a command of a log, worked out anew from its readings."""
    day = moment.command.at.on if moment.command else ""
    return situation(job, moment.state, moment.state.last_ms, day).notices


def cause_lines(causes: Sequence[Cause]) -> tuple[str, ...]:
    """Return the ranked causes as sentences; they are advice and say so."""
    if not causes:
        return ("No cause is ranked: nothing was read yet that a fault of this circuit would explain.",)
    lines = ["What may lie behind the readings so far, likeliest first. This is advice, not a verdict."]
    for number, cause in enumerate(causes[:MOST_CAUSES], start=1):
        where = f", {cause.where}" if cause.where else ""
        tell = f" To tell it from the next: {cause.separates_by}." if cause.separates_by else ""
        lines.append(f"{number}. {cause.title}{where}.{tell}")
    return tuple(visible(line) for line in lines)
