"""The likely causes of a set of readings, ranked by how well each fault, put into this circuit, explains them.

Rules
1. No reading of any fault is written down anywhere: each fault is a change of the card's network, which is solved.
2. Advice only, in binary floats: nothing from here enters an event, is compared in a replay, or is a verdict.
3. One cause at a time, or none: where no single fault explains the readings, nothing is said.
4. A network wants every length; a card without them gets no ranking, because lengths are not guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import groupby
from math import exp

from ferrule.engine.electrics.model import Circuit
from ferrule.engine.network.cause_families import as_kept, candidates
from ferrule.engine.network.cause_scene import Candidate
from ferrule.engine.network.circuit import Network, build
from ferrule.engine.network.probes import INSULATION, RADIAL_PROBES, RING_PROBES, Told, amount, spoken, told
from ferrule.engine.network.readings import Test
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import convert

MOST, LEAST = 6, 3
"""At most so many causes are named, for a longer list helps nobody; and so many at least, to show what falls away."""
LEAST_SCORE = 0.01
_LOW_SPREAD, _LOOP_SPREAD = (0.01, 0.01), (0.05, 0.03)
"""One standard deviation as a share and in ohm: low readings of one instrument and null; a loop reading (common
practice)."""
_OPEN_OFF = 6.0
"""Standard deviations that an open reading lies from any number; also the most that one reading can count."""
_FAR_BEHIND = 4 * _OPEN_OFF**2
"""A candidate that four open readings contradict more than the best one is given up."""
_WORST_FIT = 3.0
"""Where a reading lies further off than this on average, no cause tried explains it (three deviations)."""
_SAME_FIT = 2.0
"""Places whose misfit is this near to the best are not told apart."""
_METAL_OHM, _SOUND_OHM = 1_000.0, 1_000_000.0
"""An insulation reading below the first is a metal path, above the second none; between them it may be damp."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause: what, where, how well it explains the readings beside the others, and what would tell."""

    title: str
    where: str
    score: float
    """Its share of the fit among the causes that were tried, 0 to 1; no probability: what was not tried has none."""
    separates_by: str
    """The reading that would tell it from the next cause, or tells already; empty where no reading would."""


@dataclass(slots=True)
class _Tried:
    """A candidate with its network and what has been worked out of it so far."""

    candidate: Candidate
    network: Network
    ze_ohm: float
    by_lead: bool
    """True when the readings of the protective conductor were taken by the long lead."""
    known: dict[Test | str, Told] = field(default_factory=dict)
    misfit: float = 0.0

    def told(self, probe: Test | str) -> Told:
        """What a probe reads, worked out once."""
        if probe not in self.known:
            self.known[probe] = as_kept(told(self.network, probe, self.ze_ohm), probe, by_lead=self.by_lead)
        return self.known[probe]


def ranked_causes(
    circuit: Circuit, readings: Mapping[str, Reading], ze_ohm: float | None = None, *, long_lead: bool = False
) -> tuple[Cause, ...]:
    """The causes that explain the readings, best first; none where nothing was read, or nothing explains it.

    `long_lead` says that a radial's protective conductor was read by itself; on a ring it always is.
    """
    seen = observed(circuit, readings, with_loop=ze_ohm is not None)
    try:
        sound = build(circuit)
    except ValueError:
        return ()
    if not seen:
        return ()
    probes = RING_PROBES if circuit.kind == "ring" else RADIAL_PROBES
    by_lead = long_lead or circuit.kind == "ring"
    asked = [probe for probe in probes if _was_asked(probe, seen, by_lead=by_lead)]
    ze = ze_ohm or 0.0
    every = [_Tried(each, each.network, ze, by_lead) for each in candidates(sound, seen, ze, by_lead=by_lead)]
    tried = _sift(every, asked, seen)
    best = min((each.misfit for each in tried), default=None)
    if best is None or best > _WORST_FIT**2 * len(seen):
        return ()
    return _told_apart(_by_title(tried), best, seen, probes)


def observed(circuit: Circuit, readings: Mapping[str, Reading], *, with_loop: bool = True) -> Told:
    """The readings that a network can explain, in ohm; None where the circuit was open."""
    found: Told = {}
    for key, reading in readings.items():
        head = key.partition("/")[0]
        rings = ("r1", "rn", "r2", "ring-two", "ring-three") if circuit.kind == "ring" else ()
        if head == INSULATION:
            _note_insulation(found, key, reading)
        elif head in (*rings, "cpc") or (head == "zs" and with_loop):
            if reading.state is CellState.OVER_RANGE:
                found[key] = None
            elif reading.state is CellState.VALUE and reading.value is not None:
                found[key] = float(convert(reading.value, reading.unit, "ohm"))
    return found


def _note_insulation(found: Told, key: str, reading: Reading) -> None:
    if reading.value is None or key.count("/") > 1 or key == "insulation/LN-E":
        return
    ohm = float(convert(reading.value, reading.unit, "ohm"))
    if reading.state is CellState.VALUE and ohm <= _METAL_OHM:
        found[key] = 0.0
    elif ohm >= _SOUND_OHM:
        found[key] = None


