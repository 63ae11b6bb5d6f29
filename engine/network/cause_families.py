"""The faults that are tried on a circuit: each kind at every place, its size fitted to what was read.

For: the ranking of causes.
Must never: hold a reading of a fault; sizes follow from the readings and from the sound network alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from ferrule.engine.electrics.tables import MOHM_PER_M
from ferrule.engine.network.cause_extras import extra_points
from ferrule.engine.network.cause_scene import ENDS, NAMES, NEAR_OHM, UNUSUAL, USUAL, Candidate, Scene, Told
from ferrule.engine.network.circuit import CONDUCTORS, EARTH, LEG_1, LEG_2, LINE, NEUTRAL, Network, Piece
from ferrule.engine.network.faults import (
    Bridge,
    CrossedInLeg,
    LeadNotNulled,
    LegLeftOut,
    LooseJoint,
    NotLanded,
    OnSpur,
    OpenConductor,
    Reversed,
    Scaled,
    StraightLinks,
    Touch,
)
from ferrule.engine.network.readings import Test, read


def as_kept(found: Told, test: Test | str, *, by_lead: bool) -> Told:
    """Readings under the keys that a job keeps them by: `cpc` holds what was read in the way that was used."""
    if test is Test.LONG_LEAD and by_lead:
        return {key.replace(Test.LONG_LEAD.value, "cpc", 1): value for key, value in found.items()}
    if test is Test.LINKED and by_lead:
        return {key.replace(Test.LINKED.value, "cpc-linked", 1): value for key, value in found.items()}
    return found


def candidates(sound: Network, seen: Told, ze_ohm: float, *, by_lead: bool) -> list[Candidate]:
    """Every fault worth trying for these readings, the sound circuit among them."""
    ring = (Test.END_TO_END, Test.STEP_TWO, Test.STEP_THREE) if sound.kind == "ring" else ()
    tests: list[Test] = [*ring, Test.LONG_LEAD if by_lead else Test.LINKED]
    if any(key.startswith("zs/") for key in seen):
        tests.append(Test.LOOP)
    expected: Told = {}
    for test in tests:
        expected |= as_kept(read(sound, test, ze_ohm=ze_ohm), test, by_lead=by_lead)
    scene = Scene(sound, expected, seen)
    if scene.extra:
        return list(extra_points(scene))
    found = [Candidate("Nothing that a resistance shows", "", (), USUAL, sound)]
    families = (_opens, _joints, _leads, _sizes, _bridges, _links, _terminals, _touches, _spurs, _left_out)
    for family in families:
        found.extend(family(scene))
    return found


def _between(start: str, end: str) -> str:
    words = {LEG_1: "the board (leg 1)", LEG_2: "the board (leg 2)"}
    return f"between {words.get(start, start)} and {words.get(end, end)}"


def _title(names: tuple[str, ...]) -> str:
    words = [NAMES[name] for name in names]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _opens(scene: Scene) -> Iterator[Candidate]:
    """Broken conductors, and two that change places: in each stretch, as many as the ends show open."""
    known = scene.ends()
    broken = tuple(c for c in known if scene.is_open(ENDS[c]))
    if known and not broken:
        return
    groups = [broken] if broken else [(c,) for c in _worth_breaking(scene)]
    for group in groups:
        for start, end in scene.stretches:
            faults = tuple(OpenConductor(c, start, end) for c in group)
            prior = USUAL if len(group) in (1, 3) else UNUSUAL
            yield Candidate(f"Open {_title(group)}", _between(start, end), faults, prior, scene.sound)
    for first, second in combinations(broken, 2):
        if len(broken) == 2:
            for start, end in scene.stretches:
                title = f"{NAMES[first].capitalize()} and {NAMES[second]} change places in a cable"
                cross = CrossedInLeg(first, second, start, end)
                yield Candidate(title, _between(start, end), (cross,), USUAL, scene.sound)


def _worth_breaking(scene: Scene) -> tuple[str, ...]:
    """The conductors whose break would show in what was read; none where all of it is sound."""
    return CONDUCTORS if scene.odd_points() else ()


def _joints(scene: Scene) -> Iterator[Candidate]:
    """One joint that adds resistance, in each stretch; its size from the ends, else from the steps, else from Zs."""
    for conductor in CONDUCTORS:
        title = f"Loose joint in the {NAMES[conductor]}"
        for ohm in _joint_ohms(scene, conductor):
            for start, end in scene.stretches if ohm > NEAR_OHM else ():
                faults = (LooseJoint(conductor, start, end, ohm),)
                yield Candidate(title, _between(start, end), faults, USUAL, scene.sound)


def _joint_ohms(scene: Scene, conductor: str) -> tuple[float, ...]:
    """The sizes that a joint in this conductor may have."""
    if scene.sound.kind == "radial":
        most = max((scene.over(key) for key in scene.seen if key.startswith("cpc/")), default=0.0)
        return (most,) if conductor != NEUTRAL else ()
    if ENDS[conductor] in scene.seen:
        return (scene.over(ENDS[conductor]),)
    slot = "ring-three" if conductor == EARTH else "ring-two"
    if any(key.startswith(slot) for key in scene.seen):
        # A quarter of what one leg gains shows at every socket of a crossed ring.
        return (4 * scene.mean_over(slot),)
    if conductor == NEUTRAL:
        return ()
    most = max((scene.over(key) for key in scene.seen if key.startswith("zs/")), default=0.0)
    # A joint shows in Zs with at most a quarter to the whole of its size, by its place between the two ways round.
    return tuple(times * most for times in (2.0, 4.0, 6.0))


def _leads(scene: Scene) -> Iterator[Candidate]:
    """Leads that were not nulled: the mean of what every low reading has too much."""
    low = [key for key, value in scene.seen.items() if value is not None and not key.startswith(("zs", "insulation"))]
    if not low:
        return
    ohm = sum(scene.over(key) for key in low) / len(low)
    if ohm > NEAR_OHM:
        yield Candidate("Leads not nulled", "in every low reading", (LeadNotNulled(ohm),), USUAL, scene.sound)


def _sizes(scene: Scene) -> Iterator[Candidate]:
    """Another length of the circuit, or another size of one conductor, than the card gives."""
    factors = {c: _factor(scene, ENDS[c]) for c in scene.ends()}
    if scene.sound.kind == "radial":
        factors = {key: _factor(scene, key) for key in scene.seen if key.startswith("cpc/")}
    known = [factor for factor in factors.values() if factor is not None]
    if known and len(known) == len(factors):
        mean = sum(known) / len(known)
        if abs(mean - 1) > 0.05:
            title = f"The circuit is {'longer' if mean > 1 else 'shorter'} than on the card"
            yield Candidate(title, f"by the factor {mean:.2f}", (Scaled("LNE", mean),), UNUSUAL, scene.sound)
    for conductor, factor in factors.items() if scene.sound.kind == "ring" else ():
        if factor is None or abs(factor - 1) < 0.05:
            continue
        ratios = sorted(_steps(scene, conductor), key=lambda step: abs(step - factor))
        if ratios and abs(ratios[0] - factor) < 0.1 * factor:
            title = f"Another size of {NAMES[conductor]} than on the card"
            yield Candidate(title, "all round", (Scaled(conductor, ratios[0]),), UNUSUAL, scene.sound)


def _factor(scene: Scene, key: str) -> float | None:
    value, sound = scene.seen.get(key), scene.expected.get(key)
    return None if not value or not sound else value / sound


def _steps(scene: Scene, conductor: str) -> list[float]:
    """What other sizes of the table would make of a conductor's resistance."""
    own = dict(scene.sound.ohm_per_m)[conductor]
    return [ratio for each in MOHM_PER_M.values() if abs((ratio := float(each.value) / 1000.0 / own) - 1) > 0.05]


