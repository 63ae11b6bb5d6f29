"""What holds for findings: the collector, the order, and the text that a person reads."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.findings import (
    CODES,
    BadFile,
    FerruleError,
    Finding,
    Findings,
    Level,
    Place,
    as_json,
    nearest,
    render,
)

SOURCE = """\
limits: pottery
rows:
  - row: ring-leg
    bands:
      - pass: below 0.05 ohm   # open end
      - fail: above 0.06 ohm
    note: "a \\"quoted\\" text" # and more
"""


def test_findings_are_sorted_by_place_and_those_without_come_last() -> None:
    """A person reads the faults in the order of the file."""
    found = Findings()
    found.add("no-source", "nowhere")
    found.add("wrong-type", "second line", Place("a", 2, 1))
    found.add("wrong-type", "later column", Place("a", 1, 9))
    found.add("wrong-type", "first", Place("a", 1, 2))
    found.add("wrong-type", "other file", Place("A", 7, 7))

    assert [finding.message for finding in found.all()] == [
        "other file",
        "first",
        "later column",
        "second line",
        "nowhere",
    ]


def test_a_fault_found_twice_is_told_once() -> None:
    """Two checks that find the same fault do not make two findings."""
    found = Findings()
    found.add("band-gap", "a gap", Place("a", 1, 1))
    found.extend([Finding("band-gap", Level.ERROR, "a gap", Place("a", 1, 1))])

    assert len(found) == len(found.all()) == 1


def test_an_unknown_code_is_refused() -> None:
    """No finding can carry a code that nobody has explained."""
    found = Findings()

    with pytest.raises(ValueError, match="no-such-code"):
        found.add("no-such-code", "text")
    with pytest.raises(ValueError, match="no-such-code"):
        found.extend([Finding("no-such-code", Level.NOTE, "text")])
    assert found.all() == ()


def test_only_errors_stop() -> None:
    """A warning and a note are shown, but a file that has only these can be used."""
    found = Findings()
    found.add("out-of-date", "soon", level=Level.WARNING)
    found.add("no-source", "fyi", level=Level.NOTE)
    before = found.has_errors()
    found.add("band-gap", "a gap")

    assert not before
    assert found.has_errors()
    assert [finding.code for finding in found.errors()] == ["band-gap"]


def test_each_code_is_kebab_case_and_has_a_sentence() -> None:
    """The table of codes can be printed as it stands."""
    for code, sentence in CODES.items():
        assert code == code.lower()
        assert code.replace("-", "").isalnum()
        assert sentence[0].isupper()
        assert sentence.endswith(".")


def test_the_excerpt_underlines_the_value_and_names_the_other_place() -> None:
    """The text of a finding with a place, a related place and a hint is just this."""
    finding = Finding(
        "band-gap",
        Level.ERROR,
        'row "ring-leg" has no band for exactly 0.05 ohm',
        Place("limits/demo.yaml", 5, 15),
        '"up to 0.05 ohm" here',
        (("the next band begins above it", Place("limits/demo.yaml", 6, 15)),),
    )

    assert render([finding], {"limits/demo.yaml": SOURCE}) == (
        'limits/demo.yaml:5:15 error[band-gap] row "ring-leg" has no band for exactly 0.05 ohm\n'
        "    5 |       - pass: below 0.05 ohm   # open end\n"
        "      |               ^^^^^^^^^^^^^^\n"
        "      = see: limits/demo.yaml:6:15 the next band begins above it\n"
        "    6 |       - fail: above 0.06 ohm\n"
        "      |               ^^^^^^^^^^^^^^\n"
        '      = try: "up to 0.05 ohm" here'
    )


@pytest.mark.parametrize(
    ("line", "column", "carets"),
    [
        (3, 5, "      |     ^^^"),
        (7, 11, "      |           ^^^^^^^^^^^^^^^^^^^"),
        (1, 7, "      |       ^"),
        (2, 99, "      |      ^"),
    ],
    ids=["a key", "a quoted text", "a colon", "behind the end"],
)
def test_the_carets_stand_under_what_is_meant(line: int, column: int, carets: str) -> None:
    """The underline begins at the column and ends where the key or the value ends."""
    text = render([Finding("wrong-value", Level.ERROR, "m", Place("f", line, column))], {"f": SOURCE})

    assert text.split("\n")[2] == carets


def test_a_walk_is_shown_line_by_line_below_its_finding() -> None:
    """A way that leads to a fault is printed indented, in its order, with hidden characters made visible."""
    finding = Finding("band-gap", Level.ERROR, "m", Place("g", 1, 1), "h", walk=("1. open", "2. close\x07"))

    assert render([finding], {}).split("\n") == [
        "g:1:1 error[band-gap] m",
        "        1. open",
        "        2. close<U+0007>",
        "      = try: h",
    ]


def test_a_place_that_is_not_known_is_said_and_not_invented() -> None:
    """Without a place there is no number and no excerpt."""
    text = render([Finding("no-source", Level.WARNING, "a figure has no source")], {"f": SOURCE})

    assert text == "(place not known) warning[no-source] a figure has no source"


@pytest.mark.parametrize("place", [Place("f", 99, 1), Place("f", 0, 1), Place("g", 1, 1)])
def test_a_line_that_is_not_at_hand_is_not_shown(place: Place) -> None:
    """A place outside the texts gives the head only."""
    text = render([Finding("no-source", Level.ERROR, "m", place)], {"f": "one line"})

    assert text == f"{place} error[no-source] m"


def test_hidden_characters_of_the_source_are_made_visible_and_the_caret_still_fits() -> None:
    """A file cannot reach the terminal with its own escape codes."""
    source = "\x1b[2J漢e\u0301: \u202evalue"
    finding = Finding("text-policy", Level.ERROR, "bad \u202e text\n", Place("f\x07", 1, 10), "drop \x00")

    head, shown, carets, hint = render([finding], {"f\x07": source}).split("\n")

    assert head == "f<U+0007>:1:10 error[text-policy] bad <U+202E> text<U+000A>"
    assert shown == "    1 | <U+001B>[2J漢e\u0301: <U+202E>value"
    assert carets == "      | " + " " * len("<U+001B>[2JXXe: ") + "^" * len("<U+202E>value")
    assert hint == "      = try: drop <U+0000>"


def test_a_very_long_line_is_cut_around_the_place() -> None:
    """A line of thousands of characters still gives an excerpt that can be read."""
    source = "a" * 5000 + " here " + "b" * 5000
    _, shown, carets = render([Finding("too-large", Level.ERROR, "m", Place("f", 1, 5002))], {"f": source}).split("\n")

    assert len(shown) < 120
    assert shown[carets.index("^") :].startswith("here")


def test_a_column_behind_a_very_long_line_shows_the_end_of_the_line() -> None:
    """Even then the excerpt shows text, and the caret stands just after it."""
    _, shown, carets = render(
        [Finding("too-large", Level.ERROR, "m", Place("f", 1, 99_999))], {"f": "a" * 5000 + "end"}
    ).split("\n")

    assert shown.endswith("aend")
    assert carets == " " * 6 + "|" + " " * (len(shown) - 7) + "^"


@settings(max_examples=60, derandomize=True)
@given(text=st.text(max_size=60), line=st.integers(-1, 4), column=st.integers(-1, 70))
def test_any_text_and_place_can_be_shown(text: str, line: int, column: int) -> None:
    """Rendering never fails, and what it gives is printable line by line."""
    shown = render([Finding("yaml-syntax", Level.ERROR, text, Place("f", line, column))], {"f": text})

    assert all(ord(char) >= 32 for char in shown.replace("\n", ""))


def test_a_bad_file_says_how_many_and_the_first() -> None:
    """The sentence of the exception is enough for one line of text."""
    first = Finding("band-gap", Level.ERROR, "a gap")

    assert str(BadFile([first])) == "1 finding: a gap"
    assert str(BadFile([first, first])) == "2 findings, the first: a gap"
    assert BadFile([first]).findings == (first,)
    assert issubclass(BadFile, FerruleError)
    with pytest.raises(ValueError, match="at least one"):
        BadFile([])


@pytest.mark.parametrize(
    ("word", "expect"),
    [("mesure", "measure"), ("ACT", "act"), ("zzz", None), ("", None), ("measure" * 50, None)],
)
def test_the_nearest_word_is_offered_only_when_it_is_near(word: str, expect: str | None) -> None:
    """A slip of one letter finds its word, anything else finds none."""
    assert nearest(word, ["measure", "act", "observe", "measure" * 50 + "s"]) == expect


def test_the_json_form_holds_everything() -> None:
    """A program that reads the findings misses nothing that a person sees."""
    place = Place("f", 1, 2, "rows[0].bands")
    finding = Finding("band-gap", Level.ERROR, "m", place, "h", (("n", place),), ("first", "then"))
    spot = {"file": "f", "line": 1, "column": 2, "path": "rows[0].bands"}

    made = json.loads(json.dumps(as_json([finding, Finding("no-source", Level.NOTE, "x")])))

    assert made == [
        {
            "code": "band-gap",
            "level": "error",
            "message": "m",
            "place": spot,
            "hint": "h",
            "related": [{"note": "n", "place": spot}],
            "walk": ["first", "then"],
        },
        {"code": "no-source", "level": "note", "message": "x", "place": None, "hint": "", "related": [], "walk": []},
    ]
