"""What follows by itself when a fact changes: a lost proof un-signs hold point two, a lost result hold point five.

Rules of the table
1. A rule only ever takes a fact down; nothing is gained here.
2. A rule names what must hold; where that fails, each listed fact drops from the one value to the other.
3. The rules are applied until nothing changes, so their order carries no meaning.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ferrule.engine.light import dataclass
from ferrule.engine.safety.acts import HOLD_NEEDS, WHILE_LEFT, Effect, Need, parse_need, spread_needs, unmet
from ferrule.engine.safety.facts import DEAD_RESULTS, LIVE_RESULTS, MET, PRESSES, Facts, Objects


@dataclass(frozen=True, slots=True)
class Drop:
    """A fact that falls from one value to another."""

    fact: str
    held: str
    becomes: str


@dataclass(frozen=True, slots=True, eq=False)
class Rule:
    """What must hold, and what falls where it does not."""

    because: str
    unless: tuple[Need, ...]
    drops: tuple[Drop, ...]
    source: str


_ZONES = (Drop("zone:busbar", "proved", "unproved"), Drop("zone:circuit", "proved", "unproved"))


def _rule(because: str, unless: tuple[str, ...], *drops: Drop, source: str) -> Rule:
    return Rule(because, tuple(parse_need(u) for u in unless), drops, source)


def _met(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"result:{n} is {' | '.join(MET)}" for n in names)


RULES: tuple[Rule, ...] = (
    _rule(
        "a source is no longer locked off",
        ("source:* is locked", "lock:* is applied"),
        *_ZONES,
        Drop("dead test", "clear", "none"),
        Drop("neutral", "settled", "unknown"),
        source="invariants 7 and 35",
    ),
    _rule(
        "the list of sources is open again",
        ("check:sources is done",),
        *_ZONES,
        Drop("neutral", "settled", "unknown"),
        source="invariants 6, 8 and 35",
    ),
    _rule(
        "the incoming side is no longer known",
        ("source:* is locked", "lock:* is applied", "check:sources is done", "indicator is unproved | proved"),
        Drop("incoming:*", "proved", "unproved"),
        source="invariants 3, 7, 8 and 14",
    ),
    _rule(
        "the incoming side is not proved",
        ("incoming:* is proved",),
        Drop("hold:two", "signed", "unsigned"),
        source="invariant 14",
    ),
    _rule(
        "the supply upstream is off",
        ("source:[upstream source] is on",),
        Drop("incoming:*", "live", "unproved"),
        Drop("zone:busbar", "live", "unproved"),
        Drop("zone:circuit", "live", "unproved"),
        source="invariant 5",
    ),
    _rule(
        "the indicator failed its proof",
        ("indicator is unproved | proved",),
        *_ZONES,
        Drop("dead test", "clear", "none"),
        *(Drop(f"result:{name}", "pass", "void") for name in DEAD_RESULTS),
        source="invariant 3",
    ),
    _rule(
        "the proof no longer stands",
        ("zone:busbar is proved", "zone:circuit is proved"),
        Drop("hold:two", "signed", "unsigned"),
        source="invariants 1 and 36",
    ),
    _rule(
        "a dead test no longer stands",
        _met(DEAD_RESULTS),
        Drop("hold:five", "signed", "unsigned"),
        source="invariant 36, note",
    ),
    _rule(
        "the cover is on",
        ("cover is open",),
        Drop("hold:three", "signed", "unsigned"),
        source="trade brief §2.1",
    ),
    _rule(
        "the main switch is off",
        ("source:[main source] is on",),
        Drop("zone:busbar", "live", "unproved"),
        Drop("zone:circuit", "live", "unproved"),
        source="invariant 5",
    ),
    _rule(
        "the device is not on",
        ("device is on | old on",),
        Drop("zone:circuit", "live", "unproved"),
        source="invariant 5",
    ),
    _rule(
        "a terminal was opened",
        ("terminal:* is checked",),
        Drop("check:ready", "done", "open"),
        Drop("check:enclosure", "done", "open"),
        Drop("hold:five", "signed", "unsigned"),
        source="invariants 15 and 25",
    ),
    _rule(
        "the old device no longer stands as it was signed for",
        (
            "old terminal:* is as found | checked",
            "old device is fitted",
            *_met(("landing line to earth", "landing line to neutral", "landing insulation")),
        ),
        Drop("check:back ready", "done", "open"),
        Drop("hold:put back", "signed", "unsigned"),
        source="invariants 15, 25 and 36",
    ),
    *(
        _rule(
            f"what hold point {name} rests on no longer stands",
            HOLD_NEEDS[name],
            Drop(f"hold:{name}", "signed", "unsigned"),
            source="invariants 38 and 40",
        )
        for name in ("nine", "taken back")
    ),
    _rule(
        "the old device is not on",
        ("device is old on",),
        Drop("check:back live", "done", "open"),
        Drop("check:back button", "done", "open"),
        source="invariants 25 and 32",
    ),
    _rule(
        "a lock no longer holds what was left",
        ("source:* is locked", "lock:* is applied"),
        Drop("left", "locked off", "open"),
        source="invariants 7 and 44",
    ),
    _rule(
        "the lock of the way no longer holds what was left",
        ("way lock is applied",),
        Drop("left", "others on", "open"),
        Drop("others", "way locked", "wanted"),
        Drop("others", "back on", "wanted"),
        source="invariant 20",
    ),
    _rule(
        "the other ways may not be on beside this one",
        WHILE_LEFT,
        Drop("left", "others on", "open"),
        Drop("others", "wanted", "off"),
        Drop("others", "way locked", "off"),
        Drop("others", "back on", "off"),
        source="invariants 15, 17, 18 and 20",
    ),
    _rule(
        "the cover is not on over what was left",
        ("cover is closed",),
        Drop("left", "locked off", "open"),
        Drop("left", "others on", "open"),
        source="invariants 39 and 44",
    ),
    _rule(
        "work goes on",
        ("work is stopped",),
        Drop("left", "locked off", "open"),
        Drop("left", "others on", "open"),
        Drop("others", "way locked", "off"),
        Drop("others", "back on", "off"),
        Drop("others", "wanted", "off"),
        Drop("check:people told", "done", "open"),
        Drop("check:continuation", "done", "open"),
        source="invariant 43",
    ),
    _rule(
        "what was signed as left no longer stands",
        ("left is locked off | others on",),
        Drop("hold:made safe", "signed", "unsigned"),
        source="trade brief §2.1",
    ),
    _rule(
        "a live test no longer stands",
        _met(tuple(r for r in LIVE_RESULTS if r != "button")),
        Drop("hold:seven", "signed", "unsigned"),
        Drop("check:compared", "done", "open"),
        source="invariant 25",
    ),
    _rule(
        "the instruments are in doubt",
        ("check:instruments is done",),
        Drop("section:*", "timed", "untimed"),
        source="trade brief P7.9",
    ),
    _rule(
        "the section or the phases are in doubt",
        ("section:* is timed", "rotation:* is as found | checked"),
        Drop("hold:seven", "signed", "unsigned"),
        source="invariant 25",
    ),
    _rule(
        "hold point seven no longer stands",
        ("hold:seven is signed",),
        Drop("button gate", "after timing", "shut"),
        source="trade brief §2.1",
    ),
    _rule(
        "a reading before the button no longer stands",
        _met(tuple(r for r in LIVE_RESULTS if r not in ("button", "residual time"))),
        Drop("button gate", "before timing", "shut"),
        source="trade brief P4.8",
    ),
    _rule(
        "the earthing conductor was not read after it was remade",
        ("check:earthing conductor is done",),
        Drop("hold:six", "signed", "unsigned"),
        source="trade brief P4.3",
    ),
    _rule(
        "hold point six no longer stands",
        ("hold:six is signed",),
        Drop("earthing", "released", "remade"),
        source="invariant 17",
    ),
    _rule(
        "a press no longer stands",
        ("press:* is done | ruled out",),
        Drop("hold:eight", "signed", "unsigned"),
        source="invariants 32 and 38",
    ),
    _rule(
        "the button test no longer stands",
        ("result:button is none | refer | pass | fail",),
        Drop("result:button", "void", "none"),
        *(Drop(f"press:{name}", "done", "none") for name in PRESSES),
        Drop("hold:eight", "signed", "unsigned"),
        source="invariants 25 and 32",
    ),
)


def cascade(facts: Facts, objects: Objects) -> Iterator[tuple[str, Effect]]:
    """Yield each fall with its reason until every rule holds; `facts` is not changed."""
    now = dict(facts)
    listed = tuple(objects.items())
    changed = True
    while changed:
        changed = False
        for rule in RULES:
            if not unmet(_unless(rule, listed), now):
                continue
            for drop in rule.drops:
                for fact in _dropped(drop, listed):
                    if now.get(fact) == drop.held:
                        now[fact] = drop.becomes
                        changed = True
                        yield rule.because, Effect(fact, drop.becomes)


def facts_of(drop: Drop, objects: Objects) -> tuple[str, ...]:
    """Return the fact keys that a drop stands for."""
    return _dropped(drop, tuple(objects.items()))


@lru_cache(maxsize=1024)
def _unless(rule: Rule, objects: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[Need, ...]:
    return spread_needs(rule.unless, "", dict(objects))


@lru_cache(maxsize=1024)
def _dropped(drop: Drop, objects: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[str, ...]:
    return tuple(need.fact for need in spread_needs((Need(drop.fact, (drop.held,)),), "", dict(objects)))
