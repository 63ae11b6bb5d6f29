"""`ferrule procedures`: the list, a page, a graph, and what differs between two revisions."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.shell.sets import packaged_set
from ferrule.tui.fact_words import FACT_WORDS
from ferrule.tui.pattern_words import pattern_words
from tests.procedure.drawings import read_dot, read_mermaid
from tests.support.plainrun import CARD, only_log, run, walk
from tests.support.script import Choices, circuit_instrument, healthy_script

STEPS = packaged_set() / "steps"


def procedure_ids() -> set[str]:
    """The packaged procedures by their files."""
    return {path.stem for path in STEPS.glob("*.yaml")}


# --- the list ---


def test_every_procedure_is_listed_under_a_chapter() -> None:
    """The list names each packaged procedure with revision, title and standing, chapter by chapter of the plan."""
    ran = run("procedures")
    lines = ran.out.splitlines()
    named = [line.strip().partition(":")[0] for line in lines if line.startswith("  ") and line[2] != " "]

    assert ran.code == 0
    assert sorted(named) == sorted(procedure_ids())
    assert lines.index("BEFORE WORK") < lines.index("DEAD TESTS") < lines.index("HAND-OVER") < lines.index("MADE SAFE")
    assert "  prove-dead: Prove dead, revision 1, DRAFT" in lines
    assert max(map(len, lines)) <= 80


def test_the_list_as_json() -> None:
    """The JSON has the same procedures under the same chapters, with purpose and standing."""
    ran = run("procedures", "--json")
    plans = json.loads(ran.out)["plans"]
    listed = [p for chapter in plans[0]["chapters"] for p in chapter["procedures"]]

    assert ran.code == 0
    assert {p["id"] for p in listed} == procedure_ids()
    assert all(p["purpose"] and p["title"] and p["revision"] and p["steps"] for p in listed)
    assert plans[0]["chapters"][0]["title"] == "Before work"
    assert next(p for p in listed if p["id"] == "prove-dead")["draft"] is True


# --- a page ---


def test_a_page_says_what_the_walk_says(job: Job) -> None:
    """The page of a packaged procedure has its steps, what the act needs in the walk's words, and the standing."""
    ran = run("procedures", "show", "prove-dead")
    text = " ".join(ran.out.split())

    assert ran.code == 0
    assert "DRAFT: not approved for work" in text
    assert all(" ".join(step.text.split()) in text for step in job.procedures["prove-dead"].steps)
    for words in ("each source: switched off, locked", "lock on each source: on", "hold point three: signed"):
        assert words in text
    assert "!!! DANGER: " in text
    assert "below 12 V (setting dead-volts)" in text
    assert max(len(line) for line in ran.out.splitlines()) <= 80


def test_a_page_never_says_that_a_conductor_is_dead() -> None:
    """On no page stands that something is dead or safe to touch; a proof is told as what was found."""
    text = " ".join(run("procedures", "show", "ring-step-two").out.split())

    assert "busbar: no pair showed a voltage when it was proved" in text
    assert "is dead" not in text
    assert "is safe" not in text


def test_called_steps_stand_on_the_page() -> None:
    """A step that calls another procedure is shown as the steps that are walked, not as a name."""
    text = run("procedures", "show", "ring-step-two").out

    assert "Whole procedure" not in text
    assert "fit a link, line to neutral cross" in text


def test_a_page_as_markdown() -> None:
    """With --markdown the page begins with a heading and each step is a numbered paragraph."""
    lines = run("procedures", "show", "ring-step-two", "--markdown").out.splitlines()

    assert lines[0] == "# Ring step two"
    assert any(line.startswith("**2. Round.**") for line in lines)


def test_a_page_shows_the_limits_that_are_named() -> None:
    """Without a name the limits are those of the example card; another edition gives its own bands."""
    usual = run("procedures", "show", "read-loop")
    other = run("procedures", "show", "read-loop", "--limits", "iec-60364")

    assert (usual.code, other.code) == (0, 0)
    assert "BS 7671" in usual.out
    assert "iec" in other.out.lower()
    assert usual.out != other.out


