"""Drives the pure core through commands, healthy or not, beside a true world and the monitors.

It calls `decide` directly and never looks at a screen; time is a number that it moves itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.prover.answers import Reader, cells_for
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import objects_of, step_at
from ferrule.engine.walk.state import State
from ferrule.engine.walk.waits import wait_left_ms
from tests.monitors.monitors import TOUCHING, Record, see, watch
from tests.monitors.trueworld import TrueWorld

DAY = "2026-11-25"
TICK_MS = 20_000
ENDS_TRIED = tuple(end for end in ENDINGS if end not in ("made safe", "to be continued, other ways on"))
"""Ends to try wherever a walk stands; the two left out differ from others only in the word the log closes with."""


_ANSWERS: dict[object, tuple[Step, tuple[c.CellAnswer, ...]]] = {}
"""Answers worked out before, by everything that they depend on; they save half the time of long random walks.

The step itself is kept beside them, so that another one written under its name is not taken for it.
"""


def _nothing(_: Slot) -> bool:
    """Spoil nothing."""
    return False


def _unseen(_: Slot) -> str | None:
    """Leave every reading to the judgement."""
    return None


@dataclass
class Walker:
    """One walk in memory with its true world, its monitors and its clock."""

    job: Job
    state: State
    world: TrueWorld
    record: Record
    now_ms: int = 0
    trail: list[tuple[c.Command, tuple[e.Event, ...]]] = field(default_factory=list)
    refusals: int = 0

    @classmethod
    def begin(cls, job: Job, operator: str = "") -> Walker:
        """Return a walk at its opening."""
        who = operator or technician(job)
        world = TrueWorld({s.id: True for s in job.card.sources})
        return cls(job, start(job, who), world, watch(job))

    def stamp(self) -> c.Stamp:
        """Return the stamp of the next command."""
        return c.Stamp(self.now_ms, DAY)

    def step(self) -> Step | None:
        """Return the step the walk stands at."""
        return step_at(self.job, self.state.step)

    def give(self, command: c.Command) -> Refusal | tuple[e.Event, ...]:
        """Decide a command, fold it, and let world and monitors see it; a value that is held is given again."""
        found = decide(self.job, self.state, command)
        self.take(command, found)
        if isinstance(found, Refusal) and found.doubts and isinstance(command, c.Answer):
            return self.give(replace(command, at=self.stamp(), cells=self.again(command.cells)))
        return found

    def again(self, cells: tuple[c.CellAnswer, ...]) -> tuple[c.CellAnswer, ...]:
        """Return answers with those marked whose values were held at this step."""
        return tuple(replace(a, again=True) if (a.point, a.cell, a.entered) in self.state.doubted else a for a in cells)

    def take(self, command: c.Command, found: Refusal | tuple[e.Event, ...]) -> None:
        """Fold what was decided, and let world and monitors see it."""
        self.now_ms = max(self.now_ms, command.at.ms)
        if isinstance(found, Refusal):
            self.refusals += 1
            if not found.kept:
                return
            events: tuple[e.Event, ...] = refused_events(found, self.state.step)
        else:
            events = found
            self._world(command, events)
        self.state = advance(self.state, command, events)
        see(self.job, self.record, command, events)
        self.trail.append((command, events))
        self.now_ms += TICK_MS

    def _world(self, command: c.Command, events: tuple[e.Event, ...]) -> None:
        for event in events:
            if not isinstance(event, e.Answered):
                continue
            step = step_at(self.job, event.step)
            assert step is not None
            if step.act in TOUCHING:
                self.world.touched(f"{event.step} at {command.at.ms}")
            if step.act in ("isolate and lock", "switch off and lock for safety"):
                for of in objects_of(self.job, step):
                    if all(cell.outcome == "pass" for cell in event.cells if cell.point in ("", of)):
                        self.world.isolated(of)
            gives_back = step.act.startswith("give back ") or step.act == "close the device alone"
            if gives_back and event.word in ("pass", "done", "tripped"):
                for of in objects_of(self.job, step):
                    self.world.given_back(of)
            if step.act == "replace the indicator":
                self.world.indicator_works = True
            if step.act == "list the sources" and event.word in ("pass", "done"):
                self.world.hidden_feed = False

    def reader(self, slot: Slot) -> str | None:
        """What the indicator really shows at a pair while a dead part is tested."""
        if slot.cell.fails_as == "voltage found":
            return "230" if self.world.indicator_shows() else "<"
        return None

    def spoiled(self, slot: Slot) -> bool:
        """True for the proof of an indicator that really does not work."""
        proof = any(s.answer == "indicator failed" for s in slot.cell.states) or slot.cell.id in ("proof", "before")
        return proof and not self.world.indicator_works

    def healthy(self, reader: Reader = _unseen) -> c.Command | None:
        """Return the command that takes a sound job one step further, or None at the end."""
        step = self.step()
        if step is None:
            return None
        if self.state.pending is not None:
            return self.settle("pass") if self.state.pending.alone else self.settle("again")
        if step.kind == "hold":
            return self.sign()
        act = ACTS.get(step.act)
        hands = step.kind == "round" and act is not None and (act.touches or act.live)
        if hands and self.state.round_start_ms is None:
            return c.StampRound(self.state.operator, self.stamp(), self.state.step, "start")
        self.now_ms += wait_left_ms(self.job, self.state, step, self.now_ms)
        return self.answer(reader=reader)

    def answer(
        self,
        wanted: str = "pass",
        spoil: Callable[[Slot], bool] = _nothing,
        reader: Reader = _unseen,
    ) -> c.Answer:
        """Return an answer to the step on screen."""
        step = self.step()
        assert step is not None

        def shown(slot: Slot) -> str | None:
            return reader(slot) or self.reader(slot)

        def bad(slot: Slot) -> bool:
            return spoil(slot) or self.spoiled(slot)

        failed = "indicator failed" if not self.world.indicator_works else wanted
        if spoil is _nothing and reader is _unseen:
            cells = self._remembered(step, failed, bad, shown)
        else:
            cells = cells_for(self.job, self.state, step, wanted=failed, spoil=bad, reader=shown)
        return c.Answer(self.looker(step), self.stamp(), self.state.step, self.again(cells))

    def looker(self, step: Step) -> str:
        """Return who answers a step: a second person where the card has one and the step wants one."""
        if step.kind == "verify" and self.job.card.sign_off == "supervised":
            return next(p.id for p in self.job.card.people if "supervisor" in p.roles)
        return self.state.operator

    def _remembered(
        self, step: Step, wanted: str, spoil: Callable[[Slot], bool], reader: Reader
    ) -> tuple[c.CellAnswer, ...]:
        """Return the answers that the same readings and the same world led to before, or work them out."""
        readings = tuple((k, v.reading.entered, v.reading.state) for k, v in self.state.readings.items())
        world = (self.world.indicator_works, self.world.busbar_is_live())
        screws = tuple(v for k, v in self.state.facts.items() if k.startswith("terminal:"))
        chosen = (self.job.card.id, *self.job.card_facts.values(), self.state.amendments)
        key = (chosen, self.state.step, id(step), wanted, world, readings, screws)
        if key not in _ANSWERS:
            _ANSWERS[key] = step, cells_for(self.job, self.state, step, wanted=wanted, spoil=spoil, reader=reader)
        return _ANSWERS[key][1]

    def sign(self) -> c.Sign | None:
        """Return the next signature that the hold point on screen wants."""
        step = self.step()
        assert step is not None
        name = step.act.removeprefix("release hold point ")
        given = self.state.signed.get(name, ())
        for role in HOLD_POINTS[name].signers(self.job.card.sign_off):
            if role not in {r for r, _, _ in given}:
                taken = {p for _, p, _ in given}
                person = next((p.id for p in self.job.card.people if role in p.roles and p.id not in taken), None)
                return c.Sign(person, self.stamp(), name, role) if person else None
        return None

    def settle(self, decision: str) -> c.Settle:
        """Return a decision on the doubtful answer, by the supervisor where there is one."""
        people = self.job.card.people
        who = next((p.id for p in people if "supervisor" in p.roles), self.state.operator)
        return c.Settle(who, self.stamp(), self.state.step, decision, "looked at again")

    def walk(self, most: int = 400, reader: Reader = _unseen) -> Walker:
        """Give healthy commands until the log is closed; an unexpected refusal is an error."""
        for _ in range(most):
            command = self.healthy(reader)
            if command is None:
                break
            found = self.give(command)
            if isinstance(found, Refusal):
                raise AssertionError(f"{self.state.step}: {found.code}: {found.reason}")
        return self

    def until(self, where: str, most: int = 400) -> Walker:
        """Give healthy commands until the walk stands at a step for the first time; not getting there is an error."""
        for _ in range(most):
            if self.state.step == where:
                return self
            command = self.healthy()
            found = self.give(command) if command is not None else None
            if found is None or isinstance(found, Refusal):
                break
        raise AssertionError(f"{where} was not reached; the walk stands at {self.state.step}: {self.state.why_here}")


def technician(job: Job) -> str:
    """Return the id of the first technician of the card."""
    return next(p.id for p in job.card.people if "technician" in p.roles)


def disturbances(walker: Walker) -> Iterator[c.Command]:
    """Yield everything that can happen to the work now: reports, pauses, stops, corrections, hand-overs, amendments."""
    who, at = walker.state.operator, walker.stamp()
    objects = walker.job.objects
    for row in DISTURBANCES.values():
        for of in objects.get(row.object, ()) if row.object else ("",):
            yield c.Report(who, at, row.name, of, "seen")
    yield c.StopWork(who, at, "doubt")
    yield c.CarryOn(who, at, "cleared up")
    for end in ENDS_TRIED:
        yield c.EndAs(who, at, end, "no time left")
    yield c.StepAway(who, at, "lunch")
    yield c.ComeBack(who, c.Stamp(at.ms + 60_000, DAY))
    yield c.ComeBack(who, c.Stamp(at.ms + 3_600_000, DAY))
    yield c.Resume(who, c.Stamp(at.ms + 60_000, DAY), "restarted")
    yield c.Resume(who, c.Stamp(at.ms + 3_600_000, DAY), "restarted")
    for person in walker.job.card.people:
        if person.id != who:
            yield c.HandOver(who, at, person.id, "theirs on, mine off")
    if walker.state.done:
        yield c.Correct(who, at, max(walker.state.done), "typed wrongly")
        proofs = [n for n, d in walker.state.done.items() if d.step.startswith("prove-dead")]
        if proofs:
            yield c.Correct(who, at, max(proofs), "typed wrongly")
    yield c.Amend(who, at, "circuit.length", "a longer cable", "70 m, measured", who)
    yield c.SayPresence(who, at, False)


def answers(walker: Walker) -> Iterator[c.Command]:
    """Yield ways of answering the step on screen: sound, and one place wrong in each way that it knows."""
    step = walker.step()
    if step is None:
        return
    if walker.state.pending is not None:
        yield from (walker.settle(word) for word in ("pass", "fail", "again"))
        return
    if step.kind == "hold":
        sign = walker.sign()
        if sign is not None:
            yield sign
        return
    if step.kind == "round":
        yield c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, "start")
    yield walker.answer()
    for word in ("fail", "conditional-pass", "tripped", "voltage found", "indicator failed"):
        if any(s.answer == word for cell in step.cells for s in cell.states) or (
            word == "fail" and any(cell.function or cell.matches for cell in step.cells)
        ):
            yield walker.answer(word, lambda _: True)
