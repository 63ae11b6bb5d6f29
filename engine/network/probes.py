"""What a network can tell about a fault: the readings of the job, and further ones that tell causes apart.

The keys are those under which a job keeps its readings; further readings have keys of their own.
Floats only; advice, never evidence: nothing from here enters an event or is compared in a replay.
"""

from __future__ import annotations

from itertools import combinations

from ferrule.engine.network.circuit import CONDUCTORS, EARTH, LEG_1, LEG_2, LINE, NEUTRAL, Network, node, terminal_node
from ferrule.engine.network.nodal import Branch, Solved
from ferrule.engine.network.readings import BAR, Test, joined, links, read

Told = dict[str, float | None]
"""Key to what is read; None is an open reading, or for volts one that does not stand still."""

INSULATION, PROBE_TWO, PROBE_THREE, VOLTS = "insulation", "probe-two", "probe-three", "volts"
NOMINAL_V = 230.0
"""Stands for full supply voltage in advice; no limit is taken from it."""

RING_PROBES: tuple[Test | str, ...] = (
    Test.END_TO_END,
    Test.CROSS_ENDS,
    Test.STEP_TWO,
    Test.STEP_THREE,
    INSULATION,
    PROBE_TWO,
    PROBE_THREE,
    Test.LONG_LEAD,
    Test.LOOP,
    VOLTS,
)
"""What may be asked of a ring, dead before live and the usual before the unusual."""
RADIAL_PROBES: tuple[Test | str, ...] = (Test.LINKED, INSULATION, Test.LONG_LEAD, Test.LOOP, VOLTS)

_WORDS = {
    "l1-n2": "line leg 1 to neutral leg 2",
    "n1-l2": "neutral leg 1 to line leg 2",
    "ring-two": "step two",
    "ring-three": "step three",
    "cpc": "the protective conductor",
    "cpc-lead": "the protective conductor by the long lead",
    "zs": "Zs",
    "insulation/L-N": "insulation line to neutral",
    "insulation/L-E": "insulation line to earth",
    "insulation/N-E": "insulation neutral to earth",
    "probe-two/L-E": "line and neutral legs crossed, line to earth terminal",
    "probe-two/N-E": "line and neutral legs crossed, neutral to earth terminal",
    "probe-three/L-N": "line and protective legs crossed, line to neutral terminal",
    "probe-three/N-E": "line and protective legs crossed, neutral to earth terminal",
    "live/L-N": "volts line to neutral",
    "live/L-E": "volts line to earth",
    "live/N-E": "volts neutral to earth",
}


def told(network: Network, probe: Test | str, ze_ohm: float) -> Told:
    """What one probe reads on a network."""
    if isinstance(probe, Test):
        return read(network, probe, ze_ohm=ze_ohm)
    if probe == INSULATION:
        return _insulation(network)
    if probe == VOLTS:
        return _volts(network)
    return _crosswise(network, probe)


def spoken(key: str) -> str:
    """A key in words, e.g. `step two at S5`."""
    if key in _WORDS:
        return _WORDS[key]
    head, _, point = key.rpartition("/")
    return f"{_WORDS.get(head, head)} at {point}" if head else key


def amount(key: str, value: float | None) -> str:
    """A reading in words."""
    if key.startswith("live/"):
        return "nothing steady" if value is None else f"{value:.0f} V"
    if key.startswith("insulation/"):
        return "above range" if value is None else "0.00 MΩ"
    return "open" if value is None else f"{value:.2f} Ω"


def _insulation(network: Network) -> Told:
    """Each pair at the board, the two legs of a conductor together: nothing over a metal path, else above range."""
    legs = (LEG_1, LEG_2) if network.kind == "ring" else (LEG_1,)
    together = [Branch(node(c, legs[0]), node(c, legs[-1]), 0.0) for c in CONDUCTORS if len(legs) > 1]
    solved = Solved([*network.branches(), *together])
    return {
        f"insulation/{a}-{b}": None if solved.between(node(a, LEG_1), node(b, LEG_1)) is None else 0.0
        for a, b in combinations(CONDUCTORS, 2)
    }


def _crosswise(network: Network, probe: str) -> Told:
    """The two pairs of terminals that a step of the ring does not read, its legs still crossed."""
    other, pairs = (NEUTRAL, ((LINE, EARTH), (NEUTRAL, EARTH)))
    if probe == PROBE_THREE:
        other, pairs = (EARTH, ((LINE, NEUTRAL), (NEUTRAL, EARTH)))
    solved = Solved([*network.branches(), *links(network, other)])
    return {
        f"{probe}/{a}-{b}/{point}": solved.between(terminal_node(point, a), terminal_node(point, b))
        for point in network.points
        for a, b in pairs
    }


def _volts(network: Network) -> Told:
    """Full supply voltage between a terminal on the line and one on neutral or earth, none between those two."""
    solved = Solved([*joined(network), Branch(BAR[NEUTRAL], BAR[EARTH], 0.0)])

    def at(point: str, terminal: str) -> float | None:
        here = terminal_node(point, terminal)
        if solved.between(here, BAR[LINE]) is not None:
            return NOMINAL_V
        return None if solved.between(here, BAR[NEUTRAL]) is None else 0.0

    found: Told = {}
    for point in network.points:
        volts = {terminal: at(point, terminal) for terminal in CONDUCTORS}
        for a, b in combinations(CONDUCTORS, 2):
            first, second = volts[a], volts[b]
            found[f"live/{a}-{b}/{point}"] = None if first is None or second is None else abs(first - second)
    return found
