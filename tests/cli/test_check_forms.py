"""`ferrule check` says the same to a person, to a program and to an editor, and its exit code says how grave it is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from ferrule.engine.findings import CODES, Finding, Level, Place
from ferrule.engine.prover.writing import BY_CODE
from ferrule.tui.check_sarif import as_sarif_text
from tests.support.plainrun import run

SCHEMA = Path(__file__).resolve().parents[1] / "cases" / "sarif" / "sarif-2.1.0-rtm.5.json"
VAGUE = """\
procedure: tidy
revision: 1
title: Tidy
purpose: Leave nothing behind.
steps:
  - id: look
    do: Look over the board as required.
    act: look for a fault
    why: Swarf is found by the current.
    source: common practice
"""
"""A procedure with one warning and one note: a vague word, and no prerequisites."""
SOUND = VAGUE.replace(" as required", "").replace("steps:", "prerequisites: [None.]\nsteps:")
BROKEN = VAGUE.replace("look for a fault", "no such act")


def written(folder: Path, text: str, name: str = "tidy.yaml") -> str:
    """The name of a file that holds the text."""
    (folder / name).write_text(text, encoding="utf-8")
    return str(folder / name)


def valid(text: str) -> dict[str, Any]:
    """The one run of a SARIF text that fits the schema of the standard."""
    value = json.loads(text)
    jsonschema.Draft4Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(value)
    (made,) = value["runs"]
    assert isinstance(made, dict)
    return made


@pytest.mark.parametrize(
    ("text", "strict", "code"),
    [(SOUND, False, 0), (SOUND, True, 0), (VAGUE, False, 0), (VAGUE, True, 1), (BROKEN, False, 1), (BROKEN, True, 1)],
    ids=["sound", "sound strict", "warnings", "warnings strict", "error", "error strict"],
)
def test_only_errors_change_the_exit_code_unless_it_is_asked_for(
    tmp_path: Path, text: str, strict: bool, code: int
) -> None:
    """Warnings and notes leave the exit code at 0; with --strict they make it 1, in each form alike."""
    name = written(tmp_path, text)
    extra = ["--strict"] if strict else []

    assert [run("check", name, *extra, *form).code for form in ([], ["--json"], ["--sarif"])] == [code] * 3


def test_a_person_reads_the_findings_in_groups(tmp_path: Path) -> None:
    """Under the heading of their level stand the findings with level word, place, sentence and the line meant."""
    name = written(tmp_path, VAGUE)
    ran = run("check", name)

    assert ran.out.splitlines()[:2] == [
        "Warnings (1)",
        f'{name}:7:9 warning[vague-word] "as required" leaves open what is meant.',
    ]
    assert ran.out.splitlines()[5:8] == [
        "",
        "Notes (1)",
        f"{name}:1:12 note[no-prerequisite] This procedure does not say what must be there before its first step.",
    ]
    assert ran.err == "2 files checked, 2 findings: 0 errors, 1 warning, 1 note.\n"


def test_a_program_reads_counts_and_findings(tmp_path: Path) -> None:
    """The JSON answer has its form number, the files, what could not be read, counts by level and every finding."""
    name = written(tmp_path, VAGUE)
    gone = str(tmp_path / "gone.yaml")
    ran = run("check", name, gone, "--json")
    value = json.loads(ran.out)

    assert ran.code == 66
    assert list(value) == ["check", "files", "unread", "counts", "findings"]
    assert value["check"] == 1
    assert value["files"] == [name, "procedures/glossary.yaml"]
    assert [sentence.startswith(gone) for sentence in value["unread"]] == [True]
    assert value["counts"] == {"error": 0, "warning": 1, "note": 1}
    assert [finding["code"] for finding in value["findings"]] == ["no-prerequisite", "vague-word"]
    assert {key for finding in value["findings"] for key in finding} == {
        "code",
        "level",
        "message",
        "place",
        "hint",
        "related",
        "walk",
    }


def test_an_editor_reads_sarif(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The SARIF answer fits the standard's schema; each result names rule, level, file from here, line and column."""
    written(tmp_path, VAGUE, "tidy up.yaml")
    monkeypatch.chdir(tmp_path)
    ran = run("check", str(tmp_path / "tidy up.yaml"), "--sarif")
    made = valid(ran.out)
    results = {result["ruleId"]: result for result in made["results"]}
    location = results["vague-word"]["locations"][0]["physicalLocation"]

    assert {code: result["level"] for code, result in results.items()} == {
        "vague-word": "warning",
        "no-prerequisite": "note",
    }
    assert location == {
        "artifactLocation": {"uri": "tidy%20up.yaml", "index": 0},
        "region": {"startLine": 7, "startColumn": 9},
    }
    assert str(tmp_path) not in ran.out
    assert made["invocations"] == [{"executionSuccessful": True, "exitCode": 0, "toolExecutionNotifications": []}]


