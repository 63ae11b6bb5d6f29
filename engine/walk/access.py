"""Who may do what now: persons of the card, their roles and dates, presence, absence and the lapse of a proof."""

from __future__ import annotations

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job, Person, Step
from ferrule.engine.procedure.words import CUSTODIES
from ferrule.engine.safety.acts import ACTS, THIS_WAY
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk.commands import Command
from ferrule.engine.walk.events import DoubtedCell
from ferrule.engine.walk.place import objects_of
from ferrule.engine.walk.state import State

GIVES_BACK = (
    *(name for name in ACTS if name.startswith("give back ")),
    "take the lock off the job way",
    "close the device alone",
)
"""Acts that take a lock off: only its owner may (invariant 9)."""

NOT_BY_APPRENTICE = ("close the device alone", "read the device alone")
"""Acts that an apprentice does not do, whoever stands beside them (invariant 48)."""

DOERS = ("technician", "supervisor", "apprentice")

AWAY_MINUTES = "away-minutes"
PROOF_MINUTES = "proof-minutes"
"""Named settings of the limits file; no published number was found for either (trade brief §13.2)."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a command is not taken; nothing has changed by it."""

    code: str
    reason: str
    kept: bool = False
    """Whether the attempt is kept in the log: an attempt at a shut gate or a forbidden act."""
    point: str = ""
    cell: str = ""
    column: int = 0
    doubts: tuple[DoubtedCell, ...] = ()
    """Values that are taken once they are entered a second time; they are kept in the log."""


def person_of(job: Job, person_id: str) -> Person | None:
    """Return the person of the card with this id, or None."""
    return next((p for p in job.card.people if p.id == person_id), None)


def refuse_person(job: Job, command: Command) -> Refusal | None:
    """Return why this person cannot act today, or None (VR-09)."""
    person = person_of(job, command.person)
    if person is None:
        return Refusal("unknown-person", f"“{command.person}” is not named on the card.", kept=True)
    if person.until < command.at.on:
        return Refusal(
            "not-authorised",
            f"{person.name} is authorised until {person.until}; today is {command.at.on}. Another person must act.",
            kept=True,
        )
    return None


def is_apprentice(person: Person) -> bool:
    """True for somebody who acts only with the supervisor beside them."""
    return "apprentice" in person.roles and not {"technician", "supervisor"} & set(person.roles)


def refuse_doer(job: Job, state: State, step: Step, command: Command) -> Refusal | None:
    """Return why this person may not do this step, or None."""
    person = person_of(job, command.person)
    if person is None or not set(person.roles) & set(DOERS):
        return Refusal("wrong-role", "Steps are done by a technician, or an apprentice under supervision.", kept=True)
    if is_apprentice(person) and state.facts.get("supervisor") != "present":
        live = ACTS[step.act].live if step.act in ACTS else False
        what = "Live work stops at once." if live else "The step waits."
        return Refusal(
            "supervisor-absent",
            f"{person.name} works only with the supervisor beside them. {what}",
            kept=True,
        )
    if is_apprentice(person) and step.act in NOT_BY_APPRENTICE:
        return Refusal("wrong-role", "A technician or the supervisor does this, never an apprentice.", kept=True)
    if step.act in GIVES_BACK:
        for of in (THIS_WAY,) if step.act == "take the lock off the job way" else objects_of(job, step):
            owner = state.custody.get(of, command.person)
            if owner != command.person and owner not in CUSTODIES:
                return Refusal(
                    "not-your-lock",
                    f"The lock on {of} belongs to {owner}; only its owner takes it off.",
                    kept=True,
                )
    if step.kind == "verify" and job.card.sign_off == "supervised" and command.person == state.operator:
        return Refusal(
            "same-person",
            "A second person looks here, not the one who did the work.",
            kept=True,
        )
    return None


def refuse_signer(job: Job, state: State, hold: str, role: str, person_id: str, telephone: str) -> Refusal | None:
    """Return why this signature cannot be taken at a hold point, or None (VR-06, VR-07)."""
    point = HOLD_POINTS[hold]
    wanted = point.signers(job.card.sign_off)
    person = person_of(job, person_id)
    if role not in wanted:
        return Refusal("wrong-role", f"Hold point {hold} is signed by {' and '.join(wanted)}, not {role}.", kept=True)
    if person is None or role not in person.roles:
        name = person.name if person else person_id
        return Refusal("wrong-role", f"{name} is not named as {role} on the card.", kept=True)
    if telephone and not (point.may_be_by_telephone and role in ("supervisor", "designer")):
        return Refusal("wrong-role", f"Hold point {hold} is not released by telephone as {role}.", kept=True)
    for signed_role, signer, _ in state.signed.get(hold, ()):
        if signed_role == role:
            return Refusal("signed-already", f"Hold point {hold} is signed as {role} already.")
        if signer == person_id:
            return Refusal("same-person", "The same person cannot sign a hold point twice.", kept=True)
    return None


def minutes(job: Job, setting: str) -> int:
    """Return a named setting in whole minutes."""
    return int(job.limits.settings[setting])


def away_too_long(job: Job, gap_ms: int) -> bool:
    """True when the board was alone for longer than the setting allows."""
    return gap_ms > minutes(job, AWAY_MINUTES) * 60_000


def indicator_lapsed(job: Job, state: State, step: Step | None, now_ms: int) -> bool:
    """True when the proof of the indicator is too old for a round that starts now (a comparison, never an event)."""
    if state.facts.get("indicator") != "proved" or state.indicator_ms is None or step is None:
        return False
    act = ACTS.get(step.act)
    if act is None or not any(n.fact == "indicator" and n.values == ("proved",) for n in act.needs):
        return False
    at = state.round_start_ms if state.round_start_ms is not None else now_ms
    return at - state.indicator_ms > minutes(job, PROOF_MINUTES) * 60_000
