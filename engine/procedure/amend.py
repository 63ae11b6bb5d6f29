"""What may be amended on a card while the job runs: which fields, how each is read, what becomes void by it.

For: a length, a size or a supply value that turns out otherwise than the card says.
Must never: touch what was read or recorded; an amendment is a card of its own and the old one stays in the log.

Fields are named as the card file names them; `{id}` stands for the id of a point.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal

from ferrule.engine.electrics.model import Circuit, How, Known, Point
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Card, Job
from ferrule.engine.procedure.lists import facts_of_card, objects_of_card
from ferrule.engine.procedure.words import CARD_FACTS, CURVES
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.quantity import parse_quantity


class AmendError(FerruleError):
    """A field that may not be amended, or a value that it does not take."""


@dataclass(frozen=True, slots=True)
class Amendable:
    """One field that may be amended."""

    says: str
    """How its value is written, for a person."""
    voids: tuple[str, ...]
    """Results that rested on the old value."""
    opens: tuple[str, ...]
    """Checks that have to be made again."""
    stops: bool
    """Whether work stops: the device or the protection may no longer suit the circuit."""
    apply: Callable[[Card, str, str], Card]
    """The card with the new value; given the card, the object's id (empty for none) and the text."""


def amend_card(card: Card, field: str, value: str) -> Card:
    """The card with one field changed; AmendError when the field or the value is refused."""
    entry, name = _find(field)
    return entry.apply(card, name, value)


def amendable(field: str) -> Amendable:
    """What is known of a field that may be amended; AmendError when it may not be."""
    return _find(field)[0]


def amended_job(job: Job, amendments: tuple[tuple[str, str], ...]) -> Job:
    """The job with its card amended, in order; the job itself where there is nothing to amend."""
    if not amendments:
        return job
    card = job.card
    for field, value in amendments:
        card = amend_card(card, field, value)
    return replace(job, card=card, card_facts=facts_of_card(card, job.limits.settings), objects=objects_of_card(card))


def card_value(card: Card, field: str) -> str:
    """What the card says in a field that may be amended, in plain words; AmendError for another field."""
    _, name = _find(field)
    circuit, point = card.circuit, next((p for p in card.circuit.points if p.id == name), None)
    values = {
        "circuit.length": _said(circuit.length_m, "m"),
        "circuit.line": f"{plain(circuit.line_mm2)} mm2",
        "circuit.protective": f"{plain(circuit.cpc_mm2)} mm2",
        "circuit.add point": f"{len(circuit.points)} points",
        "supply.external impedance": _said(card.supply.ze_ohm, "ohm"),
        "supply.earthing": card.supply.earthing,
        "device.rating": f"{plain(card.device.rating_a)} A",
        "device.curve": card.device.curve,
        "room temperature": _said(card.temperature_c, "C"),
    }
    if point is not None:
        return _said(point.distance_m, "m")
    return values.get(field, "")


def _said(known: Known, unit: str) -> str:
    return "unknown" if known.value is None else f"{plain(known.value)} {unit}, {known.how.value}"


def _find(field: str) -> tuple[Amendable, str]:
    if field in AMENDABLE and "{id}" not in field:
        return AMENDABLE[field], ""
    for pattern, entry in AMENDABLE.items():
        head, mark, tail = pattern.partition("{id}")
        if mark and field.startswith(head) and field.endswith(tail) and len(field) > len(head) + len(tail):
            return entry, field[len(head) : len(field) - len(tail)]
    raise AmendError(f'"{field}" may not be amended; what may be is: {", ".join(AMENDABLE)}.')


def _known(text: str, unit: str) -> Known:
    if text == How.UNKNOWN.value:
        return Known(None, How.UNKNOWN)
    number, _, how = text.rpartition(", ")
    if how not in [way.value for way in How if way is not How.UNKNOWN]:
        raise AmendError(f'"{text}" does not say how the value is known; write "{number or text}, measured".')
    return Known(_number(number, unit), How(how))


def _number(text: str, unit: str, *, above_zero: bool = False) -> Decimal:
    try:
        value = parse_quantity(text).in_unit(unit).value
    except QuantityError as fault:
        raise AmendError(f'"{text}": {fault}') from fault
    if above_zero and value <= 0:
        raise AmendError(f'"{text}" is not above zero.')
    return value


def _word(text: str, allowed: tuple[str, ...]) -> str:
    if text not in allowed:
        raise AmendError(f'"{text}" may not stand here; the words are: {", ".join(allowed)}.')
    return text


def _circuit(card: Card, circuit: Circuit) -> Card:
    length = circuit.length_m.value
    for point in circuit.points:
        if length is not None and point.distance_m.value is not None and point.distance_m.value > length:
            at = plain(point.distance_m.value)
            raise AmendError(f"{point.id} would lie {at} m along a circuit of {plain(length)} m; amend that first.")
    return replace(card, circuit=circuit)


def _length(card: Card, _name: str, text: str) -> Card:
    length = _known(text, "m")
    if length.value is not None and length.value <= 0:
        raise AmendError("A circuit is longer than 0 m.")
    return _circuit(card, replace(card.circuit, length_m=length))


