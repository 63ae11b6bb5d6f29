"""What a step asks, held against what its act rests on: readings that are left out, states in an order that misleads.

For: a test that passes because nobody asked for the reading that would have failed.
Must never: judge a value; what passes is said by the limits file.

The readings are written out here apart from the procedures, so that one that is left out there is missed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.compiled import Condition, Procedure
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import step_key
from ferrule.engine.walk.place import holds

LEAST: Mapping[str, tuple[str, ...]] = {
    "read the main bonding": ("bonding",),
    "read the parted bonding": ("bonding",),
    "read separation": ("separation/L-N", "separation/N-E", "separation/N-bar"),
    "read the protective conductor": ("cpc",),
    "read ring step one": ("r1", "rn", "r2"),
    "read ring step two": ("ring-two",),
    "read ring step three": ("ring-three",),
    "read insulation": ("insulation/L-N", "insulation/L-E", "insulation/N-E"),
    "read insulation together": ("insulation/LN-E",),
    "read line to earth after landing": ("landing/L-E",),
    "read line to neutral after landing": ("landing/L-N",),
    "read insulation after landing": ("landing/LN-E",),
    "read the incoming supply": ("supply/L-N | supply/L1-N", "supply/L-E | supply/L1-E", "supply/N-E"),
    "read external impedance with earthing connected": ("ze",),
    "read external impedance with earthing parted": ("ze",),
    "read the earthing conductor": ("earthing-conductor",),
    "read fault current": ("fault-current/L-N", "fault-current/L-E"),
    "read loop impedance": ("live/L-N", "live/L-E", "live/N-E", "zs"),
    "time the residual device": ("residual/time",),
    "time the section device": ("residual/upstream",),
    "read the old way live": ("back/L-N", "back/L-E", "back/N-E", "back/zs"),
    "null the leads": ("null",),
    "torque, tug and mark": ("torque",),
    "torque, tug and mark an old terminal": ("back/torque",),
}
"""By act, the slots that each of its steps must keep, alternatives with `|` (trade brief §2 to P7.4)."""

MORE: Mapping[str, tuple[tuple[str, str, tuple[str, ...]], ...]] = {
    "read the incoming supply": (("phases", "three", ("supply/L2-N", "supply/L3-N", "supply/L2-E", "supply/L3-E")),),
    "read separation": (
        ("board", "split-load", ("separation/N-section",)),
        ("use", "lighting", ("separation/N-other",)),
    ),
}
"""By act, what a card of some kind asks for besides: its fact, the value, and the slots (trade brief §3, V4)."""

FIGURES: Mapping[str, tuple[str, ...]] = {
    "judge the device on paper": ("fault-current", "disconnection-time", "loads-suited", "selectivity"),
    "read fault current": ("fault-current",),
    "read ring step one": ("ring-length", "ring-legs"),
}
"""By act, the rows of limits that figures, or two readings together, are held against (trade brief §3 to §5)."""


def readings_left_out(parts: Parts) -> Iterator[Finding]:
    """A test that leaves out a reading that its result rests on, takes it unjudged, or not at each point.

    With a card only the readings that it asks for count: one for another kind of circuit stands for none of this one.
    Figures are looked for whatever the card: some stand only where there is something to hold them against.
    """
    for procedure in parts.procedures.values():
        for step in procedure.steps:
            if not _is_asked(step.when, parts):
                continue
            cells = [cell for cell in step.cells if _is_asked(cell.when, parts)]
            kept = {cell.slot for cell in cells if cell.judge and not cell.once}
            for slots in (*LEAST.get(step.act, ()), *_more(step.act, parts)):
                if kept.isdisjoint(slots.split(" | ")):
                    message = (
                        f'The act "{step.act}" rests on the reading "{slots}"; "{step.id}" does not ask and judge it.'
                    )
                    place = parts.places.get(step_key(procedure.id, step.id, "act"))
                    yield Finding("reading-left-out", Level.ERROR, message, place, f'"keep: {slots.split(" | ")[0]}"')
            judged = {cell.judge for cell in step.cells} | {check.judge for check in step.checks}
            for row in FIGURES.get(step.act, ()):
                if row not in judged:
                    message = f'The act "{step.act}" rests on a figure held against "{row}"; "{step.id}" has none.'
                    place = parts.places.get(step_key(procedure.id, step.id, "act"))
                    yield Finding("reading-left-out", Level.ERROR, message, place, f'"judge: {row}"')


def _more(act: str, parts: Parts) -> Iterator[str]:
    for fact, value, slots in MORE.get(act, ()):
        if parts.card is not None and parts.card_facts.get(fact) == value:
            yield from slots


def _is_asked(conditions: tuple[Condition, ...], parts: Parts) -> bool:
    return parts.card is None or holds(conditions, parts.card_facts)


def bad_states_first(parts: Parts) -> Iterator[Finding]:
    """A question whose passing state is not the first: an answer that changed places with another is seen by that."""
    for procedure in parts.procedures.values():
        yield from _of_procedure(procedure, parts)


def _of_procedure(procedure: Procedure, parts: Parts) -> Iterator[Finding]:
    for step in procedure.steps:
        for cell in step.cells:
            answers = [state.answer for state in cell.states]
            if "pass" in answers[1:] and answers[0] != "pass":
                message = f'Of the states of "{cell.prompt}", "{cell.states[0].seen}" stands first and does not pass.'
                place = parts.places.get(step_key(procedure.id, step.id, f"cell/{cell.id}/state/0"))
                yield Finding("bad-state-first", Level.ERROR, message, place, "write the state that passes first")