def test_own_file_as_a_page(tmp_path: Path) -> None:
    """A file that is still being written is shown like a packaged procedure, in its place in the set."""
    own = tmp_path / "mine.yaml"
    own.write_text((STEPS / "count-tools.yaml").read_text(encoding="utf-8").replace("revision: 1", "revision: 9"))
    ran = run("procedures", "show", str(own))

    assert ran.code == 0
    assert "count-tools, revision 9, DRAFT" in ran.out


def test_every_family_of_facts_has_words_for_its_patterns() -> None:
    """Over the objects of a list, over one of them, over one that is named: no pattern sign is left on a page."""
    for family in FAMILIES.values():
        patterns = [family.name] if not (family.card or family.objects) else []
        patterns += [f"{family.name}:*", f"{family.name}:{{of}}"] if family.card or family.objects else []
        patterns += ["source:[main source]"] if family.name == "source" else []
        for pattern in patterns:
            words = pattern_words(pattern, family.values, "each")
            assert not set("*{}[]:") & set(words.partition(": ")[0]), words
    assert (
        pattern_words("lock:[main source]", ("none",), "")
        == f"lock on each main source: {FACT_WORDS['lock'][1]['none']}"
    )
    assert pattern_words("source:{of}", ("on",), "each").startswith("this source: ")
    assert pattern_words("link:{of}", ("none",), "line to earth cross").startswith("link line to earth cross: ")


# --- a graph ---


def test_a_graph_in_each_form() -> None:
    """A procedure as a tree, as Mermaid and as DOT: each has its steps and where a failed answer leads."""
    tree = run("procedures", "graph", "ring-step-two")
    mermaid = run("procedures", "graph", "ring-step-two", "--form", "mermaid")
    dot = run("procedures", "graph", "ring-step-two", "--form", "dot")

    assert (tree.code, mermaid.code, dot.code) == (0, 0, 0)
    assert "  fail, over-range -> " in tree.out
    assert "(find-ring-two-fault)" in tree.out
    assert read_mermaid(mermaid.out.splitlines()).nodes.keys() == read_dot(dot.out).nodes.keys()


def test_a_graph_of_the_plan() -> None:
    """Without a procedure, or with --plan, the plan is drawn: goals in order, suppliers below."""
    plain, named, other = (
        run("procedures", "graph"),
        run("procedures", "graph", "--plan", CARD),
        run("procedures", "graph", "--plan", CARD, "--form", "dot"),
    )
    lines = named.out.splitlines()

    assert (plain.code, named.code, other.code) == (0, 0, 0)
    assert CARD in lines[0]
    assert any(line.startswith("1. ") for line in lines)
    assert any(line.strip().startswith("hold two -> ") for line in lines)
    assert any(label.endswith("(prove-dead)") for label in read_dot(other.out).nodes.values())
    assert "BEFORE WORK" in plain.out


def test_a_graph_for_a_card_leaves_out_what_it_does_not_ask_for() -> None:
    """With a card only the steps that it asks for are drawn."""
    everything = run("procedures", "graph", "external-impedance").out
    asked = run("procedures", "graph", "external-impedance", CARD).out

    assert "passed over unless" in everything
    assert "passed over unless" not in asked
    assert sum(line[:1].isdigit() for line in asked.splitlines()) == 1


# --- two revisions ---


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A folder with a copy of the packaged set."""
    shutil.copytree(packaged_set(), tmp_path / "set", ignore=shutil.ignore_patterns("schema", "*.py*", "__pycache__"))
    return tmp_path / "set"


def edit(path: Path, old: str, new: str) -> None:
    """Replace one text in a file."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_copy_does_not_differ(copied: Path) -> None:
    """A folder with the same texts as the packaged set: 0, and said so."""
    ran = run("procedures", "compare", "packaged", str(copied))

    assert ran.code == 0
    assert ran.out.splitlines()[-1] == "No difference."


