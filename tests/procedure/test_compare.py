"""Two revisions are told apart part by part, in reading order; nothing is passed over, and safety is marked."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.findings import BadFile
from ferrule.engine.procedure.compare import (
    EXPLAINS,
    Change,
    Difference,
    FileDifference,
    NoFileError,
    compare_files,
    compare_sets,
    merged,
    read_tree,
)
from ferrule.engine.procedure.compare_forms import text_lines, to_json, total_words
from ferrule.engine.procedure.compare_tree import entries_of
from ferrule.engine.procedure.yamltext import Node, Series, Table, Text
from tests.procedure.cases import good, good_set
from tests.procedure.packaged import packaged_texts

FIND = good("procedure", "find-lead")


def differences(old: str, new: str) -> tuple[Difference, ...]:
    """What differs between two texts."""
    return compare_files(read_tree(old, "old"), read_tree(new, "new"))


def replaced(text: str, old: str, new: str) -> tuple[Difference, ...]:
    """What differs after one text in a file was replaced."""
    assert text.count(old) == 1, old
    return differences(text, text.replace(old, new))


# --- nothing differs, and nothing is passed over ---


@pytest.mark.parametrize(("role", "name", "text"), packaged_texts(), ids=lambda value: value if len(value) < 60 else "")
def test_a_text_does_not_differ_from_itself(role: str, name: str, text: str) -> None:
    """Every packaged text equals itself."""
    root = read_tree(text, f"{role}/{name}")

    assert compare_files(root, root) == ()


def test_layout_is_no_difference() -> None:
    """Comments, quotes and the order in which the keys of one step are written change nothing."""
    text = good("procedure", "identify")
    other = "# a comment\n" + text.replace("title: Board and way", "title: 'Board and way'")
    swapped = other.replace("    type: board\n    as: Board\n", "    as: Board\n    type: board\n")

    assert swapped not in (other, text)
    assert differences(text, swapped) == ()


def leaves(node: Node, path: tuple[object, ...] = ()) -> Iterator[tuple[object, ...]]:
    """The way to every text of a tree."""
    if isinstance(node, Text):
        yield path
    elif isinstance(node, Series):
        for at, part in enumerate(node):
            yield from leaves(part, (*path, at))
    else:
        for key, part in node.items():
            yield from leaves(part, (*path, key))


@pytest.mark.parametrize("role", ["card", "plan", "procedure", "limits"])
def test_no_text_can_change_unseen(role: str) -> None:
    """Change any one text of any file of the small set, or take it out, and a difference is told."""
    for own, name, text in good_set():
        if own != role:
            continue
        root = read_tree(text, name)
        for path in leaves(root):
            for change in (changed, dropped):
                other = copy.deepcopy(root)
                change(other, path)
                assert compare_files(root, other), (name, path, change)


def changed(root: Table, path: tuple[object, ...]) -> None:
    """Write something else at a place of the tree."""
    node = _above(root, path)
    node[path[-1]] = Text(f"{node[path[-1]]} otherwise")


def dropped(root: Table, path: tuple[object, ...]) -> None:
    """Take a place out of the tree."""
    del _above(root, path)[path[-1]]


def _above(root: Table, path: tuple[object, ...]) -> dict[object, Text]:
    node: object = root
    for part in path[:-1]:
        node = node[part]  # type: ignore[index]
    return node  # type: ignore[return-value]


# --- what is told ---


def test_a_changed_answer_is_told_by_its_step_and_key() -> None:
    """An answer that leads elsewhere: which step, which answer, where it led and where it leads."""
    (found,) = replaced(FIND, "- fail: change\n      - over-range: change", "- fail: stop\n      - over-range: change")

    assert (found.how, found.kind, found.id) == (("changed",), "step", "each")
    assert found.changes == (Change("answers / fail", "change", "stop"),)
    assert found.bears_on_safety


def test_a_new_answer_and_one_that_is_gone_have_no_other_text() -> None:
    """What was not there has no old text, what is gone has no new one."""
    (found,) = replaced(FIND, "      - over-range: change\n", "      - unstable: change\n")

    assert set(found.changes) == {
        Change("answers / over-range", "change", None),
        Change("answers / unstable", None, "change"),
    }


def test_a_cell_is_named_by_what_it_reads() -> None:
    """A change inside a cell names the cell and the key."""
    (found,) = replaced(FIND, "expect: ring.step-two", "expect: ring.step-three")

    assert found.changes == (Change("cells / One way / expect", "ring.step-two", "ring.step-three"),)


def test_an_explanation_is_told_and_not_marked() -> None:
    """Why, source, title and the like are told; they are not marked as bearing on safety."""
    for key, old in (
        ("why", "why: A cut lead"),
        ("title", "title: Instruments"),
        ("purpose", "purpose: Show that each"),
    ):
        (found,) = replaced(good("procedure", "check-instruments"), old, f"{key}: Otherwise")
        assert [change.key.split(" / ")[-1] for change in found.changes] == [key]
        assert not found.bears_on_safety


@pytest.mark.parametrize(
    ("role", "name", "old", "new"),
    [
        ("procedure", "see-live", "act: ", "act: not "),
        ("procedure", "find-lead", "wait: Let the leads cool.", "wait: Let them cool."),
        ("procedure", "find-lead", "minutes: 2", "minutes: 1"),
        ("procedure", "find-lead", "through: sockets", "through: loads"),
        ("procedure", "find-lead", "judge: alike", "judge: loop"),
        ("procedure", "find-lead", "hidden: true", "hidden: false"),
        ("procedure", "condition", "- loose: fail", "- loose: pass"),
        ("limits", "small-limits", "- conditional-fail: above 50 mohm", "- conditional-pass: above 50 mohm"),
        ("limits", "small-limits", "guard: uncertainty", "guard: none"),
        ("limits", "small-limits", "settle alone: true", "settle alone: false"),
        ("limits", "small-limits", "value: two-thirds", "value: measured-0.8"),
        ("plan", "small-plan", "when: [work is replace | add]", "when: [work is replace]"),
        ("plan", "small-plan", "cover is closed, by: condition", "cover is closed, by: identify"),
        ("card", "small-job", "rating: 32 A", "rating: 40 A"),
        ("card", "small-job", "until: 2027-06-30", "until: 2028-06-30"),
    ],
)
def test_what_may_bear_on_safety_is_marked(role: str, name: str, old: str, new: str) -> None:
    """Acts, sentences, answers, lists, limits, settings, goals, and facts of the card are marked."""
    (found,) = replaced(good(role, name), old, new)

    assert found.bears_on_safety
    assert all(change.bears_on_safety for change in found.changes)


def test_a_warning_that_is_taken_out_is_marked() -> None:
    """A warning is known by its hazard; without it each of its keys is told, and the step is marked."""
    text = next(text for _, name, text in packaged_texts() if name == "prove-dead")
    start, end = text.index("        warnings:"), text.index("        why: ")
    (found,) = differences(text, text[:start] + text[end:])

    assert found.bears_on_safety
    assert {change.key.split(" / ")[0] for change in found.changes} == {"warnings"}
    assert {change.key.split(" / ")[-1] for change in found.changes} >= {"severity", "consequence", "avoid"}


def test_an_unknown_key_is_marked() -> None:
    """A key that this copy of ferrule does not know may bear on safety, whatever it means."""
    assert Change("later invented", None, "x").bears_on_safety
    assert not any(Change(f"cells / a / {key}", "x", "y").bears_on_safety for key in EXPLAINS)


# --- steps come, go and move ---


def steps(names: str) -> str:
    """A procedure with steps of these letters, each with a sentence of its own."""
    listed = "".join(f"  - id: {name}\n    do: Do {name}.\n    act: tell the users\n" for name in names)
    return f"procedure: x\nrevision: 1\ntitle: X\npurpose: Y.\nsteps:\n{listed}"


def told(old: str, new: str) -> list[tuple[str, str]]:
    """What is told of the steps, in the order in which it is told."""
    return [(" and ".join(d.how), d.id) for d in differences(steps(old), steps(new))]


@pytest.mark.parametrize(
    ("old", "new", "expect"),
    [
        ("abc", "abxc", [("added", "x")]),
        ("abc", "xabc", [("added", "x")]),
        ("abcd", "acd", [("removed", "b")]),
        ("abcd", "bcda", [("moved", "a")]),
        ("abcd", "dabc", [("moved", "d")]),
        ("abcd", "axcd", [("removed", "b"), ("added", "x")]),
        ("abcde", "xcdeb", [("removed", "a"), ("added", "x"), ("moved", "b")]),
    ],
)
def test_steps_that_come_go_and_move(old: str, new: str, expect: list[tuple[str, str]]) -> None:
    """In reading order, and only what moved is told as moved: a step that was put in moves none of those behind it."""
    assert told(old, new) == expect
    assert all(d.bears_on_safety for d in differences(steps(old), steps(new)))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from("abcdefgh"), unique=True, min_size=1), st.randoms(use_true_random=False))
def test_moving_tells_the_fewest_steps(names: list[str], chance: object) -> None:
    """After any shuffle, the steps that are not told as moved kept their order, and no longer run of them exists."""
    shuffled = list(names)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    found = told("".join(names), "".join(shuffled))
    moved = {name for _, name in found}
    kept = [names.index(name) for name in shuffled if name not in moved]

    assert all(how == "moved" for how, _ in found)
    assert all(a < b for a, b in pairwise(kept))
    assert len(kept) == longest(names, shuffled)


def longest(old: list[str], new: list[str]) -> int:
    """The length of the longest list that is part of both in order, told by the plain rule."""
    if not old or not new:
        return 0
    if old[0] == new[0]:
        return 1 + longest(old[1:], new[1:])
    return max(longest(old[1:], new), longest(old, new[1:]))


def test_a_step_can_move_and_change() -> None:
    """One difference tells both, with its old and its new place."""
    (found,) = differences(steps("abc"), steps("bca").replace("Do a.", "Do it."))

    assert found.how == ("moved", "changed")
    assert (found.old_place, found.new_place) == (1, 3)
    assert found.changes == (Change("do", "Do a.", "Do it."),)


def test_a_step_that_changes_its_section_is_no_other_step() -> None:
    """Steps are compared through sections; the section itself is one of the step's keys."""
    text = good("procedure", "check-instruments")
    (found,) = replaced(text, "section: Each instrument", "section: All")

    assert found.changes == (Change("section", "Each instrument", "All"),)


