"""The safety strip in few rows, for a screen of 24 rows; the same facts as the full lines, grouped.

Must never: say what a conductor is now; only what was found or recorded, when, by whom.
"""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.facts import ZONES
from ferrule.engine.walk.situation import Situation
from ferrule.tui.fact_words import ago, incoming_words, object_name, person_name, value_words


def strip_rows(situation: Situation, job: Job, now_ms: int) -> tuple[tuple[str, str], ...]:
    """Return label and words of each row of the short strip."""
    rows = []
    if situation.facts.get("work") == "stopped":
        rows.append(("STOPPED", "work was stopped; only what makes the place ready to be left is open"))
    rows.append(("FOUND", "; ".join(_zones(situation, job, now_ms))))
    rows.append(("SOURCES", "; ".join(_sources(situation, job))))
    rows.append(("LIVE" if job.card.tails == "live" else "INCOMING", _incoming(situation, job)))
    rows.append(("ALSO", "; ".join(_also(situation, now_ms))))
    return tuple(rows)


def _zones(situation: Situation, job: Job, now_ms: int) -> list[str]:
    """Return what was found, with the zones of which the same is to be said together."""
    said: dict[str, list[str]] = {}
    for zone in ZONES:
        said.setdefault(_zone(situation, job, now_ms, zone), []).append(zone)
    return [f"{', '.join(zones)}: {words}" for words, zones in said.items()]


def _zone(situation: Situation, job: Job, now_ms: int, zone: str) -> str:
    value = situation.facts.get(f"zone:{zone}", "unproved")
    proof = situation.proof
    if value == "proved" and proof is not None:
        found = f"no voltage on {proof.pairs} pairs, {proof.points} points"
        return f"{found}, {ago(proof.at_ms, now_ms)}, {person_name(job, proof.person)}"
    if value == "proved":
        return "proved by a round that no longer stands; prove again"
    if value == "live" and situation.facts.get("dead test") == "volts":
        return "A VOLTAGE in the last round. Touch nothing"
    if value == "live":
        return "was made live. Touch nothing"
    return "not proved, counts as live. Touch nothing"


def _sources(situation: Situation, job: Job) -> list[str]:
    """Return the sources with the same state together, by name."""
    said: dict[str, list[str]] = {}
    for source in job.objects.get("source", ()):
        said.setdefault(_source(situation, job, source), []).append(object_name(job, "source", source))
    return [f"{words}: {', '.join(names)}" for words, names in said.items()] or ["none on the card"]


def _source(situation: Situation, job: Job, source: str) -> str:
    facts = situation.facts
    state, lock = facts.get(f"source:{source}", "unknown"), facts.get(f"lock:{source}", "none")
    if lock == "lost":
        return "LOCK OR KEY LOST, counts as on"
    if state == "locked" and lock == "applied":
        owner = situation.custody.get(source)
        whose = f" by {person_name(job, owner)}" if owner else ""
        waiting = "" if facts.get(f"stored:{source}") == "done" else ", stored energy not waited for"
        return f"off and locked{whose}{waiting}"
    words = {"on": "on", "off": "off, not locked", "locked": "off, lock not recorded"}
    return words.get(state, "not known, counts as on")


def _incoming(situation: Situation, job: Job) -> str:
    facts = situation.facts
    reach = "IN REACH" if facts.get("tails", "exposed") == "exposed" else "out of reach"
    mains = ", ".join(s.isolator or s.name for s in job.card.sources if s.main)
    cover = value_words("cover", facts.get("cover", "unseen"))
    stays = "stays live" if job.card.tails == "live" else incoming_words(facts)
    return f"incoming side of {mains} {stays}; {reach}; cover {cover}"


def _also(situation: Situation, now_ms: int) -> list[str]:
    facts = situation.facts
    value = facts.get("indicator", "unproved")
    indicator = (
        "proof too old, prove again" if value == "proved" and situation.lapsed else value_words("indicator", value)
    )
    said = [f"voltage indicator {indicator}"]
    links = [fact.partition(":")[2] for fact, v in facts.items() if fact.startswith("link:") and v == "fitted"]
    if links:
        said.append(f"links fitted: {', '.join(links)}")
    if situation.away_ms is not None:
        said.insert(0, f"board left {ago(situation.away_ms, now_ms)}")
    return said
