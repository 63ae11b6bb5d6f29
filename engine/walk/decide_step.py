"""Commands at the step on screen: answers, rounds, passing over, decisions on doubt, signatures."""

from __future__ import annotations

from functools import reduce

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.procedure.words import OWN
from ferrule.engine.safety.acts import ACTS, PASS, REFER, THIS_WAY
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, is_apprentice, person_of, refuse_doer, refuse_signer
from ferrule.engine.walk.answering import Evaluated, evaluate
from ferrule.engine.walk.cells import AnswerError
from ferrule.engine.walk.consequences import Ledger, act_done, results_of
from ferrule.engine.walk.doubts import DoubtError
from ferrule.engine.walk.evolve import evolve
from ferrule.engine.walk.marks import tally
from ferrule.engine.walk.place import gate, leads_on, objects_of, step_at
from ferrule.engine.walk.ruling import Decision, at_step, lapsed, reason_given, settle_place, shut, stop_work
from ferrule.engine.walk.state import State
from ferrule.engine.walk.targets import target_of, where_to
from ferrule.engine.walk.waits import wait_left_ms

# --- answering a step ---


def answer(job: Job, state: State, command: c.Answer) -> Decision:
    step = at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if step.kind == "hold":
        return Refusal("sign", "A hold point is signed, not answered.")
    refused = shut(job, state, step) or refuse_doer(job, state, step, command)
    if refused:
        return refused
    old = lapsed(job, state, step, command.at.ms)
    if old is not None:
        return old
    early = _too_early(job, state, step, command.at.ms)
    if early:
        return early
    try:
        found = evaluate(job, state, step, command)
    except AnswerError as error:
        return Refusal("answer", str(error), False, error.point, error.cell, error.column)
    except DoubtError as doubt:
        first = doubt.cells[0]
        return Refusal("doubtful", str(doubt), True, first.point, first.cell, 0, doubt.cells)
    return _answered(job, state, step, command, found)


def _too_early(job: Job, state: State, step: Step, at_ms: int) -> Refusal | None:
    act = ACTS.get(step.act)
    if step.kind == "round" and state.round_start_ms is None and act and (act.touches or act.live):
        return Refusal("round-not-started", "Stamp the start of the round before it is done.")
    left = wait_left_ms(job, state, step, at_ms)
    if left > 0:
        return Refusal("wait", f"Wait another {-(-left // 1000)} s; the time was not over yet.")
    return None


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
    target = target_of(step, found.word, _seen(found))
    if target == "ask":
        ledger.add(e.DecisionWanted(state.step, entry, found.word, found.settle_alone))
        return tuple(ledger.events)
    return follow(ledger, state, step, target, _why(step, found))


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
                ledger.add(e.LockTaken(of, _owner(ledger.job, of, command.person)))
    if step.act == "lock off the job way" and ledger.facts["way lock"] == "applied":
        ledger.add(e.LockTaken(THIS_WAY, command.person))


def _owner(job: Job, source: str, person: str) -> str:
    """Return whose lock is on a source: the person's own, or that of who keeps it by the card."""
    custody = next((s.custody for s in job.card.sources if s.id == source), OWN)
    return person if custody == OWN else custody


def _seen(found: Evaluated) -> str:
    """Return the one state that was seen, where a step asks for nothing else."""
    one = found.cells[0] if len(found.cells) == 1 else None
    return one.entered if one is not None and one.form == c.SEEN else ""


def _why(step: Step, found: Evaluated) -> str:
    if found.word in ("pass", "done"):
        return ""
    said = [str(r.verdict["sentence"]) for r in found.cells if r.verdict and r.outcome == found.word]
    said += [str(v["sentence"]) for v in found.checks if v["outcome"] == found.word]
    return f"“{step.text}” gave {found.word}. {said[0] if said else ''}".strip()


def follow(ledger: Ledger, state: State, step: Step, target: str, why: str) -> Decision:
    """Go where an answer leads; of `state` only the place and the doubt that stands there are read."""
    if step.outcome and ledger.facts["log"] == "closed":
        end_section(ledger, state, "")
        ledger.add(e.Ended(step.outcome))
        ledger.add(e.Moved("", "The log is closed.", ledger.at_ms))
        return tuple(ledger.events)
    if target == "stop":
        stop_work(ledger, "", why or "work was stopped")
        return settle_place(ledger, state, "", why)
    wanted = where_to(ledger.job, state.step, step, target)
    end_section(ledger, state, wanted)
    leads = _is_search(step) or target.startswith("procedure:")
    heading = wanted if wanted and leads else state.heading
    return settle_place(ledger, state, wanted, why, heading=heading)


