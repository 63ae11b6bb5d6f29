"""What the walk asks of a compiled card: the entries of its lists, the words to compare with, the functions.

For: rounds, typed marks and readings.
Must never: read a file, or make up an entry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from ferrule.engine.electrics.model import Function, TorqueTool
from ferrule.engine.procedure.compiled import Card, Instrument, Job, Listed
from ferrule.engine.procedure.words import FUNCTIONS, RESIDUAL_TESTS, TORQUE
from ferrule.engine.quantity.exact import plain


def points_of(job: Job, list_name: str) -> tuple[Listed, ...]:
    """The entries that a round through this list visits, in the card's order; KeyError for no such list."""
    return list_of(job.card, list_name)


def list_of(card: Card, list_name: str) -> tuple[Listed, ...]:
    """The entries of a list of the card, in its order; KeyError for no such list."""
    return _LISTS[list_name](card)


def _sockets(card: Card, wanted: str = "") -> tuple[Listed, ...]:
    return tuple(Listed(p.id, p.name) for p in card.circuit.points if wanted in ("", p.id))


_LISTS: Mapping[str, Callable[[Card], tuple[Listed, ...]]] = {
    "sockets": _sockets,
    "proving points": lambda card: card.proving_points,
    "sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources),
    "main sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if s.main),
    "second sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if not s.main),
    "terminals": lambda card: tuple(Listed(t.id, t.name) for t in card.device.terminals),
    "instruments": lambda card: tuple(Listed(i.id, i.name) for i in card.instruments),
    "torque tools": lambda card: tuple(Listed(t.id, f"torque tool {t.serial}") for t in card.torque_tools),
    "items": lambda card: card.items,
    "loads": lambda card: card.loads,
    "people": lambda card: tuple(Listed(p.id, p.name) for p in card.people),
    "as-found point": lambda card: _sockets(card, card.as_found_point),
    "far point": lambda card: _sockets(card, card.far_point),
    "landing point": lambda card: _sockets(card, card.landing_point),
}


def objects_of_card(card: Card) -> dict[str, tuple[str, ...]]:
    """The names of the objects that facts of this job are about, by family."""
    families = {
        "source": "sources",
        "main source": "main sources",
        "second source": "second sources",
        "terminal": "terminals",
        "item": "items",
    }
    return {family: tuple(entry.id for entry in list_of(card, name)) for family, name in families.items()}


def facts_of_card(card: Card, settings: Mapping[str, str]) -> dict[str, str]:
    """The conditions of the card and of the settings of its limits in words, as the steps ask for them."""
    return {
        "circuit": card.circuit.kind,
        "earthing": card.supply.earthing,
        "phases": "one" if card.supply.phases == 1 else "three",
        "sign-off": card.sign_off,
        "work": card.work,
        "tails": card.tails,
        "old device": card.old_device,
        "functional earth lead": "fitted" if card.device.functional_earth_lead else "none",
        "items": _some(card.items),
        "second source": _some(tuple(source for source in card.sources if not source.main)),
        "external impedance": "unknown" if card.supply.ze_ohm.value is None else "recorded",
        "spurs": _some(tuple(point for point in card.circuit.points if point.spur_from)),
        "residual test": settings.get("residual-test", RESIDUAL_TESTS[0]),
    }


def _some(entries: tuple[object, ...]) -> str:
    return "some" if entries else "none"


def card_words(card: Card) -> dict[str, str]:
    """What the marks on the equipment should read, by the field that a step may match."""
    device = card.device
    return {
        "board": card.board,
        "way": card.way,
        "device.curve": device.curve,
        "device.rating": _short(device.rating_a),
        "device.residual": _short(device.residual_ma),
        "device.residual-type": device.residual_type,
        "device.breaking": _short(device.breaking_ka),
        "device.poles": device.poles,
    }


def _short(value: Decimal) -> str:
    """A number as a mark on a device shows it: without trailing zeros or unit."""
    text = plain(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def function_of(card: Card, name: str) -> tuple[Instrument | TorqueTool, Function] | None:
    """The first instrument or tool of the card that has the function, with it; None when there is none."""
    if name == TORQUE:
        for tool in card.torque_tools:
            return tool, torque_function(tool)
    for instrument in card.instruments:
        for function in instrument.functions:
            if function.name == name:
                return instrument, function
    return None


def torque_function(tool: TorqueTool) -> Function:
    """A torque tool's marks, as a function like those of an instrument."""
    return Function(
        TORQUE,
        FUNCTIONS[TORQUE],
        tool.graduation_nm,
        tool.high_nm,
        tool.low_nm,
        tool.error_pct,
        Decimal(0),
        "the tool's certificate, as on the card",
    )
