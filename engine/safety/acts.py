"""Every act of the work, defined once: what it needs, what each answer changes, what it makes stale.

This is the only place where danger is written.  A step of a procedure names an act and an object and nothing more.

Rules of the table
1. Needs are positive: a fact has one of the listed values.  Knowing less never opens a gate.
2. `{of}` is the object of the act; `*` stands for every object of the family.
3. Effects are listed by answer class; a class that is not listed changes nothing.
4. What follows from an effect (a lost proof un-signs hold point two) stands in `cascade`, not here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from functools import lru_cache

from ferrule.engine.light import dataclass
from ferrule.engine.safety.facts import DEAD_RESULTS, FAMILIES, LIVE_RESULTS, MET, Facts, Objects
from ferrule.engine.safety.voids import Void, names_of, parse_void

PASS, REFER, FAIL = "pass", "refer", "fail"
"""The answer classes that every act may have."""

VOLTS, INDICATOR, TRIPPED = "voltage found", "indicator failed", "tripped"
"""Classes of their own: a pair that showed something, a proof that failed, a device that tripped as it closed."""

THIS_WAY = "this way"
"""The name under which the lock on the job's own way is kept beside those of the sources."""

MADE_SAFE, STILL_OPEN = "made safe", "still open"
"""Classes of their own: what was heard of another way of the same shutdown."""

SHARED = "shared neutral"
"""A class of its own: the neutral serves a way that nobody locked off."""

PLACES = ("in an accessory", "in the cable", "at the board", "in the device")
"""Classes of their own: where a fault lies, once the device was read by itself."""


@dataclass(frozen=True, slots=True)
class Need:
    """A fact that must have one of the values before the act."""

    fact: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """A fact and the value that an answer gives it."""

    fact: str
    value: str


@dataclass(frozen=True, slots=True, eq=False)
class Act:
    """One verb of the trade with everything that the core must know of it; equal only to itself."""

    name: str
    object: str
    """The family of objects it is done to; empty when it has none."""
    needs: tuple[Need, ...]
    effects: Mapping[str, tuple[Effect, ...]]
    voids: tuple[str, ...]
    """Every result that the act can make void where it stood (retest table, trade brief §11.2)."""
    void_rules: tuple[Void, ...]
    """The same with what each depends on: the object, or a fact."""
    repairs: bool
    """Whether it mends something: what failed or stands in doubt is then read again, whatever was mended."""
    touches: tuple[str, ...]
    """Zones that a hand is in; empty for an act without a bare hand on a conductor."""
    live: bool
    """Whether it is done on or beside live parts."""
    makes_safe: bool
    """Whether it stays open after work was stopped."""
    critical: bool
    """Whether it cannot be undone or can injure."""
    hazard: str
    source: str
    once: bool
    """Whether it is never done again to an object where it has been done: a round passes that object over."""
    classes: frozenset[str] = field(default=frozenset())


def parse_need(text: str) -> Need:
    """Read `fact is value | value`."""
    fact, _, values = text.partition(" is ")
    return Need(fact, tuple(v.strip() for v in values.split("|")))


def parse_effect(text: str) -> Effect:
    """Read `fact is value`."""
    fact, _, value = text.partition(" is ")
    return Effect(fact, value)


_SHROUDED = "tails is shrouded"
_GOING = "work is going"
_OPEN = "log is open"
_DEAD = ("zone:busbar is proved", "zone:circuit is proved", "hold:two is signed")


def _act(
    name: str,
    *needs: str,
    on: str = "",
    done: Iterable[str] = (),
    refer: Iterable[str] = (),
    fail: Iterable[str] = (),
    other: Mapping[str, Iterable[str]] | None = None,
    voids: Iterable[str] = (),
    repairs: bool = False,
    touches: Iterable[str] = (),
    live: bool = False,
    makes_safe: bool = False,
    critical: bool = False,
    bare: bool = False,
    once: bool = False,
    hazard: str = "",
    source: str = "common practice",
) -> Act:
    always = [_OPEN]
    if not makes_safe:
        always.append(_GOING)
    if not (bare or makes_safe):
        always.append(_SHROUDED)
    touched = tuple(touches)
    if touched:
        always.extend(_DEAD)
    effects = {PASS: done, REFER: refer, FAIL: fail, **(other or {})}
    table = {word: tuple(parse_effect(e) for e in given) for word, given in effects.items()}
    rules = tuple(parse_void(v) for v in voids)
    return Act(
        name,
        on,
        tuple(parse_need(n) for n in (*always, *needs)),
        {word: given for word, given in table.items() if given},
        names_of(rules),
        rules,
        repairs,
        touched,
        live,
        makes_safe,
        critical,
        hazard,
        source,
        once,
        frozenset({PASS, REFER, FAIL, *(other or {})}),
    )


def _met(*results: str) -> tuple[str, ...]:
    return tuple(f"result:{name} is {' | '.join(MET)}" for name in results)


def _look(
    name: str,
    check: str,
    *needs: str,
    also: Iterable[str] = (),
    live: bool = False,
    makes_safe: bool = False,
    hazard: str = "",
    source: str = "common practice",
) -> Act:
    """An act that only looks and answers: it closes one check."""
    return _act(
        name,
        *needs,
        done=(f"check:{check} is done", *also),
        fail=(f"check:{check} is failed",),
        live=live,
        makes_safe=makes_safe,
        hazard=hazard,
        source=source,
    )


def _test(
    name: str,
    result: str,
    *needs: str,
    live: bool = False,
    touches: Iterable[str] = (),
    other: Mapping[str, Iterable[str]] | None = None,
    hazard: str = "",
    source: str,
) -> Act:
    """An act that reads: its answer is the test result, and a failed result is read again only after a repair."""
    return _act(
        name,
        f"result:{result} is none | void",
        *needs,
        done=(f"result:{result} is pass",),
        refer=(f"result:{result} is refer",),
        fail=(f"result:{result} is fail",),
        other=other,
        live=live,
        touches=touches,
        hazard=hazard,
        source=source,
    )