def test_a_changed_folder_differs(copied: Path) -> None:
    """An answer, an act and a limit that changed, a step that was put in and a file that is gone: 1, each is told."""
    edit(copied / "steps" / "ring-step-two.yaml", "fail: find-ring-two-fault", "fail: stop")
    edit(copied / "steps" / "tell-users.yaml", "act: tell the users", "act: look for a fault")
    edit(copied / "limits" / "uk-bs7671-a2-2022.yaml", "value: 50 V", "value: 60 V")
    (copied / "steps" / "count-tools.yaml").unlink()
    text = run("procedures", "compare", "packaged", str(copied))
    found = run("procedures", "compare", "packaged", str(copied), "--json")
    texts: dict[str, Any] = {entry["id"]: entry for entry in json.loads(found.out)["texts"]}

    assert text.code == found.code == 1
    assert set(texts) == {"ring-step-two", "tell-users", "uk-bs7671-a2-2022", "count-tools"}
    assert texts["count-tools"]["how"] == "removed"
    assert {"key": "answers / fail", "old": "find-ring-two-fault", "new": "stop", "bears_on_safety": True} in texts[
        "ring-step-two"
    ]["differences"][0]["changes"]
    assert texts["uk-bs7671-a2-2022"]["differences"][0]["id"] == "touch-volts"
    assert "  ! act" in text.out.splitlines()
    assert text.out.index("PROCEDURE tell-users") < text.out.index("PROCEDURE ring-step-two")
    assert text.out.index("PROCEDURE ring-step-two") < text.out.index("LIMITS uk-bs7671-a2-2022")


def test_two_files_and_a_file_against_the_set(copied: Path) -> None:
    """Two files are compared whatever they are called; a file is held against its like in the set."""
    changed = copied / "steps" / "ring-step-two.yaml"
    edit(changed, "title: Ring step two", "title: Second walk of the ring")
    other = copied / "other.yaml"
    other.write_text(changed.read_text(encoding="utf-8").replace("procedure: ring-step-two", "procedure: step-two"))
    against_set = run("procedures", "compare", "packaged", str(changed))
    backwards = run("procedures", "compare", str(changed), "packaged")
    files = run("procedures", "compare", str(STEPS / "ring-step-two.yaml"), str(other))

    assert (against_set.code, backwards.code, files.code) == (1, 1, 1)
    assert "1 difference in 1 text; 0 marked !" in against_set.out
    assert "old: Second walk of the ring" in backwards.out
    assert "new: step-two" in files.out
    assert run("procedures", "compare", str(changed), str(changed)).code == 0


def test_a_log_against_the_packaged_set(home: Path, job: Job, copied: Path) -> None:
    """A log of today does not differ from the packaged set; a changed set differs by just what its card would need."""
    walk(home, healthy_script(job, Choices(circuit_instrument(job), most=2)))
    log = only_log(home)
    same = run("procedures", "compare", str(log), "packaged", "--home", str(home))
    edit(copied / "steps" / "ring-step-two.yaml", "hidden: true", "hidden: false")
    edit(copied / "limits" / "iec-60364.yaml", "settle alone: true", "settle alone: false")
    other = run("procedures", "compare", log.stem, str(copied), "--home", str(home), "--json")
    back = run("procedures", "compare", str(copied), log.stem, "--home", str(home))

    assert same.code == 0, same.out
    assert [text["id"] for text in json.loads(other.out)["texts"]] == ["ring-step-two"]
    assert (other.code, back.code) == (1, 1)
    assert run("procedures", "compare", str(log), str(log)).code == 0


def test_a_file_of_no_set_is_named_and_left_out(copied: Path) -> None:
    """A file in a folder that is no file of a set is named on stderr; the others are compared."""
    (copied / "notes.yaml").write_text("shopping: milk\n")
    ran = run("procedures", "compare", "packaged", str(copied))

    assert ran.code == 0
    assert "notes.yaml begins with none of" in ran.err


def test_two_files_of_one_name_are_not_chosen_from(copied: Path) -> None:
    """A folder that holds one procedure twice is refused with both files, 66."""
    shutil.copy(copied / "steps" / "count-tools.yaml", copied / "count-again.yaml")
    ran = run("procedures", "compare", "packaged", str(copied))

    assert (ran.code, ran.out) == (66, "")
    assert "count-again.yaml and" in ran.err


