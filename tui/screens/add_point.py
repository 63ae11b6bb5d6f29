"""A point that the card does not know gets a row: asked for one thing at a time, then the card is amended.

Must never: guess a place or a distance; what nobody knows is put down as unknown.
"""

from __future__ import annotations

from ferrule.engine.electrics.model import How, Point
from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.amend import amend_card, amended_job
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.state import State
from ferrule.tui.screens.flows import Desk, ask, pick_person
from ferrule.tui.screens.has_picture import ALONG
from ferrule.tui.screens.panes import Ask, Choice, Pick

FIELD = "circuit.add point"
NOT_HERE = "A point is added from a round through the points of the circuit, or under F11 as an amendment."
_HOW = {
    How.MEASURED: "measured here",
    How.RECORD: "taken from a record",
    How.STATED: "stated by somebody",
    How.ASSUMED: "assumed",
}


def goes_along(job: Job, state: State) -> bool:
    """True at a round through the points of the circuit."""
    step = step_at(job, state.step)
    return step is not None and step.kind == "round" and step.points in ALONG


def add_point(desk: Desk) -> None:
    """Ask for the name of the new point on the plan, then for the rest."""
    job, state = desk.session.job, desk.session.state
    if not goes_along(job, state):
        desk.back()
        desk.say(NOT_HERE)
        return
    points = amended_job(job, state.amendments).card.circuit.points
    taken = f"Taken are: {', '.join(p.id for p in points)}."
    ask(desk, "A point that the card does not know", "Short name", lambda i: _name(desk, points, i), intro=(taken,))


def _name(desk: Desk, points: tuple[Point, ...], point: str) -> None:
    ask(desk, f"Point {point}", "Where it is, in words", lambda name: _root(desk, points, [point, name]))


def _root(desk: Desk, points: tuple[Point, ...], said: list[str]) -> None:
    """Ask whether the point lies on the circuit or on a spur."""
    choices = [Choice(("it lies on the circuit itself",))]
    choices += [Choice((f"it is a spur from {p.id} {p.name}",)) for p in points if not p.spur_from]
    roots = [p.id for p in points if not p.spur_from]

    def chosen(at: int) -> None:
        _metres(desk, said, "" if at == 0 else roots[at - 1])

    desk.open(Pick(f"Point {said[0]}", (), choices, chosen))


def _metres(desk: Desk, said: list[str], root: str) -> None:
    what = f"Metres of the spur from {root}" if root else "Metres from the board along leg 1"

    def typed(text: str) -> None:
        if text:
            _how(desk, said, root, text)
        else:
            _seen(desk, said, root, How.UNKNOWN.value)

    ask(desk, f"Point {said[0]}", what, typed, optional=True)


def _how(desk: Desk, said: list[str], root: str, metres: str) -> None:
    ways = list(_HOW)
    choices = [Choice((_HOW[way],)) for way in ways]
    title = f"How are the {metres} m known?"
    desk.open(Pick(title, (), choices, lambda at: _seen(desk, said, root, f"{metres} m, {ways[at].value}")))


def _seen(desk: Desk, said: list[str], root: str, length: str) -> None:
    """Ask what was seen; a value that the card would not take is told first."""
    new = " | ".join([*said, length, *([f"from {root}"] if root else [])])
    asked = Ask(
        f"Point {said[0]}", (f"New on the card: {new}",), "What was seen", lambda seen: _agreed(desk, new, seen)
    )
    job = amended_job(desk.session.job, desk.session.state.amendments)
    try:
        amend_card(job.card, FIELD, new)
    except FerruleError as error:
        desk.back()
        desk.say(f"Not taken: {error}")
        return
    desk.open(asked)


def _agreed(desk: Desk, new: str, seen: str) -> None:
    people = list(desk.session.job.card.people)
    title = "Who agrees to the change of the card?"
    pick_person(
        desk, title, people, lambda who: desk.give(c.Amend(desk.person, desk.session.stamp(), FIELD, seen, new, who))
    )