def test_the_order_of_states_is_told() -> None:
    """Two states that changed places on the screen are a difference, though each kept its answer."""
    first, second = "      - lights up: pass\n", "      - stays dark: fail\n"
    (found,) = replaced(good("procedure", "prove-indicator"), first + second, second + first)

    assert [change.key for change in found.changes] == ["states / order"]


def test_what_was_put_in_and_taken_out_changes_sides_backwards() -> None:
    """Compared the other way round, added is removed and old is new."""
    old, new = steps("abc"), steps("acd").replace("Do c.", "Do it.")
    forth, back = differences(old, new), differences(new, old)
    swap = {"added": "removed", "removed": "added"}

    assert sorted((d.id, *(swap.get(h, h) for h in d.how)) for d in forth) == sorted((d.id, *d.how) for d in back)
    assert {(c.key, c.old, c.new) for d in forth for c in d.changes} == {
        (c.key, c.new, c.old) for d in back for c in d.changes
    }


@given(st.lists(st.sampled_from("abcdef"), unique=True), st.lists(st.sampled_from("abcdef"), unique=True))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_merged_is_in_the_order_of_the_new(old: list[str], new: list[str]) -> None:
    """What stands in either is there once, the new in its order, and what is gone behind what it stood behind."""
    found = merged(old, new)

    assert sorted(found) == sorted(set(old) | set(new))
    assert [name for name in found if name in new] == new
    for before, name in pairwise(old):
        if name not in new:
            assert found.index(name) == found.index(before) + 1


