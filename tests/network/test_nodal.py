"""Nodal analysis on networks whose answer is known by hand."""

from __future__ import annotations

import pytest

from ferrule.engine.network.nodal import Branch, Solved


@pytest.mark.parametrize(
    ("branches", "a", "b", "ohm"),
    [
        ([("a", "b", 2.0)], "a", "b", 2.0),
        ([("a", "b", 2.0), ("b", "c", 3.0)], "a", "c", 5.0),
        ([("a", "b", 2.0), ("a", "b", 2.0)], "a", "b", 1.0),
        ([("a", "b", 3.0), ("b", "c", 3.0), ("a", "c", 3.0)], "a", "b", 2.0),
        ([("a", "b", 0.0), ("b", "c", 4.0)], "a", "c", 4.0),
        ([("a", "b", 0.0), ("b", "c", 0.0)], "a", "c", 0.0),
        ([("a", "b", 5.0), ("a", "b", 0.0)], "a", "b", 0.0),
        ([("a", "b", 1.0)], "a", "a", 0.0),
    ],
)
def test_small_networks(branches: list[tuple[str, str, float]], a: str, b: str, ohm: float) -> None:
    """Series, parallel, delta and joins of zero ohm (Ohm's law)."""
    assert Solved(Branch(*branch) for branch in branches).between(a, b) == pytest.approx(ohm)


def test_cube_of_equal_resistors() -> None:
    """The textbook cube: 5/6 Ω across the body, 3/4 Ω across a face, 7/12 Ω along an edge."""
    corners = [f"{corner:03b}" for corner in range(8)]
    edges = [
        Branch(one, other, 1.0)
        for one in corners
        for other in corners
        if one < other and sum(x != y for x, y in zip(one, other, strict=True)) == 1
    ]
    solved = Solved(edges)

    found = [solved.between("000", other) for other in ("111", "011", "001")]

    assert found == pytest.approx([5 / 6, 3 / 4, 7 / 12])


def test_bridge_out_of_balance() -> None:
    """An unbalanced bridge: 1, 2, 3, 4 Ω arms and 5 Ω across give 170/71 Ω by delta-star on paper."""
    arms = [("a", "x", 1.0), ("a", "y", 2.0), ("x", "b", 3.0), ("y", "b", 4.0), ("x", "y", 5.0)]

    assert Solved(Branch(*arm) for arm in arms).between("a", "b") == pytest.approx(170 / 71)


def test_no_path_is_open() -> None:
    """Two parts that hang apart, or a node that is in neither, read open and not zero."""
    solved = Solved([Branch("a", "b", 1.0), Branch("c", "d", 1.0)])

    assert solved.between("a", "c") is None
    assert solved.between("a", "nowhere") is None


def test_resistance_is_the_same_both_ways() -> None:
    """R(a, b) equals R(b, a), and a further parallel path never raises it."""
    branches = [Branch("a", "b", 1.5), Branch("b", "c", 2.5), Branch("c", "a", 0.5), Branch("c", "d", 4.0)]
    solved, more = Solved(branches), Solved([*branches, Branch("a", "d", 3.0)])

    forward, back, lower = solved.between("a", "d"), solved.between("d", "a"), more.between("a", "d")

    assert forward == pytest.approx(back)
    assert lower is not None
    assert forward is not None
    assert lower < forward


def test_a_negative_resistance_is_refused() -> None:
    """Nothing physical has a resistance below zero."""
    with pytest.raises(ValueError, match="below zero"):
        Solved([Branch("a", "b", -1.0)])
