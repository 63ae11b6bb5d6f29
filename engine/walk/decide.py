"""What a command leads to: events, or a refusal with its reason.  It changes nothing itself.

Rules
1. No clock, no file, no chance: person and time arrive inside the command.
2. A gate has no overrule.  Every act is measured against its needs here, whoever asks and by whatever way.
3. The same state and command always give the same events; replay rests on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.amend import amend_card, amendable, amended_job, card_value
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.safety.acts import ACTS, PASS, Effect, Need
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.text import check_text
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import (
    Refusal,
    away_too_long,
    indicator_lapsed,
    is_apprentice,
    person_of,
    refuse_doer,
    refuse_person,
    refuse_signer,
)
from ferrule.engine.walk.answering import AnswerError, Evaluated, evaluate
from ferrule.engine.walk.consequences import Ledger, act_done, fall_back, results_of
from ferrule.engine.walk.place import gate, next_place, objects_of, step_at
from ferrule.engine.walk.state import State

Decision = tuple[e.Event, ...] | Refusal

_UNPROVE = (
    Effect("zone:busbar", "unproved"),
    Effect("zone:circuit", "unproved"),
    Effect("dead test", "none"),
)
_WHILE_AWAY = (c.ComeBack, c.StopWork, c.Remark, c.Report, c.Resume)
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
    return _DECIDE[type(command)](amended_job(job, state.amendments), state, command)


def refused_events(refusal: Refusal, step: str) -> tuple[e.Event, ...]:
    """Return the event under which an attempt at a shut gate is kept in the log."""
    return (e.Refused(step, refusal.code, refusal.reason),)


def _refuse_text(command: c.Command) -> Refusal | None:
    for name in _REASONED:
        text = getattr(command, name, None)
        if isinstance(text, str):
            why = check_text(text)
            if why:
                return Refusal("text", why)
    return None


def _reason_given(reason: str) -> bool:
    return len(reason.strip()) >= 3


def _gate_words(needs: Sequence[Need], step: Step) -> str:
    listed = "; ".join(f"{n.fact.replace(':', ' ')} must be {' or '.join(n.values)}" for n in needs[:4])
    more = f"; and {len(needs) - 4} more" if len(needs) > 4 else ""
    return f"“{step.text}” is shut: {listed}{more}."


def _at_step(job: Job, state: State, command: Any) -> Step | Refusal:
    step = step_at(job, state.step)
    if step is None:
        return Refusal("no-step", state.why_here or "There is no step to answer.")
    if command.step != state.step:
        return Refusal(
            "another-step", f"This answers “{command.step}”; the walk stands at “{state.step}”. Nothing was taken."
        )
    if state.pending is not None and not isinstance(command, c.Settle):
        return Refusal("decision-wanted", "The last answer is doubtful. It must be settled first.")
    return step


def _shut(job: Job, state: State, step: Step) -> Refusal | None:
    missing = gate(job, step, state.facts)
    return Refusal("gate", _gate_words(missing, step), kept=True) if missing else None


def _lapsed(job: Job, state: State, step: Step, at_ms: int) -> Decision | None:
    """Return the events of a proof of the indicator that has grown too old, or None."""
    if not indicator_lapsed(job, state, step, at_ms):
        return None
    ledger = Ledger(job, state.facts, at_ms)
    ledger.change([Effect("indicator", "unproved")], "the proof of the indicator is too old")
    ledger.add(e.Refused(state.step, "indicator-lapsed", "Prove the indicator again before this round."))
    return _settle_place(ledger, state, state.step)


def _settle_place(ledger: Ledger, state: State, wanted: str, why: str = "", *, stay: bool = False) -> Decision:
    """Close a decision: find where the walk stands now, and say so when it moved."""
    if state.pending is not None:
        if stay:
            return tuple(ledger.events)
        _drop_undecided(ledger, state.pending.step)
    place = next_place(ledger.job, ledger.facts, wanted, why or state.why_here)
    if not stay or place.step != state.step:
        ledger.add(e.Moved(place.step, place.why, ledger.at_ms))
    return tuple(ledger.events)


def _drop_undecided(ledger: Ledger, where: str) -> None:
    """Make void what was left doubtful and undecided when the walk moved on."""
    step = step_at(ledger.job, where)
    names = results_of(step) if step else ()
    ledger.void([r for r in names if ledger.facts.get(f"result:{r}") == "refer"], "left undecided")


# --- answering a step ---


def _answer(job: Job, state: State, command: c.Answer) -> Decision:
    step = _at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if step.kind == "hold":
        return Refusal("sign", "A hold point is signed, not answered.")
    refused = _shut(job, state, step) or refuse_doer(job, state, step, command)
    if refused:
        return refused
    lapsed = _lapsed(job, state, step, command.at.ms)
    if lapsed is not None:
        return lapsed
    early = _too_early(job, state, step, command.at.ms)
    if early:
        return early
    try:
        found = evaluate(job, state, step, command)
    except AnswerError as error:
        return Refusal("answer", str(error), False, error.point, error.cell, error.column)
    return _answered(job, state, step, command, found)


def _too_early(job: Job, state: State, step: Step, at_ms: int) -> Refusal | None:
    act = ACTS.get(step.act)
    if step.kind == "round" and state.round_start_ms is None and act and (act.touches or act.live):
        return Refusal("round-not-started", "Stamp the start of the round before it is done.")
    left = wait_left_ms(job, state, step, at_ms)
    if left > 0:
        return Refusal("wait", f"Wait another {-(-left // 1000)} s; the time was not over yet.")
    return None


def wait_left_ms(job: Job, state: State, step: Step, now_ms: int) -> int:
    """Return how many milliseconds of a wait are left; 0 for a step without one (TM-03)."""
    if step.kind != "wait":
        return 0
    times = {s.id: s.wait_min for s in job.card.sources}
    wanted = [times.get(of, "0") for of in objects_of(job, step)] if step.minutes == "source" else [step.minutes]
    longest = max((int(Decimal(w) * 60_000) for w in wanted), default=0)
    return max(0, state.entered_ms + longest - now_ms)


def _answered(job: Job, state: State, step: Step, command: c.Answer, found: Evaluated) -> Decision:
    entry = state.entries + 1
    ledger = Ledger(job, state.facts, command.at.ms)
    started = state.round_start_ms if state.round_start_ms is not None else state.entered_ms
    ended = state.round_end_ms if state.round_end_ms is not None else command.at.ms
    ledger.add(
        e.Answered(
            state.step,
            entry,
            found.word,
            found.cells,
            found.checks,
            started,
            ended,
            command.at.ms,
            command.origin,
            step.kind == "verify" and job.card.sign_off != "supervised",
        )
    )
    for result in results_of(step):
        ledger.add(e.ResultRested(result, found.reads))
    act_done(ledger, step, found.answer_class, dict(found.by_point))
    _after_effects(ledger, step, command, found)
    target = _target(step, found)
    if target == "ask":
        ledger.add(e.DecisionWanted(state.step, entry, found.word, found.settle_alone))
        return tuple(ledger.events)
    return _follow(ledger, state, step, target, _why(step, found))


def _after_effects(ledger: Ledger, step: Step, command: c.Answer, found: Evaluated) -> None:
    if step.act == "prove the indicator" and found.answer_class == PASS:
        ledger.add(e.IndicatorProved(command.at.ms))
    if step.act == "prove dead" and ledger.facts["dead test"] == "clear":
        pairs = [cell for cell in found.cells if cell.point]
        points = {cell.point for cell in pairs}
        ledger.add(e.Proved(command.at.ms, command.person, len(pairs), len(points)))
    if step.act in ("isolate and lock", "switch off and lock for safety"):
        for of in objects_of(ledger.job, step):
            if ledger.facts.get(f"lock:{of}") == "applied":
                ledger.add(e.LockTaken(of, command.person))


def _target(step: Step, found: Evaluated) -> str:
    if len(found.cells) == 1 and found.cells[0].form == c.SEEN and found.cells[0].entered in step.answers:
        return step.answers[found.cells[0].entered]
    if found.word in step.answers:
        return step.answers[found.word]
    if found.word in ("pass", "done"):
        return "next"
    return "again" if found.word == "unstable" else "ask"


def _why(step: Step, found: Evaluated) -> str:
    if found.word in ("pass", "done"):
        return ""
    said = [str(r.verdict["sentence"]) for r in found.cells if r.verdict and r.outcome == found.word]
    said += [str(v["sentence"]) for v in found.checks if v["outcome"] == found.word]
    return f"“{step.text}” gave {found.word}. {said[0] if said else ''}".strip()


def _follow(ledger: Ledger, state: State, step: Step, target: str, why: str) -> Decision:
    """Go where an answer leads."""
    if step.outcome and ledger.facts["log"] == "closed":
        ledger.add(e.Ended(step.outcome))
        ledger.add(e.Moved("", "The log is closed.", ledger.at_ms))
        return tuple(ledger.events)
    if target == "stop":
        _stop_work(ledger, "", why or "work was stopped")
        return _settle_place(ledger, state, "", why)
    return _settle_place(ledger, state, _where(ledger.job, state.step, step, target), why)


def _where(job: Job, here: str, step: Step, target: str) -> str:
    name = here.partition("/")[0]
    if target == "again":
        return here
    if target == "end" or (target == "next" and step.kind == "end"):
        return ""
    if target == "next":
        steps = job.procedures[name].steps
        index = next(i for i, s in enumerate(steps) if s.id == step.id)
        return f"{name}/{steps[index + 1].id}" if index + 1 < len(steps) else ""
    kind, _, found = target.partition(":")
    if kind == "step":
        return f"{name}/{found}"
    return f"{found}/{job.procedures[found].steps[0].id}"


def _stamp_round(job: Job, state: State, command: c.StampRound) -> Decision:
    step = _at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if step.kind != "round" or command.mark not in ("start", "end"):
        return Refusal("no-round", "This step is not a round.")
    if (command.mark == "start") == (state.round_start_ms is not None):
        word = "started already" if command.mark == "start" else "not been started"
        return Refusal("round-stamp", f"The round has {word}.")
    refused = _shut(job, state, step) or refuse_doer(job, state, step, command)
    if refused:
        return refused
    lapsed = _lapsed(job, state, step, command.at.ms)
    if lapsed is not None:
        return lapsed
    return (e.RoundStamped(state.step, command.mark, command.at.ms),)


def _not_applicable(job: Job, state: State, command: c.NotApplicable) -> Decision:
    step = _at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if not step.not_applicable:
        return Refusal("not-allowed", "This step cannot be answered as not applicable.", kept=True)
    refused = refuse_doer(job, state, step, command)
    if refused:
        return refused
    if not _reason_given(command.reason):
        return Refusal("reason", "Give the reason why this step does not apply.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.PassedOver(state.step, command.reason, command.person))
    return _settle_place(ledger, state, _where(job, state.step, step, "next"), "")


# --- decisions and signatures ---


def _settle(job: Job, state: State, command: c.Settle) -> Decision:
    step = _at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    pending = state.pending
    if pending is None:
        return Refusal("nothing-to-settle", "There is no doubtful answer to settle.")
    refused = _refuse_settler(job, state, command)
    if refused:
        return refused
    if command.decision == "pass" and any(state.facts.get(f"result:{r}") != "refer" for r in results_of(step)):
        return Refusal("void-meanwhile", "What was read is void by now. Settle it as “again”.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.Settled(state.step, pending.entry, command.decision, command.reason, command.person))
    if command.decision == "again":
        ledger.void(results_of(step), "read again by decision")
        return _settle_place(ledger, state, state.step, "Read again by decision.")
    act_done(ledger, step, command.decision, {})
    word = command.decision
    target = step.answers.get(word, "ask")
    if target == "ask":
        target = "next" if word == "pass" else "stop"
    return _follow(ledger, state, step, target, f"Settled as {word}: {command.reason}")


def _refuse_settler(job: Job, state: State, command: c.Settle) -> Refusal | None:
    person = person_of(job, command.person)
    assert person is not None
    assert state.pending is not None
    if command.decision not in ("pass", "fail", "again"):
        return Refusal("decision", "A doubtful answer is settled as pass, fail or again.")
    if not _reason_given(command.reason):
        return Refusal("reason", "Give the reason for the decision.")
    if command.decision != "pass" or "supervisor" in person.roles:
        return None
    if job.card.sign_off != "supervised" and state.pending.alone and not is_apprentice(person):
        return None
    return Refusal(
        "supervisor-decides",
        "Only the supervisor may settle this as pass. Read it again, settle it as failed, or stop.",
        kept=True,
    )


def _sign(job: Job, state: State, command: c.Sign) -> Decision:
    step = step_at(job, state.step)
    if step is None or step.kind != "hold" or step.act != f"release hold point {command.hold}":
        return Refusal("another-step", f"The walk does not stand at hold point {command.hold}.", kept=True)
    if command.hold not in HOLD_POINTS:
        return Refusal("no-hold", f"There is no hold point {command.hold}.")
    refused = _shut(job, state, step) or refuse_signer(
        job, state, command.hold, command.role, command.person, command.telephone
    )
    if refused:
        return refused
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.Signed(command.hold, command.role, command.person, command.telephone))
    roles = {role for role, _, _ in state.signed.get(command.hold, ())} | {command.role}
    if not set(HOLD_POINTS[command.hold].signers(job.card.sign_off)) <= roles:
        return tuple(ledger.events)
    act_done(ledger, step, "pass", {})
    return _follow(ledger, state, step, step.answers.get("done", "next"), "")


# --- what happens around the steps ---


def _correct(job: Job, state: State, command: c.Correct) -> Decision:
    done = state.done.get(command.entry)
    if done is None or command.entry in state.struck:
        return Refusal("no-entry", f"Entry {command.entry} is not an answer that can be struck out.")
    if not _reason_given(command.reason):
        return Refusal("reason", "Give the reason for the correction.")
    step = step_at(job, done.step)
    act = ACTS.get(step.act) if step else None
    if act is not None and act.critical and act.name != "prove dead":
        return Refusal("done-is-done", f"“{act.name}” was done; report what happened instead of striking it out.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.StruckOut(command.entry, command.reason, command.person))
    why = f"entry {command.entry} was struck out"
    ledger.change(list(fall_back(done.changes, ledger.facts)), why)
    lost = set(done.slots)
    ledger.void([r for r, slots in state.rests.items() if lost & set(slots)], why)
    undecided = state.pending is not None and state.pending.entry == command.entry
    return _settle_place(ledger, state, state.step, stay=not undecided)


def _remark(_job: Job, _state: State, command: c.Remark) -> Decision:
    if not command.text.strip():
        return Refusal("reason", "The remark is empty.")
    return (e.Remarked(command.text, command.person),)


def _stop(job: Job, state: State, command: c.StopWork) -> Decision:
    if state.facts["work"] == "stopped":
        return Refusal("stopped-already", "Work is stopped already.")
    ledger = Ledger(job, state.facts, command.at.ms)
    if state.away_ms is not None:
        ledger.add(e.CameBack(command.at.ms, command.person))
    _stop_work(ledger, command.person, command.reason or "no reason given")
    return _settle_place(ledger, state, "", "Work was stopped: make safe.")


def _stop_work(ledger: Ledger, person: str, reason: str) -> None:
    """Stop work: what was proved is no longer relied on."""
    ledger.add(e.Stopped(reason, person))
    ledger.change([Effect("work", "stopped")], "work was stopped")
    ledger.change(_proved_only(ledger), "work was stopped")


def _proved_only(ledger: Ledger) -> list[Effect]:
    """Return what takes back a proof; a zone that was last found live stays as it was found."""
    return [x for x in _UNPROVE if ledger.facts.get(x.fact) in ("proved", "clear", "volts")]


def _carry_on(job: Job, state: State, command: c.CarryOn) -> Decision:
    if state.facts["work"] != "stopped":
        return Refusal("not-stopped", "Work is not stopped.")
    person = person_of(job, command.person)
    if job.card.sign_off == "supervised" and person and "supervisor" not in person.roles:
        return Refusal("supervisor-decides", "After a stop the supervisor lets work go on.", kept=True)
    if not _reason_given(command.reason):
        return Refusal("reason", "Say why work may go on.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.WentOn(command.reason, command.person))
    ledger.change([Effect("work", "going"), *_proved_only(ledger)], "work goes on")
    return _settle_place(ledger, state, "", "Work goes on.")


def _step_away(_job: Job, state: State, command: c.StepAway) -> Decision:
    if state.facts["tails"] != "shrouded":
        return Refusal(
            "tails-exposed", "Before leaving, put the cover on or fit the barrier and lock the room.", kept=True
        )
    return (e.WentAway(command.at.ms, command.person, command.reason),)


def _come_back(job: Job, state: State, command: c.ComeBack) -> Decision:
    if state.away_ms is None:
        return Refusal("not-away", "Nobody is marked as away.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.CameBack(command.at.ms, command.person))
    if away_too_long(job, command.at.ms - state.away_ms):
        ledger.change(_proved_only(ledger), "the board was left for longer than the setting allows")
    return _settle_place(ledger, state, state.step, stay=True)


def _resume(job: Job, state: State, command: c.Resume) -> Decision:
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.TakenUp(command.at.ms, command.person, command.reason))
    since = state.away_ms if state.away_ms is not None else state.last_ms
    if away_too_long(job, command.at.ms - since):
        ledger.change(_proved_only(ledger), "the program was closed for longer than the setting allows")
    return _settle_place(ledger, state, state.step, stay=state.round_start_ms is None)


def _hand_over(job: Job, state: State, command: c.HandOver) -> Decision:
    incoming = person_of(job, command.to)
    if incoming is None or not {"technician", "supervisor"} & set(incoming.roles) or command.to == command.person:
        return Refusal("wrong-role", "The job is handed to another technician named on the card.", kept=True)
    if incoming.until < command.at.on:
        return Refusal("not-authorised", f"{incoming.name} is authorised until {incoming.until}.", kept=True)
    if not _reason_given(command.locks):
        return Refusal("reason", "Say what was done with the locks and keys.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.HandedOver(command.person, command.to, command.locks))
    ledger.change(_proved_only(ledger), "the job was handed over")
    return _settle_place(ledger, state, state.step, stay=True)


def _report(job: Job, state: State, command: c.Report) -> Decision:
    row = DISTURBANCES.get(command.what)
    if row is None:
        return Refusal("unknown-report", f"“{command.what}” is not something that can be reported.")
    if bool(row.object) != bool(command.of) or (row.object and command.of not in job.objects.get(row.object, ())):
        return Refusal("unknown-object", f"“{command.what}” needs one of the card's {row.object or 'nothing'}.")
    if any(state.facts.get(n.fact) not in n.values for n in row.only_if):
        return Refusal("not-so", f"“{command.what}” does not fit what is recorded now.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.Reported(command.what, command.of, command.note, command.person))
    ledger.void(row.voids, command.what)
    ledger.change([Effect(x.fact.replace("{of}", command.of), x.value) for x in row.effects], command.what)
    return _settle_place(ledger, state, state.step, stay=True)


def _say_presence(job: Job, state: State, command: c.SayPresence) -> Decision:
    person = person_of(job, command.person)
    if command.present and (person is None or "supervisor" not in person.roles):
        return Refusal("wrong-role", "The supervisor says so in person.", kept=True)
    ledger = Ledger(job, state.facts, command.at.ms)
    word = "present" if command.present else "absent"
    ledger.change([Effect("supervisor", word)], f"the supervisor is {word}")
    return tuple(ledger.events) or Refusal("no-change", f"The supervisor is {word} already.")


def _amend(job: Job, state: State, command: c.Amend) -> Decision:
    agreed = person_of(job, command.agreed_by)
    if agreed is None or (job.card.sign_off == "supervised" and "supervisor" not in agreed.roles):
        return Refusal("agreement", "Name the person who agrees to the change of the card.")
    if not _reason_given(command.seen):
        return Refusal("reason", "Say what was seen.")
    try:
        field = amendable(command.field)
        old = card_value(job.card, command.field)
        amend_card(job.card, command.field, command.new)
    except FerruleError as error:
        return Refusal("answer", str(error))
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.CardAmended(command.field, command.seen, old, command.new, command.agreed_by, command.person))
    why = f"the card's {command.field} was amended"
    ledger.void(field.voids, why)
    ledger.change([Effect(f"check:{name}", "open") for name in field.opens], why)
    if field.stops:
        _stop_work(ledger, command.person, why)
        return _settle_place(ledger, state, "", "The card no longer fits the job: make safe.")
    ledger.job = amended_job(job, ((command.field, command.new),))
    return _settle_place(ledger, state, state.step, stay=True)


_DECIDE: dict[type, Callable[[Job, State, Any], Decision]] = {
    c.Answer: _answer,
    c.StampRound: _stamp_round,
    c.NotApplicable: _not_applicable,
    c.Settle: _settle,
    c.Sign: _sign,
    c.Correct: _correct,
    c.Remark: _remark,
    c.StopWork: _stop,
    c.CarryOn: _carry_on,
    c.StepAway: _step_away,
    c.ComeBack: _come_back,
    c.Resume: _resume,
    c.HandOver: _hand_over,
    c.Report: _report,
    c.SayPresence: _say_presence,
    c.Amend: _amend,
}