def _bridges(scene: Scene) -> Iterator[Candidate]:
    """A cable across two points, its length from r1; only where all ends that were read are too low."""
    if scene.sound.kind != "ring" or not scene.ends() or any(scene.over(ENDS[c]) > -NEAR_OHM for c in scene.ends()):
        return
    for first, second in combinations(_round(scene), 2):
        fits = [_bridge_metres(scene, conductor, first, second) for conductor in scene.ends()]
        metres = [each for each in fits if each is not None]
        if len(metres) == len(fits):
            mean = sum(metres) / len(metres)
            title = "A cable that bridges two points (figure of eight)"
            where = f"from {first} to {second}, some {mean:.0f} m"
            yield Candidate(title, where, (Bridge(first, second, mean),), UNUSUAL, scene.sound)


def _bridge_metres(scene: Scene, conductor: str, first: str, second: str) -> float | None:
    """The length of a bridge that makes the end-to-end reading; None where no length does."""
    key = ENDS[conductor]
    total, read_ = scene.expected[key] or 0.0, scene.seen[key] or 0.0
    way = {piece.start: piece for piece in scene.sound.pieces if piece.conductor == conductor}
    stretch = _ohm_between(way, first, second)
    left = read_ - (total - stretch)
    if not 0 < left < stretch:
        return None
    return (left * stretch / (stretch - left)) / dict(scene.sound.ohm_per_m)[conductor]


