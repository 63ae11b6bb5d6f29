"""What happened, in the past tense.  The state of a walk is the fold of these and nothing else."""

from __future__ import annotations

from typing import Any

from ferrule.engine.light import dataclass
from ferrule.engine.walk.wire import WireError, from_wire, named, to_wire, wire_name


@dataclass(frozen=True, slots=True)
class CellRecord:
    """What one cell held: as entered, as understood, and how it was judged."""

    point: str
    cell: str
    slot: str
    """Where the reading is kept; empty for a state or words."""
    form: str
    entered: str
    reading: dict[str, Any] | None
    outcome: str
    instrument: str
    verdict: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class Answered:
    """A step was answered; the word leads to the next step."""

    step: str
    entry: int
    word: str
    cells: tuple[CellRecord, ...]
    checks: tuple[dict[str, Any], ...]
    started_ms: int
    ended_ms: int
    typed_ms: int
    origin: str
    self_check: bool
    """True where a second person was wanted and the same person looked again."""


@dataclass(frozen=True, slots=True)
class FactsChanged:
    """Facts took new values, for one reason."""

    because: str
    changes: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ResultRested:
    """A test result rests on these readings; when one of them is struck out, it becomes void."""

    result: str
    slots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IndicatorProved:
    """The indicator showed what it should on its proving unit; the age of that counts from here."""

    at_ms: int


@dataclass(frozen=True, slots=True)
class Proved:
    """A round of prove, test, prove found every pair clear."""

    at_ms: int
    person: str
    pairs: int
    points: int


@dataclass(frozen=True, slots=True)
class RoundStamped:
    """The start or end of a round was stamped."""

    step: str
    mark: str
    at_ms: int


@dataclass(frozen=True, slots=True)
class DecisionWanted:
    """The walk waits at a step for somebody to settle a doubtful answer."""

    step: str
    entry: int
    word: str
    alone: bool
    """Whether a person working alone may settle it."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A doubtful answer was settled, with the reason."""

    step: str
    entry: int
    decision: str
    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class PassedOver:
    """A step was answered as not applicable, with the reason."""

    step: str
    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class Signed:
    """A person signed a hold point in a role."""

    hold: str
    role: str
    person: str
    telephone: str


@dataclass(frozen=True, slots=True)
class StruckOut:
    """An earlier entry was struck out; it stays legible."""

    entry: int
    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class Remarked:
    """A remark was made on a step; no step where none was open."""

    step: str
    text: str
    person: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """Work was stopped; only what makes safe is open."""

    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class WentOn:
    """Work goes on after a stop."""

    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class EndChosen:
    """How the job is to end was said, and why."""

    end: str
    reason: str
    person: str


@dataclass(frozen=True, slots=True)
class WentAway:
    """The board was left."""

    at_ms: int
    person: str
    reason: str


@dataclass(frozen=True, slots=True)
class CameBack:
    """Somebody is at the board again."""

    at_ms: int
    person: str


@dataclass(frozen=True, slots=True)
class TakenUp:
    """The walk was taken up again after the program had ended."""

    at_ms: int
    person: str
    reason: str


@dataclass(frozen=True, slots=True)
class HandedOver:
    """The job, and with it the locks, went to another person."""

    person: str
    to: str
    locks: str


@dataclass(frozen=True, slots=True)
class LockTaken:
    """A person's lock is on a source."""

    source: str
    person: str


@dataclass(frozen=True, slots=True)
class Reported:
    """Something happened to the work."""

    what: str
    of: str
    note: str
    person: str


@dataclass(frozen=True, slots=True)
class CardAmended:
    """A field of the card was amended."""

    field: str
    seen: str
    old: str
    new: str
    agreed_by: str
    person: str


@dataclass(frozen=True, slots=True)
class Refused:
    """An attempt at a shut gate; nothing was done."""

    step: str
    code: str
    reason: str


@dataclass(frozen=True, slots=True)
class DoubtedCell:
    """A value that is hard to believe, as entered, and why."""

    point: str
    cell: str
    entered: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Doubted:
    """An answer was held: these values are taken only when they are entered a second time."""

    step: str
    cells: tuple[DoubtedCell, ...]


@dataclass(frozen=True, slots=True)
class CautionApplied:
    """A caution came into effect: what it warns of holds from here on."""

    say: str


@dataclass(frozen=True, slots=True)
class CautionLifted:
    """A caution is no longer in effect."""

    say: str


@dataclass(frozen=True, slots=True)
class Moved:
    """The walk stands at another step, and why; no step when it has ended or is blocked."""

    step: str
    why: str
    at_ms: int


@dataclass(frozen=True, slots=True)
class WaitBegan:
    """A wait began, and the moment at which it is over; both since the log was opened."""

    step: str
    start_ms: int
    due_ms: int


@dataclass(frozen=True, slots=True)
class SectionEnded:
    """The answers of a procedure led out of it: which of its steps are done, do not apply, are deferred, are open."""

    section: str
    done: tuple[str, ...]
    not_applicable: tuple[str, ...]
    deferred: tuple[str, ...]
    open: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Headed:
    """A search for a fault waits for what is missing for its next step; no step once it is there or given up."""

    step: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The log is to be closed with this outcome."""

    outcome: str


Event = (
    Answered
    | FactsChanged
    | ResultRested
    | IndicatorProved
    | Proved
    | RoundStamped
    | DecisionWanted
    | Settled
    | PassedOver
    | Signed
    | StruckOut
    | Remarked
    | Stopped
    | WentOn
    | EndChosen
    | WentAway
    | CameBack
    | TakenUp
    | HandedOver
    | LockTaken
    | Reported
    | CardAmended
    | Refused
    | Doubted
    | CautionApplied
    | CautionLifted
    | Moved
    | WaitBegan
    | SectionEnded
    | Headed
    | Ended
)

EVENTS = named(Event.__args__)


def event_to_json(event: Event) -> dict[str, Any]:
    """Return an event as it stands in the log."""
    return {"event": wire_name(type(event)), **to_wire(event)}


def event_from_json(stored: dict[str, Any]) -> Event:
    """Return the event that a log line holds; WireError names what is unknown."""
    kind = EVENTS.get(str(stored.get("event")))
    if kind is None:
        raise WireError(f"The log holds an event that this version does not know: {stored.get('event')!r}.")
    found: Event = from_wire(kind, {k: v for k, v in stored.items() if k != "event"})
    return found