# --- what cannot be done ---


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (("show", "prove-deed"), "Did you mean “prove-dead”?"),
        (("graph", "prove-deed"), "Did you mean “prove-dead”?"),
        (("show", "xyzzy"), "`ferrule procedures` lists them."),
        (("show", "prove-dead", "--limits", "iec-60365"), "Did you mean “iec-60364”?"),
        (("show", "prove-dead", "--limits", "xyzzy"), "There are: "),
        (("graph", "prove-dead", CARD, "--plan"), "not for both"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_wrong_use_is_64_with_the_nearest_name(argv: tuple[str, ...], words: str) -> None:
    """A name that is not there gets the nearest one or where to look, 64, and nothing on stdout."""
    ran = run("procedures", *argv)

    assert (ran.code, ran.out) == (64, "")
    assert words in ran.err


Prepare = Callable[[Path], None]


def broken(path: Path) -> None:
    """A file that is no YAML."""
    path.write_text("procedure: [\n")


def other_sort(path: Path) -> None:
    """A file of a set that is no procedure."""
    path.write_text("limits: mine\n")


def no_set(path: Path) -> None:
    """A file that is no file of a set."""
    path.write_text("shopping: milk\n")


def faulty(path: Path) -> None:
    """A procedure with a fault."""
    path.write_text((STEPS / "count-tools.yaml").read_text(encoding="utf-8").replace("act: ", "act: un"))


def absent(path: Path) -> None:
    """No file at all."""


@pytest.mark.parametrize(
    ("argv", "prepare", "words"),
    [
        (("show", "FILE"), absent, "cannot be read"),
        (("show", "FILE"), other_sort, "holds no procedure"),
        (("show", "FILE"), faulty, "error[unknown-act]"),
        (("show", "FILE"), broken, "error[yaml-syntax]"),
        (("graph", "FILE"), faulty, "error[unknown-act]"),
        (("graph", "--plan", "no-such-card"), absent, "no example card of that name"),
        (("graph", "--plan", "FILE"), broken, "error["),
        (("compare", "packaged", "FILE"), absent, "There is no file, folder or log"),
        (("compare", "pakaged", "packaged"), absent, "Did you mean “packaged”?"),
        (("compare", "packaged", "FILE"), broken, "error[yaml-syntax]"),
        (("compare", "packaged", "FILE"), no_set, "is no file of a set"),
        (("compare", "packaged", "FILE"), other_sort, "There is no limits “mine” in the packaged set"),
        (("compare", "x.jsonl", "packaged"), absent, "cannot be read"),
    ],
)
def test_what_cannot_be_read_is_66(argv: tuple[str, ...], prepare: Prepare, words: str, tmp_path: Path) -> None:
    """A file, card or log that is not there or cannot be used ends with 66, a sentence, and nothing on stdout."""
    path = tmp_path / "file.yaml"
    prepare(path)
    ran = run("procedures", *(str(path) if part == "FILE" else part for part in argv))

    assert (ran.code, ran.out) == (66, "")
    assert words in ran.err


def test_two_sorts_of_file_cannot_be_compared(tmp_path: Path) -> None:
    """A procedure and a limits file are not revisions of each other: 64."""
    path = tmp_path / "limits.yaml"
    other_sort(path)
    ran = run("procedures", "compare", str(STEPS / "count-tools.yaml"), str(path))

    assert (ran.code, ran.out) == (64, "")
    assert "One file is a procedure and the other a limits" in ran.err


def test_a_damaged_log_is_66(home: Path, job: Job) -> None:
    """A log that is not whole is not compared."""
    walk(home, healthy_script(job, Choices(circuit_instrument(job), most=2)))
    log = only_log(home)
    data = bytearray(log.read_bytes())
    data[len(data) // 2] ^= 1
    log.write_bytes(bytes(data))

    assert run("procedures", "compare", str(log), "packaged").code == 66
