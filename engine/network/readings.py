"""What each test would read on a circuit with given faults, by nodal analysis.

The keys are those of the readings in a job (`r1`, `ring-two/S5`); None is an open reading.
Used to test hand formulas a second way, to write fault scripts, and for practice; advice, never evidence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum

from ferrule.engine.electrics.model import Circuit
from ferrule.engine.network.circuit import (
    EARTH,
    LEG_1,
    LEG_2,
    LINE,
    NEUTRAL,
    Network,
    build,
    node,
    terminal_node,
)
from ferrule.engine.network.faults import Fault, apply_all
from ferrule.engine.network.nodal import Branch, Solved


class Test(StrEnum):
    """A test of the job that a resistive network can answer."""

    __test__ = False

    END_TO_END = "end-to-end"
    """`r1`, `rn`, `r2` with all legs apart."""
    CROSS_ENDS = "cross-ends"
    """`l1-n2` and `n1-l2`: leg 1 of line to leg 2 of neutral and the other way, all legs apart."""
    STEP_TWO = "ring-two"
    """Line to neutral at each point, line and neutral legs linked crosswise."""
    STEP_THREE = "ring-three"
    """Line to protective conductor at each point, those legs linked crosswise."""
    LINKED = "cpc"
    """Line to protective conductor at each point of a radial, linked at the board."""
    LONG_LEAD = "cpc-lead"
    """Protective conductor from the earth bar to each point, legs joined."""
    LANDED_EARTH = "landed-earth"
    """Load-line screw to earth bar with a line-to-earth link in each point in turn, all legs landed."""
    LANDED_NEUTRAL = "landed-neutral"
    """Load-line screw to load-neutral screw with a line-to-neutral link in each point in turn."""
    LOOP = "zs"
    """Loop impedance at each point, all legs landed and neutral tied to earth at the origin."""


Readings = Mapping[str, float | None]
BAR = {LINE: "bar:L", NEUTRAL: "bar:N", EARTH: "bar:E"}
"""The nodes at the board on which the legs of each conductor are landed."""


def readings_of(
    circuit: Circuit, faults: Iterable[Fault], test: Test, *, ze_ohm: float = 0.0
) -> dict[str, float | None]:
    """What a test reads on the circuit with these faults; `ze_ohm` counts for the loop test only."""
    return read(apply_all(build(circuit), faults), test, ze_ohm=ze_ohm)


def read(network: Network, test: Test, *, ze_ohm: float = 0.0) -> dict[str, float | None]:
    """What a test reads on a network."""
    match test:
        case Test.END_TO_END | Test.CROSS_ENDS:
            return _ends(network, test)
        case Test.STEP_TWO:
            return _at_points(network, test, links(network, NEUTRAL), (LINE, NEUTRAL))
        case Test.STEP_THREE:
            return _at_points(network, test, links(network, EARTH), (LINE, EARTH))
        case Test.LINKED:
            link = Branch(node(LINE, LEG_1), node(EARTH, LEG_1), 0.0)
            return _at_points(network, test, [link], (LINE, EARTH))
        case Test.LONG_LEAD:
            return _from_bar(network, test)
        case Test.LANDED_EARTH:
            return _landed(network, test, EARTH)
        case Test.LANDED_NEUTRAL:
            return _landed(network, test, NEUTRAL)
        case Test.LOOP:
            return _loop(network, ze_ohm)


def _plus_lead(network: Network, ohm: float | None) -> float | None:
    return None if ohm is None else ohm + network.lead_ohm


def _ends(network: Network, test: Test) -> dict[str, float | None]:
    if network.kind != "ring":
        raise ValueError("only a ring has two ends of each conductor")
    solved = Solved(network.branches())
    pairs = {"r1": (LINE, LINE), "rn": (NEUTRAL, NEUTRAL), "r2": (EARTH, EARTH)}
    if test is Test.CROSS_ENDS:
        pairs = {"l1-n2": (LINE, NEUTRAL), "n1-l2": (NEUTRAL, LINE)}
    return {
        key: _plus_lead(network, solved.between(node(first, LEG_1), node(second, LEG_2)))
        for key, (first, second) in pairs.items()
    }


def links(network: Network, other: str) -> list[Branch]:
    """The tester's two links between line and another conductor at the board."""
    if network.kind != "ring":
        raise ValueError("only a ring has legs to link crosswise")
    far, near = (LEG_1, LEG_2) if network.straight_links else (LEG_2, LEG_1)
    return [
        Branch(node(LINE, LEG_1), node(other, far), 0.0),
        Branch(node(LINE, LEG_2), node(other, near), 0.0),
    ]


def _at_points(network: Network, test: Test, links: list[Branch], pair: tuple[str, str]) -> dict[str, float | None]:
    solved = Solved([*network.branches(), *links])
    first, second = pair
    return {
        f"{test.value}/{point}": _plus_lead(
            network, solved.between(terminal_node(point, first), terminal_node(point, second))
        )
        for point in network.points
    }


def joined(network: Network) -> list[Branch]:
    """All legs landed on their bars, except those left out."""
    legs = (LEG_1, LEG_2) if network.kind == "ring" else (LEG_1,)
    ends = [(bar, node(conductor, leg)) for conductor, bar in BAR.items() for leg in legs]
    return [*network.branches(), *(Branch(bar, end, 0.0) for bar, end in ends if end not in network.left_out)]


def _from_bar(network: Network, test: Test) -> dict[str, float | None]:
    solved = Solved(joined(network))
    return {
        f"{test.value}/{point}": _plus_lead(network, solved.between(BAR[EARTH], terminal_node(point, EARTH)))
        for point in network.points
    }


def _landed(network: Network, test: Test, other: str) -> dict[str, float | None]:
    """Screw to screw at the board, a plug-in link in each point in turn."""
    branches = joined(network)
    return {
        f"{test.value}/{point}": _plus_lead(
            network,
            Solved([*branches, Branch(terminal_node(point, LINE), terminal_node(point, other), 0.0)]).between(
                BAR[LINE], BAR[other]
            ),
        )
        for point in network.points
    }


def _loop(network: Network, ze_ohm: float) -> dict[str, float | None]:
    """Ze in line with the way out and the way back; neutral and earth meet at the origin.

    No reading where the terminals do not lie on the two sides of the supply: nothing drives the test there.
    """
    passive = [*joined(network), Branch(BAR[EARTH], BAR[NEUTRAL], 0.0)]
    sides, solved = Solved(passive), Solved([*passive, Branch(BAR[LINE], BAR[EARTH], ze_ohm)])

    def loop_at(point: str) -> float | None:
        line, earth = terminal_node(point, LINE), terminal_node(point, EARTH)
        on_line = [sides.between(terminal, BAR[LINE]) is not None for terminal in (line, earth)]
        on_back = [sides.between(terminal, BAR[EARTH]) is not None for terminal in (line, earth)]
        if sorted((on_line, on_back)) != [[False, True], [True, False]]:
            return None
        return solved.between(line, earth)

    return {f"{Test.LOOP.value}/{point}": loop_at(point) for point in network.points}
