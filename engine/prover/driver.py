"""Gives commands to the real decision, as a person would at the board: sound answers, wrong ones, whatever happens.

For: walking again, by the real decision, what an exploration found; and walks of a whole job in tests.
Must never: decide anything, or change a fact but through `decide` and `advance`.
"""

from __future__ import annotations

from collections.abc import Callable

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.endings import COMPLETE, ENDINGS
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import AWAY_MINUTES, Refusal, minutes
from ferrule.engine.walk.cells import Slot
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.state import State
from ferrule.engine.walk.waits import wait_left_ms

TICK_MS = 20_000
"""Between two commands; far below every limit of minutes."""


def _nothing(_: Slot) -> bool:
    return False


@dataclass(frozen=True, slots=True)
class At:
    """A walk that stands somewhere, with the time of its next command."""

    state: State
    now_ms: int = 0


@dataclass(frozen=True, slots=True)
class Taken:
    """One command that was taken, with the walk before and after it."""

    before: At
    command: c.Command
    after: At


MOST_COMMANDS = 1_500
"""A sound walk of more commands than this goes round in a circle."""


class Driver:
    """Commands for one job on one day."""

    def __init__(self, job: Job, day: str) -> None:
        """Drive `job` on `day`, a date on which persons and instruments of the card are valid."""
        self.job = job
        self.day = day
        self.technician = next(p.id for p in job.card.people if "technician" in p.roles)
        self._sound: tuple[tuple[Taken, ...], ...] | None = None

    def begin(self) -> At:
        """Return the walk at the opening of its log."""
        return At(start(self.job, self.technician))

    def stamp(self, at: At, later_ms: int = 0) -> c.Stamp:
        """Return the stamp of the next command."""
        return c.Stamp(at.now_ms + later_ms, self.day)

    def step(self, at: At) -> Step | None:
        """Return the step that the walk stands at."""
        return step_at(self.job, at.state.step)

    def give(self, at: At, command: c.Command) -> At | Refusal:
        """Let the real decision take a command."""
        found = decide(self.job, at.state, command)
        if isinstance(found, Refusal):
            return found
        return At(advance(at.state, command, found), command.at.ms + TICK_MS)

    def sound_walks(self) -> tuple[tuple[Taken, ...], ...]:
        """Return a sound job from its opening to each of its ends, walked once."""
        if self._sound is None:
            straight = self._on(())
            half = straight[: len(straight) // 2]
            ends = (self._ended(half, name) for name in ENDINGS if name != COMPLETE)
            self._sound = (straight, *(walk for walk in ends if walk))
        return self._sound

    def _on(self, walk: tuple[Taken, ...]) -> tuple[Taken, ...]:
        """Go on from the end of a walk with sound answers."""
        found = list(walk)
        at = found[-1].after if found else self.begin()
        while len(found) < MOST_COMMANDS:
            command = self.forward(at)
            after = self.give(at, command) if command is not None else None
            if command is None or after is None or isinstance(after, Refusal):
                break
            found.append(Taken(at, command, after))
            at = after
        return tuple(found)

    def _ended(self, walk: tuple[Taken, ...], name: str) -> tuple[Taken, ...]:
        """Go on from a walk to another end; nothing where that end cannot be picked there."""
        at = walk[-1].after if walk else self.begin()
        command = self.end_as(at, name)
        after = self.give(at, command)
        if isinstance(after, Refusal):
            return ()
        return self._on((*walk, Taken(at, command, after)))

    def end_as(self, at: At, name: str) -> c.EndAs:
        """Return the word that the job is to end otherwise."""
        return c.EndAs(self._supervisor(at), self.stamp(at), name, "not today")

    def forward(self, at: At) -> c.Command | None:
        """Return the command that takes a sound job further; None where there is nothing to do."""
        step = self.step(at)
        if step is None:
            return None
        if at.state.pending is not None:
            return self.settle(at, "pass")
        if step.kind == "hold":
            return self.sign(at)
        started = self.start_of_round(at)
        return started if started is not None else self.answer(at)

    def start_of_round(self, at: At) -> c.Command | None:
        """Return the stamp of a round that has to be begun first; None where the step can be answered."""
        step = self.step(at)
        act = ACTS.get(step.act) if step is not None else None
        hands = step is not None and step.kind == "round" and act is not None and (act.touches or act.live)
        if hands and at.state.round_start_ms is None:
            return c.StampRound(at.state.operator, self.stamp(at), at.state.step, "start")
        return None

    def answer(self, at: At, wanted: str = "pass", spoil: Callable[[Slot], bool] = _nothing) -> c.Answer:
        """Return an answer to the step: sound, except `wanted` where `spoil` says."""
        step = self.step(at)
        assert step is not None
        cells = cells_for(self.job, at.state, step, wanted=wanted, spoil=spoil)
        wait = wait_left_ms(self.job, at.state, step, at.now_ms)
        return c.Answer(self._looker(at, step), self.stamp(at, wait), at.state.step, cells)

    def _looker(self, at: At, step: Step) -> str:
        if step.kind == "verify" and self.job.card.sign_off == "supervised":
            return self._supervisor(at)
        return at.state.operator

    def _supervisor(self, at: At) -> str:
        return next((p.id for p in self.job.card.people if "supervisor" in p.roles), at.state.operator)

    def sign(self, at: At) -> c.Sign | None:
        """Return the next signature that the hold point wants; None where nobody of the card can give it."""
        step = self.step(at)
        assert step is not None
        name = step.act.removeprefix("release hold point ")
        given = at.state.signed.get(name, ())
        for role in HOLD_POINTS[name].signers(self.job.card.sign_off):
            if role not in {r for r, _, _ in given}:
                taken = {p for _, p, _ in given}
                person = next((p.id for p in self.job.card.people if role in p.roles and p.id not in taken), None)
                return c.Sign(person, self.stamp(at), name, role) if person else None
        return None

    def settle(self, at: At, decision: str) -> c.Settle:
        """Return a decision on the doubtful answer, by the supervisor where the card has one."""
        return c.Settle(self._supervisor(at), self.stamp(at), at.state.step, decision, "looked at again")

    def stop(self, at: At) -> c.StopWork:
        """Return a stop."""
        return c.StopWork(at.state.operator, self.stamp(at), "doubt")

    def carry_on(self, at: At) -> c.CarryOn:
        """Return the word to go on after a stop."""
        return c.CarryOn(self._supervisor(at), self.stamp(at), "cleared up")

    def report(self, at: At, what: str, of: str) -> c.Report:
        """Return a report of something that happened."""
        return c.Report(at.state.operator, self.stamp(at), what, of, "seen")

    def hand_over(self, at: At) -> c.HandOver | None:
        """Return a hand-over to another technician; None where the card has no other."""
        other = next(
            (
                p.id
                for p in self.job.card.people
                if p.id != at.state.operator and {"technician", "supervisor"} & set(p.roles)
            ),
            None,
        )
        return c.HandOver(at.state.operator, self.stamp(at), other, "theirs on, mine off") if other else None

    def away(self, at: At) -> c.StepAway:
        """Return the word that nobody is at the board."""
        return c.StepAway(at.state.operator, self.stamp(at), "away")

    def back_late(self, at: At) -> c.ComeBack:
        """Return the word of coming back, later than the setting allows."""
        late = (minutes(self.job, AWAY_MINUTES) + 1) * 60_000
        return c.ComeBack(at.state.operator, self.stamp(at, late))

    def presence(self, at: At, present: bool) -> c.SayPresence:
        """Return the word of the supervisor's presence."""
        return c.SayPresence(self._supervisor(at) if present else at.state.operator, self.stamp(at), present)

    def strike(self, at: At, fact: str) -> c.Correct | None:
        """Return the correction of the last entry that gave a fact the value it has; None where there is none."""
        value = at.state.facts.get(fact)
        for entry in sorted(at.state.done, reverse=True):
            if (fact, value) in at.state.done[entry].changes and entry not in at.state.struck:
                return c.Correct(at.state.operator, self.stamp(at), entry, "typed wrongly")
        return None

    def amend(self, at: At, field: str) -> c.Amend | None:
        """Return an amendment of a field of the card; None where no value of ours fits it."""
        new = _AMENDED.get(field)
        if new is None:
            return None
        return c.Amend(at.state.operator, self.stamp(at), field, "seen otherwise", new, self._supervisor(at))


_AMENDED = {
    "circuit.length": "70 m, measured",
    "circuit.line": "4 mm2",
    "circuit.protective": "2.5 mm2",
    "supply.external impedance": "0.30 ohm, measured",
    "supply.earthing": "TN-S",
    "device.rating": "20 A",
    "device.curve": "C",
    "room temperature": "18 C, measured",
}
"""One value for each field, to see what an amendment leads to; it is never written anywhere."""
