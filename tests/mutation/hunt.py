"""Looks for a walk that does harm under a mutant: brute force by the real decision, judged by the true world alone.

Where a mutant says what it is about, walks stand there first; after that everything is tried, and then chance.
Must never: ask the prover, or read a rule of the engine to say what is unsafe.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.endings import COMPLETE, ENDINGS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.answering import evaluate
from ferrule.engine.walk.cells import AnswerError, Slot, slots_of
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.doubts import DoubtError
from ferrule.engine.walk.place import step_at
from tests.explore.explore import fork, moves
from tests.mutation.mutant import Mutant
from tests.mutation.tables import Stated, as_stated, installed
from tests.mutation.truth import RECORDED_ONLY, Truth
from tests.support.walker import DAY, Walker

Broken = (AssertionError, KeyError, StopIteration, ValueError)
"""What the walker raises where a mutant leaves it nothing to answer with; that walk ends there."""
GOOD = ("pass", "done")
BAD = ("fail", "conditional-fail")
MOST = 400
"""Commands that are spent on one mutant, with the straight walk of about a hundred."""
SPOTS = 5
NEAR, FAR = 4, 30
"""How far a walk goes on soundly after something happened, and after an answer that was not sound."""


@dataclass
class Hunted:
    """One walk under a mutant with the truth beside it."""

    walker: Walker
    truth: Truth
    stated: Stated
    """The tables and the job as they are without the mutant."""

    def fork(self) -> Hunted:
        """A copy that goes its own way."""
        return Hunted(fork(self.walker), self.truth.fork(), self.stated)

    def give(self, command: c.Command) -> bool:
        """Decide a command under the mutant; what was really done is what the sound procedures say.

        A round is begun before it is answered.
        """
        walker = self.walker
        if isinstance(command, c.Answer):
            first = walker.healthy()
            if isinstance(first, c.StampRound) and not self.give(first):
                return False
            command = replace(command, at=walker.stamp())
        found = decide(walker.job, walker.state, command)
        under, walker.job = walker.job, self.stated.job
        try:
            walker.take(command, found)
        finally:
            walker.job = under
        if isinstance(found, Refusal):
            if found.doubts and isinstance(command, c.Answer):
                return self.give(replace(command, at=walker.stamp(), cells=walker.again(command.cells)))
            return False
        self.truth.see(self.stated.job, found)
        return True

    @property
    def problems(self) -> list[str]:
        """What was found against this walk."""
        return [*self.walker.record.broken, *self.walker.world.harm, *self.truth.broken]


def begin(stated: Stated, changed: Stated) -> Hunted:
    """A walk at its opening, by the changed job."""
    walker = Walker.begin(changed.job)
    return Hunted(walker, Truth(stated.job), stated)


class Hunt:
    """The search for one mutant, until it has found harm or spent its commands."""

    def __init__(self, mutant: Mutant, stated: Stated, changed: Stated, most: int = MOST) -> None:
        """`stated` is what is so without the mutant."""
        self.mutant, self.stated, self.changed, self.left = mutant, stated, changed, most
        self.chance = random.Random(mutant.says)

    def run(self) -> str:
        """Return the first harm found, or nothing."""
        straight, harm = self._forward(begin(self.stated, self.changed), 400)
        if harm:
            return harm
        spots = list(self._spots(straight))
        for trail in self._other_ways(straight):
            if isinstance(trail, str):
                return trail
            spots += self._spots(trail)
        return self._tried(spots[: SPOTS * 2]) or self._by_chance(spots or straight)

    def _forward(self, hunted: Hunted, most: int, back_at: str = "") -> tuple[list[Hunted], str]:
        """Walk on soundly; the walk as it stood at each new step, and the harm that came of it."""
        trail = [hunted.fork()]
        for _ in range(most):
            try:
                command = self._healthy(hunted)
                before = hunted.walker.state.step
                if command is None or not hunted.give(command):
                    break
            except Broken:
                break
            self.left -= 1
            if hunted.problems:
                return trail, hunted.problems[0]
            if hunted.walker.state.step != before and not hunted.walker.state.outcome:
                trail.append(hunted.fork())
            if hunted.walker.state.step == back_at:
                break
        return trail, ""

    @staticmethod
    def _healthy(hunted: Hunted) -> c.Command | None:
        walker = hunted.walker
        if walker.state.away_ms is not None:
            return c.ComeBack(walker.state.operator, c.Stamp(walker.now_ms + 3_600_000, DAY))
        return walker.healthy()

    def _spots(self, trail: list[Hunted]) -> Iterator[Hunted]:
        """Where the mutant is at work: at its steps and acts first, then where its facts are asked for or changed."""

        def nearness(hunted: Hunted) -> int:
            step = step_at(self.stated.job, hunted.walker.state.step)
            act = self.stated.acts.get(step.act) if step else None
            if step is None or act is None:
                return 9
            if hunted.walker.state.step in self.mutant.steps or act.name in self.mutant.acts:
                return 0
            if any(alike(n.fact, fact) for n in act.needs for fact in self.mutant.facts):
                return 1
            changes = (x.fact for effects in act.effects.values() for x in effects)
            return 2 if any(alike(fact, own) for fact in changes for own in self.mutant.facts) else 9

        near = sorted((h for h in trail if nearness(h) < 9), key=nearness)
        if len(near) <= SPOTS:
            yield from near
            return
        first = [h for h in near if nearness(h) == 0][: SPOTS - 2]
        rest = [h for h in near if nearness(h)]
        step = max(1, len(rest) // (SPOTS - len(first)))
        yield from (*first, *rest[step - 1 :: step][: SPOTS - len(first)])

    def _other_ways(self, straight: list[Hunted]) -> Iterator[list[Hunted] | str]:
        """Walks that leave the straight one, where the mutant is about an act off it or a result that is read again."""
        on_it = {step.act for h in straight if (step := h.walker.step()) is not None}
        reread = any(fact.startswith("result:") for fact in self.mutant.facts)
        wanted = self.mutant.acts if reread else self.mutant.acts - on_it
        if not wanted:
            return
        known = known_ways(self.stated)
        for way in dict.fromkeys(known[act] for act in sorted(wanted) if act in known):
            start = next((h for h in straight if h.walker.state.step == way.step), None)
            if start is None:
                continue
            hunted = start.fork()
            command = way.command(hunted.walker)
            try:
                if command is None or not hunted.give(command):
                    continue
            except Broken:
                continue
            trail, harm = self._forward(hunted, 150)
            yield harm or trail

    def _tried(self, spots: list[Hunted]) -> str:
        """Try everything once at each spot, what the mutant is about first."""
        for spot in spots:
            harm = self._bad_passes(spot)
            if harm:
                return harm
            for command in (*self._strikes(spot), *self._moves(spot)):
                if self.left <= 0:
                    return ""
                harm = self._after(spot, command)
                if harm:
                    return harm
        return ""

    def _moves(self, spot: Hunted) -> list[c.Command]:
        try:
            every = list(moves(spot.walker))
        except Broken:
            return []
        own = [command for command in every if _name(command) in self.mutant.moves]
        return own if own and not self.mutant.acts else [*own, *(x for x in every if x not in own)]

    def _strikes(self, spot: Hunted) -> Iterator[c.Command]:
        """Entries struck out whose act changes a fact that the mutant is about."""
        walker = spot.walker
        for number, done in walker.state.done.items():
            step = step_at(self.stated.job, done.step)
            act = self.stated.acts.get(step.act) if step else None
            if act is not None and any(
                alike(x.fact, fact) for effects in act.effects.values() for x in effects for fact in self.mutant.facts
            ):
                yield c.Correct(walker.state.operator, walker.stamp(), number, "typed wrongly")

    def _bad_passes(self, spot: Hunted) -> str:
        """Let each thing that a step asks, as it was written, be bad in turn; harm where that counts as passed."""
        walker, where = spot.walker, spot.walker.state.step
        now, sound = step_at(self.changed.job, where), step_at(self.stated.job, where)
        if now is None or sound is None or sound.kind == "hold" or walker.state.pending is not None:
            return ""
        if (where not in self.mutant.steps and sound.act not in self.mutant.acts) or sound.act in RECORDED_ONLY:
            return ""
        for cell in sound.cells:
            for word in dict.fromkeys(s.answer for s in cell.states if s.answer not in GOOD) or BAD:
                harm = self._bad(spot, sound, cell.id, word)
                if harm:
                    return harm
        return ""

    def _bad(self, spot: Hunted, sound: Step, cell: str, word: str) -> str:
        """One thing seen bad: what the step that is walked does not ask is not typed."""

        def spoil(slot: Slot) -> bool:
            return slot.cell.id == cell

        walker = spot.walker
        try:
            seen = cells_for(self.stated.job, walker.state, sound, wanted=word, spoil=spoil, reader=walker.reader)
            asked = {(s.point, s.cell.id) for s in slots_of(self.changed.job, _step(walker), walker.state.facts)}
            whole = c.Answer(
                walker.looker(sound), walker.stamp(), walker.state.step, tuple(replace(a, again=True) for a in seen)
            )
            if evaluate(self.stated.job, walker.state, sound, whole).word in GOOD:
                return ""
            hunted = spot.fork()
            self.left -= 1
            given = hunted.give(replace(whole, cells=tuple(a for a in whole.cells if (a.point, a.cell) in asked)))
        except (*Broken, AnswerError, DoubtError):
            return ""
        if given and any(isinstance(event, e.Answered) and event.word in GOOD for event in hunted.walker.trail[-1][1]):
            return f"{walker.state.step}: {cell} was seen to be bad ({word}) and counts as passed"
        return hunted.problems[0] if hunted.problems else self._onward(hunted)

    def _onward(self, hunted: Hunted) -> str:
        """Walk on after an answer that was not sound: where it leads, and where a stop that is cleared up leads."""
        stopped = hunted.fork()
        _, harm = self._forward(hunted, FAR)
        if harm:
            return harm
        walker = stopped.walker
        people = walker.job.card.people
        who = next((p.id for p in people if "supervisor" in p.roles), walker.state.operator)
        for command in (
            c.StopWork(walker.state.operator, walker.stamp(), "doubt"),
            c.CarryOn(who, c.Stamp(walker.now_ms + 60_000, DAY), "cleared up"),
        ):
            stopped.give(command)
            if stopped.problems:
                return stopped.problems[0]
        return self._forward(stopped, FAR)[1]

    def _by_chance(self, spots: list[Hunted]) -> str:
        """Two things after each other at a spot, or a little behind it."""
        while self.left > 0:
            self.left -= 1
            hunted = self.chance.choice(spots).fork()
            for _ in range(2):
                try:
                    command = self.chance.choice(list(moves(hunted.walker)))
                    hunted.give(command)
                except (*Broken, IndexError):
                    break
                if hunted.problems:
                    return hunted.problems[0]
                _, harm = self._forward(hunted, self.chance.choice((0, 1, 3)))
                if harm:
                    return harm
            _, harm = self._forward(hunted, NEAR)
            if harm:
                return harm
        return ""

    def _after(self, spot: Hunted, command: c.Command) -> str:
        """Give one command, and walk on soundly."""
        hunted = spot.fork()
        self.left -= 1
        try:
            hunted.give(command)
        except Broken:
            return ""
        if hunted.problems:
            return hunted.problems[0]
        if isinstance(command, c.Answer):
            return self._onward(hunted)
        return self._forward(hunted, FAR if isinstance(command, c.EndAs) else NEAR)[1]


def hunt(mutant: Mutant, stated: Stated, most: int = MOST) -> str:
    """Return the harm that a mutant does on some walk, or nothing where none was found."""
    changed = mutant.change(stated)
    with installed(changed):
        return Hunt(mutant, stated, changed, most).run()


def alike(one: str, other: str) -> bool:
    """True when two facts, as the tables write them, can be the same."""
    if one == other:
        return True
    (family, _, name), (its, _, own) = one.partition(":"), other.partition(":")
    return family == its and any(word[:1] in ("*", "[", "{") for word in (name, own))


def _step(walker: Walker) -> Step:
    step = walker.step()
    assert step is not None
    return step


def _name(command: c.Command) -> str:
    """What a command is called in the tables."""
    if isinstance(command, c.Report):
        return command.what
    if isinstance(command, c.EndAs):
        return command.end
    if isinstance(command, c.Amend):
        return command.field
    words = {c.StopWork: "stop work", c.CarryOn: "carry on", c.HandOver: "hand over", c.ComeBack: "come back"}
    return words.get(type(command), "resume" if isinstance(command, c.Resume) else "")


@dataclass(frozen=True)
class Way:
    """How a walk comes to an act that is not on the straight one: what is done at which step."""

    step: str
    kind: str
    word: str

    def command(self, walker: Walker) -> c.Command | None:
        """The command, as it is given now."""
        if self.kind == "end":
            return c.EndAs(walker.state.operator, walker.stamp(), self.word, "no time left")
        return walker.answer(self.word, lambda _: True)


_WAYS: dict[int, tuple[Job, dict[str, Way]]] = {}


def known_ways(stated: Stated) -> dict[str, Way]:
    """The ways of a job, found once and by the tables as they are without a mutant."""
    job = stated.job
    if id(job) not in _WAYS:
        with installed(stated):
            _WAYS[id(job)] = job, _ways(job)
    return _WAYS[id(job)][1]


def _ways(job: Job) -> dict[str, Way]:
    """For each act that some walk of a sound job comes to by leaving the straight walk once, the first way to it."""
    stated = as_stated(job)
    search = Hunt(Mutant("none", "none", lambda s: s), stated, stated)
    straight, _ = search._forward(begin(stated, stated), 400)
    found: dict[str, Way] = {}
    for i, start in enumerate(straight):
        step = _step(start.walker)
        words = {s.answer for cell in step.cells for s in cell.states if s.answer not in GOOD}
        if any(cell.function or cell.matches for cell in step.cells):
            words |= {"fail", "over-range"}
        tried = [
            Way(start.walker.state.step, "answer", word)
            for word in sorted(words & set(step.answers))
            if step.answers[word].startswith("procedure:")
        ]
        if i % 20 == 5:
            tried += [Way(start.walker.state.step, "end", end) for end in ENDINGS if end not in (COMPLETE, "made safe")]
        for way in tried:
            hunted = start.fork()
            command = way.command(hunted.walker)
            if command is None or not hunted.give(command):
                continue
            trail, _ = search._forward(hunted, 110 if way.kind == "end" else 25, back_at=way.step)
            for there in trail:
                found.setdefault(_step(there.walker).act, way)
    return found
