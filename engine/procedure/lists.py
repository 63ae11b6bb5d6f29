"""What the walk asks of a compiled card: the entries of its lists, the words to compare with, the functions.

For: rounds, typed marks and readings.
Must never: read a file, or make up an entry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import partial

from ferrule.engine.electrics.model import Function, TorqueTool
from ferrule.engine.procedure.choices import choices_of
from ferrule.engine.procedure.compiled import Card, Instrument, Job, Listed
from ferrule.engine.procedure.words import FUNCTIONS, RESIDUAL_TESTS, TERMINAL_PARTS, TORQUE
from ferrule.engine.quantity.exact import plain


def points_of(job: Job, list_name: str) -> tuple[Listed, ...]:
    """The entries that a round through this list visits, in the card's order; KeyError for no such list."""
    return list_of(job.card, list_name)


def list_of(card: Card, list_name: str) -> tuple[Listed, ...]:
    """The entries of a list of the card, in its order; KeyError for no such list."""
    return _LISTS[list_name](card)


def _points(card: Card, *, earthed: bool) -> tuple[Listed, ...]:
    return tuple(Listed(p.id, p.name) for p in card.circuit.points if p.earthed is earthed)


def _terminals(card: Card, *, late: bool) -> tuple[Listed, ...]:
    return tuple(Listed(t.id, t.name) for t in card.device.terminals if t.late is late)


def _part(part: str, card: Card) -> tuple[Listed, ...]:
    """The terminals of one part; one without a part counts with every part, so that no test is forgotten."""
    return tuple(Listed(t.id, t.name) for t in card.device.terminals if t.part in ("", part))


def _section(card: Card) -> tuple[Listed, ...]:
    upstream = card.supply.upstream
    inside = upstream is not None and upstream.in_board and upstream.residual_ma is not None
    return (Listed("section", f"residual device of the section in {card.board}"),) if inside else ()


def _three_phases(card: Card) -> tuple[Listed, ...]:
    return (Listed("L1-L2-L3", f"board {card.board}"),) if card.supply.phases == 3 else ()


def _sockets(card: Card, wanted: str = "") -> tuple[Listed, ...]:
    return tuple(Listed(p.id, p.name) for p in card.circuit.points if wanted in ("", p.id))


_LISTS: Mapping[str, Callable[[Card], tuple[Listed, ...]]] = {
    "sockets": _sockets,
    "proving points": lambda card: card.proving_points,
    "sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources),
    "main sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if s.main),
    "second sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if not (s.main or s.upstream)),
    "upstream sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if s.upstream),
    "board sources": lambda card: tuple(Listed(s.id, s.name) for s in card.sources if not s.upstream),
    "old terminals": lambda card: tuple(Listed(t.id, t.name) for t in card.old_terminals),
    "other ways": lambda card: card.other_ways,
    "terminals": lambda card: tuple(Listed(t.id, t.name) for t in card.device.terminals),
    "instruments": lambda card: tuple(Listed(i.id, i.name) for i in card.instruments),
    "torque tools": lambda card: tuple(Listed(t.id, f"torque tool {t.serial}") for t in card.torque_tools),
    "items": lambda card: card.items,
    "loads": lambda card: card.loads,
    "people": lambda card: tuple(Listed(p.id, p.name) for p in card.people),
    "as-found point": lambda card: _sockets(card, card.as_found_point),
    "far point": lambda card: _sockets(card, card.far_point),
    "landing point": lambda card: _sockets(card, card.landing_point),
    "earthed points": lambda card: _points(card, earthed=True),
    "points without earth": lambda card: _points(card, earthed=False),
    "early terminals": lambda card: _terminals(card, late=False),
    "late terminals": lambda card: _terminals(card, late=True),
    **{f"{part} terminals": partial(_part, part) for part in TERMINAL_PARTS},
    "section device": _section,
    "three-phase board": _three_phases,
}


def objects_of_card(card: Card) -> dict[str, tuple[str, ...]]:
    """The names of the objects that facts of this job are about, by family."""
    families = {
        "source": "sources",
        "main source": "main sources",
        "second source": "second sources",
        "terminal": "terminals",
        "item": "items",
        "early terminal": "early terminals",
        "late terminal": "late terminals",
        **{f"{part} terminal": f"{part} terminals" for part in TERMINAL_PARTS},
        "unearthed point": "points without earth",
        "section device": "section device",
        "three-phase board": "three-phase board",
        "board source": "board sources",
        "upstream source": "upstream sources",
        "old terminal": "old terminals",
        "other way": "other ways",
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
        "second source": _some(list_of(card, "second sources")),
        "upstream source": _some(list_of(card, "upstream sources")),
        "origin": card.supply.origin,
        "old terminals": _some(card.old_terminals),
        "other ways": _some(card.other_ways),
        "earlier log": "none" if card.earlier is None else "some",
        "external impedance": "unknown" if card.supply.ze_ohm.value is None else "recorded",
        "spurs": _some(tuple(point for point in card.circuit.points if point.spur_from)),
        "use": card.circuit.use,
        "two-way switching": "some" if card.circuit.two_way else "none",
        "points without earth": _some(list_of(card, "points without earth")),
        "board": "split-load" if list_of(card, "section device") else "whole",
        "upstream type": _upstream(card),
        "main switch": "opens the neutral" if card.supply.neutral_opens else "leaves the neutral",
        "device poles": card.device.poles,
        "late leads": _some(list_of(card, "late terminals")),
        "residual ramp": "none" if function_of(card, "residual ramp") is None else "on the card",
        "residual test": settings.get("residual-test", RESIDUAL_TESTS[0]),
        **choices_of(card, settings),
    }


def _upstream(card: Card) -> str:
    upstream = card.supply.upstream
    if upstream is None or upstream.residual_ma is None:
        return "none"
    return "delayed" if upstream.delayed else "general"


def left_by(card: Card) -> dict[str, str]:
    """How the earlier log of the same job left the way, as facts to open with; nothing where there is none."""
    if card.earlier is None:
        return {}
    left = {"old device": card.earlier.old_device, "ends": card.earlier.ends}
    if card.earlier.ends == "parked":
        left |= {"terminal:*": "empty", "old terminal:*": "empty"}
    return left


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
        "phase": card.supply.phase,
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
