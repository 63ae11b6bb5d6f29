"""A new card made from an example card: what has to be said of the new job, and the text of its file.

For: a guided form; what it does not ask is taken over from the example and named.
Must never: fill in what differs from site to site, or write a comment that the example had; no file is read here.

Rules
1. The text is the example's own lines with the said values put in, so that it stays valid by construction.
2. Whoever uses the text has the loader check it before it is kept.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from ferrule.engine.electrics.model import How
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Card
from ferrule.engine.procedure.words import CURVES
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain
from ferrule.engine.quantity.quantity import parse_quantity
from ferrule.engine.text import check_text

TEXT, AMOUNT, CHOICE, POINTS, DATE, ID, NAMES = "text", "amount", "choice", "points", "date", "id", "names"
NOT_HERE = "-"
"""Typed where the example has something that the new job has not."""
TAKEN_OVER = (
    "earthing, phases and the other words on the supply",
    "terminals with their torques, and the other marks of the device",
    "functions and errors of the instruments, range of the torque tool",
    "roles of the people, proving points, room temperature, limits file, plan",
)
"""What the form does not ask; it stands in the file as in the example and has to be looked through."""
_HOW = tuple(how.value for how in How if how is not How.UNKNOWN)
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
_DATE = re.compile(r"20[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])\Z")
_POINT = re.compile(r"(?P<name>.*?\S)(?:\s+(?P<at>[0-9]+(?:\.[0-9]+)?)\s*m?)?\Z")


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing that the form asks."""

    key: str
    section: str
    says: str
    kind: str
    example: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    may_lack: bool = False
    """Whether it may be answered with a dash: there is no such thing here."""


def asked_of(card: Card) -> tuple[Asked, ...]:
    """Return everything that has to be said of a new job, in order, for an example card."""
    circuit = card.circuit
    length = plain(circuit.length_m.value) if circuit.length_m.value is not None else ""
    found = [
        Asked("card", "Job", "Short name of the card, also its file name", ID, "kiln-room-way-4"),
        Asked("title", "Job", "What the job is, in one line", TEXT, card.title),
        Asked("site", "Job", "Site", TEXT, card.site),
        Asked("board", "Job", "Board, as it is marked", TEXT, card.board),
        Asked("way", "Job", "Way, as it is marked", TEXT, card.way),
        Asked("circuit.name", "Circuit", "What the circuit serves", TEXT, circuit.name),
        Asked("circuit.line", "Circuit", "Size of the line conductor", AMOUNT, plain(circuit.line_mm2), "mm2"),
        Asked(
            "circuit.protective", "Circuit", "Size of the protective conductor", AMOUNT, plain(circuit.cpc_mm2), "mm2"
        ),
        Asked("circuit.length", "Circuit", "Length of the whole circuit", AMOUNT, length, "m"),
        Asked("how", "Circuit", "How length and distances are known", CHOICE, "record", choices=_HOW),
        Asked(
            "points", "Circuit", "Points with their metres from the board, parted by commas", POINTS, "bench 8, door 13"
        ),
    ]
    return (*found, *_supply(card), *_device(card), *_people_and_tools(card), *_loads(card))


def _supply(card: Card) -> list[Asked]:
    ze, found = card.supply.ze_ohm, []
    if ze.value is not None:
        found.append(Asked("ze", "Supply", "Impedance of the supply", AMOUNT, plain(ze.value), "ohm"))
        found.append(Asked("ze how", "Supply", "How it is known", CHOICE, "record", choices=_HOW))
    for source in card.sources:
        what = "The main supply" if source.main else f"A source such as {source.name}; a dash where there is none"
        found.append(Asked(f"source {source.id} name", "Supply", what, TEXT, source.name, may_lack=not source.main))
        found.append(
            Asked(
                f"source {source.id} isolator",
                "Supply",
                "What isolates it",
                TEXT,
                source.isolator,
                may_lack=not source.main,
            )
        )
    return found


def _device(card: Card) -> list[Asked]:
    device = card.device
    return [
        Asked("device.curve", "Device", "Curve", CHOICE, device.curve, choices=CURVES),
        Asked("device.rating", "Device", "Rated current", AMOUNT, plain(device.rating_a), "A"),
        Asked("device.residual", "Device", "Rated residual current", AMOUNT, plain(device.residual_ma), "mA"),
        Asked("device.leaflet", "Device", "Leaflet that its figures come from", TEXT, device.leaflet),
    ]


