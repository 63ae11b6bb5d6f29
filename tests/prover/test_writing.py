"""Every rule of writing finds its bad example and passes its good one; the packaged texts hold to all of them."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

import ferrule.procedures
from ferrule.engine.findings import CODES, Finding, Level
from ferrule.engine.procedure.glossary import Glossary
from ferrule.engine.procedure.load import compile_job, compile_parts, load_glossary
from ferrule.engine.prover.judged import judge_set
from ferrule.engine.prover.writing import RULES, Rule, check_writing
from ferrule.engine.prover.writing_texts import Ground, count_words, second_command, sentences
from tests.procedure.cases import good_set

PACKAGED = Path(next(iter(ferrule.procedures.__path__)))
GLOSSARY = (PACKAGED / "glossary.yaml").read_text("utf-8")
VERBS = frozenset({"loosen", "pull", "hold", "press", "read", "open", "join", "lock", "set", "tighten", "mark"})
HEAD = "procedure: example\nrevision: 1\ntitle: Example\npurpose: Show one rule.\nsteps:\n"


@cache
def glossary() -> Glossary:
    """The packaged glossary."""
    found, faults = load_glossary(GLOSSARY, "glossary")

    assert found is not None
    assert faults == ()
    return found


def procedure_of(example: str) -> str:
    """The text of a procedure that holds an example."""
    if example.startswith("procedure:"):
        return example
    lines = ["id: one", *example.splitlines()]
    return HEAD + "".join(f"  {'- ' if at == 0 else '  '}{line}\n" for at, line in enumerate(lines))


def found_in(example: str) -> tuple[Finding, ...]:
    """What the rules say of an example beside the packaged glossary."""
    texts = [("procedure", "example", procedure_of(example)), ("glossary", "glossary", GLOSSARY)]
    parts, faults = compile_parts(texts)

    assert [fault for fault in faults if fault.level is Level.ERROR] == []
    return check_writing(parts)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_finds_its_bad_example(rule: Rule) -> None:
    """The bad example of a rule is found by that rule, once, at a place inside the example.

    Shows: PA-01, PA-02, PA-03, PA-04, PA-05, PA-06, PA-07, PA-11, PA-16, PA-17, PA-21, SP-07, SP-14
    """
    own = [finding for finding in found_in(rule.bad) if finding.code == rule.code]

    assert [finding.level for finding in own] == [rule.level]
    assert own[0].place is not None
    assert own[0].place.file == "procedure/example"


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_passes_its_good_example(rule: Rule) -> None:
    """The good example of a rule is not found by that rule."""
    assert rule.code not in {finding.code for finding in found_in(rule.good)}


def test_a_rule_is_data() -> None:
    """Each rule has a code of its own with a sentence, a requirement, two examples that differ; none is an error."""
    assert len({rule.code for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert rule.sentence == CODES[rule.code]
        assert re.fullmatch(r"(PA|SP)-\d\d", rule.requirement)
        assert rule.bad != rule.good
        assert rule.level is not Level.ERROR


def packaged_texts() -> list[tuple[str, str, str]]:
    """All packaged texts with one example card."""
    roles = {"cards": "card", "steps": "procedure", "plans": "plan", "limits": "limits"}
    texts = [("glossary", "glossary", GLOSSARY)]
    for folder, role in roles.items():
        paths = sorted((PACKAGED / folder).glob("*.yaml"))
        texts.extend((role, path.stem, path.read_text("utf-8")) for path in (paths[:1] if role == "card" else paths))
    return texts


def test_the_packaged_texts_hold_to_every_rule() -> None:
    """No packaged text is found by a rule of writing."""
    parts, _ = compile_parts(packaged_texts())

    assert len(parts.procedures) > 50
    assert [f"{finding.place} {finding.code} {finding.message}" for finding in check_writing(parts)] == []


def test_every_text_that_a_person_reads_is_looked_at() -> None:
    """A word that the glossary gives up is found in each kind of text, each at its own place."""
    text = (
        "procedure: example\nrevision: 1\ntitle: A jumper\npurpose: Use a jumper.\nscope: One jumper.\n"
        "prerequisites:\n  - A jumper.\nsteps:\n  - id: one\n    observe: Look at the jumper.\n"
        "    act: look for a fault\n    cells:\n      - see: The jumper\n        states: [jumper out, in]\n"
        "    warnings:\n      - {severity: danger, hazard: A jumper, consequence: Jumper, avoid: Keep the jumper.}\n"
        "    why: A jumper.\n"
    )
    found = [finding for finding in found_in(text) if finding.code == "two-names"]
    places = {(f.place.line, f.place.column) for f in found if f.place}

    assert len(found) == len(places) == 11


def test_one_fault_is_told_once_though_its_procedure_is_called_often() -> None:
    """A called procedure stands in each of its callers, and what is wrong in it is still one finding."""
    called = HEAD.replace("example", "inner") + "  - {id: a, do: Look at the jumper., act: look for a fault}\n"
    caller = HEAD + "  - {id: x, call: inner}\n  - {id: y, call: inner}\n"
    texts = [("procedure", "inner", called), ("procedure", "example", caller), ("glossary", "g", GLOSSARY)]
    found = [finding for finding in judge_set(texts, "2026-11-25").findings if finding.code == "two-names"]

    assert [str(finding.place) for finding in found] == ["procedure/inner:6:17"]


def test_findings_of_writing_wait_for_a_sound_set() -> None:
    """Texts that do not load are not read for their style."""
    broken = procedure_of("do: no capital, no stop\nact: no such act")

    assert {finding.code for finding in judge_set([("procedure", "example", broken)], "2026-11-25").findings} == {
        "unknown-act"
    }


def test_a_bare_job_is_checked_without_places() -> None:
    """The rules look at compiled parts, so that they can be asked where no text is at hand; no place is made up."""
    job = compile_job(good_set())
    parts, _ = compile_parts(good_set())
    found = check_writing(parts.of(job))

    assert found
    assert all(finding.place is None for finding in found)


def test_without_a_glossary_the_rules_that_need_one_are_silent() -> None:
    """A set without a glossary is not told that every verb and name is unknown."""
    parts, _ = compile_parts([("procedure", "example", procedure_of("do: Zap it.\nact: look for a fault"))])

    assert {"not-imperative", "two-names"} & {finding.code for finding in check_writing(parts)} == set()
    assert Ground(parts).verbs == frozenset()


@pytest.mark.parametrize(
    ("command", "other"),
    [
        ("Loosen the screw and pull the wire out.", "pull"),
        ("Loosen the screw, then pull the wire.", "pull"),
        ("Loosen and pull the wire.", "pull"),
        ("Press the button while holding the toggle.", "holding"),
        ("Read the voltages and the loop at each socket.", ""),
        ("Look for leakage, swapped neutrals or an open lead.", ""),
        ("Tell everybody about the lock and mark.", ""),
        ("Read line and neutral.", ""),
    ],
)
def test_a_second_command_is_told_from_a_second_noun(command: str, other: str) -> None:
    """A verb behind "and" counts where something is done by it; the same word as a noun does not."""
    assert second_command(command, VERBS) == other


def test_the_stops_of_an_abbreviation_end_no_sentence() -> None:
    """Sentences end at stops and semicolons, not inside "250 V d.c."."""
    assert sentences("Read at 250 V d.c. again. Wait; look.") == ["Read at 250 V dc again.", "Wait;", "look."]
    assert count_words("Read, at 250 V - again.") == 5


def test_every_term_of_the_glossary_is_used_and_none_contradicts_another() -> None:
    """Each term stands in a packaged text, has a source, and is not itself a name that another term gives up.

    Shows: PA-16
    """
    parts, _ = compile_parts(packaged_texts())
    whole = " ".join(piece.text for piece in Ground(parts).pieces).casefold()
    given_up = {other.casefold() for term in glossary().terms for other in term.others}

    assert [term.name for term in glossary().terms if term.name.casefold() not in whole] == []
    assert [term.name for term in glossary().terms if term.name.casefold() in given_up or not term.source] == []


def test_a_glossary_with_a_doubled_name_is_refused() -> None:
    """The same name cannot stand for two things, nor be allowed and given up at once."""
    text = "glossary: g\ntitle: G\nverbs: [Look]\nterms:\n" + "".join(
        f"  - {{term: {name}, meaning: m, source: s, not: [{other}]}}\n" for name, other in (("a", "b"), ("b", "c"))
    )
    made, found = load_glossary(text, "g")

    assert made is None
    assert [(finding.code, str(finding.place)) for finding in found] == [("duplicate-id", "g:6:12")]


def test_each_requirement_on_texts_is_accounted_for() -> None:
    """The table for contributors says of each requirement how it is held, and names the rules and codes there are."""
    developers = (Path(__file__).resolve().parents[2] / "DEVELOPERS.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| ((?:PA|SP)-\d\d) \| (.+) \|$", developers, re.M))

    assert set(rows) == {*(f"PA-{number:02}" for number in range(1, 24)), "SP-07", "SP-14"}
    for rule in RULES:
        assert f"`{rule.code}`" in rows[rule.requirement], rule.code
    for cell in rows.values():
        assert set(re.findall(r"`([a-z]+(?:-[a-z]+)+)`", cell)) <= CODES.keys()
