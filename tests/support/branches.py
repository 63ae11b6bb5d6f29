"""Drives one fault branch of the table: from the step where its symptom is seen to its repair or its end.

A branch is a row of `tests/cases/fault_branches.csv`.
`shows` and `=` give cells what they show, as `cell=value` or `cell@point=value`; `:` names the state that was seen.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot, slots_of
from tests.support.walker import Walker

TABLE = Path(__file__).resolve().parents[1] / "cases" / "fault_branches.csv"
FAR = 400
"""More commands than any stretch between two steps of a branch takes."""


@dataclass(frozen=True)
class Branch:
    """One row: where the symptom is seen, the way through the search, and what it comes to."""

    branch: str
    symptom: str
    card: str
    when: str
    shows: str
    path: tuple[str, ...]
    ends_at: str
    void: frozenset[str]
    stands: str
    ends_in: str
    source: str


def table() -> tuple[Branch, ...]:
    """All rows, in the order of the file."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(_branch(row) for row in csv.DictReader(file))


def _branch(row: Mapping[str, str]) -> Branch:
    return Branch(
        row["branch"],
        row["symptom"],
        row["card"],
        row["when"],
        row["shows"],
        tuple(part.strip() for part in row["path"].split(" > ")),
        row["ends at"],
        frozenset(name.strip() for name in row["void"].split(";") if name.strip()),
        row["stands"],
        row["ends in"],
        row["source"],
    )


@dataclass
class Driven:
    """A walk down a branch: the results that went void on the way, and every act that was answered."""

    walker: Walker
    void: set[str] = field(default_factory=set)
    acts: list[str] = field(default_factory=list)

    @classmethod
    def begin(cls, job: Job) -> Driven:
        """A walk at its opening."""
        return cls(Walker.begin(job))

    @property
    def procedure(self) -> str:
        """The procedure that the walk stands in."""
        return self.walker.state.step.partition("/")[0]

    def give(self, command: c.Command | None) -> tuple[e.Event, ...]:
        """Give a command that has to be taken."""
        assert command is not None, f"nothing to do at {self.walker.state.step}"
        before = dict(self.walker.state.facts)
        found = self.walker.give(command)
        assert not isinstance(found, Refusal), f"{self.walker.state.step}: {found}"
        after = self.walker.state.facts
        self.void |= {
            fact.removeprefix("result:")
            for fact, word in after.items()
            if fact.startswith("result:") and word == "void" and before[fact] not in ("void", "none")
        }
        for event in found:
            if isinstance(event, e.FactsChanged):
                self.void |= _voided_by(event, before)
            if isinstance(event, e.Answered):
                step = self.walker.record.entries[event.entry]
                self.acts.append(step[1])
        return found

    def to(self, where: str) -> None:
        """Go on as on a sound job until the walk stands at a step."""
        for _ in range(FAR):
            if self.walker.state.step == where and self.walker.state.pending is None:
                return
            self.give(self.walker.healthy())
        raise AssertionError(f"never came to {where}; stands at {self.walker.state.step}")

    def to_result(self, result: str) -> None:
        """Go on as on a sound job until a result has passed."""
        for _ in range(FAR):
            if self.walker.state.facts[f"result:{result}"] == "pass":
                return
            self.give(self.walker.healthy())
        raise AssertionError(f"{result} never passed")

    def report(self, what: str, of: str = "") -> None:
        """Report something that happened."""
        self.give(c.Report(self.walker.state.operator, self.walker.stamp(), what, of, "seen"))

    def answer(self, shows: Mapping[str, str], seen: str = "") -> None:
        """Answer the step on screen, its round started first where it has one."""
        step = self.walker.step()
        assert step is not None
        act = ACTS[step.act]
        where = self.walker.state.step
        while step.kind == "round" and (act.touches or act.live) and self.walker.state.round_start_ms is None:
            self.give(c.StampRound(self.walker.state.operator, self.walker.stamp(), where, "start"))
            self.to(where)
        job, state = self.walker.job, self.walker.state
        slots = {(s.point, s.cell.id): s for s in slots_of(job, step)}
        cells = cells_for(job, state, step, reader=lambda slot: _reading(slot, shows) or self.walker.reader(slot))
        typed = tuple(_typed(cell, slots[cell.point, cell.cell], shows, seen) for cell in cells)
        wanted = {seen} if seen else set()
        assert wanted <= {cell.entered for cell in typed}, f"{state.step} has no state “{seen}”"
        self.give(c.Answer(self.walker.looker(step), self.walker.stamp(), state.step, typed))
        if self.walker.state.pending is not None:
            self.give(self.walker.settle("pass"))

    def start(self, branch: Branch) -> None:
        """Come to the step where the symptom is seen, and see it."""
        where, _, after = branch.when.partition(" after ")
        if after:
            self.to_result("separation")
            self.report("somebody had access")
        self.to(where)
        self.void.clear()
        self.acts.clear()
        if branch.shows.startswith("report: "):
            self.to_live(where)
            self.report(branch.shows.removeprefix("report: "))
        elif "=" in branch.shows:
            self.answer(_shown(branch.shows))
        else:
            self.answer({}, branch.shows)

    def to_live(self, where: str) -> None:
        """The walk stands at a live step already; a report from there finds the device on."""
        assert self.walker.state.step == where
        assert self.walker.state.facts["device"] == "on"

    def follow(self, branch: Branch) -> frozenset[str]:
        """Follow the way of a branch; return the results that were void once its last step was answered."""
        void: frozenset[str] = frozenset()
        for entry in branch.path:
            left, asks, seen = entry.partition(": ")
            where, _, shows = left.partition(" = ")
            self.to(where)
            self.answer(_shown(shows), seen if asks else "")
            if where == branch.ends_at:
                void = frozenset(self.void)
        return void


def _voided_by(event: e.FactsChanged, before: Mapping[str, str]) -> set[str]:
    """Results that an event makes void, those too that were read again by the end of the command."""
    return {
        fact.removeprefix("result:")
        for fact, word in event.changes
        if fact.startswith("result:") and word == "void" and before[fact] != "none"
    }


def _shown(text: str) -> dict[str, str]:
    return dict(part.split("=", 1) for part in text.split())


def _said(slot: Slot, shows: Mapping[str, str]) -> str | None:
    return shows.get(f"{slot.cell.id}@{slot.point}", shows.get(slot.cell.id))


def _reading(slot: Slot, shows: Mapping[str, str]) -> str | None:
    said = _said(slot, shows)
    return None if said is None or not slot.cell.function or said == "unstable" else said


def _typed(cell: c.CellAnswer, slot: Slot, shows: Mapping[str, str], seen: str) -> c.CellAnswer:
    said = _said(slot, shows)
    if said == "unstable":
        return replace(cell, form=c.UNSTABLE, entered="")
    states = [state.seen for state in slot.cell.states]
    wanted = seen or (said or "")
    found = next((s for s in states if s == wanted or (said and s.startswith(said))), None)
    return cell if found is None else replace(cell, form=c.SEEN, entered=found)
