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

PASS, REFER, FAIL = "pass", "refer", "fail"
"""The answer classes that every act may have."""

VOLTS, INDICATOR, TRIPPED = "voltage found", "indicator failed", "tripped"
"""Classes of their own: a pair that showed something, a proof that failed, a device that tripped as it closed."""


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
    """Results that the act makes void where they stood (retest table, trade brief §11.2)."""
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
    touches: Iterable[str] = (),
    live: bool = False,
    makes_safe: bool = False,
    critical: bool = False,
    bare: bool = False,
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
    return Act(
        name,
        on,
        tuple(parse_need(n) for n in (*always, *needs)),
        {word: given for word, given in table.items() if given},
        tuple(voids),
        touched,
        live,
        makes_safe,
        critical,
        hazard,
        source,
        frozenset({PASS, REFER, FAIL, *(other or {})}),
    )


def _met(*results: str) -> tuple[str, ...]:
    return tuple(f"result:{name} is {' | '.join(MET)}" for name in results)


def _look(name: str, check: str, *needs: str, also: Iterable[str] = (), source: str = "common practice") -> Act:
    """An act that only looks and answers: it closes one check."""
    return _act(
        name,
        *needs,
        done=(f"check:{check} is done", *also),
        fail=(f"check:{check} is failed",),
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
_CLOSING = (
    "link:* is none",
    "terminal:* is as found | empty | checked",
    "item:* is connected",
    "cover is closed",
    "users is told",
    "earthing is verified",
    "bonding is verified",
    "hold:five is signed",
    "trip cause is known",
)
_PERHAPS_BACK = ("source:{of} is unknown", "lock:{of} is none")
"""A lock that came off without the source being given back as it should: nobody knows what feeds the board."""
_LIVE_READING = ("cover is closed", "users is told", "check:instruments is done", "device is on")

ON_RING_ACCESSORY = (
    "ring step one",
    "ring step two",
    "ring step three",
    "insulation",
    "insulation together",
    "polarity",
    "landing line to earth",
    "landing line to neutral",
    "landing insulation",
    "loop impedance",
)
ON_JOINT = ("protective conductor", "separation", *ON_RING_ACCESSORY)
ON_DEVICE_TERMINAL = (
    "landing line to earth",
    "landing line to neutral",
    "landing insulation",
    "loop impedance",
    "residual time",
    "button",
)
ON_DEVICE = (*ON_DEVICE_TERMINAL,)
"""Retest table (trade brief §11.2, common practice): what a disturbed or repaired part makes void."""

_HOLD_NEEDS: dict[str, tuple[str, ...]] = {
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
    ),
    "seven": (*_met(*(r for r in LIVE_RESULTS if r != "button")), "device is on"),
    "eight": (*_met(*LIVE_RESULTS), "press:* is done", "device is on"),
    "nine": (
        "hold:eight is signed",
        *_met(*DEAD_RESULTS),
        *_met(*LIVE_RESULTS),
        "source:* is on",
        "lock:* is none",
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
    "made safe": ("source:* is locked", "lock:* is applied", "cover is closed", "check:people told is done"),
}
"""Evidence that must stand before a hold point can be released (trade brief §2.1)."""

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
        done=(
            "check:condition is done",
            "cover is closed",
            "earthing is verified",
            "bonding is verified",
            "result:bonding is pass",
        ),
        fail=("check:condition is failed", "result:bonding is fail"),
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
    _act("tell the users", done=("users is told",), source="trade brief P1.1"),
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
            "indicator is unproved",
        ),
        other={
            VOLTS: (
                "dead test is volts",
                "zone:busbar is unproved",
                "zone:circuit is unproved",
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
        touches=("circuit",),
        source="trade brief P2A.1",
    ),
    _act(
        "take out the conductors",
        "check:marked is done",
        done=("ends is loose", "terminal:* is empty"),
        voids=ON_DEVICE_TERMINAL,
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
        done=("old device is out",),
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
        "ends is parked | landed",
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
        on="terminal",
        done=("terminal:{of} is seated", "ends is landed"),
        fail=("terminal:{of} is loose", "ends is landed"),
        voids=ON_DEVICE_TERMINAL,
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
        source="134.1.1, 526.1 (from memory)",
    ),
    _act(
        "see the enclosure",
        "device is off",
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
        "terminal:* is checked",
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
        "terminal:* is checked",
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
        "terminal:* is checked",
        "link:* is none",
        "item:* is connected",
        "loads is unplugged",
        "users is told",
        touches=("circuit",),
        hazard="250 V d.c. on the conductors while the test is held",
        source="643.3.3; trade brief P3.7",
    ),
    _look("clear the place", "ready", "link:* is none", "item:* is connected", source="trade brief P4.1"),
    # --- energise and live tests
    _test(
        "read the incoming supply",
        "incoming supply",
        "hold:five is signed",
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
        "earthing is verified",
        "bonding is verified",
        "users is told",
        live=True,
        hazard="live incoming terminals; parallel paths make the reading lower",
        source="trade brief §11.1",
    ),
    _test(
        "read fault current",
        "fault current",
        "hold:five is signed",
        *_met("incoming supply"),
        "check:instruments is done",
        "earthing is verified",
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
        "give back the main switch",
        *_CLOSING,
        *_met(*DEAD_RESULTS),
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
        "press the test button",
        "hold:seven is signed",
        "cover is closed",
        "device is on",
        "toggle is free",
        "users is told",
        *_met("residual time"),
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
        "remake an accessory",
        voids=ON_RING_ACCESSORY,
        touches=("circuit",),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "remake a joint or cable",
        voids=ON_JOINT,
        touches=("circuit",),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "remake a device terminal",
        on="terminal",
        done=("terminal:{of} is seated",),
        voids=ON_DEVICE_TERMINAL,
        touches=("busbar", "circuit"),
        source="trade brief §11.2 (common practice)",
    ),
    _act(
        "put the test set-up right",
        on="result",
        done=("result:{of} is void", "null is stale"),
        source="trade brief F13, F28",
    ),
    _act(
        "quarantine the device",
        done=("device is absent", "check:device in hand is open", "hold:four is unsigned"),
        voids=ON_DEVICE,
        touches=("busbar", "circuit"),
        source="trade brief P5.6",
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
        done=("device is off", "zone:circuit is unproved"),
        makes_safe=True,
        source="trade brief P5.6, P7.3",
    ),
    _act("tell people", done=("check:people told is done",), makes_safe=True, source="trade brief P7.2"),
    # --- hold points and the end
    *(
        _act(
            f"release hold point {name}",
            *needs,
            done=(f"hold:{name} is signed",),
            makes_safe=name == "made safe",
            source="trade brief §2.1",
        )
        for name, needs in _HOLD_NEEDS.items()
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
        *_HOLD_NEEDS["nine"],
        done=("log is closed",),
        critical=True,
        source="trade brief P6.6",
    ),
    _act(
        "close the log as made safe",
        "hold:made safe is signed",
        *_HOLD_NEEDS["made safe"],
        done=("log is closed",),
        makes_safe=True,
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
