"""What keeps a log from being signed: everything that is open, stale, undecided or still linked at its end.

For: the list that stands between a log and its first signature.
Must never: keep a list of its own; what is open is asked of the walk, from the state that the log leads to.
"""

from collections.abc import Iterator

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.chain import LogRead
from ferrule.engine.journal.replay import Replay
from ferrule.engine.walk.situation import situation, whole_list

COMPLETE = "complete"
_SETTLED = ("done", "not applicable")


class NotSignable(FerruleError):  # noqa: N818 - it names the state of the log
    """The log cannot be signed yet, with every reason."""

    def __init__(self, points: tuple[str, ...]) -> None:
        listed = "\n".join(f"- {point}" for point in points)
        super().__init__(f"This log cannot be signed, because of:\n{listed}")
        self.points = points


def check_signable(read: LogRead, replay: Replay) -> None:
    """Raise NotSignable unless nothing is open in this log."""
    points = open_points(read, replay)
    if points:
        raise NotSignable(points)


def open_points(read: LogRead, replay: Replay) -> tuple[str, ...]:
    """Everything that is open, in words; empty when the log may be signed."""
    return tuple(_points(read, replay))


def _points(read: LogRead, replay: Replay) -> Iterator[str]:
    opened = read.entries[0].data
    if opened["mode"] == "practice":
        yield "It is a practice log, and practice can never be signed."
    if read.torn:
        yield f"Its end is torn: {len(read.tail)} bytes of an unfinished entry. Take the job up again first."
    if not read.closed:
        yield "The job is not closed."
    for moment in replay.differences():
        yield f"Command {moment.number} does not replay: {moment.difference}"
    yield from _state_points(read, replay)


def _state_points(read: LogRead, replay: Replay) -> Iterator[str]:
    state = replay.last.state
    outcome = next((str(entry.data["outcome"]) for entry in read.entries if entry.kind == "close"), "")
    if outcome and outcome != state.outcome:
        yield f"It was closed as “{outcome}”, and its entries lead to “{state.outcome or 'no end'}”."
    if state.pending is not None:
        yield f"The answer “{state.pending.word}” in entry {state.pending.entry} waits for a decision."
    if state.away_ms is not None:
        yield "The board is marked as left."
    for title, how, _ in whole_list(replay.job, state):
        if how not in _SETTLED:
            yield f"{title}: {how}."
    for fact in situation(replay.job, state, state.last_ms).outstanding:
        if outcome in ("", COMPLETE) or fact.startswith("link:"):
            yield f"{fact.replace(':', ' ')} is {state.facts[fact]}."