def coming_wait(job: Job, state: State) -> e.WaitBegan | None:
    """Return the wait that begins once the step on screen is done as it should be; None where none does (TM-01).

    It is decided like the answer itself, so that what is announced is what comes.
    """
    step = step_at(job, state.step)
    if step is None or state.pending is not None or gate(job, step, state.facts):
        return None
    target = target_of(step, PASS if PASS in step.answers else "done")
    if target == "ask":
        return None
    ledger = Ledger(job, state.facts, 0)
    act_done(ledger, step, PASS, {})
    found = follow(ledger, state, step, target, "")
    assert not isinstance(found, Refusal)
    return next((event for event in found if isinstance(event, e.WaitBegan)), None)


def end_section(ledger: Ledger, state: State, wanted: str) -> None:
    """Say how a section ends where an answer leads out of it; one that only waits for a fact goes on (SP-13)."""
    here = state.step.partition("/")[0]
    if wanted.partition("/")[0] == here and leads_on(ledger.job, ledger.facts, wanted):
        return
    found = tally(ledger.job, reduce(evolve, ledger.events, state), here)
    ledger.add(e.SectionEnded(here, found.done, found.not_applicable, found.deferred, found.open))


def _is_search(step: Step) -> bool:
    """True for a step that only looks for a fault: where it leads is kept in mind while a gate is shut."""
    act = ACTS.get(step.act)
    return act is not None and not act.effects and not act.voids


def stamp_round(job: Job, state: State, command: c.StampRound) -> Decision:
    step = at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if step.kind != "round" or command.mark not in ("start", "end"):
        return Refusal("no-round", "This step is not a round.")
    if (command.mark == "start") == (state.round_start_ms is not None):
        word = "started already" if command.mark == "start" else "not been started"
        return Refusal("round-stamp", f"The round has {word}.")
    refused = shut(job, state, step) or refuse_doer(job, state, step, command)
    if refused:
        return refused
    old = lapsed(job, state, step, command.at.ms)
    if old is not None:
        return old
    return (e.RoundStamped(state.step, command.mark, command.at.ms),)


def not_applicable(job: Job, state: State, command: c.NotApplicable) -> Decision:
    step = at_step(job, state, command)
    if isinstance(step, Refusal):
        return step
    if not step.not_applicable:
        return Refusal("not-allowed", "This step cannot be answered as not applicable.", kept=True)
    refused = refuse_doer(job, state, step, command)
    if refused:
        return refused
    if not reason_given(command.reason):
        return Refusal("reason", "Give the reason why this step does not apply.")
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.PassedOver(state.step, command.reason, command.person))
    wanted = where_to(job, state.step, step, "next")
    end_section(ledger, state, wanted)
    return settle_place(ledger, state, wanted, "")


# --- decisions and signatures ---


def settle(job: Job, state: State, command: c.Settle) -> Decision:
    step = at_step(job, state, command)
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
    if command.decision == "pass" and _no_longer_open(job, state, step):
        return Refusal("gate", "What the step needs no longer stands. Settle it as “again”.", kept=True)
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.Settled(state.step, pending.entry, command.decision, command.reason, command.person))
    if command.decision == "again":
        ledger.void(results_of(step), "read again by decision")
        return settle_place(ledger, state, state.step, "Read again by decision.")
    act_done(ledger, step, command.decision, {})
    word = command.decision
    target = step.answers.get(word, "ask")
    if target == "ask":
        target = "next" if word == "pass" else "stop"
    return follow(ledger, state, step, target, f"Settled as {word}: {command.reason}")


def _no_longer_open(job: Job, state: State, step: Step) -> bool:
    """True when a need of the step fell since it was answered; what the doubt itself changed does not count."""
    act = ACTS.get(step.act)
    own = {x.fact for x in act.effects.get(REFER, ())} if act else set()
    return any(n.fact not in own for n in gate(job, step, state.facts))


def _refuse_settler(job: Job, state: State, command: c.Settle) -> Refusal | None:
    person = person_of(job, command.person)
    assert person is not None
    assert state.pending is not None
    if command.decision not in ("pass", "fail", "again"):
        return Refusal("decision", "A doubtful answer is settled as pass, fail or again.")
    if not reason_given(command.reason):
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


def sign(job: Job, state: State, command: c.Sign) -> Decision:
    step = step_at(job, state.step)
    if step is None or step.kind != "hold" or step.act != f"release hold point {command.hold}":
        return Refusal("another-step", f"The walk does not stand at hold point {command.hold}.", kept=True)
    if command.hold not in HOLD_POINTS:
        return Refusal("no-hold", f"There is no hold point {command.hold}.")
    refused = shut(job, state, step) or refuse_signer(
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
    return follow(ledger, state, step, step.answers.get("done", "next"), "")
