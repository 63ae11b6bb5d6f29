"""The compiled form of card, plan, procedures and limits: frozen values that the walk reads.

Written by the loader as plain JSON and read back without pydantic or a YAML library, so that opening a job stays quick.
Nothing here checks anything: what is compiled was checked before.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.electrics.model import Circuit, Device, Function, Known, Supply, Terminal, TorqueTool
from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Warned:
    """A warning as a record: what can hurt, what it does, how to avoid it (PA-05)."""

    severity: str
    """`danger`, `warning`, `caution` or `notice`: harm to people by severity, the last for property (PA-06)."""
    hazard: str
    consequence: str
    avoid: str


@dataclass(frozen=True, slots=True)
class Condition:
    """A card condition `fact is value`; `values` are alternatives."""

    fact: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class State:
    """One state that may be seen, with the answer that it stands for."""

    seen: str
    answer: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One thing to answer in a step: a reading, a state seen, or words read from the equipment.

    Exactly one of `function`, `states`, `matches`, `words` and `figure` is set.
    """

    id: str
    prompt: str
    slot: str = ""
    """Where the reading is kept; a round adds `/point`."""
    function: str = ""
    """The instrument function that reads it."""
    states: tuple[State, ...] = ()
    matches: str = ""
    """The card field that the typed words must equal; the card's own value is not shown before."""
    words: bool = False
    """Free words, not judged."""
    figure: str = ""
    """A figure of the card that is judged as it stands; nothing is typed."""
    expect: str = ""
    """The figure that is expected."""
    judge: str = ""
    """The limits row."""
    fails_as: str = ""
    """The answer class that a failure of this cell stands for, where the act tells failures apart."""
    when: tuple[Condition, ...] = ()
    once: bool = False
    """Asked once at the end of the round instead of at each of its points; its slot gets no `/point`."""


@dataclass(frozen=True, slots=True)
class Check:
    """A limits row laid over two readings of the same round."""

    judge: str
    first: str
    second: str
    expect: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a sentence, an act, what is to be answered, and where each answer leads."""

    id: str
    kind: str
    """`do, observe, measure, round, compute, wait, hold, verify, end`."""
    text: str
    section: str
    act: str
    of: str
    """The object of the act; `each` means every point of the round."""
    points: str
    """The list of the card that a round goes through; empty for one pass."""
    cells: tuple[Cell, ...]
    checks: tuple[Check, ...]
    answers: Mapping[str, str]
    """Answer word to target: `next`, `end`, `ask`, `stop`, `again`, `step:ID` or `procedure:ID`."""
    when: tuple[Condition, ...]
    warnings: tuple[Warned, ...]
    hidden: bool
    """Whether the expected value stays hidden until entry (SP-08)."""
    not_applicable: bool
    """Whether the step may be answered as not applicable, with a reason (DV-01)."""
    minutes: str
    """For a wait: a number, or the name of a card figure per object."""
    outcome: str
    """For an end that closes the log: `complete` or `made safe`."""
    critical: bool
    why: str
    source: str
    line: int
    """Line in the procedure file, for findings and counterexamples."""
    simultaneous: bool = False
    """Whether its sentence asks for two actions that are done at the same time (PA-01)."""


@dataclass(frozen=True, slots=True)
class Procedure:
    """A short list of steps; position is a step inside it, there is no stack."""

    id: str
    revision: int
    title: str
    purpose: str
    scope: str
    prerequisites: tuple[str, ...]
    draft: bool
    steps: tuple[Step, ...]
    file: str


@dataclass(frozen=True, slots=True)
class Goal:
    """A fact that the job wants, and the procedure that brings it about."""

    fact: str
    values: tuple[str, ...]
    by: str
    when: tuple[Condition, ...]
    title: str = ""
    chapter: str = ""
    """The part of the work that it belongs to, for people who read the plan; the walk does not ask for it."""


@dataclass(frozen=True, slots=True)
class Watch:
    """Something that holds throughout the work while some facts have these values, wherever the walk stands."""

    say: str
    facts: tuple[Condition, ...]
    """Every line must hold; a line with `*` holds when it does for one object."""
    when: tuple[Condition, ...]
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The ordered goals of a job, the suppliers of facts in between, and the goals of its other ends."""

    id: str
    revision: int
    title: str
    goals: tuple[Goal, ...]
    suppliers: tuple[Goal, ...]
    ends: Mapping[str, tuple[Goal, ...]]
    """The goals of every other end by its name: made safe, put back, continue later, not begun."""
    throughout: tuple[Watch, ...] = ()
    """What applies throughout, told as soon as it becomes effective."""
    purpose: str = ""
    covers: str = ""
    leaves_out: str = ""
    """What belongs to the job and what does not, read before its first step is answered (SP-04)."""


