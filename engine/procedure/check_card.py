"""Whether the facts of a card can be true together: points, people, tools, dates, sources.

For: contradictions, each at its place with a remedy.
Must never: judge the electrics of a job; that is done in the walk, with readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ferrule.engine.electrics.figures import Inputs, Unknown, compute
from ferrule.engine.electrics.model import How, Known
from ferrule.engine.findings import Findings, Level, nearest
from ferrule.engine.procedure.check_upstream import check_upstream
from ferrule.engine.procedure.check_variant import check_variant
from ferrule.engine.procedure.compiled import Card
from ferrule.engine.procedure.form import Form
from ferrule.engine.procedure.models_card import CardForm, PointForm
from ferrule.engine.quantity.exact import plain
from ferrule.engine.safety.holds import HOLD_POINTS


def check_card(form: CardForm, card: Card, found: Findings, today: str = "") -> None:
    """Keep every contradiction of the card; with a day (ISO date), what is out of date on it too."""
    _check_ids(form, found)
    _check_points(form, found)
    _check_named_points(form, found)
    if form.is_whole("people"):
        _check_people(form, found)
    if form.is_whole("sources"):
        _check_sources(form, found)
    _check_work(form, found)
    check_variant(form, found)
    check_upstream(form, found)
    if _check_tools(form, found) and form.is_whole("torque tools"):
        _check_terminals(form, card, found)
    if today:
        _check_dates(form, found, today)


def _check_ids(form: CardForm, found: Findings) -> None:
    lists: Mapping[str, Sequence[Form]] = {
        "point": form.circuit.points,
        "terminal": [*form.device.terminals, *form.old_terminals],
        "source": form.sources,
        "person": form.people,
        "instrument or tool": [*form.instruments, *form.torque_tools],
        "proving point": form.proving_points,
        "load": form.loads,
        "item": form.items,
        "other way": [] if form.shutdown is None else form.shutdown.other_ways,
    }
    for sort, parts in lists.items():
        seen: dict[str, Form] = {}
        for part in parts:
            name = str(part.table["id"])
            if name in seen:
                related = [("the first one", seen[name].place("id"))]
                message = f'The id "{name}" is given to more than one {sort}.'
                found.add("duplicate-id", message, part.place("id"), related=related)
            seen.setdefault(name, part)


def _check_points(form: CardForm, found: Findings) -> None:
    ids = [point.id for point in form.circuit.points]
    if not ids and form.circuit.has("points"):
        found.add("card-contradiction", "The circuit has no point.", form.circuit.key_place("points"))
    for point in form.circuit.points:
        _check_distance(form, point, found)
        if bool(point.from_) is not point.has("spur"):
            message = f'The point "{point.id}" has one of "from" and "spur" without the other.'
            found.add("card-contradiction", message, point.place("id"), hint='"from: S5" and "spur: 6 m, measured"')
        if point.from_ and (point.from_ not in ids or point.from_ == point.id):
            near = nearest(point.from_, [i for i in ids if i != point.id])
            message = f'The spur "{point.id}" leaves from "{point.from_}", which is no other point of the circuit.'
            found.add("card-contradiction", message, point.place("from"), hint=f'"{near}"' if near else "")
        if point.from_ and point.has("at"):
            message = f'The spur end "{point.id}" has a distance along leg 1 of its own.'
            found.add("card-contradiction", message, point.place("at"), hint="the distance of the point it leaves from")


def _check_distance(form: CardForm, point: PointForm, found: Findings) -> None:
    length, at = form.circuit.length.value, point.at.value
    if length is None or at is None or at <= length:
        return
    message = f'The point "{point.id}" lies {plain(at)} m along the circuit, which is only {plain(length)} m long.'
    related = [("the length of the circuit", form.circuit.place("length"))]
    found.add("card-contradiction", message, point.place("at"), hint="measure again which is right", related=related)


def _check_named_points(form: CardForm, found: Findings) -> None:
    ids = [point.id for point in form.circuit.points]
    named = {
        "as-found point": form.as_found_point,
        "far point": form.far_point,
        "landing point": form.landing_point,
    }
    for key, name in named.items():
        if name not in ids:
            near = nearest(name, ids)
            hint = f'"{near}"' if near else f"one of: {', '.join(ids)}"
            message = f'The {key} "{name}" is not a point of the circuit.'
            found.add("card-contradiction", message, form.place(key), hint=hint)


def _check_people(form: CardForm, found: Findings) -> None:
    there = {role for person in form.people for role in person.roles}
    wanted: dict[str, str] = {}
    for hold in HOLD_POINTS.values():
        for role in hold.signers(form.sign_off):
            wanted.setdefault(role, hold.name)
    if form.sign_off == "reviewed later":
        wanted.setdefault("supervisor", "the review")
    for role, hold_name in wanted.items():
        if role not in there:
            where = hold_name if hold_name == "the review" else f"hold point {hold_name}"
            message = f'Nobody on the card is {role}, who signs {where} when the sign-off is "{form.sign_off}".'
            related = [("the sign-off", form.place("sign-off"))]
            hint = f'add the person with "roles: [{role}]"'
            found.add("card-contradiction", message, form.key_place("people"), hint=hint, related=related)


def _check_sources(form: CardForm, found: Findings) -> None:
    if not any(source.main for source in form.sources):
        hint = '"main: true" at the source behind the main switch'
        found.add("card-contradiction", "No source is the main one.", form.key_place("sources"), hint=hint)


def _check_work(form: CardForm, found: Findings) -> None:
    if (form.work == "add") is not (form.old_device == "none"):
        message = f'The work is "{form.work}", and the old device is "{form.old_device}".'
        hint = '"old device: none" goes with "work: add" and with nothing else'
        found.add("card-contradiction", message, form.place("old device"), hint=hint)
    if form.supply.earthing == "TT" and form.device.poles == "single":
        message = "On a TT supply the device switches both poles; this one leaves the neutral solid."
        related = [("the earthing system", form.supply.place("earthing"))]
        found.add(
            "card-contradiction", message, form.device.place("poles"), hint="a device of two poles", related=related
        )


def _check_tools(form: CardForm, found: Findings) -> bool:
    """Whether every tool can be set at all."""
    before = len(found)
    for tool in form.torque_tools:
        if tool.from_ >= tool.to or tool.marks > tool.to - tool.from_:
            message = f"The marks of the tool do not run from {plain(tool.from_)} Nm to {plain(tool.to)} Nm."
            found.add(
                "card-contradiction", message, tool.place("from"), hint="its lowest and highest mark, and their step"
            )
        if tool.error >= 100:
            found.add("card-contradiction", "A tool's error is below 100 %.", tool.place("error"))
    return len(found) == before


def _check_terminals(form: CardForm, card: Card, found: Findings) -> None:
    parts = (*form.device.terminals, *form.old_terminals)
    device = replace(card.device, terminals=(*card.device.terminals, *card.old_terminals))
    for part, terminal in zip(parts, device.terminals, strict=True):
        if terminal.low_nm is None and terminal.nominal_nm is None:
            continue
        reasons = []
        for tool in card.torque_tools:
            unknown = Known(None, How.UNKNOWN)
            inputs = Inputs(card.circuit, card.supply, device, unknown, {tool.id: tool}, {}, {})
            figure = compute("torque.setting", inputs, terminal.id)
            if not isinstance(figure, Unknown):
                break
            reasons.append(figure.reason)
        else:
            reason = " ".join(dict.fromkeys(reasons)) or "The card has no torque tool."
            message = f'No torque tool of the card can be set for "{terminal.id}". {reason}'
            hint = "add a tool whose marks fit, or correct the torque from the leaflet"
            found.add("card-contradiction", message, part.place("torque"), hint=hint)


def _check_dates(form: CardForm, found: Findings, today: str) -> None:
    dated: list[tuple[Form, str, str, str]] = [
        *((part, "due", part.due, f'The calibration of "{part.id}"') for part in form.instruments),
        *((part, "due", part.due, f'The calibration of "{part.id}"') for part in form.torque_tools),
        *((part, "until", part.until, f'What "{part.id}" may do') for part in form.people),
    ]
    for part, key, day, what in dated:
        if day and day < today:
            message = f"{what} ran out on {day}; the day asked about is {today}."
            hint = "renew it, or name another one"
            found.add("out-of-date", message, part.place(key), level=Level.WARNING, hint=hint)
