"""A log walked again: every state refolded, every verdict decided afresh, each difference named.

Read-only and pure.  The recorded events carry the state on, so that one difference does not hide the next.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import Entry
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.commands import Command, command_from_json
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.events import Event, event_from_json, event_to_json
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.state import State


@dataclass(frozen=True, slots=True)
class Moment:
    """The state after one command of the log, and what deciding it again showed."""

    number: int
    """Counts the commands from 1; 0 is the state at opening."""
    state: State
    entry: Entry | None
    command: Command | None
    events: tuple[Event, ...]
    difference: str
    """Empty when the command leads to the recorded events again."""


class Replay:
    """All moments of a log."""

    def __init__(self, job: Job, entries: Sequence[Entry]) -> None:
        self.job = job
        self.opened = entries[0]
        self.entries = tuple(entries)
        first = start(job, str(entries[0].data["operator"]))
        self._moments = [Moment(0, first, None, None, (), "")]
        for entry in entries:
            if entry.kind == "did":
                self._moments.append(self._next(self._moments[-1], entry))

    @property
    def count(self) -> int:
        """The number of commands in the log."""
        return len(self._moments) - 1

    def at(self, number: int) -> Moment:
        """Return the moment after a command; 0 is the opening."""
        return self._moments[number]

    @property
    def last(self) -> Moment:
        """Return the last moment."""
        return self._moments[-1]

    def differences(self) -> tuple[Moment, ...]:
        """Return the moments at which deciding again led to something else."""
        return tuple(m for m in self._moments if m.difference)

    def _next(self, before: Moment, entry: Entry) -> Moment:
        command = command_from_json(entry.data["command"])
        events = tuple(event_from_json(e) for e in entry.data["events"])
        return Moment(
            before.number + 1,
            advance(before.state, command, events),
            entry,
            command,
            events,
            compare(self.job, before.state, command, entry.data["events"]),
        )


def fold(job: Job, entries: Sequence[Entry]) -> State:
    """Return the state that a log's recorded events lead to, without deciding anything again."""
    state = start(job, str(entries[0].data["operator"]))
    for entry in entries:
        if entry.kind == "did":
            events = [event_from_json(e) for e in entry.data["events"]]
            state = advance(state, command_from_json(entry.data["command"]), events)
    return state


def compare(job: Job, state: State, command: Command, recorded: Sequence[object]) -> str:
    """Return in words how deciding a command again differs from what was recorded; empty when it does not."""
    try:
        found = decide(job, state, command)
    except FerruleError as error:
        return f"The command cannot be decided again: {error}"
    events = refused_events(found, state.step) if isinstance(found, Refusal) else found
    again = [event_to_json(event) for event in events]
    if again == list(recorded):
        return ""
    for number, (now, then) in enumerate(zip(again, recorded, strict=False), start=1):
        if now != then:
            return f"Event {number} was recorded as {_short(then)} and is decided as {_short(now)}."
    return f"{len(recorded)} events were recorded and {len(again)} are decided."


def _short(event: object) -> str:
    if not isinstance(event, dict):
        return repr(event)
    parts = [f"{k} {v}" for k, v in event.items() if k != "event" and isinstance(v, str | int) and v != ""]
    return f"“{event.get('event')}” ({', '.join(parts)[:160]})"
