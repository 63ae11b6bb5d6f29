"""The facts that the work rests on, each with a short closed list of values.

Rules of this room
1. The first value of a family is its worst, and what is not known has it.
2. A fact is a key: `family`, or `family:object` where the card or this table lists the objects.
3. Nothing here says how a fact is changed; that stands in `acts`, `disturbances` and `cascade` alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ferrule.engine.light import dataclass

Facts = Mapping[str, str]
Objects = Mapping[str, tuple[str, ...]]

CHECKS = (
    "job",
    "authority",
    "competence",
    "risk",
    "protective equipment",
    "instruments",
    "torque tool",
    "records",
    "identity",
    "condition",
    "as found",
    "device on paper",
    "device in hand",
    "sources",
    "seen live",
    "marked",
    "busbar",
    "enclosure",
    "ready",
    "compared",
    "counted",
    "record written",
    "briefing",
    "people told",
    "continuation",
    "put back agreed",
    "back ready",
    "back live",
    "back button",
    "not improved",
    "earthing conductor",
)
"""Things looked at and answered before or after the electrical work."""

RESULTS = (
    "bonding",
    "separation",
    "protective conductor",
    "ring step one",
    "ring step two",
    "ring step three",
    "insulation",
    "insulation together",
    "polarity",
    "landing line to earth",
    "landing line to neutral",
    "landing insulation",
    "incoming supply",
    "external impedance",
    "fault current",
    "loop impedance",
    "residual time",
    "button",
)
"""Test results, in the order of the work (trade brief: run order; 643.1, from memory)."""

RING_RESULTS = ("ring step one", "ring step two", "ring step three")

DEAD_RESULTS = RESULTS[: RESULTS.index("incoming supply")]
"""Results that must stand before the circuit is energised; a loss of one un-signs hold point five."""

LIVE_RESULTS = RESULTS[RESULTS.index("incoming supply") :]

LINKS = (
    "line to neutral cross",
    "line to earth cross",
    "line to earth at the board",
    "line to earth at a socket",
    "line to neutral at a socket",
)
"""Temporary links that a test may need; each is a dead short if it is left in."""

HOLDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "made safe", "put back", "taken back")
"""Hold points by number; number six is reached only where the earthing conductor is taken off for a reading."""

ZONES = ("busbar", "circuit")
"""Parts that the work touches; the incoming side stays live throughout and is behind its barrier."""

PRESSES = ("first", "second", "held")


@dataclass(frozen=True, slots=True)
class Family:
    """A kind of fact: its values, worst first, what it starts as, and what its objects are."""

    name: str
    values: tuple[str, ...]
    start: str
    """The value at opening; differs from the worst only where nothing has happened yet."""
    objects: tuple[str, ...] = ()
    """Fixed objects; empty with `card` set means that the card lists them."""
    card: str = ""
    """The list of the card that names the objects."""
    meaning: str = ""


def _family(
    name: str, values: str, objects: Iterable[str] = (), *, card: str = "", start: str = "", meaning: str
) -> Family:
    listed = tuple(v.strip() for v in values.split("|"))
    return Family(name, listed, start or listed[0], tuple(objects), card, meaning)


FAMILIES: dict[str, Family] = {
    f.name: f
    for f in (
        _family("check", "open | failed | done", CHECKS, meaning="Something looked at and answered."),
        _family("hold", "unsigned | signed", HOLDS, meaning="A hold point and whether it is released."),
        _family("source", "unknown | on | off | locked", card="source", meaning="A source of supply."),
        _family("lock", "none | lost | applied", card="source", meaning="The lock on a source and its key."),
        _family("stored", "waiting | done", card="source", meaning="Stored energy behind a source."),
        _family(
            "incoming",
            "unproved | live | proved",
            card="upstream source",
            meaning="What was last found of the incoming side, where it is isolated upstream.",
        ),
        _family(
            "other way",
            "unknown | open | finished | made safe",
            card="other way",
            meaning="Another way of the same shutdown; finished means that its own hold point five is signed.",
        ),
        _family("indicator", "unproved | failed | proved", meaning="The voltage indicator, by its last proof."),
        _family("dead test", "none | volts | clear", meaning="What the last round of pairs found."),
        _family(
            "zone",
            "unproved | live | proved",
            ZONES,
            meaning="What was last found of a part; proved means prove, test, prove, all pairs clear.",
        ),
        _family("cover", "unseen | open | closed", meaning="The cover of the board."),
        _family(
            "tails",
            "exposed | shrouded",
            start="shrouded",
            meaning="Whether the live incoming side can be touched.",
        ),
        _family(
            "earthing",
            "unverified | off | remade | verified | released",
            meaning="The main earthing conductor: as seen, or, once it was off, as hold point six found it.",
        ),
        _family("bonding", "unverified | off | verified", meaning="The main bonding."),
        _family("users", "unaware | told", meaning="Those who use the circuits."),
        _family("loads", "unknown | plugged in | unplugged", meaning="What is plugged into the circuit."),
        _family("old device", "fitted | out", meaning="The device that is to be replaced."),
        _family(
            "device",
            "absent | tripped | old tripped | on | old on | off | old off | quarantined",
            meaning="The device in the way: the new one, or the old one once it was put back or switched off.",
        ),
        _family(
            "toggle",
            "unknown | held | free",
            start="free",
            meaning="The toggle; held, it says nothing of the contacts.",
        ),
        _family(
            "ends",
            "loose | parked | landed | as found",
            start="as found",
            meaning="The circuit's own conductor ends at the board.",
        ),
        _family(
            "terminal",
            "loose | empty | seated | checked | as found",
            card="terminal",
            start="as found",
            meaning="A screw of the new device or bar; checked means torqued, tugged and marked.",
        ),
        _family(
            "old terminal",
            "loose | empty | seated | checked | as found",
            card="old terminal",
            start="as found",
            meaning="A screw that holds the conductors while the old device is in the way.",
        ),
        _family("link", "fitted | none", LINKS, start="none", meaning="A temporary link."),
        _family(
            "neutral",
            "unknown | shared | settled",
            meaning="Where the circuit's neutral runs; settled means alone, or with ways that are all locked off.",
        ),
        _family(
            "unearthed",
            "unseen | seen",
            card="unearthed point",
            meaning="A point without protective conductor, and whether its equipment was seen to need none.",
        ),
        _family(
            "section",
            "untimed | failed | refer | timed",
            card="section device",
            meaning="The residual device of the section that the way belongs to.",
        ),
        _family(
            "rotation",
            "disturbed | checked | as found",
            card="three-phase board",
            start="as found",
            meaning="The order of the phases at a board of three.",
        ),
        _family("item", "off | connected", card="item", start="connected", meaning="Wiring taken off for a test."),
        _family("null", "stale | fresh", meaning="The zeroing of the leads for low resistance."),
        _family(
            "result",
            "none | fail | refer | void | pass | not required",
            RESULTS,
            meaning="A test result; not required is set once, from the card.",
        ),
        _family(
            "press",
            "none | failed | ruled out | done",
            PRESSES,
            meaning="A press of the test button; ruled out where leaflet or limits file say that it is not tried.",
        ),
        _family(
            "button gate",
            "shut | before timing | after timing",
            meaning="Whether the test button may be pressed, and on what ground.",
        ),
        _family("trip cause", "unknown | known", start="known", meaning="Whether every trip so far is explained."),
        _family(
            "alone",
            "wanted | faulty | sound | none",
            start="none",
            meaning="Whether the device is to be read by itself, its circuit taken away, and what it showed.",
        ),
        _family(
            "leakage",
            "wanted | high | read | none",
            ("as found", "as fitted"),
            start="none",
            meaning="Whether the standing leakage is to be clamped, and whether it is explained.",
        ),
        _family("supervisor", "absent | present", meaning="Whether the supervisor is beside the work."),
        _family("work", "stopped | going", start="going", meaning="Whether work is under way or was stopped."),
        _family(
            "ending",
            "none | made safe | put back | continue later",
            meaning="How the job is to end other than complete.",
        ),
        _family(
            "others",
            "wanted | off | way locked | back on",
            start="off",
            meaning="The other ways of the board while this job is left: whether they are to come back on.",
        ),
        _family(
            "way lock",
            "lost | none | applied",
            start="none",
            meaning="The lock on the job's own way, which lets the other ways be on.",
        ),
        _family(
            "left",
            "open | locked off | others on",
            meaning="What an unfinished job rests on: every lock, or the lock of its own way.",
        ),
        _family("log", "open | closed", meaning="Whether the log may still grow."),
    )
}

MET = ("pass", "not required")
"""The values of a result that count as met."""


def fact_keys(objects: Objects) -> tuple[str, ...]:
    """Return every fact key of a job, in table order."""
    keys: list[str] = []
    for family in FAMILIES.values():
        names = objects.get(family.card, ()) if family.card else family.objects
        if family.card or family.objects:
            keys.extend(f"{family.name}:{name}" for name in names)
        else:
            keys.append(family.name)
    return tuple(keys)


def family_of(fact: str) -> Family | None:
    """Return the family that a fact key belongs to, or None."""
    return FAMILIES.get(fact.partition(":")[0])


def start_facts(
    objects: Objects, not_required: Iterable[str], nothing_stored: Iterable[str], left: Facts | None = None
) -> dict[str, str]:
    """Return the facts at the opening of a job.

    `not_required` names results that the card rules out; `nothing_stored` names sources without stored energy;
    `left` is how an earlier log of the same job left the way, with `family:*` for every object of a family.
    """
    facts = {key: FAMILIES[key.partition(":")[0]].start for key in fact_keys(objects)}
    facts.update({f"result:{name}": "not required" for name in not_required})
    facts.update({f"stored:{name}": "done" for name in nothing_stored})
    for pattern, value in (left or {}).items():
        family, _, every = pattern.partition(":")
        facts.update({k: value for k in facts if k == pattern or (every and k.startswith(f"{family}:"))})
    return facts


def worst(fact: str) -> str:
    """Return the worst value of a fact."""
    family = family_of(fact)
    if family is None:
        raise KeyError(fact)
    return family.values[0]
