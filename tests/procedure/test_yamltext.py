"""The text of a file becomes a tree of texts with places, the same with either parser, or findings."""

import subprocess
import sys

import pytest

from ferrule.engine.findings import Findings, Place
from ferrule.engine.procedure.yamltext import MAX_BYTES, MAX_NODES, Node, Series, Table, Text, parse_yaml
from tests.procedure.cases import bad_files, good_set

BROKEN = [
    "a: b: c",
    "a: [1",
    "a: 'x",
    "- a\nb: c",
    'a: "\\q"',
    "a: @b",
    "%FOO\n---\na: b",
    "? [a]\n: b",
    ": b",
    "<<: {a: b}",
    "a: &x 1\nb: *x\n",
    "a: !t 1\n",
    "a: 1\n---\nb: 2\n",
    "{a: b?}",
    "{a: b:c}",
    "a: 1\na: 2\n",
    "\ta: 1",
    'a: "\\UFFFFFFFF"',
]


def shape(node: Node | None) -> object:
    """A tree with every text, place and inset, to compare two readings of one file."""
    if isinstance(node, Table):
        return node.place, [(key, node.keys_at[key], shape(part)) for key, part in node.items()]
    if isinstance(node, Series):
        return node.place, [shape(part) for part in node]
    return None if node is None else (str(node), node.place, node.inset)


def table(text: str, *, pure: bool = False) -> Table:
    """The table of a text that is sound."""
    node, found = parse_yaml(text, "f.yaml", pure=pure)
    assert not found.all()
    assert isinstance(node, Table)
    return node


def codes(found: Findings) -> list[str]:
    """The codes of all findings in order."""
    return [finding.code for finding in found.all()]


@pytest.mark.parametrize("text", ["012", "1_000", ".nan", "0x1F", "2027-03-01", "true", "~", "1e3", "12:30", "0.50"])
def test_a_scalar_stays_the_text_that_was_written(text: str) -> None:
    """No word of a file turns into a number, a date or a truth value while it is read."""
    for pure in (False, True):
        read = table(f"key: {text}\n", pure=pure)["key"]

        assert type(read) is Text
        assert read == text


def test_every_node_knows_its_place() -> None:
    """Keys, texts, lists and tables carry the line and column at which they begin, and the way to them."""
    read = table("one: 'a'\nlist:\n  - x\n  - {k: v}\n")
    series = read["list"]

    assert read.keys_at["list"] == Place("f.yaml", 2, 1, "")
    assert isinstance(series, Series)
    assert series[0].place == Place("f.yaml", 3, 5, "list[0]")
    inner = series[1]
    assert isinstance(inner, Table)
    assert inner["k"].place == Place("f.yaml", 4, 9, "list[1].k")
    text = read["one"]
    assert isinstance(text, Text)
    assert text.spot(1).column == 7


def test_a_column_inside_a_rewritten_text_is_not_invented() -> None:
    """Where the text was folded or had escapes, a fault inside it is shown at the text and nowhere else."""
    for text in ('key: "a\\x41b"\n', "key: >\n  two\n  lines\n", "key: two\n  lines\n"):
        read = table(text)["key"]

        assert isinstance(read, Text)
        assert read.inset is None
        assert read.spot(3) == read.place


@pytest.mark.parametrize("text", [*BROKEN, *(entry[2] for entry in good_set()), *(bad.text for bad in bad_files())])
def test_both_parsers_give_the_same_result(text: str) -> None:
    """With or without the C parser a file gives the same tree, or the same findings at the same places."""
    fast, found_fast = parse_yaml(text, "f.yaml")
    pure, found_pure = parse_yaml(text, "f.yaml", pure=True)

    assert found_fast.all() == found_pure.all()
    assert shape(fast) == shape(pure)


@pytest.mark.parametrize("text", BROKEN)
def test_what_is_not_allowed_is_refused(text: str) -> None:
    """Each part of YAML that a person does not need is refused with a finding."""
    assert parse_yaml(text, "f.yaml")[1].has_errors()


def test_all_refusals_of_a_file_come_at_once() -> None:
    """An anchor, a tag and a doubled key in one file are all told, not only the first."""
    _, found = parse_yaml("a: &x 1\nb: !t 2\na: 3\n", "f.yaml")

    assert codes(found) == ["yaml-forbidden", "yaml-forbidden", "duplicate-key"]


def test_size_and_number_of_nodes_are_bounded() -> None:
    """A file that is too large in bytes or in nodes is refused before a tree is made of it."""
    for text in ("a: " + "x" * MAX_BYTES, "[" + "a," * MAX_NODES + "a]", "a: 'é" + "é" * (MAX_BYTES // 2) + "'"):
        node, found = parse_yaml(text, "f.yaml")

        assert node is None
        assert codes(found) == ["too-large"]


def test_the_bounds_themselves_are_allowed() -> None:
    """Twenty levels and 5,000 nodes are still read, one more is not."""
    assert not parse_yaml("[" * 19 + "a" + "]" * 19, "f.yaml")[1].has_errors()
    assert codes(parse_yaml("[" * 20 + "a" + "]" * 20, "f.yaml")[1]) == ["too-large"]
    assert not parse_yaml("[" + "a," * (MAX_NODES - 2) + "a]", "f.yaml")[1].has_errors()
    assert codes(parse_yaml("[" + "a," * (MAX_NODES - 1) + "a]", "f.yaml")[1]) == ["too-large"]


@pytest.mark.parametrize("char", ["\u202e", "\u200b", "\ufeff", "\x00", "\x85", "\u2028", "\ud800", "\ue000", "\x1b"])
def test_a_hidden_character_is_refused_wherever_it_stands(char: str) -> None:
    """A hidden character is refused in a text, in a key and in a comment, with its line and column."""
    for text, column in ((f"a: b{char}\n", 5), (f"a{char}: b\n", 2), (f"a: b # {char}\n", 8)):
        node, found = parse_yaml(f"x: y\n{text}", "f.yaml")

        assert node is None
        assert [(f.code, f.place) for f in found.all()] == [("text-policy", Place("f.yaml", 2, column))]


def test_a_line_break_belongs_into_a_block_text_only() -> None:
    """A block text may hold line breaks; an escape that hides one in a short text is refused."""
    assert table("a: |\n  one\n  two\n")["a"] == "one\ntwo\n"
    assert codes(parse_yaml('a: "one\\ntwo"\n', "f.yaml")[1]) == ["text-policy"]


def test_lines_are_counted_alike_for_each_line_end() -> None:
    """Places are the same whether lines end as on Windows or as elsewhere."""
    text = "a: 1\nb:\n  - c\n"

    assert shape(table(text)) == shape(table(text.replace("\n", "\r\n")))


def test_without_the_c_parser_files_are_read_all_the_same() -> None:
    """Where the C parser is not installed the pure one takes its place by itself."""
    code = (
        "import sys\n"
        "for name in ('_ruamel_yaml', 'ruamel.yaml.clib', 'ruamel.yaml.clib._ruamel_yaml'): sys.modules[name] = None\n"
        "import ruamel.yaml\n"
        "from ferrule.engine.procedure.yamltext import parse_yaml\n"
        "print(ruamel.yaml.__with_libyaml__, *parse_yaml('a: [b, c]', 'f.yaml')[0]['a'])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == ["False", "b", "c"]