_LOW_OHM = ("check:instruments is done", "null is fresh", "ends is parked")
_ISOLATED = ("check:sources is done", "source:* is locked", "lock:* is applied", "stored:* is done")
_CONDEMNED = ("device is quarantined", "check:device in hand is open", "hold:four is unsigned")
"""What says that a device is not to be used: whoever takes it off, another one is judged before it is fitted."""
_CLOSING = (
    "link:* is none",
    "terminal:* is as found | empty | checked",
    "item:* is connected",
    "cover is closed",
    "users is told",
    "earthing is verified | released",
    "bonding is verified",
    "hold:five is signed",
    "trip cause is known",
    "other way:* is finished | made safe",
)
_PERHAPS_BACK = ("source:{of} is unknown", "lock:{of} is none")
"""A lock that came off without the source being given back as it should: nobody knows what feeds the board."""
_SETTLED = (
    "link:* is none",
    "terminal:* is as found | empty | checked",
    "old terminal:* is as found | empty | checked",
    "item:* is connected",
    "users is told",
    "earthing is verified | released",
    "bonding is verified",
    "other way:* is finished | made safe",
)
"""Nothing is loose, linked or off, and nobody else works on another way of the shutdown."""

WHILE_LEFT = ("ends is as found | parked | landed", *_SETTLED)
"""What must stand before the other ways come back on while this job is left (invariants 15, 17, 18 and 20)."""
_LANDED = (
    "ends is landed | as found",
    "terminal:[early terminal] is checked | empty | as found",
    "old terminal:* is checked | empty | as found",
)
"""The conductors are in their terminals, of the new device or of the old one, and nothing is half done."""
_BACK = (*_SETTLED, "cover is closed", "hold:put back is signed", "trip cause is known")
_BACK_RESULTS = ("landing line to earth", "landing line to neutral", "landing insulation")
"""What is read again once the conductors are back in the old device (trade brief P7.4)."""
_LIVE_READING = ("cover is closed", "users is told", "check:instruments is done", "device is on")

_RINGS_ON = ("ring step one", "ring step two", "ring step three", "insulation", "insulation together", "polarity")
ON_ACCESSORY = (
    "protective conductor where result:ring step one is not required",
    *_RINGS_ON,
    "loop impedance",
)
"""On a radial the reading at each point stands for the three ring steps."""
ON_JOINT = ("separation", "protective conductor", *_RINGS_ON, "loop impedance")
ON_TERMINAL = (
    "landing line to earth of supply terminal | load terminal | earth terminal",
    "landing line to neutral of supply terminal | load terminal",
    "landing insulation of supply terminal",
    "loop impedance",
    "residual time of supply terminal | load terminal | lead terminal",
    "button of supply terminal | load terminal | lead terminal",
)
"""By what the terminal takes; live polarity is read together with the loop impedance.

The busbar side stands in no row of the table and counts as the device itself.
"""
ON_DEVICE = (
    "landing line to earth",
    "landing line to neutral",
    "landing insulation",
    "loop impedance",
    "residual time",
    "button",
)
ON_FLY_LEAD = ("loop impedance", "residual time", "button")
"""The lead of the device to the bar, and its functional-earth lead."""
ON_EARTHING = ("bonding", "external impedance", "fault current")
ON_MAIN_SWITCH = ("incoming supply", "external impedance", "fault current")
"""Retest table (trade brief §11.2, common practice): what a disturbed or repaired part makes void.

The fault current stands for the loop at the board: a card with its external impedance on record is read there too.
"""

HOLD_NEEDS: dict[str, tuple[str, ...]] = {
    "one": tuple(
        f"check:{name} is done"
        for name in (
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
        )
    ),
    "two": (
        *_ISOLATED,
        "hold:three is signed",
        "dead test is clear",
        "zone:busbar is proved",
        "zone:circuit is proved",
        "incoming:* is proved",
    ),
    "three": ("cover is open", *_ISOLATED),
    "four": ("check:device on paper is done", "check:device in hand is done"),
    "five": (
        *_met(*DEAD_RESULTS),
        "terminal:* is checked",
        "link:* is none",
        "item:* is connected",
        "check:enclosure is done",
        "check:ready is done",
        "hold:four is signed",
        "unearthed:* is seen",
    ),
    "six": ("earthing is remade", "check:earthing conductor is done", *_ISOLATED),
    "seven": (
        *_met(*(r for r in LIVE_RESULTS if r != "button")),
        "device is on",
        "section:* is timed",
        "rotation:* is as found | checked",
    ),
    "eight": (*_met(*LIVE_RESULTS), "press:* is done | ruled out", "device is on"),
    "nine": (
        "hold:eight is signed",
        *_met(*DEAD_RESULTS),
        *_met(*LIVE_RESULTS),
        "source:* is on",
        "lock:* is none",
        "way lock is none",
        "link:* is none",
        "item:* is connected",
        "terminal:* is checked",
        "cover is closed",
        "device is on",
        "check:compared is done",
        "check:counted is done",
        "check:record written is done",
        "check:briefing is done",
    ),
    "made safe": (
        "source:* is locked",
        "lock:* is applied",
        "cover is closed",
        "check:people told is done",
        "others is off | way locked",
    ),
    "put back": (
        "check:put back agreed is done",
        "old device is fitted",
        *_met(*_BACK_RESULTS),
        "old terminal:* is as found | checked",
        "link:* is none",
        "item:* is connected",
        "check:back ready is done",
    ),
    "taken back": (
        "source:* is on",
        "lock:* is none",
        "way lock is none",
        "link:* is none",
        "item:* is connected",
        "old terminal:* is as found | checked",
        "cover is closed",
        "device is old on",
        "check:back live is done",
        "check:back button is done",
        "check:counted is done",
        "check:not improved is done",
    ),
}
"""Evidence that must stand before a hold point can be released (trade brief §2.1)."""

_HOLD_OPENS: dict[str, tuple[str, ...]] = {
    "six": ("earthing is released",),
    "seven": ("button gate is after timing",),
    "made safe": ("left is locked off",),
}
"""What else a hold point opens once it is signed."""

