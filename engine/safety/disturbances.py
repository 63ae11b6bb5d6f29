"""What may happen to the work from outside: a lost lock, a trip, somebody at the board.

Each row says what the report of it changes; what follows from that stands in `cascade`.
A report never opens anything: it can only take facts down.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.light import dataclass
from ferrule.engine.safety.acts import (
    ON_ACCESSORY,
    ON_EARTHING,
    ON_JOINT,
    ON_MAIN_SWITCH,
    ON_TERMINAL,
    Effect,
    Need,
    parse_effect,
    parse_need,
)
from ferrule.engine.safety.facts import RESULTS
from ferrule.engine.safety.voids import Void, names_of, parse_void

EVERY_READING = RESULTS


@dataclass(frozen=True, slots=True)
class Disturbance:
    """One thing that can happen, the object it happens to, what it changes and what it makes void."""

    name: str
    object: str
    only_if: tuple[Need, ...]
    effects: tuple[Effect, ...]
    voids: tuple[str, ...]
    void_rules: tuple[Void, ...]
    says: str
    source: str


def _row(
    name: str,
    says: str,
    effects: Iterable[str],
    *,
    on: str = "",
    only_if: Iterable[str] = (),
    voids: Iterable[str] = (),
    source: str,
) -> Disturbance:
    rules = tuple(parse_void(v) for v in voids)
    return Disturbance(
        name,
        on,
        tuple(parse_need(n) for n in only_if),
        tuple(parse_effect(e) for e in effects),
        names_of(rules),
        rules,
        says,
        source,
    )


_UNPROVED = ("zone:busbar is unproved", "zone:circuit is unproved", "dead test is none")

DISTURBANCES: dict[str, Disturbance] = {
    d.name: d
    for d in (
        _row(
            "lock or key lost",
            "A lock was found off, or its key is missing: everything counts as live and isolation starts again.",
            ("lock:{of} is lost", "source:{of} is unknown", "check:sources is open", *_UNPROVED),
            on="source",
            voids=tuple(r for r in EVERY_READING),
            source="trade brief P7.7; invariant 10",
        ),
        _row(
            "source changed",
            "A source may have come back or was found in another state: everything counts as live.",
            ("source:{of} is unknown", "lock:{of} is none", "check:sources is open", *_UNPROVED),
            on="source",
            source="invariants 7 and 11",
        ),
        _row(
            "unlisted source found",
            "A source that nobody listed was found: the list starts again.",
            ("check:sources is open", *_UNPROVED),
            source="invariant 8",
        ),
        _row(
            "somebody had access",
            "Another person had access to the board: no touching until it is proved again.",
            _UNPROVED,
            source="trade brief P7.6; invariant 36",
        ),
        _row(
            "indicator failed or damaged",
            "The voltage indicator can no longer be believed: what it showed since its last good proof is void.",
            ("indicator is failed",),
            source="trade brief P7.8; invariant 3",
        ),
        _row(
            "instrument dropped or damaged",
            "The instrument was dropped or its leads were damaged: readings since its last check are void.",
            ("check:instruments is open", "null is stale"),
            voids=EVERY_READING,
            source="trade brief P7.9",
        ),
        _row(
            "lock of the way lost",
            "The lock of this way was found off, or its key is missing: lock it again before anybody leaves.",
            ("way lock is lost",),
            only_if=("way lock is applied",),
            source="trade brief P7.7; invariant 20",
        ),
        _row(
            "other way taken up again",
            "Work on another way of the shutdown goes on: nothing is given back until it is finished again.",
            ("other way:{of} is open",),
            on="other way",
            source="trade brief V10",
        ),
        _row(
            "old terminal disturbed",
            "A terminal with the conductors of the old device was disturbed: it is made again.",
            ("old terminal:{of} is loose",),
            on="old terminal",
            only_if=("old device is fitted",),
            voids=("landing line to earth", "landing line to neutral", "landing insulation"),
            source="trade brief §11.2; invariant 25",
        ),
        _row(
            "leads changed",
            "Leads, probes or clips were changed: null them again.",
            ("null is stale",),
            source="trade brief R-04",
        ),
        _row(
            "device tripped",
            "The device tripped: find the cause before anything is closed again.",
            (
                "device is tripped",
                "zone:circuit is unproved",
                "trip cause is unknown",
                "result:insulation is void",
                "result:landing insulation is void",
            ),
            only_if=("device is on",),
            source="trade brief P7.3; invariant 19",
        ),
        _row(
            "phases disturbed",
            "Conductors of the incoming phases were moved: read the supply and the order of the phases again.",
            ("rotation:{of} is disturbed",),
            on="three-phase board",
            voids=("incoming supply",),
            source="643.9 (from memory); trade brief §11.2",
        ),
        _row(
            "terminal disturbed",
            "A finished terminal was disturbed: it is made again and the tests that rested on it are repeated.",
            ("terminal:{of} is loose",),
            on="terminal",
            only_if=("terminal:{of} is seated | checked",),
            voids=ON_TERMINAL,
            source="trade brief §11.2; invariant 25",
        ),
        _row(
            "accessory opened",
            "An accessory of this circuit was opened or replaced: read again what runs through it.",
            (),
            voids=ON_ACCESSORY,
            source="trade brief §11.2; invariant 25",
        ),
        _row(
            "cable or joint disturbed",
            "A cable or joint of this circuit was disturbed: read again what runs through it.",
            (),
            voids=ON_JOINT,
            source="trade brief §11.2; invariant 25",
        ),
        _row(
            "earthing or bonding disturbed",
            "The earthing conductor or the main bonding was disturbed: see and read both before anything closes.",
            ("earthing is unverified", "bonding is unverified"),
            voids=ON_EARTHING,
            source="trade brief §11.2; invariant 17",
        ),
        _row(
            "main switch terminal disturbed",
            "A terminal of the main switch was disturbed: look inside again and read the supply again.",
            ("check:enclosure is open", "hold:five is unsigned"),
            voids=ON_MAIN_SWITCH,
            source="trade brief §11.2; invariant 25",
        ),
        _row(
            "load was left in",
            "A load, a lamp or a surge part was left in: read the insulation again, and nothing else.",
            ("loads is unknown",),
            voids=("insulation", "insulation together", "landing insulation"),
            source="trade brief §11.2",
        ),
    )
}