def _people_and_tools(card: Card) -> list[Asked]:
    found = []
    for person in card.people:
        roles = ", ".join(person.roles)
        found.append(Asked(f"person {person.id} name", "People", f"Name of the {roles}", TEXT, person.name))
        found.append(Asked(f"person {person.id} until", "People", "Authorised until", DATE, person.until))
    named = [(i.id, i.name, i.serial, i.due) for i in card.instruments]
    named += [(t.id, "torque tool", t.serial, t.due) for t in card.torque_tools]
    for tool, name, serial, due in named:
        found.append(Asked(f"tool {tool} serial", "Instruments", f"Serial number of the {name}", TEXT, serial))
        found.append(Asked(f"tool {tool} due", "Instruments", "Calibration due", DATE, due))
    return found


def _loads(card: Card) -> list[Asked]:
    loads = ", ".join(load.name for load in card.loads)
    found = [Asked("loads", "Loads", "What is plugged in, parted by commas; a dash for nothing", NAMES, loads)]
    if card.items:
        items = ", ".join(item.name for item in card.items)
        found.append(
            Asked("items", "Loads", "What is taken off for the insulation test; a dash for nothing", NAMES, items)
        )
    return found


def fault_of(asked: Asked, text: str) -> str:
    """Return why a text cannot stand as an answer, in a sentence; empty when it can."""
    text = text.strip()
    if not text:
        return "The field is still empty."
    refused = check_text(text)
    if refused:
        return refused
    if text == NOT_HERE:
        return "" if asked.may_lack or asked.kind == NAMES else "This has to be said; a dash cannot stand here."
    if asked.kind == AMOUNT:
        return _amount_fault(text, asked.unit)
    if asked.kind == CHOICE and text not in asked.choices:
        return f"Choose one of: {', '.join(asked.choices)}."
    if asked.kind == DATE and not _DATE.match(text):
        return "Write a date as year, month and day, such as 2027-03-01."
    if asked.kind == ID and not _ID.match(text):
        return "Write small letters, digits and single dashes, such as kiln-room-way-4."
    if asked.kind == POINTS and not all(part.strip() for part in text.split(",")):
        return "Between two commas there is nothing."
    return ""


def _amount_fault(text: str, unit: str) -> str:
    try:
        value = parse_quantity(f"{text} {unit}").value
    except QuantityError as error:
        return str(error)
    return "" if value > 0 else "This is above zero."


def card_text(example: str, card: Card, said: Mapping[str, str]) -> str:
    """Return the text of the new card: the example's lines with everything put in that was said.

    FerruleError where two answers do not go together.
    """
    said = {key: text.strip() for key, text in said.items()}
    blocks = _blocks(example)
    for key in ("card", "title", "site", "board", "way"):
        blocks[key] = [f"{key}: {_quoted(said[key])}"]
    ids = _points(blocks, card, said)
    for key in ("circuit.name", "device.leaflet", "device.curve"):
        _set(blocks, key, _quoted(said[key]))
    for key, unit in (("line", "mm2"), ("protective", "mm2")):
        _set(blocks, f"circuit.{key}", f"{said[f'circuit.{key}']} {unit}")
    _set(blocks, "circuit.length", f"{said['circuit.length']} m, {said['how']}")
    _set(blocks, "device.rating", f"{said['device.rating']} A")
    _set(blocks, "device.residual", f"{said['device.residual']} mA")
    if "ze" in said:
        _set(blocks, "supply.external impedance", f"{said['ze']} ohm, {said['ze how']}")
    _sources(blocks, card, said)
    blocks["people"] = [_person(line, said) for line in blocks["people"]]
    blocks["instruments"] = _tools(blocks["instruments"], said)
    blocks["torque tools"] = _tools(blocks["torque tools"], said)
    for key in ("loads", "items"):
        if key in said:
            blocks[key] = _listed(key, said[key])
    _follow(blocks, card, said, ids)
    head = f"# Made by the form from the example {card.id}; look through all that the form did not ask."
    return "\n".join([head, *(line for lines in blocks.values() for line in lines)]) + "\n"