# --- goals and rows of one name ---


def test_goals_of_one_fact_are_told_apart_by_their_condition() -> None:
    """Two goals for one fact, each for another kind of circuit, are two parts, not one that changed."""
    root = read_tree(next(text for role, _, text in packaged_texts() if role == "plan"), "plan")
    names = [entry.id for entry in entries_of(root) if entry.kind == "goal"]

    assert len(set(names)) == len(names)
    assert [name for name in names if name.startswith("result protective conductor")] == [
        "result protective conductor is pass when circuit is ring",
        "result protective conductor is pass when circuit is radial",
    ]


# --- whole sets ---


def trees(*texts: tuple[str, str, str]) -> dict[tuple[str, str], Table]:
    """Texts as they are compared."""
    return {(role, name): read_tree(text, name) for role, name, text in texts}


def test_texts_come_and_go() -> None:
    """A text that only one side has is told as a whole, in reading order, and marked."""
    old = trees(("procedure", "a", steps("a")), ("procedure", "b", steps("b")))
    new = trees(("procedure", "b", steps("bc")), ("procedure", "c", steps("c")))
    found = compare_sets(old, new)

    assert [(text.id, text.how) for text in found] == [("a", "removed"), ("b", "changed"), ("c", "added")]
    assert all(text.bears_on_safety for text in found)


