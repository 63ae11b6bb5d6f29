"""What is recorded, in words: each fact, each outcome, and the lines on safety that stand above every step.

For: screen, plain mode and replay alike.
Must never: say what a conductor is now; only what was found, when, by whom, and how long ago.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.facts import ZONES
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk.situation import Situation
from ferrule.engine.walk.state import Proof

_PLAIN = "{name}"
FACT_WORDS: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "check": (_PLAIN, {"open": "not looked at yet", "failed": "looked at, not in order", "done": "looked at"}),
    "hold": ("hold point {name}", {"unsigned": "not signed", "signed": "signed"}),
    "source": (
        "source {name}",
        {"unknown": "state not known", "on": "on", "off": "switched off, not locked", "locked": "switched off, locked"},
    ),
    "lock": ("lock on {name}", {"none": "none", "lost": "lock or key lost", "applied": "on"}),
    "stored": ("stored energy of {name}", {"waiting": "not waited for yet", "done": "waited for"}),
    "indicator": ("voltage indicator", {"unproved": "not proved", "failed": "failed its proof", "proved": "proved"}),
    "dead test": (
        "last round of pairs",
        {"none": "none that counts", "volts": "found a voltage", "clear": "every pair showed nothing"},
    ),
    "zone": (
        "{name}",
        {
            "unproved": "not proved",
            "live": "was found or made live",
            "proved": "no pair showed a voltage when it was proved",
        },
    ),
    "cover": ("cover", {"unseen": "not looked at yet", "open": "off", "closed": "on"}),
    "tails": ("incoming side", {"exposed": "in reach", "shrouded": "out of reach behind barrier or cover"}),
    "earthing": (
        "main earthing conductor",
        {
            "unverified": "not looked at",
            "off": "off",
            "remade": "put back, not released",
            "verified": "connected",
            "released": "put back, read and released",
        },
    ),
    "bonding": ("main bonding", {"unverified": "not looked at", "off": "off", "verified": "connected"}),
    "users": ("users of the circuits", {"unaware": "not told", "told": "told"}),
    "loads": ("loads", {"unknown": "not looked at", "plugged in": "plugged in", "unplugged": "unplugged"}),
    "old device": ("old device", {"fitted": "fitted", "out": "out"}),
    "device": (
        "new device",
        {
            "absent": "not fitted",
            "tripped": "tripped",
            "old tripped": "not fitted; the old one tripped",
            "on": "switched on",
            "old on": "not fitted; the old one is switched on",
            "off": "switched off",
            "old off": "not fitted; the old one is switched off",
            "quarantined": "put aside, not to be used",
        },
    ),
    "neutral": (
        "neutral of the circuit",
        {
            "unknown": "not traced",
            "shared": "traced to a way that is on no list",
            "settled": "traced, alone or with ways that are locked",
        },
    ),
    "unearthed": ("point without earth {name}", {"unseen": "not looked at", "seen": "seen to need none"}),
    "section": (
        "residual device of the section",
        {"untimed": "not timed", "failed": "timed, failed", "refer": "timed, in doubt", "timed": "timed, passed"},
    ),
    "rotation": (
        "order of the phases {name}",
        {"disturbed": "moved, not read again", "checked": "read again, as before", "as found": "not touched"},
    ),
    "alone": (
        "new device by itself",
        {"wanted": "to be read", "faulty": "read, at fault", "sound": "read, sound", "none": "not asked for"},
    ),
    "leakage": (
        "standing leakage {name}",
        {"wanted": "to be clamped", "high": "clamped, high", "read": "clamped, explained", "none": "not asked for"},
    ),
    "toggle": ("toggle", {"unknown": "not known", "held": "held by hand", "free": "free"}),
    "ends": (
        "conductor ends",
        {
            "loose": "loose",
            "parked": "parted and insulated",
            "landed": "in their terminals",
            "as found": "as they were found",
        },
    ),
    "terminal": (
        "terminal {name}",
        {
            "loose": "loose",
            "empty": "empty",
            "seated": "conductors in, not torqued",
            "checked": "torqued, tugged and marked",
            "as found": "as it was found",
        },
    ),
    "old terminal": (
        "terminal {name} of the old device",
        {
            "loose": "loose",
            "empty": "empty",
            "seated": "conductors in, not torqued",
            "checked": "torqued, tugged and marked",
            "as found": "as it was found",
        },
    ),
    "incoming": (
        "incoming side behind {name}",
        {
            "unproved": "not proved",
            "live": "was made live",
            "proved": "no pair showed a voltage when it was proved",
        },
    ),
    "other way": (
        "{name} of the same shutdown",
        {
            "unknown": "not heard of yet",
            "open": "still at work",
            "finished": "its hold point five is signed",
            "made safe": "left safe",
        },
    ),
    "ending": (
        "end of the job",
        {
            "none": "none picked but complete",
            "made safe": "made safe",
            "put back": "put back as found",
            "continue later": "to be continued",
        },
    ),
    "others": (
        "other ways of the board",
        {
            "wanted": "wanted back on",
            "off": "stay as they are",
            "way locked": "wanted back on, this way is locked off",
            "back on": "back on, this way is locked off",
        },
    ),
    "way lock": ("lock on this way", {"lost": "lock or key lost", "none": "none", "applied": "on"}),
    "left": (
        "what is left",
        {
            "open": "not signed for",
            "locked off": "signed for, every source locked off",
            "others on": "signed for, this way locked off, the others on",
        },
    ),
    "link": ("link {name}", {"fitted": "fitted", "none": "not fitted"}),
    "item": ("{name}", {"off": "taken off", "connected": "connected"}),
    "null": ("zero of the leads", {"stale": "to be set again", "fresh": "set"}),
    "result": (
        "result {name}",
        {
            "none": "not taken yet",
            "fail": "failed",
            "refer": "waits for a decision",
            "void": "void, to be taken again",
            "pass": "passed",
            "not required": "not asked for by this card",
        },
    ),
    "press": (
        "{name} press of the button",
        {"none": "not done", "failed": "failed", "ruled out": "ruled out", "done": "done"},
    ),
    "button gate": (
        "test button",
        {
            "shut": "not to be pressed yet",
            "before timing": "may be pressed before the timing",
            "after timing": "may be pressed",
        },
    ),
    "trip cause": ("cause of the trip", {"unknown": "not known", "known": "known, or no trip"}),
    "supervisor": ("supervisor", {"absent": "not beside the work", "present": "beside the work"}),
    "work": ("work", {"stopped": "stopped", "going": "under way"}),
    "log": ("log", {"open": "open", "closed": "closed"}),
}
"""Each family of facts: how its key reads, and how each value reads."""

OUTCOME_WORDS: Mapping[str, str] = {
    "pass": "PASS +",
    "done": "DONE +",
    "conditional-pass": "DOUBTFUL, PASS SIDE ?+",
    "conditional-fail": "DOUBTFUL, FAIL SIDE ?-",
    "fail": "FAIL x",
    "over-range": "ABOVE RANGE >",
    "unstable": "UNSTABLE ~",
    "not-measured": "NOT MEASURED o",
    "voltage found": "VOLTAGE FOUND !",
    "indicator failed": "INDICATOR FAILED !",
    "tripped": "TRIPPED !",
    "shared neutral": "SHARED NEUTRAL !",
    "in an accessory": "FAULT IN AN ACCESSORY !",
    "in the cable": "FAULT IN THE CABLE !",
    "at the board": "FAULT AT THE BOARD !",
    "in the device": "FAULT IN THE DEVICE !",
    "made safe": "MADE SAFE +",
    "still open": "STILL AT WORK o",
}
"""A word and a sign for each outcome, so that no colour is needed."""


def outcome_words(word: str) -> str:
    """Return an outcome as a word with its sign; a state that was seen stands for itself."""
    return OUTCOME_WORDS.get(word, word)


def person_name(job: Job, person_id: str) -> str:
    """Return the name of a person of the card, or the id where the card does not name one."""
    return next((p.name for p in job.card.people if p.id == person_id), person_id)


def object_name(job: Job, family: str, of: str) -> str:
    """Return what the card calls an object of a family of facts."""
    card = job.card
    named: Mapping[str, str] = {}
    if family in ("source", "lock", "stored", "incoming"):
        named = {s.id: s.name for s in card.sources}
    elif family == "terminal":
        named = {t.id: t.name for t in card.device.terminals}
    elif family == "old terminal":
        named = {t.id: t.name for t in card.old_terminals}
    elif family == "other way":
        named = {w.id: w.name for w in card.other_ways}
    elif family == "unearthed":
        named = {p.id: p.name for p in card.circuit.points}
    elif family == "item":
        named = {i.id: i.name for i in card.items}
    elif family == "hold" and of in HOLD_POINTS:
        return f"{of}, {HOLD_POINTS[of].title}"
    return named.get(of, of)


def fact_name(key: str, job: Job | None = None) -> str:
    """Return what a fact is about, in words."""
    family, _, of = key.partition(":")
    name = object_name(job, family, of) if job else of
    words = FACT_WORDS.get(family)
    return words[0].format(name=name) if words else key.replace(":", " ")


def value_words(key: str, value: str) -> str:
    """Return the value of a fact in words."""
    words = FACT_WORDS.get(key.partition(":")[0])
    return words[1].get(value, value) if words else value


def fact_words(key: str, value: str, job: Job | None = None) -> str:
    """Return a fact with its value in words; with the job, objects carry the names of the card."""
    return f"{fact_name(key, job)}: {value_words(key, value)}"


def ago(at_ms: int, now_ms: int) -> str:
    """Return how long ago a moment was, in whole minutes."""
    minutes = max(0, now_ms - at_ms) // 60_000
    if minutes == 0:
        return "less than a minute ago"
    if minutes < 60:
        return f"{minutes} min ago"
    return f"{minutes // 60} h {minutes % 60} min ago"


def safety_lines(situation: Situation, job: Job, now_ms: int) -> tuple[str, ...]:
    """Return what was last found and recorded of everything that can hurt, one line each.

    No line says what a conductor is now: who comes to touch one reads what was found, by whom and how long ago.
    """
    facts = situation.facts
    lines = [_zone_line(zone, facts, situation.proof, job, now_ms) for zone in ZONES]
    lines += [_source_line(source, situation, job) for source in job.objects.get("source", ())]
    lines.append(_incoming_line(facts, job))
    lines.append(_indicator_line(facts, lapsed=situation.lapsed))
    links = [f.partition(":")[2] for f, v in facts.items() if f.startswith("link:") and v == "fitted"]
    if links:
        lines.append(f"Links fitted: {', '.join(links)}.")
    if facts.get("work") == "stopped":
        lines.append("WORK STOPPED: only what makes the place ready to be left is open.")
    if situation.away_ms is not None:
        lines.append(f"Board left {ago(situation.away_ms, now_ms)}.")
    return tuple(lines)


def _zone_line(zone: str, facts: Mapping[str, str], proof: Proof | None, job: Job, now_ms: int) -> str:
    value = facts.get(f"zone:{zone}", "unproved")
    name = zone.capitalize()
    if value == "proved" and proof is not None:
        found = f"no voltage found on {proof.pairs} pairs at {proof.points} points"
        return f"{name}: {found}, {ago(proof.at_ms, now_ms)}, by {person_name(job, proof.person)}."
    if value == "proved":
        return f"{name}: was proved, by a round that no longer stands. Prove it again before touching."
    if value == "live" and facts.get("dead test") == "volts":
        return f"{name}: a voltage was found in the last round. Touch nothing."
    if value == "live":
        return f"{name}: was made live. Touch nothing."
    return f"{name}: not proved, counts as live. Touch nothing."


def _source_line(source: str, situation: Situation, job: Job) -> str:
    facts = situation.facts
    name = object_name(job, "source", source)
    isolator = next((s.isolator for s in job.card.sources if s.id == source), "")
    at = f" at {isolator}" if isolator else ""
    state, lock = facts.get(f"source:{source}", "unknown"), facts.get(f"lock:{source}", "none")
    if lock == "lost":
        return f"Source {name}: lock or key lost{at}; counts as on."
    if state == "locked" and lock == "applied":
        owner = situation.custody.get(source)
        whose = f" by {person_name(job, owner)}" if owner else ""
        waiting = "" if facts.get(f"stored:{source}") == "done" else "; stored energy not waited for yet"
        return f"Source {name}: switched off and locked{whose}{at}{waiting}."
    words = {"on": "on", "off": "switched off, not locked", "locked": "switched off, lock not recorded"}
    return f"Source {name}: {words.get(state, 'state not known, counts as on')}{at}."


def _incoming_line(facts: Mapping[str, str], job: Job) -> str:
    reach = "IN REACH" if facts.get("tails", "exposed") == "exposed" else "behind barrier or cover"
    cover = value_words("cover", facts.get("cover", "unseen"))
    mains = ", ".join(s.isolator or s.name for s in job.card.sources if s.main)
    if job.card.tails == "live":
        return f"Stays live whatever is locked: incoming side of {mains}, {reach}. Cover: {cover}."
    return f"Incoming side of {mains}: {incoming_words(facts)}, {reach}. Cover: {cover}."


def incoming_words(facts: Mapping[str, str]) -> str:
    """Return what is recorded of an incoming side that the card says is isolated upstream."""
    values = {v for f, v in facts.items() if f.startswith("incoming:")}
    if values == {"proved"}:
        return "no voltage was found there in the last round"
    if "live" in values:
        return "was made live"
    return "the card says switched off upstream, not proved, counts as live"


def _indicator_line(facts: Mapping[str, str], *, lapsed: bool) -> str:
    value = facts.get("indicator", "unproved")
    if value == "failed":
        return "Voltage indicator: failed its proof; what it showed counts for nothing."
    if value != "proved":
        return "Voltage indicator: not proved since its last use."
    if lapsed:
        return "Voltage indicator: its proof is too old for this round. Prove it again."
    return "Voltage indicator: proved, not used since."
