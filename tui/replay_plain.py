"""`ferrule replay LOG --plain`: a log walked again, one block an entry.

Read-only.  Must never: mix a difference in deciding with damage to the log, or hide the one behind the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TextIO

from ferrule.engine.journal.replay import Moment, Replay
from ferrule.tui import words
from ferrule.tui.signature_words import signature_lines
from ferrule.tui.signs import shown

SAME, DIFFERS = 0, 1


def run_replay_plain(replay: Replay, out: TextIO) -> int:
    """Write every moment of a log; return 0 when all is decided the same again, 1 where it is not."""
    for line in replay_lines(replay):
        out.write(f"{shown(line)}\n")
    return DIFFERS if replay.differences() else SAME


def replay_lines(replay: Replay) -> Iterator[str]:
    """Yield the head of a log, a block for each of its commands, and what replaying it showed."""
    opened = replay.opened.data
    card = replay.job.card
    yield f"{words.MODE_WORDS[str(opened['mode'])]}. {opened['title']}. Board {card.board}, way {card.way}."
    yield f"Job {opened['job_id']}, opened {replay.opened.wall}, sign-off {opened['sign_off']}."
    yield f"Opened by {words.person_name(replay.job, str(opened['operator']))}."
    yield f"Limits of the job: {replay.job.limits.edition}."
    known: tuple[str, ...] = ()
    for number in range(1, replay.count + 1):
        yield ""
        moment = replay.at(number)
        yield from _block(moment, replay)
        told = tuple(said for said in words.notices_at(moment, replay.job) if said not in moment.state.cautions)
        yield from (f"   Notice: {notice}" for notice in told if notice not in known)
        known = told
    yield ""
    yield from _end(replay)


def _block(moment: Moment, replay: Replay) -> Iterator[str]:
    job = replay.job
    assert moment.entry is not None
    assert moment.command is not None
    person = words.person_name(job, moment.command.person)
    yield f"{moment.number}. {moment.entry.wall}, {person}: {words.command_words(moment.command, job)}"
    yield from (f"   {line}" for event in moment.events for line in words.event_lines(event, job))
    if moment.difference:
        yield f"   DIFFERS: {moment.difference}"


def _end(replay: Replay) -> Iterator[str]:
    different = replay.differences()
    closed = next((entry for entry in replay.entries if entry.kind == "close"), None)
    yield f"The log is closed: {closed.data['outcome']}." if closed else "The log is still open."
    yield from signature_lines(replay.entries)
    if different:
        listed = ", ".join(str(moment.number) for moment in different)
        yield f"Differs at {len(different)} of {replay.count} commands: {listed}."
    else:
        yield f"Replays the same: {replay.count} commands."
