"""What a person can ask of a walk, in the imperative; person and time arrive inside.

A command says what was done or typed, word for word.  It never says what follows from it.
"""

from __future__ import annotations

from typing import Any

from ferrule.engine.light import dataclass
from ferrule.engine.walk.wire import WireError, from_wire, named, to_wire, wire_name


@dataclass(frozen=True, slots=True)
class Stamp:
    """When: milliseconds since the log was opened, and the local date."""

    ms: int
    on: str


NUMBER, ABOVE, BELOW, NOT_REACHED, UNSTABLE, SEEN, WORDS = (
    "number",
    "above range",
    "below range",
    "not reached",
    "unstable",
    "seen",
    "words",
)
"""The forms in which a cell is answered."""


@dataclass(frozen=True, slots=True)
class CellAnswer:
    """The answer to one cell at one point, verbatim."""

    point: str
    cell: str
    form: str
    entered: str
    again: bool = False
    """True where the same value is given a second time because it was hard to believe the first time."""


@dataclass(frozen=True, slots=True)
class Answer:
    """Answer the step that is on screen; `step` names it, so that a line for another step is refused."""

    person: str
    at: Stamp
    step: str
    cells: tuple[CellAnswer, ...]
    origin: str = "typed"
    """`typed` or `transcribed` from paper."""


@dataclass(frozen=True, slots=True)
class StampRound:
    """Stamp the start or the end of a round that is done with both hands."""

    person: str
    at: Stamp
    step: str
    mark: str
    """`start` or `end`."""


@dataclass(frozen=True, slots=True)
class NotApplicable:
    """Answer a step as not applicable, with a reason."""

    person: str
    at: Stamp
    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class Settle:
    """Decide on a doubtful reading: `pass`, `fail` or `again`, with a reason."""

    person: str
    at: Stamp
    step: str
    decision: str
    reason: str


@dataclass(frozen=True, slots=True)
class Sign:
    """Sign a hold point in a role; by telephone the words that were read back are kept."""

    person: str
    at: Stamp
    hold: str
    role: str
    telephone: str = ""


@dataclass(frozen=True, slots=True)
class Correct:
    """Strike out an earlier entry with a reason; what rested on it becomes void."""

    person: str
    at: Stamp
    entry: int
    reason: str


@dataclass(frozen=True, slots=True)
class Remark:
    """Add a remark to a step; nothing changes by it."""

    person: str
    at: Stamp
    text: str
    step: str = ""
    """Any step of the job; empty for the one on screen."""


@dataclass(frozen=True, slots=True)
class StopWork:
    """Stop work: from here only what makes safe stays open."""

    person: str
    at: Stamp
    reason: str


@dataclass(frozen=True, slots=True)
class CarryOn:
    """Take work up again after a stop; everything touched must be proved again."""

    person: str
    at: Stamp
    reason: str


@dataclass(frozen=True, slots=True)
class EndAs:
    """Say how the job is to end; `end` is a row of the table of endings."""

    person: str
    at: Stamp
    end: str
    reason: str


@dataclass(frozen=True, slots=True)
class StepAway:
    """Leave the board for a while."""

    person: str
    at: Stamp
    reason: str


@dataclass(frozen=True, slots=True)
class ComeBack:
    """Be at the board again."""

    person: str
    at: Stamp


@dataclass(frozen=True, slots=True)
class Resume:
    """Take the walk up again after the program was ended, having read where it stood."""

    person: str
    at: Stamp
    reason: str


@dataclass(frozen=True, slots=True)
class HandOver:
    """Hand the job to another person: their locks go on before the old ones come off."""

    person: str
    at: Stamp
    to: str
    locks: str
    """What was done with the locks, in words."""


@dataclass(frozen=True, slots=True)
class Report:
    """Report something that happened to the work; `what` is a row of the table of disturbances."""

    person: str
    at: Stamp
    what: str
    of: str
    note: str


@dataclass(frozen=True, slots=True)
class SayPresence:
    """Say whether the supervisor is beside the work."""

    person: str
    at: Stamp
    present: bool


@dataclass(frozen=True, slots=True)
class Amend:
    """Amend a field of the card: what was seen, the new value, and who agrees."""

    person: str
    at: Stamp
    field: str
    seen: str
    new: str
    agreed_by: str


Command = (
    Answer
    | StampRound
    | NotApplicable
    | Settle
    | Sign
    | Correct
    | Remark
    | StopWork
    | CarryOn
    | EndAs
    | StepAway
    | ComeBack
    | Resume
    | HandOver
    | Report
    | SayPresence
    | Amend
)

COMMANDS = named(Command.__args__)


def command_to_json(command: Command) -> dict[str, Any]:
    """Return a command as it stands in the log."""
    return {"do": wire_name(type(command)), **to_wire(command)}


def command_from_json(stored: dict[str, Any]) -> Command:
    """Return the command that a log line holds; WireError names what is unknown."""
    kind = COMMANDS.get(str(stored.get("do")))
    if kind is None:
        raise WireError(f"The log holds a command that this version does not know: {stored.get('do')!r}.")
    found: Command = from_wire(kind, {k: v for k, v in stored.items() if k != "do"})
    return found
