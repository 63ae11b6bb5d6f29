"""The hidden world beside what is recorded: whether a source is truly on, whether the indicator truly works.

For: the one hazard that is stated physically and apart from every need: a hand on a conductor that is truly live.
Must never: read what an act needs.  Take every need away, and this must find the touch.

What is taken for granted, and no more
1. A source that is truly locked off stays off until it is given back or its lock is lost.
2. A feed that nobody listed shows itself whenever it is tested for; it can begin only while the board is not watched.
3. An indicator that has stopped working shows nothing until it is replaced; it does not come back to life by itself.
4. A live conductor may show on one pair alone, and which one is not known beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.prover.moves import (
    ANSWER,
    CARRY_ON,
    COMMAND,
    HAND_OVER,
    LONG_ABSENCE,
    REPORT,
    STOP,
    Change,
    Label,
    Move,
    Table,
)
from ferrule.engine.prover.slices import Slice
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.safety.acts import ACTS, INDICATOR, PASS, VOLTS, Need
from ferrule.engine.safety.pairs import LIVE_VOLTS, PAIRS
from ferrule.engine.walk.cells import Slot, inputs_of, judge_cell
from ferrule.engine.walk.place import holds

TRUTH = "truth"
"""The kind of a move that nobody at the board sees."""

FEEDS, STRAY, SHOWS, TESTER = "truly on", "unlisted feed", "shows on", "indicator truly"

NOWHERE = ""
"""Where a live conductor shows that no step asks about; else the steps that ask for its pair."""

_UNWATCHED = (STOP, CARRY_ON, HAND_OVER, LONG_ABSENCE, "somebody had access")
_MAY_COME_BACK = ("lock or key lost", "source changed")
_TURNS_OFF = ("isolate and lock", "switch off and lock for safety")
_TURNS_ON = "give back "
"""How the name of every act begins that closes the isolator of a source."""


@dataclass(frozen=True, slots=True)
class Proofs:
    """What the proofs of a set can see: by step, whether it notices a dark indicator, and the pairs that it asks."""

    notices: Mapping[str, bool]
    pairs: Mapping[str, frozenset[str]]


def hazard_slice(table: Table, source: str) -> Slice:
    """Return the slice of the hazard for one source: the facts of the proof beside the hidden world."""
    facts = (
        f"source:{source}",
        f"lock:{source}",
        "zone:busbar",
        "zone:circuit",
        "hold:two",
        "dead test",
        "indicator",
        "check:sources",
    )
    touching = tuple(act.name for act in ACTS.values() if act.touches)
    piece = Slice(table, facts, touching)
    proofs = proofs_of(table)
    wanted = PAIRS[table.job.card_facts["phases"]]
    hidden = {
        FEEDS: ("yes",),
        STRAY: ("no", "yes"),
        SHOWS: tuple(dict.fromkeys(_asked_in(proofs, pair) for pair in wanted)),
        TESTER: ("works", "dark"),
    }
    piece.with_hidden(hidden, [*_in_truth(_one_hand(piece.moves), source, proofs, hidden[SHOWS]), *_by_itself(source)])
    return piece


def _one_hand(moves: Iterable[Move]) -> Iterator[Move]:
    """The moves, with touching acts that need the same and change nothing here taken once: a hand is a hand.

    Acts that neither touch nor change anything here are left out, but for proofs, whose answers tell of the world.
    """
    seen: set[tuple[Need, ...]] = set()
    for move in moves:
        act = ACTS.get(move.label.name)
        if move.changes or move.label.kind != ANSWER or act is None:
            yield move
        elif act.touches and move.needs not in seen:
            seen.add(move.needs)
            yield move


def touches_live(label: Label, before: Mapping[str, str], _: Mapping[str, str]) -> bool:
    """True for an answered act with a bare hand on a conductor while something truly feeds it."""
    act = ACTS.get(label.name)
    hand = label.kind == ANSWER and act is not None and bool(act.touches)
    return hand and "yes" in (before[FEEDS], before[STRAY])


def proofs_of(table: Table) -> Proofs:
    """Return what each proof of the job can see, from the steps as they are written."""
    notices: dict[str, bool] = {}
    pairs: dict[str, frozenset[str]] = {}
    for found in table.steps_by_act.get("prove the indicator", ()):
        notices[found.where] = any(s.answer != PASS for cell in _asked(table.job, found.step) for s in cell.states)
    for found in table.steps_by_act.get("prove dead", ()):
        cells = _asked(table.job, found.step)
        notices[found.where] = any(s.answer == INDICATOR for cell in cells for s in cell.states)
        at_points = found.step.points == "proving points"
        at_each = (cell for cell in cells if at_points and not cell.once)
        seen = (cell.slot.rpartition("/")[2] for cell in at_each if _would_show(table.job, cell))
        pairs[found.where] = frozenset(seen)
    return Proofs(notices, pairs)


def _asked(job: Job, step: Step) -> tuple[Cell, ...]:
    return tuple(cell for cell in step.cells if holds(cell.when, job.card_facts))


def _would_show(job: Job, cell: Cell) -> bool:
    """True when a live pair read into this cell is taken for a voltage, at every voltage that counts as live."""
    found = function_of(job.card, cell.function) if cell.function else None
    if found is None or cell.fails_as != VOLTS:
        return False
    for volts in LIVE_VOLTS:
        reading = Reading.measured(Decimal(volts), found[1].unit)
        slot = Slot("", "", cell)
        verdict = judge_cell(job, inputs_of(job, {}), slot, reading, found[1])
        if verdict is None or verdict.outcome.value == PASS:
            return False
    return True


def _in_truth(moves: Iterable[Move], source: str, proofs: Proofs, shows: tuple[str, ...]) -> Iterator[Move]:
    """Every move with what it can mean in truth."""
    for move in moves:
        name, answer = move.label.name, dict(move.label.answers)
        own = answer.get(source, answer.get("", ""))
        if move.label.kind == ANSWER and name == "prove dead" and answer.get("") == PASS:
            yield from _clear(move, proofs, shows)
        elif move.label.kind == ANSWER and name == "prove dead" and answer.get("") == VOLTS:
            yield _with(move, needs=(Need(TESTER, ("works",)),))
        elif move.label.kind == ANSWER and name == "prove the indicator" and answer.get("") == PASS:
            yield _with(move, needs=(Need(TESTER, ("works",)),))
            if not proofs.notices.get(move.label.where, False):
                yield move
        elif move.label.kind == ANSWER and name in _TURNS_OFF and own == PASS:
            yield _with(move, changes=(Change(FEEDS, "no"),))
            yield move
        elif move.label.kind == ANSWER and name.startswith(_TURNS_ON) and source in answer:
            yield _with(move, changes=(Change(FEEDS, "yes"),))
        elif move.label.kind == ANSWER and name == "replace the indicator":
            yield _with(move, changes=(Change(TESTER, "works"),))
            yield move
        elif move.label.kind == ANSWER and name == "list the sources":
            yield _with(move, changes=(Change(STRAY, "no"),))
            yield move
        elif move.label.kind == REPORT and name in _MAY_COME_BACK and source in answer:
            yield _with(move, changes=(Change(FEEDS, "yes"),))
        elif move.label.kind in (COMMAND, REPORT) and name in _UNWATCHED:
            yield _with(move, changes=(Change(STRAY, "yes"),))
            yield move
        else:
            yield move


def _asked_in(proofs: Proofs, pair: str) -> str:
    """The steps that ask for a pair; two pairs that the same steps ask for are the same here."""
    return ", ".join(sorted(where for where, pairs in proofs.pairs.items() if pair in pairs))


def _clear(move: Move, proofs: Proofs, shows: tuple[str, ...]) -> Iterator[Move]:
    """When a round can come out clear: nothing live; live where it is not asked; an indicator that nobody proves."""
    works = Need(TESTER, ("works",))
    yield _with(move, needs=(works, Need(FEEDS, ("no",)), Need(STRAY, ("no",))))
    blind = tuple(shown for shown in shows if move.label.where not in shown.split(", "))
    if blind:
        yield _with(move, needs=(works, Need(SHOWS, blind)))
    if not proofs.notices.get(move.label.where, False):
        yield _with(move, needs=(Need(TESTER, ("dark",)),))


def _by_itself(source: str) -> Iterator[Move]:
    """What can happen in truth without anybody doing anything."""
    says = Label(TRUTH, f"{source} comes on: nothing holds it off")
    on = (Change(FEEDS, "yes"),)
    yield Move(says, (Need(f"source:{source}", ("unknown", "on", "off")),), on)
    yield Move(says, (Need(f"lock:{source}", ("none", "lost")),), on)
    yield Move(Label(TRUTH, "the indicator stops working"), (), (Change(TESTER, "dark"),))


def _with(move: Move, needs: tuple[Need, ...] = (), changes: tuple[Change, ...] = ()) -> Move:
    return replace(move, needs=(*move.needs, *needs), changes=(*move.changes, *changes))