_ROWS: tuple[Act, ...] = (
    # --- before work
    _look("check the job", "job", source="trade brief P0.1"),
    _look("check authority", "authority", source="EAWR 4(3) (from memory)"),
    _look("check competence", "competence", source="EAWR 16 (from memory)"),
    _look("assess the risk", "risk", source="HSG85; EAWR 14 (from memory)"),
    _look("check protective equipment", "protective equipment", source="BS EN 60900 (from memory)"),
    _look("check instruments", "instruments", source="GS38"),
    _look("check the torque tool", "torque tool", source="ISO 6789 (from memory)"),
    _look("read the records", "records"),
    _look("identify the way", "identity", source="trade brief P0.10"),
    _act(
        "inspect condition",
        "check:identity is done",
        done=("check:condition is done", "cover is closed", "bonding is verified"),
        fail=("check:condition is failed",),
        source="132.16 (from memory)",
    ),
    _act(
        "look at the earthing",
        "check:identity is done",
        "earthing is unverified | verified | released",
        done=("earthing is verified",),
        fail=("earthing is unverified",),
        source="132.16 (from memory)",
    ),
    _act(
        "read as found",
        "check:identity is done",
        "check:instruments is done",
        "cover is closed",
        done=("check:as found is done",),
        refer=("check:as found is done",),
        fail=("check:as found is done",),
        live=True,
        hazard="live parts at the outlet",
        source="trade brief P0.11",
    ),
    _look("judge the device on paper", "device on paper", "check:records is done", "check:as found is done"),
    _look("judge the device in the hand", "device in hand", "check:device on paper is done"),
    # --- isolation
    _act("tell the users", done=("users is told",), fail=("users is unaware",), source="trade brief P1.1"),
    _look("list the sources", "sources", "hold:one is signed", source="trade brief P1.2"),
    _act(
        "prove the indicator",
        "check:instruments is done",
        "indicator is unproved | proved",
        done=("indicator is proved",),
        fail=("indicator is failed",),
        bare=True,
        source="GS38; trade brief P1.3",
    ),
    _act(
        "replace the indicator",
        done=("indicator is unproved",),
        source="trade brief P7.8",
    ),
    _look(
        "see the circuit live",
        "seen live",
        "indicator is proved",
        "cover is closed",
        source="trade brief P1.4",
    ),
    _act(
        "isolate and lock",
        "check:sources is done",
        "hold:one is signed",
        "users is told",
        on="source",
        done=("source:{of} is locked", "lock:{of} is applied"),
        fail=("source:{of} is on", "lock:{of} is none"),
        critical=True,
        hazard="a source that is overlooked feeds the work",
        source="EAWR 12, 13 (from memory); HSG85",
    ),
    _act(
        "wait for stored energy",
        "source:{of} is locked",
        on="source",
        done=("stored:{of} is done",),
        source="trade brief P1.6 (common practice)",
    ),
    _act(
        "open the cover",
        "hold:one is signed",
        *_ISOLATED,
        done=("cover is open", "tails is exposed"),
        critical=True,
        hazard="incoming tails stay live behind the cover",
        source="trade brief P1.7",
    ),
    _act(
        "fit the barrier",
        "cover is open | unseen",
        done=("tails is shrouded",),
        bare=True,
        hazard="live incoming terminals",
        source="trade brief P1.7",
    ),
    _act(
        "prove dead",
        *_ISOLATED,
        "hold:one is signed",
        "hold:three is signed",
        "cover is open",
        "indicator is proved",
        done=(
            "dead test is clear",
            "zone:busbar is proved",
            "zone:circuit is proved",
            "incoming:* is proved",
            "indicator is unproved",
        ),
        refer=("indicator is unproved",),
        fail=(
            "dead test is none",
            "zone:busbar is unproved",
            "zone:circuit is unproved",
            "incoming:* is unproved",
            "indicator is unproved",
        ),
        other={
            VOLTS: (
                "dead test is volts",
                "zone:busbar is unproved",
                "zone:circuit is unproved",
                "incoming:* is unproved",
                "indicator is unproved",
                "check:sources is open",
                "source:* is unknown",
            ),
            INDICATOR: ("dead test is none", "indicator is failed"),
        },
        live=True,
        critical=True,
        hazard="every conductor counts as live until the round is complete",
        source="GS38; HSG85; trade brief P1.8-P1.10",
    ),
    # --- remove and identify
    _act(
        "mark the conductors",
        "hold:four is signed",
        done=("check:marked is done",),
        fail=("check:marked is failed",),
        touches=("circuit",),
        source="trade brief P2A.1",
    ),
    _act(
        "trace the neutral",
        "hold:four is signed",
        done=("neutral is settled",),
        other={
            SHARED: (
                "neutral is shared",
                "check:sources is open",
                "dead test is none",
                "zone:busbar is unproved",
                "zone:circuit is unproved",
            )
        },
        touches=("circuit",),
        hazard="a neutral that is parted while another way loads it rises to line voltage",
        source="trade brief P1.13; invariant 35",
    ),
    _act(
        "take out the conductors",
        "check:marked is done",
        "neutral is settled",
        done=("ends is loose", "terminal:* is empty", "old terminal:* is empty"),
        voids=ON_DEVICE,
        touches=("circuit", "busbar"),
        critical=True,
        source="trade brief P2A.2",
    ),
    _act(
        "part and insulate the ends",
        "ends is loose | parked",
        done=("ends is parked",),
        touches=("circuit",),
        source="trade brief P2A.3",
    ),
    _act(
        "take off the old device",
        "ends is parked",
        done=("old device is out", "device is absent"),
        touches=("busbar",),
        source="trade brief P2A.2",
    ),
    _act(
        "look at the busbar",
        "old device is out",
        done=("check:busbar is done",),
        fail=("check:busbar is failed",),
        touches=("busbar",),
        source="trade brief P2A.4",
    ),
    # --- dead tests
    _act(
        "unplug the loads",
        "source:* is locked",
        "lock:* is applied",
        done=("loads is unplugged",),
        source="643.3 (from memory)",
    ),
    _act(
        "disconnect the item",
        on="item",
        done=("item:{of} is off",),
        touches=("circuit",),
        source="643.3 (from memory)",
    ),
    _act(
        "reconnect the item",
        on="item",
        done=("item:{of} is connected",),
        touches=("circuit",),
        source="643.3 (from memory)",
    ),
    _act(
        "null the leads",
        "check:instruments is done",
        done=("null is fresh",),
        fail=("null is stale",),
        source="trade brief R-04 (common practice)",
    ),
    _act(
        "fit a link",
        "ends is as found | parked | landed",
        on="link",
        done=("link:{of} is fitted",),
        touches=("circuit",),
        hazard="a link left in is a dead short",
        source="trade brief P2A.3",
    ),
    _act(
        "remove a link",
        on="link",
        done=("link:{of} is none",),
        touches=("circuit",),
        source="trade brief P3.5",
    ),
    _test(
        "read the main bonding",
        "bonding",
        "check:instruments is done",
        "null is fresh",
        "bonding is verified",
        touches=("busbar",),
        source="643.2.1 (from memory); trade brief P3.1",
    ),
    _test(
        "read separation",
        "separation",
        *_LOW_OHM,
        "link:* is none",
        touches=("circuit",),
        source="314.4 (from memory)",
    ),
    _test(
        "read the protective conductor",
        "protective conductor",
        *_LOW_OHM,
        *_met("separation"),
        touches=("circuit",),
        source="643.2.1 (from memory)",
    ),
    _test(
        "read ring step one",
        "ring step one",
        *_LOW_OHM,
        *_met("protective conductor"),
        "link:* is none",
        touches=("circuit",),
        source="643.2.1 (from memory)",
    ),
    _test(
        "read ring step two",
        "ring step two",
        *_LOW_OHM,
        *_met("ring step one"),
        "link:line to neutral cross is fitted",
        "link:line to earth cross is none",
        "loads is unplugged",
        touches=("circuit",),
        source="643.2.1 (from memory)",
    ),
    _test(
        "read ring step three",
        "ring step three",
        *_LOW_OHM,
        *_met("ring step two"),
        "link:line to earth cross is fitted",
        "link:line to neutral cross is none",
        "loads is unplugged",
        touches=("circuit",),
        source="643.2.1 (from memory)",
    ),
    _test(
        "read insulation",
        "insulation",
        "check:instruments is done",
        "ends is parked",
        *_met("protective conductor", "ring step one", "ring step two", "ring step three"),
        "link:* is none",
        "loads is unplugged",
        "item:* is off",
        "users is told",
        touches=("circuit",),
        hazard="500 V d.c. on the conductors while the test is held",
        source="643.3, Table 64",
    ),
    _test(
        "read insulation together",
        "insulation together",
        "check:instruments is done",
        "ends is parked",
        *_met("insulation"),
        "link:* is none",
        "loads is unplugged",
        "item:* is connected",
        "users is told",
        touches=("circuit",),
        hazard="250 V d.c. on the conductors while the test is held",
        source="643.3.3",
    ),
    _test(
        "check polarity",
        "polarity",
        *_met("insulation", "insulation together"),
        touches=("circuit",),
        source="643.6 (from memory)",
    ),
    _act(
        "see the point without earth",
        on="unearthed point",
        done=("unearthed:{of} is seen",),
        touches=("circuit",),
        hazard="metal at a point without earth becomes live by a single fault",
        source="trade brief V1; 411.3.1, 412.2 (from memory)",
    ),
    # --- fit, land, torque
    _act(
        "fit the device",
        "hold:four is signed",
        "old device is out",
        "check:busbar is done",
        "check:device in hand is done",
        *_met("polarity"),
        done=("device is off", "toggle is free"),
        voids=ON_DEVICE,
        touches=("busbar",),
        critical=True,
        source="134.1.1 (from memory)",
    ),
    _act(
        "land the conductors",
        "device is off",
        "ends is parked | landed",
        on="early terminal",
        done=("terminal:{of} is seated", "ends is landed"),
        fail=("terminal:{of} is loose", "ends is landed"),
        voids=ON_DEVICE,
        touches=("busbar", "circuit"),
        source="526.1 (from memory)",
    ),
    _act(
        "torque, tug and mark",
        "terminal:{of} is seated | checked",
        "check:torque tool is done",
        on="terminal",
        done=("terminal:{of} is checked",),
        fail=("terminal:{of} is loose",),
        touches=("busbar", "circuit"),
        once=True,
        source="134.1.1, 526.1 (from memory); invariant 31",
    ),
    _act(
        "see the enclosure",
        "device is off",
        "terminal:* is checked",
        done=("check:enclosure is done",),
        fail=("check:enclosure is failed",),
        touches=("busbar",),
        source="416.2, 514.12.2 (from memory)",
    ),
    _test(
        "read line to earth after landing",
        "landing line to earth",
        "check:instruments is done",
        "null is fresh",
        *_LANDED,
        "link:line to earth at a socket is fitted",
        "link:line to neutral at a socket is none",
        touches=("circuit",),
        source="trade brief P3.9",
    ),
    _test(
        "read line to neutral after landing",
        "landing line to neutral",
        "check:instruments is done",
        "null is fresh",
        *_LANDED,
        "link:line to neutral at a socket is fitted",
        "link:line to earth at a socket is none",
        touches=("circuit",),
        source="trade brief P3.9",
    ),
    _test(
        "read insulation after landing",
        "landing insulation",
        *_met("landing line to earth", "landing line to neutral"),
        "check:instruments is done",
        *_LANDED,
        "terminal:[late terminal] is empty | as found",
        "link:* is none",
        "item:* is connected",
        "loads is unplugged",
        "users is told",
        touches=("circuit",),
        hazard="250 V d.c. on the conductors while the test is held",
        source="643.3.3; trade brief P3.7",
    ),
    _act(
        "take out a fly-lead",
        "device is off",
        on="late terminal",
        done=("terminal:{of} is empty",),
        fail=("terminal:{of} is loose",),
        voids=ON_FLY_LEAD,
        touches=("busbar", "circuit"),
        source="trade brief P3.7",
    ),
    _act(
        "land a fly-lead",
        "device is off",
        *_met("landing insulation"),
        on="late terminal",
        done=("terminal:{of} is seated",),
        fail=("terminal:{of} is loose",),
        voids=ON_FLY_LEAD,
        touches=("busbar", "circuit"),
        source="trade brief P3.9; 526.1 (from memory)",
    ),
    _look("clear the place", "ready", "link:* is none", "item:* is connected", source="trade brief P4.1"),
    # --- energise and live tests
    _test(
        "read the incoming supply",
        "incoming supply",
        "hold:five is signed",
        "source:[upstream source] is on",
        "check:instruments is done",
        "users is told",
        live=True,
        hazard="live incoming terminals",
        source="trade brief P4.2",
    ),
    _test(
        "take external impedance from the record",
        "external impedance",
        *_met("incoming supply"),
        source="trade brief P4.3",
    ),
    _test(
        "read external impedance with earthing connected",
        "external impedance",
        "hold:five is signed",
        *_met("incoming supply"),
        "check:instruments is done",
        "earthing is verified | released",
        "bonding is verified",
        "users is told",
        live=True,
        hazard="live incoming terminals; parallel paths make the reading lower",
        source="trade brief §11.1",
    ),
    _act(
        "part the earthing conductor",
        *_ISOLATED,
        "hold:five is signed",
        *_met("incoming supply"),
        "earthing is verified | released",
        "users is told",
        done=("earthing is off", "hold:six is unsigned", "check:earthing conductor is open"),
        fail=("earthing is unverified",),
        touches=("busbar",),
        critical=True,
        hazard="the place is without earth until the conductor is back; a fault makes its metal live",
        source="trade brief P4.3; invariant 17",
    ),
    _test(
        "read external impedance with earthing parted",
        "external impedance",
        *_ISOLATED,
        "hold:five is signed",
        *_met("incoming supply"),
        "check:instruments is done",
        "earthing is off",
        "users is told",
        live=True,
        hazard="live incoming terminals, and a place without earth",
        source="trade brief P4.3",
    ),
    _act(
        "remake the earthing conductor",
        "earthing is off | remade",
        "check:torque tool is done",
        done=("earthing is remade", "check:earthing conductor is open"),
        fail=("check:earthing conductor is failed",),
        touches=("busbar",),
        critical=True,
        hazard="a conductor that is forgotten leaves the place without earth",
        source="trade brief P4.3; 542.3.2 (from memory)",
    ),
    _act(
        "read the earthing conductor",
        "earthing is remade",
        "check:earthing conductor is open",
        "check:instruments is done",
        "null is fresh",
        done=("check:earthing conductor is done",),
        fail=("check:earthing conductor is failed",),
        touches=("busbar",),
        source="trade brief P4.3, §11.2; 643.2.1 (from memory)",
    ),
    _test(
        "read fault current",
        "fault current",
        "hold:five is signed",
        *_met("incoming supply"),
        "check:instruments is done",
        "earthing is verified | released",
        "bonding is verified",
        "users is told",
        live=True,
        hazard="live incoming terminals",
        source="434.5.1 (from memory)",
    ),
    _act(
        "close the cover",
        done=("cover is closed", "tails is shrouded"),
        makes_safe=True,
        source="trade brief P4.5",
    ),
    _act(
        "give back the upstream side",
        *_SETTLED,
        "hold:five is signed",
        *_met(*DEAD_RESULTS),
        on="upstream source",
        done=("source:{of} is on", "lock:{of} is none", "incoming:{of} is live"),
        critical=True,
        hazard="the incoming side of the board becomes live",
        source="trade brief V6, V9; invariants 9 and 17",
    ),
    _act(
        "give back the main switch",
        *_CLOSING,
        *_met(*DEAD_RESULTS),
        "source:[upstream source] is on",
        "device is off",
        on="main source",
        done=("source:{of} is on", "lock:{of} is none", "zone:busbar is live"),
        refer=_PERHAPS_BACK,
        fail=_PERHAPS_BACK,
        critical=True,
        hazard="the board becomes live",
        source="trade brief P4.5",
    ),
    _act(
        "close the way",
        *_CLOSING,
        "hold:four is signed",
        *_met(*DEAD_RESULTS),
        "source:[main source] is on",
        "way lock is none",
        "device is off",
        done=("device is on", "zone:circuit is live"),
        other={
            TRIPPED: (
                "device is tripped",
                "zone:circuit is unproved",
                "trip cause is unknown",
                "result:insulation is void",
                "result:landing insulation is void",
            )
        },
        live=True,
        critical=True,
        hazard="the circuit becomes live",
        source="trade brief P4.5",
    ),
    _act(
        "record the cause of the trip",
        "source:* is locked",
        done=("trip cause is known", "device is off"),
        source="trade brief P7.3",
    ),
    _act(
        "time the section device",
        "section:{of} is untimed",
        "cover is closed",
        "users is told",
        "check:instruments is done",
        "source:[main source] is on",
        "device is off",
        *_met("protective conductor", "external impedance"),
        on="section device",
        done=("section:{of} is timed",),
        refer=("section:{of} is refer",),
        fail=("section:{of} is failed",),
        live=True,
        hazard="every way of the section goes off by the test",
        source="trade brief V2; 643.7.1, 643.8 with note (A2)",
    ),
    _act(
        "put the section test right",
        on="section device",
        done=("section:{of} is untimed",),
        source="trade brief V2",
    ),
    _act(
        "read the phase rotation",
        "source:[main source] is on",
        "cover is closed",
        "users is told",
        "check:instruments is done",
        on="three-phase board",
        done=("rotation:{of} is checked",),
        fail=("rotation:{of} is disturbed",),
        live=True,
        hazard="live parts at the board",
        source="643.9 (from memory)",
    ),
    _test(
        "read loop impedance",
        "loop impedance",
        *_LIVE_READING,
        "zone:circuit is live",
        *_met("protective conductor", "external impedance", "fault current"),
        live=True,
        hazard="live parts at each socket",
        source="643.7.3 (from memory)",
    ),
    _test(
        "time the residual device",
        "residual time",
        *_LIVE_READING,
        "zone:circuit is live",
        *_met("protective conductor", "loop impedance"),
        live=True,
        hazard="the circuit is switched by the test",
        source="643.7.1, 643.8 with note (A2)",
    ),
    # --- functional test
    _act(
        "clear the button for pressing before timing",
        *_LIVE_READING,
        *_met(*(r for r in LIVE_RESULTS if r not in ("residual time", "button"))),
        "zone:circuit is live",
        "toggle is free",
        done=("button gate is before timing",),
        source="trade brief P4.8",
    ),
    _act(
        "press the test button",
        "button gate is before timing | after timing",
        "cover is closed",
        "device is on",
        "toggle is free",
        "users is told",
        on="press",
        done=("press:{of} is done",),
        fail=("press:{of} is failed", "device is off", "result:button is fail"),
        live=True,
        hazard="the circuit goes off and on",
        source="643.10 (from memory)",
    ),
    _test(
        "judge the button",
        "button",
        "press:first is done",
        "press:second is done",
        "device is on",
        source="trade brief P5.3",
    ),
    _act(
        "hold the toggle and press",
        "press:first is done",
        "press:second is done",
        "hold:seven is signed",
        "cover is closed",
        "device is on",
        done=("press:held is done", "toggle is free"),
        refer=("press:held is done", "toggle is free"),
        fail=("press:held is failed", "toggle is free", "device is off", "result:button is fail"),
        live=True,
        hazard="a held toggle says nothing of the contacts",
        source="trade brief P5.4 (from memory)",
    ),
    _act(
        "leave the toggle alone",
        "hold:seven is signed",
        done=("press:held is ruled out",),
        source="trade brief P5.4",
    ),
    # --- hand-over
    _act(
        "give back a second source",
        *_CLOSING,
        *_met("loop impedance", "residual time"),
        "device is on",
        on="second source",
        done=("source:{of} is on", "lock:{of} is none"),
        refer=_PERHAPS_BACK,
        fail=_PERHAPS_BACK,
        critical=True,
        hazard="a second source feeds the board again",
        source="trade brief P4.5",
    ),
    _look(
        "compare with as found",
        "compared",
        *_met("loop impedance", "residual time"),
        source="trade brief P0.11",
    ),
    _look("count tools and keys", "counted", "link:* is none", "item:* is connected", source="trade brief P6.1"),
    _look(
        "write up the record",
        "record written",
        "hold:eight is signed",
        *_met(*LIVE_RESULTS),
        source="trade brief P6.2",
    ),
    _look("brief the client", "briefing", "check:record written is done", source="trade brief P6.5"),
    # --- faults and repairs
    _act(
        "read to find a fault",
        touches=("circuit",),
        source="trade brief §6.1",
    ),
    _act("look for a fault", source="trade brief §6.1"),
    _act(
        "hold the insulation against the trip",
        "result:insulation is pass",
        source="trade brief §6.1 B16, B17, B18",
    ),
    _act(
        "read live to find a fault",
        "cover is closed",
        "check:instruments is done",
        live=True,
        hazard="live parts at the point of work",
        source="trade brief §6.1; EAWR 14 (from memory)",
    ),
    _act(
        "remake an accessory",
        voids=ON_ACCESSORY,
        repairs=True,
        touches=("circuit",),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "remake a joint or cable",
        voids=ON_JOINT,
        repairs=True,
        touches=("circuit",),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "remake a device terminal",
        "device is off",
        "terminal:{of} is loose | seated | checked",
        on="terminal",
        done=("terminal:{of} is seated",),
        fail=("terminal:{of} is loose",),
        voids=ON_TERMINAL,
        repairs=True,
        touches=("busbar", "circuit"),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "remake the main bonding",
        *_ISOLATED,
        done=("bonding is unverified",),
        voids=ON_EARTHING,
        repairs=True,
        touches=("busbar",),
        source="trade brief §11.2, invariant 17 (common practice)",
    ),
    _act(
        "put the test set-up right",
        on="result",
        done=("result:{of} is void", "null is stale"),
        source="trade brief F13, F28",
    ),
    _act(
        "take out what was left in",
        on="result",
        done=("result:{of} is void", "loads is unknown"),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "suspect a shared neutral",
        done=("check:sources is open", "neutral is unknown"),
        voids=("separation",),
        source="trade brief §6.1 B2, B17",
    ),
    _act(
        "close the device alone",
        "ends is parked",
        "device is off",
        "terminal:* is as found | empty | checked",
        "link:* is none",
        "item:* is connected",
        "users is told",
        "check:instruments is done",
        "check:sources is done",
        "earthing is verified | released",
        "bonding is verified",
        "source:{of} is locked",
        on="main source",
        done=("source:{of} is on", "lock:{of} is none", "device is on", "zone:busbar is live"),
        other={TRIPPED: ("source:{of} is on", "lock:{of} is none", "device is tripped", "zone:busbar is live")},
        live=True,
        critical=True,
        hazard="the board becomes live with the ends of this circuit parked",
        source="invariant 48",
    ),
    _act(
        "want the device by itself",
        done=("alone is wanted",),
        source="trade brief §6.1 B16, B22, B23",
    ),
    _act(
        "judge the device by itself",
        "source:* is locked",
        done=("alone is sound",),
        fail=("alone is faulty",),
        source="trade brief §6.1 B22",
    ),
    _act(
        "say where the fault lies",
        done=("alone is none",),
        other=dict.fromkeys(PLACES[:-1], ("alone is none", "trip cause is known"))
        | {PLACES[-1]: ("alone is none", "trip cause is known", *_CONDEMNED)},
        touches=("circuit",),
        source="trade brief §6.1; P7.3",
    ),
    _act(
        "want the leakage",
        on="leakage",
        done=("leakage:{of} is wanted",),
        source="trade brief §6.1 B18",
    ),
    _act(
        "clamp the leakage as found",
        "cover is closed",
        "check:instruments is done",
        "check:as found is done",
        done=("leakage:as found is read",),
        fail=("leakage:as found is high",),
        live=True,
        hazard="live conductors outside the board",
        source="trade brief R-23, P0.11",
    ),
    _act(
        "clamp the leakage as fitted",
        *_LIVE_READING,
        "zone:circuit is live",
        done=("leakage:as fitted is read",),
        fail=("leakage:as fitted is high",),
        live=True,
        hazard="live conductors outside the board",
        source="trade brief R-23, §6.1 B18",
    ),
    _act(
        "explain the leakage",
        on="leakage",
        done=("leakage:{of} is none",),
        source="trade brief §6.1 B18",
    ),
    _act(
        "suspect the insulation",
        voids=("insulation", "landing insulation"),
        source="trade brief P5.6, P7.3",
    ),
    _act(
        "read the device alone",
        "ends is parked",
        "device is on | tripped",
        "source:[main source] is on",
        "check:instruments is done",
        live=True,
        hazard="live parts at the device",
        source="trade brief §6.1 B16, B22, B23; invariant 48",
    ),
    _act(
        "seat the device again",
        "device is off",
        voids=ON_DEVICE,
        repairs=True,
        touches=("busbar",),
        critical=True,
        source="trade brief §11.2, §6.1 B19",
    ),
    _act(
        "condemn the device",
        done=("alone is none", *_CONDEMNED),
        source="trade brief P5.6; invariant 33",
    ),
    _act(
        "quarantine the device",
        "device is quarantined",
        "ends is parked",
        done=("device is absent",),
        voids=ON_DEVICE,
        repairs=True,
        touches=("busbar", "circuit"),
        source="trade brief P5.6; invariant 33",
    ),
    # --- stop and make safe
    _act(
        "take hands and tools out",
        done=("check:people told is open",),
        makes_safe=True,
        source="trade brief P7.1",
    ),
    _act(
        "switch off and lock for safety",
        on="source",
        done=("source:{of} is locked", "lock:{of} is applied"),
        fail=("source:{of} is unknown", "lock:{of} is none"),
        makes_safe=True,
        critical=True,
        hazard="a source that stays on feeds unfinished work",
        source="trade brief P7.2, P7.4",
    ),
    _act(
        "switch the way off",
        "device is on | tripped | off",
        done=("device is off",),
        makes_safe=True,
        source="trade brief P5.6, P7.3",
    ),
    _act(
        "tell people",
        done=("check:people told is done",),
        fail=("check:people told is failed",),
        makes_safe=True,
        source="trade brief P7.2",
    ),
    # --- left unfinished, the other ways back on
    _act(
        "switch the old device off",
        "old device is fitted",
        "device is absent | old on | old tripped | old off",
        done=("device is old off", "zone:circuit is unproved"),
        makes_safe=True,
        source="trade brief P7.4",
    ),
    _act(
        "lock off the job way",
        "cover is closed",
        "device is absent | off | old off | quarantined",
        *WHILE_LEFT,
        done=("way lock is applied", "others is way locked"),
        makes_safe=True,
        critical=True,
        hazard="an unfinished circuit that somebody switches on",
        source="trade brief P7.4; invariant 20",
    ),
    _act(
        "give back the upstream side for the other ways",
        *WHILE_LEFT,
        "cover is closed",
        "way lock is applied",
        "hold:made safe is signed",
        on="upstream source",
        done=("source:{of} is on", "lock:{of} is none", "incoming:{of} is live", "left is others on"),
        makes_safe=True,
        critical=True,
        hazard="the incoming side of the board becomes live",
        source="trade brief P7.4; invariants 15, 17 and 20",
    ),
    _act(
        "give back the main switch for the other ways",
        *WHILE_LEFT,
        "cover is closed",
        "device is absent | off | old off | quarantined",
        "way lock is applied",
        "hold:made safe is signed",
        "source:[upstream source] is on",
        on="main source",
        done=(
            "source:{of} is on",
            "lock:{of} is none",
            "zone:busbar is live",
            "others is back on",
            "left is others on",
        ),
        makes_safe=True,
        critical=True,
        hazard="the board becomes live beside an unfinished way",
        source="trade brief P7.4; invariants 15, 17 and 20",
    ),
    _act(
        "take the lock off the job way",
        "device is absent | off | old off | quarantined",
        done=("way lock is none",),
        source="invariant 9",
    ),
    _look("say how it goes on", "continuation", makes_safe=True, source="trade brief P7.4"),
    # --- put back as found
    _look("agree to put back", "put back agreed", source="trade brief P7.4"),
    _act(
        "take off the new device",
        "ends is parked | as found",
        "device is on | tripped | off | absent | quarantined",
        done=("device is absent",),
        voids=ON_DEVICE,
        touches=("busbar",),
        source="trade brief P7.4",
    ),
    _act(
        "fit the old device again",
        "check:put back agreed is done",
        "ends is parked",
        "device is absent",
        done=("old device is fitted", "device is old off"),
        voids=ON_DEVICE,
        touches=("busbar",),
        critical=True,
        source="trade brief P7.4; 134.1.1 (from memory)",
    ),
    _act(
        "land the conductors in the old device",
        "old device is fitted",
        "device is old off",
        "ends is parked | landed",
        on="old terminal",
        done=("old terminal:{of} is seated", "ends is landed"),
        fail=("old terminal:{of} is loose", "ends is landed"),
        voids=ON_DEVICE,
        touches=("busbar", "circuit"),
        source="trade brief P7.4; 526.1 (from memory)",
    ),
    _act(
        "torque, tug and mark an old terminal",
        "old terminal:{of} is seated | checked",
        "check:torque tool is done",
        on="old terminal",
        done=("old terminal:{of} is checked",),
        fail=("old terminal:{of} is loose",),
        touches=("busbar", "circuit"),
        source="trade brief P7.4; 526.1 (from memory)",
    ),
    _look(
        "clear the place around the old device",
        "back ready",
        "old device is fitted",
        "old terminal:* is as found | checked",
        "link:* is none",
        "item:* is connected",
        source="trade brief P7.4",
    ),
    _act(
        "give back the upstream side with the old device",
        *_SETTLED,
        "hold:put back is signed",
        on="upstream source",
        done=("source:{of} is on", "lock:{of} is none", "incoming:{of} is live"),
        critical=True,
        hazard="the incoming side of the board becomes live",
        source="trade brief P7.4; invariants 9 and 17",
    ),
    _act(
        "give back the main switch with the old device",
        *_BACK,
        *_met(*_BACK_RESULTS),
        "source:[upstream source] is on",
        "device is old off",
        on="main source",
        done=("source:{of} is on", "lock:{of} is none", "zone:busbar is live"),
        critical=True,
        hazard="the board becomes live",
        source="trade brief P7.4; invariants 15 and 17",
    ),
    _act(
        "close the old device",
        *_BACK,
        *_met(*_BACK_RESULTS),
        "source:[main source] is on",
        "way lock is none",
        "device is old off",
        done=("device is old on", "zone:circuit is live"),
        other={
            TRIPPED: (
                "device is old tripped",
                "zone:circuit is unproved",
                "trip cause is unknown",
                "result:landing insulation is void",
            )
        },
        live=True,
        critical=True,
        hazard="the circuit becomes live",
        source="trade brief P7.4; invariants 16 and 19",
    ),
    _act(
        "record why the old device tripped",
        "source:* is locked",
        "old device is fitted",
        done=("trip cause is known", "device is old off"),
        source="trade brief P7.3",
    ),
    _look(
        "read the old way live",
        "back live",
        "cover is closed",
        "users is told",
        "check:instruments is done",
        "device is old on",
        "zone:circuit is live",
        live=True,
        hazard="live parts at the outlet",
        source="trade brief P7.4",
    ),
    _look(
        "press the old button",
        "back button",
        "cover is closed",
        "users is told",
        "device is old on",
        "check:back live is done",
        live=True,
        hazard="the circuit goes off and on",
        source="trade brief P7.4",
    ),
    _act(
        "give back a second source with the old device",
        *_BACK,
        "device is old on",
        "check:back live is done",
        on="second source",
        done=("source:{of} is on", "lock:{of} is none"),
        critical=True,
        hazard="a second source feeds the board again",
        source="trade brief P7.4; invariant 47",
    ),
    _look("tell that nothing is improved", "not improved", "check:back live is done", source="trade brief P7.4"),
    # --- other ways of the same shutdown
    _act(
        "hear of another way",
        on="other way",
        done=("other way:{of} is finished",),
        other={MADE_SAFE: ("other way:{of} is made safe",), STILL_OPEN: ("other way:{of} is open",)},
        source="trade brief V10",
    ),
    # --- a new circuit
    _act(
        "bring the conductors in",
        "check:marked is done",
        "neutral is settled",
        done=("ends is loose", "terminal:* is empty"),
        voids=ON_DEVICE,
        touches=("circuit", "busbar"),
        source="trade brief V7",
    ),
    _act(
        "part the main bonding",
        *_ISOLATED,
        done=("bonding is off",),
        touches=("busbar",),
        critical=True,
        hazard="a bonding conductor may carry neutral current of the network",
        source="trade brief P3.1; invariant 17",
    ),
    _test(
        "read the parted bonding",
        "bonding",
        "check:instruments is done",
        "null is fresh",
        "bonding is off",
        touches=("busbar",),
        source="643.2.1 (from memory); trade brief R-05",
    ),
    _act(
        "join the main bonding again",
        done=("bonding is verified",),
        fail=("bonding is off",),
        touches=("busbar",),
        source="trade brief P3.1; invariant 17",
    ),
    # --- hold points and the end
    *(
        _act(
            f"release hold point {name}",
            *needs,
            done=(f"hold:{name} is signed", *_HOLD_OPENS.get(name, ())),
            makes_safe=name == "made safe",
            source="trade brief §2.1",
        )
        for name, needs in HOLD_NEEDS.items()
    ),
    _act(
        "close the log as not begun",
        "source:* is unknown",
        "lock:* is none",
        "cover is unseen | closed",
        "old device is fitted",
        "device is absent",
        done=("log is closed",),
        makes_safe=True,
        critical=True,
        source="trade brief P0.2",
    ),
    _act(
        "close the log",
        "hold:nine is signed",
        *HOLD_NEEDS["nine"],
        done=("log is closed",),
        critical=True,
        source="trade brief P6.6",
    ),
    _act(
        "close the log as made safe",
        "left is locked off | others on",
        "others is off | back on",
        "cover is closed",
        "check:people told is done",
        done=("log is closed",),
        makes_safe=True,
        critical=True,
        source="trade brief P7.4",
    ),
    _act(
        "close the log as to be continued",
        "left is locked off | others on",
        "others is off | back on",
        "cover is closed",
        "check:people told is done",
        "check:continuation is done",
        done=("log is closed",),
        makes_safe=True,
        critical=True,
        source="trade brief P7.4",
    ),
    _act(
        "close the log as put back",
        "hold:taken back is signed",
        *HOLD_NEEDS["taken back"],
        done=("log is closed",),
        critical=True,
        source="trade brief P7.4",
    ),
)