def test_a_change_without_a_new_revision_is_told() -> None:
    """A procedure that changed while its revision stayed is called so; with a new one, or for limits, it is not."""
    old = trees(("procedure", "x", steps("a")))
    kept = compare_sets(old, trees(("procedure", "x", steps("ab"))))
    raised = compare_sets(old, trees(("procedure", "x", steps("ab").replace("revision: 1", "revision: 2"))))
    limits = good("limits", "small-limits")
    other = compare_sets(
        trees(("limits", "l", limits)), trees(("limits", "l", limits.replace("guard: uncertainty", "guard: none")))
    )

    assert kept[0].same_revision
    assert (raised[0].same_revision, raised[0].old_revision, raised[0].new_revision) == (False, "1", "2")
    assert not other[0].same_revision
    assert "its revision is still 1" in " ".join(text_lines(kept, "o", "n"))


# --- as text and as values ---


def both(old: str, new: str) -> tuple[FileDifference, ...]:
    """Two revisions of one procedure as a set."""
    return compare_sets(trees(("procedure", "x", old)), trees(("procedure", "x", new)))


def test_the_text_shows_old_and_new() -> None:
    """The page of a comparison, whole."""
    new = (
        steps("acb")
        .replace("revision: 1", "revision: 2")
        .replace("Do a.", "Do it.")
        .replace("purpose: Y", "purpose: Z")
    )

    assert list(text_lines(both(steps("abc"), new), "file old.yaml", "file new.yaml")) == [
        "Old: file old.yaml",
        "New: file new.yaml",
        "",
        "PROCEDURE x, X, revision 1 to 2",
        "  head, changed",
        "    revision",
        "      old: 1",
        "      new: 2",
        "    purpose",
        "      old: Y.",
        "      new: Z.",
        "! step a, changed: Do it.",
        "  ! do",
        "      old: Do a.",
        "      new: Do it.",
        "! step c, moved from place 3 to 2: Do c.",
        "",
        "3 differences in 1 text; 2 marked !, since they may bear on safety.",
    ]


def test_the_text_is_80_columns_wide() -> None:
    """Long sentences wrap."""
    new = steps("a").replace("Do a.", "Do " + "what has to be done " * 12)

    assert max(len(line) for line in text_lines(both(steps("a"), new), "o" * 40, "n")) <= 80


def test_no_difference_is_said_so() -> None:
    """A comparison without a difference is not an empty page."""
    assert total_words(()) == "No difference."
    assert list(text_lines((), "a", "b")) == ["Old: a", "New: b", "", "No difference."]


def test_the_values_hold_what_the_text_holds() -> None:
    """The JSON form has each difference with its marks."""
    made = to_json(both(steps("abc"), steps("ab").replace("Do b.", "Do it.")), "o", "n")

    assert made["differs"] is True
    assert made["bears_on_safety"] is True
    assert made["texts"][0]["differences"] == [  # type: ignore[index]
        {
            "how": ["changed"],
            "kind": "step",
            "id": "b",
            "says": "Do it.",
            "old_place": 2,
            "new_place": 2,
            "bears_on_safety": True,
            "changes": [{"key": "do", "old": "Do b.", "new": "Do it.", "bears_on_safety": True}],
        },
        {
            "how": ["removed"],
            "kind": "step",
            "id": "c",
            "says": "Do c.",
            "old_place": 3,
            "new_place": None,
            "bears_on_safety": True,
            "changes": [],
        },
    ]


# --- what cannot be compared ---


def test_a_broken_file_is_a_bad_file() -> None:
    """A text that is no YAML is told with its finding; a text without keys is told as such."""
    with pytest.raises(BadFile):
        read_tree("procedure: [", "f")
    with pytest.raises(NoFileError, match=r"f holds no keys"):
        read_tree("- a\n- b\n", "f")
    with pytest.raises(NoFileError):
        read_tree("", "f")