def _was_asked(probe: Test | str, seen: Told, *, by_lead: bool) -> bool:
    """True when a probe gives one of the readings that were taken."""
    special: dict[Test | str, tuple[str, ...]] = {
        Test.END_TO_END: ("r1", "rn", "r2"),
        Test.LINKED: () if by_lead else ("cpc",),
        Test.LONG_LEAD: ("cpc",) if by_lead else (),
    }
    heads = special.get(probe, (str(probe),))
    return any(key.partition("/")[0] in heads for key in seen)


def _sift(tried: list[_Tried], asked: list[Test | str], seen: Told) -> list[_Tried]:
    """The candidates with their misfit; one that falls far behind after a probe is not followed further."""
    open_keys = set(seen)
    for probe in asked:
        keys = [key for key in seen if key in open_keys and any(key in each.told(probe) for each in tried)]
        for each in tried:
            found = each.told(probe)
            each.misfit += sum(_off(key, seen[key], found[key]) ** 2 if key in found else _OPEN_OFF**2 for key in keys)
        open_keys.difference_update(keys)
        best = min((each.misfit for each in tried), default=0.0)
        tried = [each for each in tried if each.misfit <= best + _FAR_BEHIND]
    return tried


def _off(key: str, read: float | None, value: float | None) -> float:
    """How many standard deviations a reading lies from what a candidate makes of it."""
    if read is None or value is None:
        return 0.0 if read is value else _OPEN_OFF
    share, step = _LOOP_SPREAD if key.startswith("zs") else _LOW_SPREAD
    return min(abs(read - value) / (step + share * value), _OPEN_OFF)


def _by_title(tried: list[_Tried]) -> list[list[_Tried]]:
    """The candidates in groups of one title, best first in each; groups by their best."""
    ordered = sorted(tried, key=lambda each: (each.candidate.title, each.misfit, each.candidate.where))
    groups = [list(group) for _, group in groupby(ordered, key=lambda each: each.candidate.title)]
    return sorted(groups, key=lambda group: (-group[0].candidate.prior * exp(-group[0].misfit / 2), group[0].misfit))


def _told_apart(
    groups: list[list[_Tried]], best: float, seen: Told, probes: tuple[Test | str, ...]
) -> tuple[Cause, ...]:
    weights = [group[0].candidate.prior * exp(-(group[0].misfit - best) / 2) for group in groups]
    total = sum(weights)
    shares = [(group, weight / total) for group, weight in zip(groups, weights, strict=True)]
    likely = sum(share >= LEAST_SCORE for _, share in shares)
    kept = shares[: min(max(likely, LEAST), MOST)]
    return tuple(
        Cause(
            group[0].candidate.title,
            _places(group),
            round(share, 3),
            "" if (rival := _rival(kept, place)) is None else _separates(group[0], rival, seen, probes),
        )
        for place, (group, share) in enumerate(kept)
    )


def _rival(kept: list[tuple[list[_Tried], float]], place: int) -> _Tried | None:
    """The neighbour in the list that explains the readings most nearly alike, the next one where both do."""
    near = [kept[other][0][0] for other in (place + 1, place - 1) if 0 <= other < len(kept)]
    return min(near, key=lambda each: abs(each.misfit - kept[place][0][0].misfit), default=None)


def _places(group: list[_Tried]) -> str:
    """Where the fault lies, as far as the readings tell; a longer list means that they do not."""
    near = [each.candidate.where for each in group if each.misfit <= group[0].misfit + _SAME_FIT]
    named = list(dict.fromkeys(where for where in near if where))
    if len(named) > 3:
        return f"{named[0]} or {len(named) - 1} other places: these readings do not tell where"
    return " or ".join(named)


def _separates(one: _Tried, other: _Tried, seen: Told, probes: tuple[Test | str, ...]) -> str:
    """What tells two causes apart: a reading taken already, else the first of the work's order that would."""
    if abs(one.misfit - other.misfit) >= _WORST_FIT**2:
        return _told_already(one, other, seen)
    for probe in probes:
        if probe is Test.LOOP and not one.ze_ohm:
            continue
        first, second = one.told(probe), other.told(probe)
        differ = {key: _off(key, first[key], second[key]) for key in first if key in second and key not in seen}
        key = max(differ, key=lambda k: differ[k], default="")
        if key and differ[key] >= _WORST_FIT:
            return f"{spoken(key)}: {_either(key, first[key], second[key], other)}"
    return one.candidate.look if one.candidate.look != other.candidate.look else ""


def _told_already(one: _Tried, other: _Tried, seen: Told) -> str:
    """The reading that was taken and speaks most clearly for one of the two."""
    told_one = {key: value for found in one.known.values() for key, value in found.items() if key in seen}
    told_other = {key: value for found in other.known.values() for key, value in found.items() if key in seen}
    differ = {key: _off(key, told_one[key], told_other[key]) for key in told_one if key in told_other}
    key = max(differ, key=lambda k: differ[k], default="")
    if not key or differ[key] < 1:
        return ""
    said = _either(key, told_one[key], told_other[key], other)
    return f"{spoken(key)} tells already, {amount(key, seen[key])}: {said}"


def _either(key: str, first: float | None, second: float | None, other: _Tried) -> str:
    return f"{amount(key, first)} if it is this, {amount(key, second)} if it is “{other.candidate.title.lower()}”"
