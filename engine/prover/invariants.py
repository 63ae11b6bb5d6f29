"""What must never happen, stated once each and apart from what the acts need.

For: the prover, which looks for a walk that breaks one of them.
Must never: be read by the walk.  An invariant that only repeated an act's needs could not find a need that is missing
where it matters, so each is written from the trade's reason, over groups of acts and over states.

Numbers are those of the trade brief §14.3.  `PROVED` holds those that exploration shows, `BUILT_IN` those that the
walk cannot break because of how it is made, `NOT_EXPRESSED` those that no fact of ours speaks of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ferrule.engine.light import dataclass
from ferrule.engine.prover.rules import (
    After,
    Before,
    GainedOnlyBy,
    Implies,
    NeverTurns,
    OnlyWhile,
    Rule,
    SignedBy,
    Touching,
)
from ferrule.engine.safety.acts import Act

BOTH = (Touching("circuit"), Touching("busbar"))
NEW_DEVICE = ("give back the main switch", "give back a second source", "close the way")
OLD_DEVICE = (
    "give back the main switch with the old device",
    "give back a second source with the old device",
    "close the old device",
)
OTHER_WAYS = ("give back the main switch for the other ways",)
UPSTREAM = (
    "give back the upstream side",
    "give back the upstream side with the old device",
    "give back the upstream side for the other ways",
)
PARTED = ("part the earthing conductor", "read external impedance with earthing parted")
_PRESSES = ("press first is done", "press second is done", "press held is done | ruled out")
CLOSING = (*NEW_DEVICE, *OLD_DEVICE, *OTHER_WAYS, *UPSTREAM)
"""Every act by which something is fed again."""
LOW_RESISTANCE = (
    "read separation",
    "read the protective conductor",
    "read ring step one",
    "read ring step two",
    "read ring step three",
    "read line to earth after landing",
    "read line to neutral after landing",
)
INSULATION = ("read insulation", "read insulation together", "read insulation after landing")
MET = "pass | not required"
HANDS = (
    # Written out and not taken from the table of acts: an act that no longer says that a hand is in it is missed here.
    "mark the conductors",
    "trace the neutral",
    "take out the conductors",
    "bring the conductors in",
    "part and insulate the ends",
    "take off the old device",
    "look at the busbar",
    "disconnect the item",
    "reconnect the item",
    "fit a link",
    "remove a link",
    "read the main bonding",
    "part the main bonding",
    "read the parted bonding",
    "join the main bonding again",
    "remake the main bonding",
    "see the point without earth",
    *LOW_RESISTANCE,
    *INSULATION,
    "check polarity",
    "fit the device",
    "land the conductors",
    "torque, tug and mark",
    "see the enclosure",
    "take out a fly-lead",
    "land a fly-lead",
    "part the earthing conductor",
    "remake the earthing conductor",
    "read the earthing conductor",
    "read to find a fault",
    "say where the fault lies",
    "remake an accessory",
    "remake a joint or cable",
    "remake a device terminal",
    "seat the device again",
    "quarantine the device",
    "take off the new device",
    "fit the old device again",
    "land the conductors in the old device",
    "torque, tug and mark an old terminal",
)
LOOKED_AT: tuple[tuple[str, str], ...] = (
    # Check to the act that answers it; what was found at the outlets is on record whatever it was.
    ("job", "check the job"),
    ("authority", "check authority"),
    ("competence", "check competence"),
    ("risk", "assess the risk"),
    ("protective equipment", "check protective equipment"),
    ("instruments", "check instruments"),
    ("torque tool", "check the torque tool"),
    ("records", "read the records"),
    ("identity", "identify the way"),
    ("condition", "inspect condition"),
    ("device on paper", "judge the device on paper"),
    ("device in hand", "judge the device in the hand"),
    ("sources", "list the sources"),
    ("seen live", "see the circuit live"),
    ("marked", "mark the conductors"),
    ("busbar", "look at the busbar"),
    ("enclosure", "see the enclosure"),
    ("ready", "clear the place"),
    ("compared", "compare with as found"),
    ("counted", "count tools and keys"),
    ("record written", "write up the record"),
    ("briefing", "brief the client"),
    ("people told", "tell people"),
    ("continuation", "say how it goes on"),
    ("put back agreed", "agree to put back"),
    ("back ready", "clear the place around the old device"),
    ("back live", "read the old way live"),
    ("back button", "press the old button"),
    ("not improved", "tell that nothing is improved"),
    ("earthing conductor", "read the earthing conductor"),
)
READ: tuple[tuple[str, tuple[str, ...]], ...] = (
    # Result to the acts that read it.
    ("separation", ("read separation",)),
    ("protective conductor", ("read the protective conductor",)),
    ("ring step one", ("read ring step one",)),
    ("ring step two", ("read ring step two",)),
    ("ring step three", ("read ring step three",)),
    ("insulation", ("read insulation",)),
    ("insulation together", ("read insulation together",)),
    ("polarity", ("check polarity",)),
    ("landing line to earth", ("read line to earth after landing",)),
    ("landing line to neutral", ("read line to neutral after landing",)),
    ("landing insulation", ("read insulation after landing",)),
    ("bonding", ("read the main bonding", "read the parted bonding")),
    ("incoming supply", ("read the incoming supply",)),
    (
        "external impedance",
        (
            "take external impedance from the record",
            "read external impedance with earthing connected",
            "read external impedance with earthing parted",
        ),
    ),
    ("fault current", ("read fault current",)),
    ("loop impedance", ("read loop impedance",)),
    ("residual time", ("time the residual device",)),
    ("button", ("judge the button",)),
)
_BOTH_SIGN = ("technician", "supervisor")
SIGNED: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    # Hold point to who signs it, one person alone and with a supervisor (trade brief §2.1); number six is never alone.
    ("one", ("client", "technician"), ("client", "supervisor")),
    ("two", ("technician",), _BOTH_SIGN),
    ("three", ("technician",), _BOTH_SIGN),
    ("four", ("designer",), ("designer",)),
    ("five", ("technician",), _BOTH_SIGN),
    ("six", _BOTH_SIGN, _BOTH_SIGN),
    ("seven", ("technician",), _BOTH_SIGN),
    ("eight", ("technician",), _BOTH_SIGN),
    ("nine", ("technician", "client"), (*_BOTH_SIGN, "client")),
    ("made safe", ("technician",), ("supervisor",)),
    ("put back", ("technician",), _BOTH_SIGN),
    ("taken back", ("technician", "client"), (*_BOTH_SIGN, "client")),
)
AFTER_UNPROVING = ("hand over", "come back after long", "somebody had access", "stop work", "carry on")


def _met(*results: str) -> tuple[str, ...]:
    return tuple(f"result {name} is {MET}" for name in results)


_RINGS_ON = ("ring step one", "ring step two", "ring step three", "insulation", "insulation together", "polarity")


def _lost(*results: str) -> tuple[str, ...]:
    return tuple(f"result {name} is none | void | not required" for name in results)


# Written out and not taken from the table of facts: a result that is dropped there must be missed here.
DEAD = (
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
)
_LOST_AT_LOAD = tuple(
    f"result {name} is none | void | not required"
    for name in ("landing line to earth", "landing line to neutral", "loop impedance", "residual time")
)
_LOST_AT_DEVICE = (*_LOST_AT_LOAD, "result landing insulation is none | void | not required")
RETEST: tuple[tuple[str, tuple[str, ...]], ...] = (
    # Report or repair to the results that it takes down (trade brief §11.2, common practice).
    ("accessory opened", (*_RINGS_ON, "loop impedance")),
    ("cable or joint disturbed", ("separation", "protective conductor", *_RINGS_ON, "loop impedance")),
    ("remake a joint or cable", ("separation", "protective conductor", *_RINGS_ON, "loop impedance")),
    ("remake an accessory", (*_RINGS_ON, "loop impedance")),
    ("earthing or bonding disturbed", ("bonding", "external impedance", "fault current")),
    ("remake the main bonding", ("bonding", "external impedance", "fault current")),
    ("main switch terminal disturbed", ("incoming supply", "external impedance", "fault current")),
    ("phases disturbed", ("incoming supply",)),
    ("load was left in", ("insulation", "insulation together", "landing insulation")),
    ("device tripped", ("insulation", "landing insulation")),
    ("old terminal disturbed", ("landing line to earth", "landing line to neutral", "landing insulation")),
    (
        "instrument dropped or damaged",
        (*DEAD, "incoming supply", "external impedance", "fault current", "loop impedance", "residual time"),
    ),
    (
        "lock or key lost",
        (*DEAD, "incoming supply", "external impedance", "fault current", "loop impedance", "residual time"),
    ),
)
LIVE = ("incoming supply", "external impedance", "fault current", "loop impedance", "residual time")


@dataclass(frozen=True, slots=True)
class Example:
    """One move with the facts around it; facts that are not named do not matter."""

    move: str
    before: Mapping[str, str]
    after: Mapping[str, str] = field(default_factory=dict)
    """What differs afterwards."""
    answer: str = "pass"


@dataclass(frozen=True, slots=True)
class Invariant:
    """Something that must hold on every walk."""

    number: int
    sentence: str
    reason: str
    source: str
    rules: tuple[Rule, ...]
    bad: Example
    good: Example


def _ready_while_exposed(act: Act) -> bool:
    """The acts that belong between an opened cover and its barrier: proving, testing, shrouding, making safe."""
    return act.makes_safe or act.name in ("prove the indicator", "prove dead", "fit the barrier")


@dataclass(frozen=True, slots=True)
class Hazard:
    """The one hazard that is stated physically, over what is truly so and not over what is recorded."""

    number: int
    sentence: str
    reason: str
    source: str


HAZARD = Hazard(
    4,
    "No hand is on a conductor while something truly feeds it.",
    "A pair, a proof or a lock that is left out lets a live conductor pass for one that was found without voltage.",
    "trade brief §14.3 (1), (2), (4); EAWR 1989 reg. 13; HSE GS38",
)


def _done(*checks: str) -> tuple[str, ...]:
    return tuple(f"check {name} is done" for name in checks)


EVIDENCE: tuple[tuple[str, tuple[str, ...]], ...] = (
    # Hold point to what must stand when it is signed, beside what the rules of 38 say of results (trade brief §2.1).
    (
        "one",
        _done(
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
        ),
    ),
    ("three", ("cover is open", "source * is locked", "lock * is applied", "stored * is done")),
    ("four", _done("device on paper", "device in hand")),
    ("five", (*_done("enclosure", "ready"), "item * is connected", "hold four is signed", "unearthed * is seen")),
    ("six", ("earthing is remade", "check earthing conductor is done")),
    ("seven", ("device is on", "section * is timed", "rotation * is as found | checked")),
    ("nine", (*_done("compared", "counted", "record written", "briefing"), "hold eight is signed")),
    (
        "put back",
        (*_done("put back agreed", "back ready"), "old device is fitted", "old terminal * is as found | checked"),
    ),
    ("taken back", (*_done("back live", "back button", "counted", "not improved"), "device is old on")),
)

PROVED: tuple[Invariant, ...] = (
    Invariant(
        1,
        "Nothing in a zone is touched unless it was proved and hold point two signed since.",
        "A hand on a conductor that somebody only believes to be off is the death this job is known for.",
        "trade brief §14.3 (1); EAWR 1989 reg. 13; HSE HSG85",
        (
            Before(Touching("circuit"), ("zone circuit is proved", "hold two is signed")),
            Before(Touching("busbar"), ("zone busbar is proved", "hold two is signed")),
            Before(HANDS, ("zone circuit is proved", "zone busbar is proved", "hold two is signed")),
            Implies("hold two is signed", ("zone circuit is proved", "zone busbar is proved")),
        ),
        Example("take out the conductors", {"zone:circuit": "unproved"}),
        Example("take out the conductors", {"zone:circuit": "proved"}),
    ),
    Invariant(
        2,
        "A zone counts as proved only by the round of pairs, begun with a proved indicator.",
        "Prove, test, prove is the only thing that shows the instrument was awake while it showed nothing.",
        "trade brief §14.3 (2); HSE GS38",
        (
            GainedOnlyBy("zone circuit is proved", ("prove dead",)),
            GainedOnlyBy("zone busbar is proved", ("prove dead",)),
            Before(("prove dead",), ("indicator is proved",)),
            After(("prove dead",), ("indicator is unproved | failed",), ("pass", "voltage found", "indicator failed")),
        ),
        Example("fit the barrier", {"zone:circuit": "unproved"}, {"zone:circuit": "proved"}),
        Example("prove dead", {"zone:circuit": "unproved"}, {"zone:circuit": "proved"}),
    ),
    Invariant(
        3,
        "While the indicator has failed its proof, no zone counts as proved and no dead result stands.",
        "An indicator that fails afterwards may have failed before the test.",
        "trade brief §14.3 (3); HSE GS38",
        (
            Implies("indicator is failed", ("zone circuit is unproved | live", "zone busbar is unproved | live")),
            Implies("indicator is failed", ("dead test is none | volts",)),
            After(
                ("prove the indicator",),
                tuple(f"result {r} is none | fail | refer | void | not required" for r in DEAD if r != "bonding"),
                ("fail",),
            ),
        ),
        Example("somebody had access", {"indicator": "failed", "zone:circuit": "proved"}),
        Example("somebody had access", {"indicator": "failed", "zone:circuit": "unproved"}),
    ),
    Invariant(
        5,
        "That a part is off is never concluded from a toggle, a label or a trip.",
        "A tripped or opened device says nothing of its contacts, nor of another feed.",
        "trade brief §14.3 (5)",
        (
            After(("device tripped",), ("zone circuit is unproved | live",)),
            NeverTurns("zone *", "live", "proved"),
        ),
        Example("device tripped", {"zone:circuit": "live"}, {"zone:circuit": "proved"}),
        Example("device tripped", {"zone:circuit": "live"}, {"zone:circuit": "unproved"}),
    ),
    Invariant(
        6,
        "After a pair showed a voltage nothing is touched until the sources were listed and the round repeated.",
        "Repeating a test until it comes out clear hides the feed that was found.",
        "trade brief §14.3 (6)",
        (
            Implies("dead test is volts", ("zone circuit is unproved | live", "zone busbar is unproved | live")),
            After(("prove dead",), ("check sources is open | failed",), ("voltage found",)),
        ),
        Example("prove dead", {"dead test": "volts", "zone:circuit": "proved"}),
        Example("prove dead", {"dead test": "volts", "zone:circuit": "unproved"}),
    ),
    Invariant(
        7,
        "While a zone counts as proved, every source that can feed it is locked and its lock in custody.",
        "A source that can be given back by another hand makes the proof worthless a moment later.",
        "trade brief §14.3 (7); EAWR 1989 reg. 13",
        (
            Implies("zone circuit is proved", ("source * is locked", "lock * is applied")),
            Implies("zone busbar is proved", ("source * is locked", "lock * is applied")),
            GainedOnlyBy("source * is locked", ("isolate and lock", "switch off and lock for safety")),
            GainedOnlyBy("lock * is applied", ("isolate and lock", "switch off and lock for safety")),
            After(
                ("isolate and lock", "switch off and lock for safety"),
                ("source {of} is unknown | on | off", "lock {of} is none | lost"),
                ("fail",),
            ),
        ),
        Example("source changed", {"zone:circuit": "proved", "source:mains": "unknown"}),
        Example("source changed", {"zone:circuit": "unproved", "source:mains": "unknown"}),
    ),
    Invariant(
        8,
        "While a zone counts as proved, the list of sources stands.",
        "A source that nobody listed is one that nobody locked.",
        "trade brief §14.3 (8)",
        (
            Implies("zone circuit is proved", ("check sources is done",)),
            Implies("zone busbar is proved", ("check sources is done",)),
            After(("trace the neutral",), ("check sources is open | failed",), ("shared neutral",)),
        ),
        Example("unlisted source found", {"zone:circuit": "proved", "check:sources": "open"}),
        Example("unlisted source found", {"zone:circuit": "unproved", "check:sources": "open"}),
    ),
    Invariant(
        10,
        "While a lock or its key is lost, no zone counts as proved and nothing is touched.",
        "Whoever holds the key holds the life of the person at the board.",
        "trade brief §14.3 (10), P7.7",
        (
            Implies("lock * is lost", ("zone circuit is unproved | live", "zone busbar is unproved | live")),
            After(("lock or key lost", "source changed", "unlisted source found"), ("check sources is open | failed",)),
            After(("indicator failed or damaged",), ("indicator is failed",)),
        ),
        Example("lock or key lost", {"lock:mains": "lost", "zone:circuit": "proved"}),
        Example("lock or key lost", {"lock:mains": "lost", "zone:circuit": "unproved"}),
    ),
    Invariant(
        11,
        "A source comes back on only by being given back by its owner.",
        "Nothing restores itself.",
        "trade brief §14.3 (11)",
        (NeverTurns("source *", "off", "on"),),
        Example("close the cover", {"source:mains": "off"}, {"source:mains": "on"}),
        Example("close the cover", {"source:mains": "off"}, {"source:mains": "off"}),
    ),
    Invariant(
        12,
        "Before the round of pairs, stored energy was waited for at every source that has it.",
        "Capacitors of an inverter or a drive outlast the switch.",
        "trade brief §14.3 (12), P1.6",
        (Before(("prove dead",), ("stored * is done",)),),
        Example("prove dead", {"stored:inverter": "waiting"}),
        Example("prove dead", {"stored:inverter": "done"}),
    ),
    Invariant(
        13,
        "No device goes on or comes off the busbar unless the busbar was proved.",
        "A device that is off leaves the busbar behind it as it was.",
        "trade brief §14.3 (13)",
        (
            Before(
                ("fit the device", "take off the old device", "look at the busbar", "quarantine the device"),
                ("zone busbar is proved",),
            ),
        ),
        Example("fit the device", {"zone:busbar": "unproved"}),
        Example("fit the device", {"zone:busbar": "proved"}),
    ),
    Invariant(
        14,
        "Between the opened cover and its barrier only proving, testing, shrouding and making safe are open.",
        "The incoming tails stay live whatever is locked.",
        "trade brief §14.3 (14), (39)",
        (
            OnlyWhile("tails is exposed", _ready_while_exposed, "proving, testing, shrouding and making safe are open"),
            After(("open the cover",), ("tails is exposed",), ("pass",)),
            GainedOnlyBy("tails is shrouded", ("fit the barrier", "close the cover")),
        ),
        Example("mark the conductors", {"tails": "exposed"}),
        Example("fit the barrier", {"tails": "exposed"}),
    ),
    Invariant(
        15,
        "Before the board is closed: no link fitted, disturbed terminals finished, cover on, users told, hold five.",
        "A link left in is a dead short, a loose screw a fire, an open board a live one.",
        "trade brief §14.3 (15)",
        (
            Before(CLOSING, ("link * is none", "terminal * is as found | empty | checked", "users is told")),
            Before((*OLD_DEVICE, *OTHER_WAYS), ("old terminal * is as found | empty | checked",)),
            Before((*NEW_DEVICE, *OLD_DEVICE, *OTHER_WAYS), ("cover is closed",)),
            Before((*NEW_DEVICE, UPSTREAM[0]), ("hold five is signed",)),
            Before((*OLD_DEVICE, UPSTREAM[1]), ("hold put back is signed",)),
            Before((*OTHER_WAYS, UPSTREAM[2]), ("hold made safe is signed",)),
            GainedOnlyBy("link * is none", ("remove a link",)),
            GainedOnlyBy("users is told", ("tell the users",)),
            GainedOnlyBy("cover is closed", ("close the cover", "inspect condition")),
            Implies("hold five is signed", ("terminal * is checked",)),
        ),
        Example("close the way", {"link:line to earth cross": "fitted"}),
        Example("close the way", {"link:line to earth cross": "none"}),
    ),
    Invariant(
        16,
        "Before the way is closed every dead test stands passed, and hold points four and five are signed.",
        "What was not shown dead is found out by the first person at a socket.",
        "trade brief §14.3 (16)",
        (
            Before(("close the way",), (*_met(*DEAD), "hold four is signed", "hold five is signed")),
            Before(("give back the main switch", UPSTREAM[0]), _met(*DEAD)),
            Before(
                ("close the old device", OLD_DEVICE[0]),
                _met("landing line to earth", "landing line to neutral", "landing insulation"),
            ),
            Implies("hold five is signed", _met(*DEAD)),
            GainedOnlyBy("device is on", ("close the way", "close the device alone")),
            GainedOnlyBy("device is old on", ("close the old device",)),
        ),
        Example("close the way", {"result:insulation": "void"}),
        Example("close the way", {"result:insulation": "pass"}),
    ),
    Invariant(
        17,
        "Before anything is closed the earthing conductor and the main bonding stand verified.",
        "Without them a fault makes every metal case live and nothing disconnects.",
        "trade brief §14.3 (17)",
        (
            Before(CLOSING, ("earthing is verified | released", "bonding is verified")),
            Implies("earthing is released", ("hold six is signed",)),
            Before(PARTED, ("source * is locked", "lock * is applied")),
            Before(("part the earthing conductor",), ("zone busbar is proved", "zone circuit is proved")),
            GainedOnlyBy("earthing is released", ("release hold point six",)),
            GainedOnlyBy("earthing is remade", ("remake the earthing conductor",), "off"),
            GainedOnlyBy("earthing is verified", ("look at the earthing",)),
            After(("look at the earthing", "part the earthing conductor"), ("earthing is unverified",), ("fail",)),
            GainedOnlyBy("bonding is verified", ("inspect condition", "join the main bonding again")),
        ),
        Example("give back the main switch", {"earthing": "unverified"}),
        Example("give back the main switch", {"earthing": "verified"}),
    ),
    Invariant(
        18,
        "Before anything is closed, nothing that was taken off for a test is still off.",
        "A surge protector's earth left off is an earth that is missing.",
        "trade brief §14.3 (18)",
        (Before(CLOSING, ("item * is connected",)), GainedOnlyBy("item * is connected", ("reconnect the item",))),
        Example("close the way", {"item:dimmer": "off"}),
        Example("close the way", {"item:dimmer": "connected"}),
    ),
    Invariant(
        19,
        "After a trip the way is closed again only with the cause recorded and insulation read anew.",
        "A second try feeds the fault a second time.",
        "trade brief §14.3 (19)",
        (
            Before(("close the way", "close the old device"), ("trip cause is known",)),
            After(("device tripped",), ("trip cause is unknown",)),
            After(("device tripped",), ("result landing insulation is none | void | fail | not required",)),
            After(("close the way",), ("trip cause is unknown",), ("tripped",)),
            GainedOnlyBy(
                "trip cause is known",
                ("record the cause of the trip", "record why the old device tripped", "say where the fault lies"),
            ),
        ),
        Example("close the way", {"trip cause": "unknown"}),
        Example("close the way", {"trip cause": "known"}),
    ),
    Invariant(
        20,
        "Other ways come back on beside an unfinished one only with its own way locked and nothing of it half done.",
        "A neighbour's supply must not find its way into work that waits.",
        "trade brief §14.3 (20)",
        (
            Before(
                (*OTHER_WAYS, UPSTREAM[2]),
                ("way lock is applied", "ends is as found | parked | landed", "link * is none"),
            ),
            Before(OTHER_WAYS, ("device is absent | off | old off | quarantined",)),
            Implies("left is others on", ("way lock is applied",)),
            GainedOnlyBy("way lock is applied", ("lock off the job way",)),
        ),
        Example("give back the main switch for the other ways", {"way lock": "none"}),
        Example("give back the main switch for the other ways", {"way lock": "applied"}),
    ),
    Invariant(
        21,
        "The dead tests are read in their order, and only the test itself makes a result pass.",
        "A later test means nothing on a conductor that an earlier one has not shown whole.",
        "trade brief §14.3 (21); 643.1 (from memory)",
        (
            Before(("read ring step one",), _met("protective conductor")),
            Before(("read ring step two",), _met("ring step one")),
            Before(("read ring step three",), _met("ring step two")),
            Before(
                ("read insulation",),
                _met("protective conductor", "ring step one", "ring step two", "ring step three"),
            ),
            Before(("read insulation together",), _met("insulation")),
            Before(("check polarity",), _met("insulation", "insulation together")),
            Before(("give back the main switch",), _met("polarity")),
            *(GainedOnlyBy(f"result {name} is pass", acts) for name, acts in READ),
        ),
        Example("read to find a fault", {"result:insulation": "none"}, {"result:insulation": "pass"}),
        Example("read insulation", {"result:insulation": "none"}, {"result:insulation": "pass"}),
    ),
    Invariant(
        22,
        "Loop impedance and trip time are read only with the protective conductor passed, the cover on, users told.",
        "The test current on a broken protective conductor makes every case on the circuit live.",
        "trade brief §14.3 (22)",
        (
            Before(
                ("read loop impedance", "time the residual device"),
                (*_met("protective conductor"), "cover is closed", "users is told"),
            ),
        ),
        Example("read loop impedance", {"result:protective conductor": "none"}),
        Example("read loop impedance", {"result:protective conductor": "pass"}),
    ),
    Invariant(
        23,
        "The residual device is timed only after the loop was judged.",
        "On a high electrode the test itself raises the touch voltage.",
        "trade brief §14.3 (23)",
        (Before(("time the residual device",), _met("loop impedance")),),
        Example("time the residual device", {"result:loop impedance": "none"}),
        Example("time the residual device", {"result:loop impedance": "pass"}),
    ),
    Invariant(
        24,
        "Insulation is read with loads unplugged, vulnerable items off at 500 V, links out and people told.",
        "500 V destroys electronics and throws people off ladders.",
        "trade brief §14.3 (24)",
        (
            Before(INSULATION, ("loads is unplugged", "users is told", "link * is none")),
            Before(("read insulation",), ("item * is off",)),
            Before(("read insulation after landing",), ("terminal [late terminal] is empty | as found",)),
            Before(("land a fly-lead",), _met("landing insulation")),
            After(("load was left in",), ("loads is unknown | plugged in",)),
            GainedOnlyBy("loads is unplugged", ("unplug the loads",)),
            After(("take out what was left in",), ("loads is unknown | plugged in",), ("pass",)),
        ),
        Example("read insulation", {"item:dimmer": "connected"}),
        Example("read insulation", {"item:dimmer": "off"}),
    ),
    Invariant(
        25,
        "What is loosened or remade takes down the results that ran through it.",
        "A reading tells of the joint as it was.",
        "trade brief §14.3 (25), §11.2",
        (
            After(
                (
                    "take out the conductors",
                    "land the conductors",
                    "fit the device",
                    "quarantine the device",
                    "land the conductors in the old device",
                    "seat the device again",
                    "take off the new device",
                    "fit the old device again",
                    "bring the conductors in",
                ),
                _LOST_AT_DEVICE,
            ),
            After(("remake a device terminal", "terminal disturbed"), _LOST_AT_LOAD, among="load terminal"),
            After(
                ("remake an accessory", "remake a joint or cable"),
                tuple(
                    f"result {r} is none | void | not required"
                    for r in ("ring step one", "ring step two", "ring step three", "insulation", "polarity")
                ),
            ),
            After(("remake a joint or cable",), ("result protective conductor is none | void | not required",)),
            *(After((report,), _lost(*results)) for report, results in RETEST),
            After(("terminal disturbed",), ("terminal {of} is loose",)),
            After(("old terminal disturbed",), ("old terminal {of} is loose",)),
            After(("earthing or bonding disturbed",), ("earthing is unverified", "bonding is unverified")),
            After(("main switch terminal disturbed",), ("check enclosure is open | failed", "hold five is unsigned")),
            Implies("check enclosure is done", ("terminal * is checked",)),
            Implies("check ready is done", ("terminal * is checked",)),
        ),
        Example("fit the device", {"result:loop impedance": "pass"}),
        Example("fit the device", {"result:loop impedance": "pass"}, {"result:loop impedance": "void"}),
    ),
    Invariant(
        26,
        "A failed result never turns to passed; it becomes void by a recorded repair and is read again.",
        "A reading that is tried until it passes hides the fault.",
        "trade brief §14.3 (26)",
        (
            NeverTurns("result *", "fail", "pass"),
            *(After(acts, (f"result {name} is fail",), ("fail",)) for name, acts in READ),
            *(After(acts, (f"result {name} is refer",), ("refer",)) for name, acts in READ),
            *(NeverTurns(f"result {name}", "fail", "none") for name in (*DEAD, *LIVE)),
        ),
        Example("read insulation", {"result:polarity": "fail"}, {"result:polarity": "pass"}),
        Example("read insulation", {"result:polarity": "void"}, {"result:polarity": "pass"}),
    ),
    Invariant(
        27,
        "A low resistance is read only with nulled leads and checked instruments, any reading only with the latter.",
        "The leads' own resistance is as large as what is looked for.",
        "trade brief §14.3 (27), R-04",
        (
            Before(LOW_RESISTANCE, ("null is fresh", "check instruments is done")),
            Before((*INSULATION, "read loop impedance", "time the residual device"), ("check instruments is done",)),
            After(("leads changed", "instrument dropped or damaged"), ("null is stale",)),
            GainedOnlyBy("null is fresh", ("null the leads",)),
            After(("put the test set-up right",), ("null is stale",), ("pass",)),
            After(("instrument dropped or damaged",), ("check instruments is open | failed",)),
        ),
        Example("read ring step one", {"null": "stale"}),
        Example("read ring step one", {"null": "fresh"}),
    ),
    Invariant(
        30,
        "A change of the card's earthing, rating or curve takes down what was judged by it.",
        "A verdict rests on the limits it was given under.",
        "trade brief §14.3 (30)",
        (
            After(
                ("supply.earthing", "device.rating", "device.curve"),
                (
                    "result loop impedance is none | void | not required",
                    "result residual time is none | void | not required",
                    "check device on paper is open",
                ),
            ),
        ),
        Example("device.curve", {"result:loop impedance": "pass"}),
        Example("device.curve", {"result:loop impedance": "void"}),
    ),
    Invariant(
        31,
        "Terminals are tightened only with a checked torque tool, and count as finished by that alone.",
        "A tool that clicks wrong crushes or leaves loose every screw alike.",
        "trade brief §14.3 (31)",
        (
            Before(("torque, tug and mark",), ("check torque tool is done",)),
            GainedOnlyBy("terminal * is checked", ("torque, tug and mark",)),
            GainedOnlyBy("old terminal * is checked", ("torque, tug and mark an old terminal",)),
            After(("torque, tug and mark",), ("terminal {of} is loose",), ("fail",)),
            After(("torque, tug and mark an old terminal",), ("old terminal {of} is loose",), ("fail",)),
        ),
        Example("torque, tug and mark", {"check:torque tool": "open"}),
        Example("torque, tug and mark", {"check:torque tool": "done"}),
    ),
    Invariant(
        32,
        "The job is handed over only with the device on and every wanted press of the button done.",
        "The button is the one test that the client will ever repeat.",
        "trade brief §14.3 (32)",
        (
            Before(("release hold point eight",), (*_PRESSES, "device is on")),
            GainedOnlyBy("press held is ruled out", ("leave the toggle alone",)),
            GainedOnlyBy("press first is done", ("press the test button",)),
            GainedOnlyBy("press second is done", ("press the test button",)),
            Before(("close the log",), ("device is on", "result button is pass")),
        ),
        Example("release hold point eight", {"press:first": "none"}),
        Example("release hold point eight", {"press:first": "done"}),
    ),
    Invariant(
        33,
        "A device that failed its button or its timing is never handed over.",
        "It is the protection that failed.",
        "trade brief §14.3 (33)",
        (
            Before(("release hold point nine", "close the log"), (*_met("button"), *_met("residual time"))),
            Before(("release hold point eight",), (*_met("button"), *_met("residual time"))),
        ),
        Example("close the log", {"result:button": "fail"}),
        Example("close the log", {"result:button": "pass"}),
    ),
    Invariant(
        34,
        "The toggle is held only with the cover on, the device on and both plain presses done.",
        "A held toggle says nothing of the contacts.",
        "trade brief §14.3 (34)",
        (
            Before(
                ("hold the toggle and press",),
                ("cover is closed", "device is on", "press first is done", "press second is done"),
            ),
        ),
        Example("hold the toggle and press", {"cover": "open"}),
        Example("hold the toggle and press", {"cover": "closed"}),
    ),
    Invariant(
        35,
        "The circuit's neutral is parted only where it was found alone, or every way that shares it is locked off.",
        "A neutral parted under load puts up to 400 V on the single-phase loads of other ways.",
        "trade brief §14.3 (35), P1.13",
        (
            Before(("take out the conductors", "bring the conductors in"), ("neutral is settled",)),
            GainedOnlyBy("neutral is settled", ("trace the neutral",)),
            Implies("neutral is settled", ("source * is locked", "lock * is applied", "check sources is done")),
        ),
        Example("take out the conductors", {"neutral": "shared"}),
        Example("take out the conductors", {"neutral": "settled"}),
    ),
    Invariant(
        36,
        "After a hand-over, a long absence, a stop or somebody's access nothing is touched until proved again.",
        "What was proved is what somebody saw; that person was not watching.",
        "trade brief §14.3 (36), P7.5, P7.6",
        (
            After(
                AFTER_UNPROVING,
                ("zone circuit is unproved | live", "zone busbar is unproved | live", "hold two is unsigned"),
            ),
        ),
        Example("hand over", {"zone:circuit": "proved"}),
        Example("hand over", {"zone:circuit": "proved"}, {"zone:circuit": "unproved"}),
    ),
    Invariant(
        38,
        "A hold point is signed only on its evidence, and falls with it.",
        "A signature over something that no longer stands is a lie with a name under it.",
        "trade brief §14.3 (38), §2.1",
        (
            *(GainedOnlyBy(f"hold {name} is signed", (f"release hold point {name}",)) for name, *_ in SIGNED),
            *(SignedBy(*row) for row in SIGNED),
            *(GainedOnlyBy(f"check {name} is done", (act,)) for name, act in LOOKED_AT),
            *(After((act,), (f"check {name} is open | failed",), ("fail",)) for name, act in LOOKED_AT),
            Before(("release hold point two",), ("zone circuit is proved", "zone busbar is proved")),
            Before(("release hold point five",), (*_met(*DEAD), "terminal * is checked", "link * is none")),
            Before(("release hold point seven",), _met(*LIVE)),
            Before(("release hold point eight",), _met(*LIVE)),
            Implies("hold seven is signed", _met(*LIVE)),
            Implies("hold eight is signed", _PRESSES),
            *(Before((f"release hold point {hold}",), facts) for hold, facts in EVIDENCE),
        ),
        Example("release hold point five", {"result:polarity": "none"}),
        Example("release hold point five", {"result:polarity": "pass"}),
    ),
    Invariant(
        40,
        "The log closes as complete only with no link fitted, nothing off, terminals finished and locks back.",
        "What went in must come out before anybody goes home.",
        "trade brief §14.3 (40)",
        (
            Before(
                ("close the log",),
                ("link * is none", "item * is connected", "terminal * is checked", "lock * is none", "source * is on"),
            ),
            After(
                ("give back the main switch", "give back a second source"),
                ("source {of} is unknown | off | locked",),
                ("fail", "refer"),
            ),
        ),
        Example("close the log", {"link:line to earth cross": "fitted"}),
        Example("close the log", {"link:line to earth cross": "none"}),
    ),
    Invariant(
        41,
        "Nothing is touched while work is stopped.",
        "A stop is somebody's doubt; it is cleared up before a hand goes back.",
        "trade brief §14.3 (41), P7.1",
        (*(Before(touching, ("work is going",)) for touching in BOTH),),
        Example("take out the conductors", {"work": "stopped"}),
        Example("take out the conductors", {"work": "going"}),
    ),
    Invariant(
        42,
        "The log closes as complete only with every result passed and hold points eight and nine signed.",
        "What is handed over is what was shown.",
        "trade brief §14.3 (42)",
        (
            Before(
                ("close the log",),
                (*_met(*DEAD), *_met(*LIVE), *_met("button"), "hold eight is signed", "hold nine is signed"),
            ),
        ),
        Example("close the log", {"result:polarity": "void"}),
        Example("close the log", {"result:polarity": "pass"}),
    ),
    Invariant(
        44,
        "An unfinished job is left only with the cover on, people told, and every source or its own way locked off.",
        "Unfinished work that is fed is a trap for the next person.",
        "trade brief §14.3 (20), (44), P7.4",
        (
            Before(
                ("close the log as made safe",),
                ("left is locked off | others on", "cover is closed", "check people told is done"),
            ),
            Before(("close the log as to be continued",), ("left is locked off | others on", "cover is closed")),
            Implies("left is locked off", ("source * is locked", "lock * is applied", "cover is closed")),
            Implies("left is others on", ("way lock is applied", "cover is closed")),
            Before(
                ("close the log as put back",),
                ("old terminal * is as found | checked", "link * is none", "item * is connected", "cover is closed"),
            ),
        ),
        Example("close the log as made safe", {"cover": "open"}),
        Example("close the log as made safe", {"cover": "closed"}),
    ),
    Invariant(
        47,
        "A second source comes back only once the job way was shown right.",
        "Two feeds on an unproved circuit are two ways to be hurt.",
        "trade brief §14.3 (47)",
        (
            Before(
                ("give back a second source",),
                (*_met("loop impedance"), *_met("residual time"), "device is on"),
            ),
        ),
        Example("give back a second source", {"result:residual time": "none"}),
        Example("give back a second source", {"result:residual time": "pass"}),
    ),
    Invariant(
        48,
        "No way is closed with the circuit's ends parked or a terminal open.",
        "A parked close for diagnosis is not among the acts of this set.",
        "trade brief §14.3 (48)",
        (Before(("close the way",), ("terminal * is checked",)),),
        Example("close the way", {"terminal:load-line": "empty"}),
        Example("close the way", {"terminal:load-line": "checked"}),
    ),
)
"""Shown by exploring every move; the hazard itself, with number 4, is shown over the hidden world."""

BUILT_IN: Mapping[int, str] = {
    9: "`walk/access.py` refuses to take off another person's lock; a hand-over moves custody in one entry.",
    28: "`electrics/judge.py` takes an off-scale reading as a bound; `tests/electrics` holds both directions.",
    29: "`electrics/bands.py` widens every limit by the instrument's error; doubtful outcomes are settled, not passed.",
    37: "`walk/access.py` refuses an apprentice while the supervisor is absent.",
    39: "The barrier's fact covers it: see 14; `step away` is refused while the tails are exposed.",
    43: "`walk/decide_around.py` takes a stop at every step without a gate; that made safe is reached is liveness.",
    45: "`safety/facts.py` puts the worst value first; a fact that is missing meets no need (`acts.unmet`).",
    46: "The words of the screens hold no present fact of a conductor; `tests/tui` searches every text for one.",
}
"""Invariants that no walk can break because of how the walk is made, and where."""

NOT_EXPRESSED: Mapping[int, str] = {}
"""Invariants that no fact of ours speaks of, and why."""
