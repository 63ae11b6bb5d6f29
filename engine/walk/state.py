"""The state of one walk: frozen, folded from events, hashed by its canonical form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, fields, is_dataclass

from ferrule.engine import canon
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.reading import Reading


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading as it is kept under its slot, with the entry that gave it."""

    reading: Reading
    entry: int
    outcome: str
    instrument: str


@dataclass(frozen=True, slots=True)
class Pending:
    """A doubtful answer that waits for a decision."""

    step: str
    entry: int
    word: str
    alone: bool


@dataclass(frozen=True, slots=True)
class Proof:
    """The last complete round of prove, test, prove: what was found, when, by whom, on how many pairs."""

    at_ms: int
    person: str
    pairs: int
    points: int


@dataclass(frozen=True, slots=True)
class Done:
    """What one entry answered, kept for corrections and for the path so far."""

    step: str
    word: str
    changes: tuple[tuple[str, str], ...]
    slots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class State:
    """Where a walk stands."""

    facts: Mapping[str, str]
    step: str = ""
    """`procedure/step`; empty when ended or blocked."""
    why_here: str = ""
    heading: str = ""
    """The step of a search for a fault that waits until what is missing for it is there; empty without one."""
    entered_ms: int = 0
    round_start_ms: int | None = None
    round_end_ms: int | None = None
    readings: Mapping[str, Kept] = field(default_factory=dict)
    rests: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Result to the readings it rests on."""
    done: Mapping[int, Done] = field(default_factory=dict)
    marks: Mapping[str, tuple[str, int]] = field(default_factory=dict)
    """Step to the mark that it was given last and the entry that gave it; see `marks`."""
    last_step: str = ""
    last_entry: int = 0
    pending: Pending | None = None
    signed: Mapping[str, tuple[tuple[str, str, str], ...]] = field(default_factory=dict)
    """Hold point to (role, person, telephone) as signed so far."""
    proof: Proof | None = None
    indicator_ms: int | None = None
    """When the indicator was last proved before a test."""
    away_ms: int | None = None
    last_ms: int = 0
    operator: str = ""
    custody: Mapping[str, str] = field(default_factory=dict)
    """Source to the person whose lock is on it."""
    amendments: tuple[tuple[str, str], ...] = ()
    struck: tuple[int, ...] = ()
    entries: int = 0
    confirmed: int = 0
    refusals: int = 0
    doubted: tuple[tuple[str, str, str], ...] = ()
    """Point, cell and text of the values at this step that were held as hard to believe."""
    cautions: tuple[str, ...] = ()
    """What is in effect beside the work, in the order in which it came."""
    stopped: str = ""
    outcome: str = ""


def state_hash(state: State) -> str:
    """Return the SHA-256 of the state's canonical JSON form."""
    return canon.sha256_hex(canon.dumps(_plain(state)))


def _plain(value: object) -> object:
    """Return a value as canonical JSON: mappings become sorted pairs, decimals become texts."""
    if isinstance(value, Mapping):
        return [[str(k), _plain(v)] for k, v in sorted(value.items())]
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    if is_dataclass(value):
        return [[f.name, _plain(getattr(value, f.name))] for f in fields(value)]
    if value is None or isinstance(value, bool | int | str):
        return value
    return str(value)