ACTS: dict[str, Act] = {act.name: act for act in _ROWS}


def _spread(pattern: str, of: str, objects: Objects) -> Iterator[str]:
    """Yield the fact keys that a pattern of the table stands for."""
    family, _, name = pattern.partition(":")
    if name == "*":
        row = FAMILIES[family]
        yield from (f"{family}:{n}" for n in (objects.get(row.card, ()) if row.card else row.objects))
    elif name.startswith("["):
        yield from (f"{family}:{n}" for n in objects.get(name[1:-1], ()))
    else:
        yield pattern.replace("{of}", of)


def spread_needs(needs: Iterable[Need], of: str, objects: Objects) -> tuple[Need, ...]:
    """Return needs with every pattern spread out to fact keys."""
    return tuple(Need(key, n.values) for n in needs for key in _spread(n.fact, of, objects))


def needs_of(act: Act, of: str, objects: Objects) -> tuple[Need, ...]:
    """Return the needs of an act on one object with every pattern spread out to fact keys."""
    return _needs_of(act, of, tuple(objects.items()))


def effects_of(act: Act, answer: str, of: str, objects: Objects) -> tuple[Effect, ...]:
    """Return what an answer class changes, with every pattern spread out to fact keys."""
    return _effects_of(act, answer, of, tuple(objects.items()))


_Listed = tuple[tuple[str, tuple[str, ...]], ...]


@lru_cache(maxsize=4096)
def _needs_of(act: Act, of: str, objects: _Listed) -> tuple[Need, ...]:
    return spread_needs(act.needs, of, dict(objects))


@lru_cache(maxsize=4096)
def _effects_of(act: Act, answer: str, of: str, objects: _Listed) -> tuple[Effect, ...]:
    named = dict(objects)
    return tuple(Effect(key, e.value) for e in act.effects.get(answer, ()) for key in _spread(e.fact, of, named))


def unmet(needs: Iterable[Need], facts: Facts) -> tuple[Need, ...]:
    """Return the needs that the facts do not meet; a fact that is not there meets nothing."""
    return tuple(n for n in needs if facts.get(n.fact) not in n.values)