def _blocks(text: str) -> dict[str, list[str]]:
    """Return the example's lines by the key at the margin that they belong to, without comments."""
    found: dict[str, list[str]] = {}
    key = ""
    for line in text.split("\n"):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not line.startswith(" "):
            key = line.partition(":")[0]
            found[key] = []
        found[key].append(line)
    return found


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _set(blocks: dict[str, list[str]], path: str, value: str) -> None:
    """Put a value into a line of a block; the example has that line."""
    block, _, key = path.partition(".")
    start = f"  {key}: "
    blocks[block] = [f"{start}{value}" if line.startswith(start) else line for line in blocks[block]]


def _put(line: str, key: str, value: str) -> str:
    """Put a value into a line that holds several keys in braces."""
    return re.sub(rf'(?<=[{{ ]){key}: ("[^"]*"|[^,}}]*)', lambda _: f"{key}: {_quoted(value)}", line, count=1)


def _points(blocks: dict[str, list[str]], card: Card, said: Mapping[str, str]) -> list[str]:
    """Put the new points in place of the example's; return their ids."""
    letter = card.circuit.points[0].id.rstrip("0123456789") or "P"
    lines, ids = [], []
    for number, part in enumerate(said["points"].split(","), 1):
        form = _POINT.match(part.strip())
        assert form is not None
        at = f"{form['at']} m, {said['how']}" if form["at"] else How.UNKNOWN.value
        ids.append(f"{letter}{number}")
        lines.append(f"    - {{id: {ids[-1]}, name: {_quoted(form['name'])}, at: {_quoted(at)}}}")
    kept, inside = [], False
    for line in blocks["circuit"]:
        inside = (inside and line.startswith("    ")) or line.startswith("  points:")
        if not inside:
            kept.append(line)
    blocks["circuit"] = [*kept, "  points:", *lines]
    return ids


def _sources(blocks: dict[str, list[str]], card: Card, said: Mapping[str, str]) -> None:
    lines = [blocks["sources"][0]]
    for line in blocks["sources"][1:]:
        source = next(s for s in card.sources if f"{{id: {s.id}," in line)
        name, isolator = said[f"source {source.id} name"], said[f"source {source.id} isolator"]
        if name != NOT_HERE and isolator == NOT_HERE:
            raise FerruleError(f"Say what isolates {name}; a source without an isolator cannot be locked off.")
        if name != NOT_HERE:
            lines.append(_put(_put(line, "name", name), "isolator", isolator))
    blocks["sources"] = lines


def _person(line: str, said: Mapping[str, str]) -> str:
    form = re.search(r"\{id: ([a-z0-9-]+),", line)
    if form is None:
        return line
    return _put(_put(line, "name", said[f"person {form[1]} name"]), "until", said[f"person {form[1]} until"])


def _tools(lines: list[str], said: Mapping[str, str]) -> list[str]:
    """Put serial and date into instruments, which stand in several lines, and torque tools, which stand in one."""
    found, tool = [], ""
    for line in lines:
        form = re.match(r"  - \{?id: ([a-z0-9-]+)", line)
        tool = form[1] if form else tool
        for key in ("serial", "due"):
            value = said.get(f"tool {tool} {key}", "")
            if line.startswith(f"    {key}: "):
                line = f"    {key}: {_quoted(value)}"
            elif form and "{" in line:
                line = _put(line, key, value)
        found.append(line)
    return found


def _listed(key: str, text: str) -> list[str]:
    names = [name.strip() for name in text.split(",") if name.strip()] if text != NOT_HERE else []
    if not names:
        return [f"{key}: []"]
    return [f"{key}:", *(f"  - {{id: {key[:-1]}-{n}, name: {_quoted(name)}}}" for n, name in enumerate(names, 1))]


def _follow(blocks: dict[str, list[str]], card: Card, said: Mapping[str, str], ids: list[str]) -> None:
    """Let what names the way or a point follow: points to read at, proving points, positions at the bars."""
    far = ids[(len(ids) - 1) // 2] if card.circuit.kind == "ring" else ids[-1]
    for key, point in (("as-found point", ids[0]), ("far point", far), ("landing point", far)):
        blocks[key] = [f"{key}: {point}"]
    old = re.escape(card.way)
    for key in ("proving points", "device", "old terminals"):
        for number, line in enumerate(blocks.get(key, [])):
            line = re.sub(rf"\b(way|position) {old}\b", lambda form: f"{form[1]} {said['way']}", line)
            blocks[key][number] = re.sub(rf"\b{card.as_found_point}\b", ids[0], line)