def _line(card: Card, _name: str, text: str) -> Card:
    return _circuit(card, replace(card.circuit, line_mm2=_number(text, "mm2", above_zero=True)))


def _protective(card: Card, _name: str, text: str) -> Card:
    return _circuit(card, replace(card.circuit, cpc_mm2=_number(text, "mm2", above_zero=True)))


def _distance(card: Card, name: str, text: str) -> Card:
    if name not in [point.id for point in card.circuit.points]:
        raise AmendError(f'The card has no point "{name}"; a new one is added with "circuit.add point".')
    known = _known(text, "m")
    points = tuple(replace(p, distance_m=known) if p.id == name else p for p in card.circuit.points)
    return _circuit(card, replace(card.circuit, points=points))


def _add_point(card: Card, _name: str, text: str) -> Card:
    """`S11 | store room | 40 m, measured`, or for a spur `P1 | shelf | 6 m, measured | from S5`."""
    parts = [part.strip() for part in text.split("|")]
    ids = [point.id for point in card.circuit.points]
    if len(parts) not in (3, 4) or not all(parts):
        raise AmendError(f'"{text}" is not a point; write "S11 | store room | 40 m, measured".')
    name = parts[0]
    if name in ids or not (name.isascii() and name.replace("-", "").isalnum()):
        raise AmendError(f'"{name}" cannot be the id of a new point; use letters and digits that no point has.')
    if len(parts) == 3:
        point = Point(name, parts[1], _known(parts[2], "m"))
    else:
        root = parts[3].removeprefix("from ")
        if root not in ids:
            raise AmendError(f'A spur leaves from a point of the circuit; "{root}" is none.')
        point = Point(name, parts[1], Known(None, How.UNKNOWN), root, _known(parts[2], "m"))
    return _circuit(card, replace(card.circuit, points=_in_order(card.circuit.points, point)))


def _in_order(points: tuple[Point, ...], new: Point) -> tuple[Point, ...]:
    """The points with the new one behind those that lie nearer along leg 1; unknown ones and spurs go last."""
    at = new.distance_m.value
    for place, point in enumerate(points):
        if at is not None and point.distance_m.value is not None and point.distance_m.value > at:
            return (*points[:place], new, *points[place:])
    return (*points, new)


def _ze(card: Card, _name: str, text: str) -> Card:
    return replace(card, supply=replace(card.supply, ze_ohm=_known(text, "ohm")))


def _earthing(card: Card, _name: str, text: str) -> Card:
    return replace(card, supply=replace(card.supply, earthing=_word(text, CARD_FACTS["earthing"])))


def _rating(card: Card, _name: str, text: str) -> Card:
    return replace(card, device=replace(card.device, rating_a=_number(text, "A", above_zero=True)))


def _curve(card: Card, _name: str, text: str) -> Card:
    return replace(card, device=replace(card.device, curve=_word(text, CURVES)))


def _temperature(card: Card, _name: str, text: str) -> Card:
    return replace(card, temperature_c=_known(text, "C"))


_CONDUCTOR = (
    "protective conductor",
    "ring step one",
    "ring step two",
    "ring step three",
    "landing line to earth",
    "landing line to neutral",
    "loop impedance",
)
_POINTS = tuple(result for result in _CONDUCTOR if result != "ring step one")
_DEVICE = ("loop impedance", "residual time")
_DEVICE_CHECKS = ("device on paper", "device in hand")

_KNOWN_METRES = "a length and how it is known, such as 58 m, measured"

AMENDABLE: Mapping[str, Amendable] = {
    "circuit.length": Amendable(_KNOWN_METRES, _CONDUCTOR, (), False, _length),
    "circuit.line": Amendable("a size, such as 2.5 mm2", _CONDUCTOR, ("device on paper",), False, _line),
    "circuit.protective": Amendable("a size, such as 1.5 mm2", _CONDUCTOR, ("device on paper",), False, _protective),
    "circuit.point.{id}.at": Amendable(_KNOWN_METRES, _POINTS, (), False, _distance),
    "circuit.add point": Amendable(
        "id | name | distance or length of the spur | from its point", _POINTS, (), False, _add_point
    ),
    "supply.external impedance": Amendable(
        "an impedance and how it is known, such as 0.35 ohm, measured",
        ("external impedance", "loop impedance"),
        (),
        False,
        _ze,
    ),
    "supply.earthing": Amendable(
        f"one of {', '.join(CARD_FACTS['earthing'])}",
        ("external impedance", "fault current", *_DEVICE, "button"),
        ("condition", *_DEVICE_CHECKS),
        True,
        _earthing,
    ),
    "device.rating": Amendable("a current, such as 32 A", (*_DEVICE, "button"), _DEVICE_CHECKS, True, _rating),
    "device.curve": Amendable(f"one of {', '.join(CURVES)}", (*_DEVICE, "button"), _DEVICE_CHECKS, True, _curve),
    "room temperature": Amendable(
        "a temperature and how it is known, such as 18 C, measured", _CONDUCTOR, (), False, _temperature
    ),
}
"""Every field that may be amended; what is not here is a new card and a new job (retest table, common practice)."""
