"""Causes for points that were read and that the card does not have: spurs, and spurs on spurs.

For: the ranking of causes.
Must never: hold a reading of a fault; lengths follow from the readings and from the sound network alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.network.cause_scene import NAMES, USUAL, Candidate, Scene
from ferrule.engine.network.circuit import CONDUCTORS, EARTH, LINE, NEUTRAL
from ferrule.engine.network.faults import Fault, OpenConductor, Spur

_COUNT = "open the point that it hangs on and count its cables"


def extra_points(scene: Scene) -> Iterator[Candidate]:
    """Where the points hang that the card does not have: one after another, or each on the circuit."""
    for order in _orders(scene.extra):
        for start in scene.sound.points:
            for chained in (False, True) if len(order) > 1 else (False,):
                hung = _hang(scene, order, start, chained=chained)
                title = "A spur on a spur" if chained else "A spur that is not on the card"
                look = "open the first point of the spur: another cable goes on from it" if chained else _COUNT
                yield from _with_break(scene, title, hung, f"{order[0]} on {start}", look)


def _orders(extra: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    return (extra,) if len(extra) < 2 else (extra, tuple(reversed(extra)))


def _hang(scene: Scene, order: tuple[str, ...], start: str, *, chained: bool) -> tuple[Spur, ...]:
    """The spurs with their lengths from step two, or from step three where step two was not read."""
    hung: list[Spur] = []
    gone = 0.0
    for point in order:
        far = _spur_metres(scene, point, start)
        metres = max(far - gone, 0.1) if chained else far
        hung.append(Spur(hung[-1].point if chained and hung else start, point, metres))
        gone = far
    return tuple(hung)


def _spur_metres(scene: Scene, point: str, start: str) -> float:
    per_m = dict(scene.sound.ohm_per_m)
    for slot, other in (("ring-two", NEUTRAL), ("ring-three", EARTH), ("cpc", EARTH), ("zs", EARTH)):
        value, base = scene.seen.get(f"{slot}/{point}"), scene.expected.get(f"{slot}/{start}")
        if value is not None and base is not None:
            return max((value - base) / (per_m[LINE] + per_m[other]), 0.1)
    return 5.0


def _with_break(scene: Scene, title: str, hung: tuple[Spur, ...], where: str, look: str) -> Iterator[Candidate]:
    """The spurs whole, and where one of their points reads open, with one conductor off."""
    yield Candidate(title, where, hung, USUAL, scene.sound, look)
    for spur in hung:
        if not any(scene.is_open(f"{slot}/{spur.point}") for slot in ("ring-two", "ring-three", "cpc", "zs")):
            continue
        for conductor in CONDUCTORS:
            off = f"{title}, its {NAMES[conductor]} not connected"
            faults: tuple[Fault, ...] = (*hung, OpenConductor(conductor, spur.start, spur.point))
            yield Candidate(off, where, faults, USUAL, scene.sound, look)