@dataclass(frozen=True, slots=True)
class Source:
    """A source of supply: what isolates it and how long stored energy takes to go."""

    id: str
    name: str
    main: bool
    isolator: str
    wait_min: str
    """Minutes as a decimal; `0` where nothing is stored."""
    shares_neutral: bool = False
    """True for another way whose neutral runs with that of the circuit: it is locked off like a supply."""
    upstream: bool = False
    """True for what isolates the incoming side of the board: the distributor's, or a way of our own board before."""
    custody: str = "own"
    """Whose lock or seal isolates it: `own`, or `distributor`."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody named on the card, with roles and the last day on which they hold."""

    id: str
    name: str
    roles: tuple[str, ...]
    until: str


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument with its functions; `due` is the last day of its calibration."""

    id: str
    name: str
    serial: str
    due: str
    functions: tuple[Function, ...]
    kind: str = ""
    """For the one that proves dead, `two-pole indicator` or `multimeter`; else empty."""


@dataclass(frozen=True, slots=True)
class Listed:
    """An entry of a card list that rounds go through: a proving point, a load, an item taken off."""

    id: str
    name: str
    kind: str = ""
    """For a load, what it puts into its protective conductor; empty while nobody has said."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """The earlier log of the same job that this one continues, and how that one left the way."""

    head: str
    """The sum of its last line."""
    old_device: str
    """`fitted` or `out`."""
    ends: str
    """`as found` or `parked`."""


@dataclass(frozen=True, slots=True)
class Card:
    """The job card: everything about this job that is not procedure or limit."""

    id: str
    title: str
    site: str
    board: str
    way: str
    plan: str
    limits: str
    sign_off: str
    work: str
    decimal_comma: bool
    temperature_c: Known
    circuit: Circuit
    supply: Supply
    device: Device
    old_device: str
    tails: str
    sources: tuple[Source, ...]
    people: tuple[Person, ...]
    instruments: tuple[Instrument, ...]
    torque_tools: tuple[TorqueTool, ...]
    proving_points: tuple[Listed, ...]
    loads: tuple[Listed, ...]
    items: tuple[Listed, ...]
    as_found_point: str
    far_point: str
    landing_point: str
    incoming_point: str = ""
    """The proving point on the incoming side, where that is isolated upstream."""
    old_terminals: tuple[Terminal, ...] = ()
    """The screws that hold the conductors in the old device, for putting it back."""
    shutdown: str = ""
    """What the people of the site call the shutdown that this way shares with others."""
    other_ways: tuple[Listed, ...] = ()
    """The other ways under work in the same shutdown, each with a log of its own."""
    earlier: Earlier | None = None
    """The log that this one continues."""


@dataclass(frozen=True, slots=True)
class Texts:
    """One source text that the job rests on, as it is embedded in the log."""

    role: str
    id: str
    sha256: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """Everything a walk needs besides its own state."""

    card: Card
    plan: Plan
    procedures: Mapping[str, Procedure]
    limits: LimitsSet
    objects: Mapping[str, tuple[str, ...]]
    """Object names by card list: source, main source, second source, terminal, item."""
    card_facts: Mapping[str, str]
    """Card conditions folded to words: `circuit` is `ring`, `earthing` is `TN-C-S`, …"""
