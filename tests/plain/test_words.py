"""What is recorded reads as words, and no word states a conductor's condition as a present fact."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest

from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.procedure.compiled import Job, Source, Warned
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.facts import FAMILIES, LINKS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import Proof
from ferrule.tui import event_words as sentences
from ferrule.tui import words

NOW_MS = 25 * 60_000
CONDITION = re.compile(r"\b(dead|safe|isolated|de-energi[sz]ed|live now|no voltage is|is now)\b", re.IGNORECASE)
"""Words that would say what a conductor is now."""


@pytest.fixture(scope="module")
def shown(job: Job) -> Situation:
    """What is on screen at the opening of the reference job."""
    return situation(job, start(job, "tech"), 0)


def with_facts(shown: Situation, **changes: str) -> Situation:
    """The situation with some facts set; `_` in a name stands for `:` and two of them for a blank."""
    facts = {name.replace("__", " ").replace("_", ":"): value for name, value in changes.items()}
    return replace(shown, facts={**shown.facts, **facts})


def test_no_line_states_a_condition_over_every_combination(job: Job, shown: Situation) -> None:
    """Shows INV-46: whatever is recorded, each line says what was found and never that a conductor is dead or safe."""
    one = replace(job, objects={**job.objects, "source": ("mains",)})
    families = ("zone", "zone", "source", "lock", "stored", "dead test", "cover", "tails", "indicator")
    keys = ("zone:busbar", "zone:circuit", "source:mains", "lock:mains", "stored:mains", *families[5:])
    proofs = (None, Proof(13 * 60_000, "tech", 12, 4))
    seen: set[str] = set()
    for values in itertools.product(*(FAMILIES[f].values for f in families)):
        facts = dict(zip(keys, values, strict=True))
        proof = proofs[facts["dead test"] == "clear"]
        seen.update(
            words.safety_lines(replace(shown, facts=facts, proof=proof, custody={"mains": "tech"}), one, NOW_MS)
        )

        upstream = replace(one, card=replace(job.card, tails="isolated"))
        seen.add(words.safety_lines(replace(shown, facts=facts), upstream, NOW_MS)[3])

    assert len(seen) > 20
    assert [line for line in seen if CONDITION.search(line)] == []


@pytest.mark.parametrize("lapsed", [False, True])
@pytest.mark.parametrize("work", ["going", "stopped"])
@pytest.mark.parametrize("away", [None, 60_000])
def test_no_line_states_a_condition_in_any_mode(
    job: Job, shown: Situation, *, lapsed: bool, work: str, away: int | None
) -> None:
    """Shows INV-46: nor do the lines on stops, absence, links and old proofs."""
    facts = {**shown.facts, "work": work, "indicator": "proved", **{f"link:{name}": "fitted" for name in LINKS}}
    lines = words.safety_lines(replace(shown, facts=facts, lapsed=lapsed, away_ms=away), job, NOW_MS)

    assert not [line for line in lines if CONDITION.search(line)]
    assert any(LINKS[0] in line for line in lines)


def test_what_was_found_has_when_by_whom_and_how_much(job: Job, shown: Situation) -> None:
    """Shows INV-46: a proof reads as what was found, on how many pairs and points, how long ago, by whom."""
    proved = with_facts(shown, zone_busbar="proved", zone_circuit="proved", dead__test="clear")
    lines = words.safety_lines(replace(proved, proof=Proof(13 * 60_000, "tech", 12, 4)), job, NOW_MS)

    assert lines[0] == "Busbar: no voltage found on 12 pairs at 4 points, 12 min ago, by Ash Glaze."
    assert lines[1].startswith("Circuit: no voltage found on 12 pairs")


def test_a_zone_without_a_standing_proof_counts_as_live(job: Job, shown: Situation) -> None:
    """Without a standing round of pairs the line says to touch nothing, or to prove again."""
    for value in ("unproved", "live"):
        line = words.safety_lines(with_facts(shown, zone_busbar=value), job, NOW_MS)[0]

        assert "Touch nothing" in line
    orphan = words.safety_lines(with_facts(shown, zone_busbar="proved"), job, NOW_MS)[0]

    assert "Prove it again" in orphan


def test_every_source_and_what_stays_live_is_named(job: Job, shown: Situation) -> None:
    """Each source has its line with its isolator, and the incoming side that no lock reaches is named."""
    locked = with_facts(shown, source_mains="locked", lock_mains="applied", stored_mains="done")
    lines = words.safety_lines(replace(locked, custody={"mains": "tech"}), job, NOW_MS)

    assert "Source distributor's supply: switched off and locked by Ash Glaze at KR1 main switch." in lines
    assert any("rooftop inverter" in line and "counts as on" in line for line in lines)
    assert any(line.startswith("Stays live whatever is locked: incoming side of KR1 main switch") for line in lines)


def test_a_lost_lock_outweighs_a_locked_source(job: Job, shown: Situation) -> None:
    """A source whose lock or key is lost counts as on, even while its switch is recorded as locked."""
    lost = with_facts(shown, source_mains="locked", lock_mains="lost")

    assert any("lost" in line and "counts as on" in line for line in words.safety_lines(lost, job, NOW_MS))


def test_stored_energy_that_was_not_waited_for_is_said(job: Job, shown: Situation) -> None:
    """A locked source with stored energy still to come says so in its line."""
    waiting = with_facts(shown, source_inverter="locked", lock_inverter="applied", stored_inverter="waiting")

    assert any("inverter" in x and "not waited for" in x for x in words.safety_lines(waiting, job, NOW_MS))


def test_names_of_the_card_are_used_as_they_are(job: Job, shown: Situation) -> None:
    """A source with another name and isolator appears under them."""
    card = replace(job.card, sources=(Source("mains", "a second meter", True, "its own isolator", "0"),))
    lines = words.safety_lines(shown, replace(job, card=card), NOW_MS)

    assert any("a second meter" in line and "its own isolator" in line for line in lines)


def test_every_value_of_every_fact_has_words() -> None:
    """The table of words holds every family and every value of it, and nothing else."""
    wanted = {(family.name, value) for family in FAMILIES.values() for value in family.values}
    held = {(name, value) for name, (_, values) in words.FACT_WORDS.items() for value in values}

    assert held == wanted


@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda f: f.name)
def test_the_values_of_a_fact_read_differently(family: object) -> None:
    """No two values of a fact read the same, so that a reader can tell them apart."""
    values = words.FACT_WORDS[family.name][1].values()  # type: ignore[attr-defined]

    assert len(set(values)) == len(values)


def test_every_outcome_has_its_own_word_and_sign() -> None:
    """Shows HI-05: each outcome and each class of an act has a word with a sign, no two alike."""
    own = {word for act in ACTS.values() for word in act.classes} - {"pass", "refer", "fail"}
    shown = {word: words.outcome_words(word) for word in {o.value for o in Outcome} | own | {"done"}}

    assert len(set(shown.values())) == len(shown)
    assert all(re.fullmatch(r"[A-Z, ]+ [^A-Za-z ]+|[A-Z ]+ [xo]", text) for text in shown.values()), shown


def test_every_event_and_command_has_its_sentence() -> None:
    """No event or command of the walk is without a sentence."""
    assert set(sentences._EVENTS) == set(e.EVENTS.values())
    assert set(sentences._COMMANDS) == set(c.COMMANDS.values())


def test_a_warning_reads_whole() -> None:
    """Shows SP-01: severity by word and marks, then hazard, consequence and avoidance, none cut."""
    text = words.warning_words(Warned("danger", "Live parts", "Shock", "Touch nothing!"))

    assert text == "!!! DANGER: Live parts. Shock. Touch nothing!"


def test_a_refusal_shows_the_caret_under_the_fault() -> None:
    """A malformed number is shown with a caret under the column that is at fault."""
    lines = words.refusal_lines(Refusal("answer", "There are two decimal points.", column=4), "0.2.2")

    assert lines == ("Not taken: There are two decimal points.", "  0.2.2", "     ^")


@pytest.mark.parametrize(
    ("at_ms", "expect"),
    [
        (NOW_MS, "less than a minute ago"),
        (NOW_MS - 59_999, "less than a minute ago"),
        (NOW_MS - 60_000, "1 min ago"),
        (NOW_MS + 5, "less than a minute ago"),
    ],
)
def test_how_long_ago_is_told_in_whole_minutes(at_ms: int, expect: str) -> None:
    """Time since is rounded down to whole minutes and never negative."""
    assert words.ago(at_ms, NOW_MS) == expect


def test_hours_are_told_as_hours() -> None:
    """More than an hour reads as hours and minutes."""
    assert words.ago(0, 125 * 60_000) == "2 h 5 min ago"
