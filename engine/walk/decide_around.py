"""Commands around the steps: corrections, remarks, stops, absence, hand-over, reports, presence, amendments."""

from __future__ import annotations

from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.amend import amend_card, amendable, amended_job, card_value
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.acts import ACTS, Effect
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, away_too_long, person_of
from ferrule.engine.walk.consequences import Ledger, claimed, fall_back, happened, may_be_struck
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.ruling import Decision, proved_only, reason_given, settle_place, stop_work
from ferrule.engine.walk.state import State

# --- what happens around the steps ---


def correct(job: Job, state: State, command: c.Correct) -> Decision:
    done = state.done.get(command.entry)
    if done is None or command.entry in state.struck:
        return Refusal("no-entry", f"Entry {command.entry} is not an answer that can be struck out.")
    if not reason_given(command.reason):
        return Refusal("reason", "Give the reason for the correction.")
    step = step_at(job, done.step)
    act = ACTS.get(step.act) if step else None
    if act is not None and not may_be_struck(act):
        return Refusal("done-is-done", f"“{act.name}” was done; report what happened instead of striking it out.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.StruckOut(command.entry, command.reason, command.person))
    why = f"entry {command.entry} was struck out"
    said = claimed(job, step, done.word, ledger.facts) if step is not None else ()
    ledger.change(list(fall_back((*done.changes, *said), ledger.facts)), why)
    lost = set(done.slots)
    ledger.void([r for r, slots in state.rests.items() if lost & set(slots)], why)
    undecided = state.pending is not None and state.pending.entry == command.entry
    return settle_place(ledger, state, state.step, stay=not undecided)


def remark(job: Job, state: State, command: c.Remark) -> Decision:
    if not command.text.strip():
        return Refusal("reason", "The remark is empty.")
    if command.step and step_at(job, command.step) is None:
        return Refusal("unknown-step", f"This job has no step “{command.step}”.")
    return (e.Remarked(command.step or state.step, command.text, command.person),)


def stop(job: Job, state: State, command: c.StopWork) -> Decision:
    if state.facts["work"] == "stopped":
        return Refusal("stopped-already", "Work is stopped already.")
    ledger = Ledger(job, state.facts, command.at.ms)
    if state.away_ms is not None:
        ledger.add(e.CameBack(command.at.ms, command.person))
    stop_work(ledger, command.person, command.reason or "no reason given")
    return settle_place(ledger, state, "", "Work was stopped: make safe.")


def carry_on(job: Job, state: State, command: c.CarryOn) -> Decision:
    if state.facts["work"] != "stopped":
        return Refusal("not-stopped", "Work is not stopped.")
    person = person_of(job, command.person)
    if job.card.sign_off == "supervised" and person and "supervisor" not in person.roles:
        return Refusal("supervisor-decides", "After a stop the supervisor lets work go on.", kept=True)
    if not reason_given(command.reason):
        return Refusal("reason", "Say why work may go on.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.WentOn(command.reason, command.person))
    kept = "put back" if ledger.facts["ending"] == "put back" else "none"
    ledger.change([Effect("work", "going"), Effect("ending", kept), *proved_only(ledger)], "work goes on")
    return settle_place(ledger, state, "", "Work goes on.")


def step_away(_job: Job, state: State, command: c.StepAway) -> Decision:
    if state.facts["tails"] != "shrouded":
        return Refusal(
            "tails-exposed", "Before leaving, put the cover on or fit the barrier and lock the room.", kept=True
        )
    return (e.WentAway(command.at.ms, command.person, command.reason),)


def come_back(job: Job, state: State, command: c.ComeBack) -> Decision:
    if state.away_ms is None:
        return Refusal("not-away", "Nobody is marked as away.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.CameBack(command.at.ms, command.person))
    long = away_too_long(job, command.at.ms - state.away_ms)
    if long:
        ledger.change(proved_only(ledger), "the board was left for longer than the setting allows")
    return settle_place(ledger, state, state.step, stay=True, doubt_stands=not long)


def resume(job: Job, state: State, command: c.Resume) -> Decision:
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.TakenUp(command.at.ms, command.person, command.reason))
    since = state.away_ms if state.away_ms is not None else state.last_ms
    long = away_too_long(job, command.at.ms - since)
    if long:
        ledger.change(proved_only(ledger), "the program was closed for longer than the setting allows")
    return settle_place(ledger, state, state.step, stay=state.round_start_ms is None, doubt_stands=not long)


def hand_over(job: Job, state: State, command: c.HandOver) -> Decision:
    incoming = person_of(job, command.to)
    if incoming is None or not {"technician", "supervisor"} & set(incoming.roles) or command.to == command.person:
        return Refusal("wrong-role", "The job is handed to another technician named on the card.", kept=True)
    if incoming.until < command.at.on:
        return Refusal("not-authorised", f"{incoming.name} is authorised until {incoming.until}.", kept=True)
    if not reason_given(command.locks):
        return Refusal("reason", "Say what was done with the locks and keys.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.HandedOver(command.person, command.to, command.locks))
    ledger.change(proved_only(ledger), "the job was handed over")
    return settle_place(ledger, state, state.step, stay=True, doubt_stands=False)


def report(job: Job, state: State, command: c.Report) -> Decision:
    row = DISTURBANCES.get(command.what)
    if row is None:
        return Refusal("unknown-report", f"“{command.what}” is not something that can be reported.")
    if bool(row.object) != bool(command.of) or (row.object and command.of not in job.objects.get(row.object, ())):
        return Refusal("unknown-object", f"“{command.what}” needs one of the card's {row.object or 'nothing'}.")
    if any(state.facts.get(n.fact.replace("{of}", command.of)) not in n.values for n in row.only_if):
        return Refusal("not-so", f"“{command.what}” does not fit what is recorded now.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.Reported(command.what, command.of, command.note, command.person))
    happened(ledger, row, command.of)
    return settle_place(ledger, state, state.step, stay=True, doubt_stands=False)


def say_presence(job: Job, state: State, command: c.SayPresence) -> Decision:
    person = person_of(job, command.person)
    if command.present and (person is None or "supervisor" not in person.roles):
        return Refusal("wrong-role", "The supervisor says so in person.", kept=True)
    ledger = Ledger(job, state.facts, command.at.ms)
    word = "present" if command.present else "absent"
    ledger.change([Effect("supervisor", word)], f"the supervisor is {word}")
    return tuple(ledger.events) or Refusal("no-change", f"The supervisor is {word} already.")


def amend(job: Job, state: State, command: c.Amend) -> Decision:
    agreed = person_of(job, command.agreed_by)
    if agreed is None or (job.card.sign_off == "supervised" and "supervisor" not in agreed.roles):
        return Refusal("agreement", "Name the person who agrees to the change of the card.")
    if not reason_given(command.seen):
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
        stop_work(ledger, command.person, why)
        return settle_place(ledger, state, "", "The card no longer fits the job: make safe.")
    ledger.job = amended_job(job, ((command.field, command.new),))
    return settle_place(ledger, state, state.step, stay=True, doubt_stands=False)