def _round(scene: Scene) -> list[str]:
    """The points of the ring itself, in the order of the way round."""
    return [end for _, end in scene.stretches if end in scene.sound.points]


def _ohm_between(way: dict[str, Piece], first: str, second: str) -> float:
    ohm, here = 0.0, first
    while here != second and here in way:
        piece = way[here]
        ohm += piece.ohm
        here = piece.end
    return ohm


def _links(scene: Scene) -> Iterator[Candidate]:
    """The tester's own links, straight instead of crossed."""
    if any(key.startswith("ring-t") for key in scene.seen):
        yield Candidate("Links not crossed at the board", "", (StraightLinks(),), USUAL, scene.sound)


def _terminals(scene: Scene) -> Iterator[Candidate]:
    """Two conductors exchanged, or one off, at a point where a reading is open."""
    opened = {key.partition("/")[2] for key, value in scene.seen.items() if value is None and "/" in key}
    for point in scene.sound.points:
        if point not in opened:
            continue
        for first, second in combinations(CONDUCTORS, 2):
            title = f"{NAMES[first].capitalize()} and {NAMES[second]} reversed at a point"
            yield Candidate(title, f"at {point}", (Reversed(point, first, second),), USUAL, scene.sound)
        for conductor in CONDUCTORS:
            title = f"{NAMES[conductor].capitalize()} off its terminal at a point"
            yield Candidate(title, f"at {point}", (NotLanded(point, conductor),), USUAL, scene.sound)


def _touches(scene: Scene) -> Iterator[Candidate]:
    """Two conductors that touch at a point: where insulation shows a metal path, or Zs lies low."""
    for first, second in combinations(CONDUCTORS, 2):
        metal = scene.seen.get(f"insulation/{first}-{second}", None) == 0.0
        low = (first, second) == (NEUTRAL, EARTH) and scene.mean_over("zs") < -NEAR_OHM
        if metal or low:
            for point in scene.sound.points:
                title = f"{NAMES[first].capitalize()} and {NAMES[second]} touch"
                yield Candidate(title, f"at {point}", (Touch(point, first, second),), USUAL, scene.sound)


def _spurs(scene: Scene) -> Iterator[Candidate]:
    """A point of the card that hangs on a cable of its own: where it reads higher than its like."""
    per_m = dict(scene.sound.ohm_per_m)[LINE]
    ways = _round(scene)
    for place, point in enumerate(ways):
        over = scene.over(f"ring-two/{point}")
        if over <= NEAR_OHM or len(ways) < 2:
            continue
        for start in {ways[max(place - 1, 0)], ways[min(place + 1, len(ways) - 1)]} - {point}:
            fault = OnSpur(point, start, over / (2 * per_m))
            yield Candidate("A point hangs on a spur", f"{point} on {start}", (fault,), USUAL, scene.sound)


def _left_out(scene: Scene) -> Iterator[Candidate]:
    """A leg end that was not landed at the board: shows in live readings only."""
    if scene.sound.kind == "ring" and any(abs(scene.over(key)) > NEAR_OHM for key in scene.seen if key[:3] == "zs/"):
        for conductor in CONDUCTORS:
            for leg, words in ((LEG_1, "leg 1"), (LEG_2, "leg 2")):
                title = f"A leg of the {NAMES[conductor]} left out at the board"
                yield Candidate(title, words, (LegLeftOut(conductor, leg),), USUAL, scene.sound)
