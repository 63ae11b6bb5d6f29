"""Any text gives a value or findings: no other error leaves the loader or the checks."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.findings import render
from ferrule.engine.procedure.load import compile_parts, load_card, load_limits, load_plan, load_procedure
from ferrule.engine.prover.structure import check_set
from tests.procedure.cases import good_set, name_of

GOOD = good_set()
PARTS = [
    ": ",
    "- ",
    "'",
    '"',
    "[",
    "]",
    "{",
    "}",
    ",",
    "\n",
    "  ",
    "|",
    "&a ",
    "*a",
    "!t ",
    "---\n",
    "0",
    "-1",
    "é",
    "%",
]
WORDS = sorted({word for _, _, text in GOOD for word in text.replace(":", " ").split()})
SEED = 20260301


def load_all(text: str) -> None:
    """Give a text to every loader and show what was found, as a person would see it."""
    for load in (load_card, load_plan, load_procedure, load_limits):
        value, found = load(text, "f.yaml")  # type: ignore[operator]

        assert value is not None or found
        assert render(found, {"f.yaml": text}) or not found


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.text())
def test_any_text_gives_a_value_or_findings(text: str) -> None:
    """Whatever characters a file holds, each loader answers with a value or with findings."""
    load_all(text)


@settings(derandomize=True, max_examples=150, deadline=None)
@given(
    st.recursive(
        st.sampled_from(WORDS) | st.just(""),
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=4),
        max_leaves=12,
    )
)
def test_any_tree_gives_a_value_or_findings(tree: object) -> None:
    """Lists and tables in places where words belong are findings and never another error."""
    load_all(str(tree))


def spoiled(text: str, chance: random.Random) -> str:
    """A text with a few pieces put in, cut out or exchanged."""
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(text) + 1)
        how = chance.randrange(3)
        if how == 0:
            text = text[:at] + chance.choice(PARTS) + text[at:]
        elif how == 1:
            text = text[:at] + text[at + chance.randint(1, 30) :]
        else:
            text = text.replace(chance.choice(WORDS), chance.choice(WORDS), chance.randint(1, 2))
    return text


def test_a_spoiled_set_gives_parts_or_findings() -> None:
    """A set with one spoiled file compiles to parts that can be checked, or says what is wrong."""
    chance = random.Random(SEED)
    clean = 0
    for turn in range(100):
        place = chance.randrange(len(GOOD))
        role, name, text = GOOD[place]
        bad = spoiled(text, chance)
        parts, found = compile_parts([*GOOD[:place], (role, name, bad), *GOOD[place + 1 :]])
        found = (*found, *check_set(parts))
        clean += not found

        assert render(found, {f"{role}/{name}": bad}) or not found, (SEED, turn)

    assert 0 < clean < 80


def test_a_file_that_is_read_is_what_its_first_key_says() -> None:
    """The small set, which the spoiled ones come from, has a card, a plan, limits and procedures."""
    assert {name_of(text)[0] for _, _, text in GOOD} == {"card", "plan", "limits", "procedure"}
