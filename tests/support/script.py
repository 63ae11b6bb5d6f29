"""Typed lines of a whole walk, made by asking the real core: the base of the journeys.

No step is named in here: what is typed at a step comes from the step itself, from what the instruments show
on the circuit with its faults, and from the overrides of a test.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

from ferrule.engine.electrics.model import Function
from ferrule.engine.network.faults import Fault
from ferrule.engine.network.readings import Test, readings_of
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot, slots_of
from tests.support.fakeclock import FakeClock
from tests.support.walker import TICK_MS, Walker

Instrument = Callable[[Job, str, Slot], str | None]
"""What an instrument shows at a place, given the job, the step's name and the place; None leaves it to the core.

Digits stand for a number, `>` for above range, `<` for no indication.
"""


@dataclass(frozen=True)
class Choices:
    """What a test wants otherwise than on a sound circuit."""

    instrument: Instrument = lambda _job, _step, _slot: None
    """What the instruments show."""
    instead: Mapping[str, Iterable[str]] = field(default_factory=dict)
    """Step to the lines that are typed there, the first time, instead of the sound answer; without the step's name
    where they answer it."""
    until: Callable[[Walker], bool] = lambda _walker: False
    """The script ends before the first step at which this is true."""
    most: int = 600


@dataclass(frozen=True)
class Script:
    """The lines with the moment at which each is typed, and the walk that they lead to."""

    lines: tuple[str, ...]
    at_ms: tuple[int, ...]
    walker: Walker


def healthy_script(job: Job, choices: Choices | None = None) -> Script:
    """Return the typed lines of a whole walk from its opening on."""
    wanted = choices or Choices()
    walker = Walker.begin(job)
    lines: list[str] = []
    times: list[int] = []
    for line, at_ms in _lines(walker, wanted):
        lines.append(line)
        times.append(at_ms)
    return Script(tuple(lines), tuple(times), walker)


def _lines(walker: Walker, wanted: Choices) -> Iterator[tuple[str, int]]:
    left = {step: list(typed) for step, typed in wanted.instead.items()}
    acting = walker.state.operator
    for _ in range(wanted.most):
        where = walker.state.step
        if not where or wanted.until(walker):
            return
        for line in left.pop(where, ()):
            yield from _typed(walker, line)
            continue
        if where != walker.state.step:
            continue
        command = walker.healthy(lambda slot, where=where: wanted.instrument(walker.job, where, slot))
        if command is None:
            return
        before = len(walker.trail)
        found = walker.give(command)
        if isinstance(found, Refusal):
            raise AssertionError(f"{where}: {found.code}: {found.reason}")
        for given, _ in walker.trail[before:]:
            if not isinstance(given, c.Sign | c.Settle) and given.person != acting:
                acting = given.person
                yield f"by {acting}", given.at.ms
            yield line_of(walker.job, given), given.at.ms


def _typed(walker: Walker, line: str) -> Iterator[tuple[str, int]]:
    """Give a line that a test typed in: it goes through the grammar, as the plain walk would take it."""
    from ferrule.engine.walk.situation import situation
    from ferrule.tui.plain_grammar import parse_line
    from ferrule.tui.plain_line import Around, Fill, Give

    shown = situation(walker.job, walker.state, walker.now_ms)
    cells = shown.step.cells if shown.step else ()
    around = Around(shown, walker.state.operator, walker.stamp(), True, tuple(x for x in cells if x.kind != "computed"))
    parsed = parse_line(line, around)
    command: c.Command
    if isinstance(parsed, Fill):
        command = c.Answer(walker.state.operator, walker.stamp(), walker.state.step, parsed.answers)
    else:
        assert isinstance(parsed, Give), line
        command = parsed.command
    at_ms = walker.now_ms
    walker.give(command)
    yield line, at_ms


def line_of(job: Job, command: c.Command) -> str:
    """Return the typed line that stands for a command."""
    match command:
        case c.Answer():
            return f"{command.step}: {_answers(job, command)}"
        case c.StampRound():
            return f"{command.step}: {command.mark}"
        case c.NotApplicable():
            return f"{command.step}: not applicable because {command.reason}"
        case c.Settle():
            return f"{command.step}: settle {command.decision} because {command.reason}"
        case c.Sign():
            told = f" telephone {command.telephone}" if command.telephone else ""
            return f"sign {command.hold} as {command.role} by {command.person}{told}"
    return _other_line(command)


def _other_line(command: c.Command) -> str:
    match command:
        case c.Correct():
            return f"correct {command.entry} because {command.reason}"
        case c.Remark():
            return f"remark {f'on {command.step}: ' if command.step else ''}{command.text}"
        case c.StopWork():
            return f"stop because {command.reason}" if command.reason else "stop"
        case c.CarryOn():
            return f"carry on because {command.reason}"
        case c.EndAs():
            return f"end as {command.end} because {command.reason}"
        case c.StepAway():
            return f"away because {command.reason}" if command.reason else "away"
        case c.ComeBack():
            return "back"
        case c.HandOver():
            return f"hand over to {command.to} locks {command.locks}"
        case c.Report():
            of = f" of {command.of}" if command.of else ""
            return f"report {command.what}{of}: {command.note}"
        case c.SayPresence():
            return f"supervisor {'present' if command.present else 'absent'}"
        case c.Amend():
            return f"amend {command.field} = {command.new} seen {command.seen} agreed {command.agreed_by}"
    raise AssertionError(f"{type(command).__name__} is not typed as a line")


_FORMS = {c.ABOVE: "above", c.BELOW: "none", c.NOT_REACHED: "not reached", c.UNSTABLE: "unstable"}


def _answers(job: Job, command: c.Answer) -> str:
    from ferrule.engine.walk.place import step_at

    step = step_at(job, command.step)
    assert step is not None
    given = {(a.point, a.cell): _FORMS.get(a.form, a.entered) + " confirmed" * a.again for a in command.cells}
    wanted = [(s.point, s.cell.id) for s in slots_of(job, step) if not s.cell.figure]
    return " ; ".join(given[key] for key in wanted if key in given) or "done"


# --- what instruments show on a circuit with faults ---


def circuit_instrument(
    job: Job, faults: Iterable[Fault] = (), otherwise: Mapping[str, str] | None = None
) -> Instrument:
    """Return an instrument that shows what the circuit with these faults would read.

    Readings are found by the key under which they are kept, such as `r1` or `ring-two/S3`; `otherwise` gives some of
    these keys another text.
    """
    circuit = job.card.circuit
    ze = float(job.card.supply.ze_ohm.value or 0)
    broken = tuple(faults)
    given = dict(otherwise or {})
    tests: dict[Test, dict[str, float | None]] = {}

    def shown(job: Job, _step: str, slot: Slot) -> str | None:
        if slot.key in given:
            return given[slot.key]
        test = _test_of(slot)
        function = function_of(job.card, slot.cell.function) if slot.cell.function else None
        if test is None or function is None:
            return None
        if test not in tests:
            tests[test] = readings_of(circuit, broken, test, ze_ohm=ze)
        fixed = {"as-found": job.card.as_found_point, "landing": job.card.landing_point}
        point = slot.point or fixed.get(slot.key.partition("/")[0], "")
        return shown_text(tests[test][f"{test.value}/{point}" if point else slot.key], function[1])

    return shown


_TESTS = {
    "r1": Test.END_TO_END,
    "rn": Test.END_TO_END,
    "r2": Test.END_TO_END,
    "ring-two": Test.STEP_TWO,
    "ring-three": Test.STEP_THREE,
    "landing/L-E": Test.LANDED_EARTH,
    "landing/L-N": Test.LANDED_NEUTRAL,
    "as-found/zs": Test.LOOP,
    "zs": Test.LOOP,
}
"""The key of a reading to the test of the network that shows it."""


def _test_of(slot: Slot) -> Test | None:
    if slot.cell.slot == "cpc":
        return Test.LONG_LEAD if slot.cell.expect == "cpc.r2-at" else Test.LINKED
    return _TESTS.get(slot.cell.slot)


def shown_text(value: float | None, function: Function) -> str:
    """Return what a display with this function shows for a true value; an open circuit is above range."""
    if value is None or (function.full_scale is not None and Decimal(str(value)) > function.full_scale):
        return ">"
    step = function.resolution
    rounded = (Decimal(str(value)) / step).quantize(Decimal(1), ROUND_HALF_UP) * step
    return f"{rounded:f}"


class TypedInput(io.StringIO):
    """The lines of a script as standard input, with the clock set to the moment of each line as it is read."""

    def __init__(self, script: Script, clock: FakeClock) -> None:
        """Start with the clock at the opening of the log."""
        super().__init__("".join(f"{line}\n" for line in script.lines))
        self._times = list(script.at_ms)
        self._clock = clock
        self._now_ms = 0

    def readline(self, size: int | None = -1, /) -> str:
        """Return the next line, at its time."""
        if self._times:
            at_ms = self._times.pop(0)
            self._clock.advance(max(0, at_ms - self._now_ms))
            self._now_ms = max(self._now_ms, at_ms)
        return super().readline(-1 if size is None else size)


__all__ = [
    "TICK_MS",
    "Choices",
    "Script",
    "TypedInput",
    "circuit_instrument",
    "healthy_script",
    "line_of",
    "shown_text",
]