def test_the_rules_of_sarif_are_the_table_of_codes(tmp_path: Path) -> None:
    """Every finding code is a rule with its sentence as help, and a rule of writing comes with both examples."""
    made = valid(run("check", written(tmp_path, SOUND), "--sarif").out)
    rules = made["tool"]["driver"]["rules"]

    assert made["results"] == []
    assert {rule["id"]: rule["shortDescription"]["text"] for rule in rules} == CODES
    for rule in rules:
        own = BY_CODE.get(rule["id"])
        assert rule["help"]["text"].startswith(CODES[rule["id"]])
        assert own is None or (own.bad in rule["help"]["text"] and own.good in rule["help"]["text"])


def test_a_walk_becomes_a_code_flow_and_a_related_place_a_related_location() -> None:
    """Nothing that the text form shows is lost in SARIF, also where a place is not known."""
    place = Place("a.yaml", 2, 3, "steps[0].act")
    found = [
        Finding("band-gap", Level.ERROR, "m", place, "h", (("the other", Place("b.yaml", 4, 5)),), ("first", "then")),
        Finding("missing-file", Level.NOTE, "no place"),
    ]
    text = as_sarif_text(found, {"a.yaml": ""}, ["x cannot be read"], exit_code=66, folder=Path("/nowhere"))
    made = valid(text)
    gap, bare = made["results"]
    flow = gap["codeFlows"][0]["threadFlows"][0]["locations"]

    assert gap["message"]["text"] == "m Try: h"
    assert made["tool"]["driver"]["rules"][gap["ruleIndex"]]["id"] == "band-gap"
    assert [step["location"]["message"]["text"] for step in flow] == ["first", "then"]
    assert gap["relatedLocations"][0]["message"]["text"] == "the other"
    assert gap["relatedLocations"][0]["physicalLocation"]["region"] == {"startLine": 4, "startColumn": 5}
    assert gap["locations"][0]["logicalLocations"] == [{"fullyQualifiedName": "steps[0].act"}]
    assert "locations" not in bare
    assert made["invocations"][0]["executionSuccessful"] is False
    assert made["invocations"][0]["toolExecutionNotifications"][0]["message"]["text"] == "x cannot be read"


def test_what_is_not_sarif_does_not_fit_the_schema() -> None:
    """The schema that the tests use refuses a result without a message, so that fitting it means something."""
    text = as_sarif_text([Finding("band-gap", Level.ERROR, "m")], {}, [], exit_code=1, folder=Path("/nowhere"))
    value = json.loads(text)
    del value["runs"][0]["results"][0]["message"]

    with pytest.raises(jsonschema.ValidationError, match="message"):
        valid(json.dumps(value))


def test_two_forms_at_once_are_refused(tmp_path: Path) -> None:
    """--json and --sarif together are wrong use, 64."""
    assert run("check", written(tmp_path, SOUND), "--json", "--sarif").code == 64


def test_a_card_alone_is_checked_with_the_packaged_set(tmp_path: Path) -> None:
    """A card that names a plan that the packaged set does not hold is found out without naming another file."""
    card = Path(__file__).resolve().parents[1] / "cases" / "cards" / "ring-37m.yaml"
    text = card.read_text("utf-8").replace("plan: fit-residual-breaker", "plan: fit-nothing")
    ran = run("check", written(tmp_path, text, "card.yaml"))

    assert "plan: fit-nothing" in text
    assert ran.code == 1
    assert 'The card asks for the plan "fit-nothing"' in ran.out
