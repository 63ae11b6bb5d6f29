"""A walk that breaks an invariant, told so that a tradesperson can follow it: numbered, short, nothing left unsaid.

For: findings of the prover.
Must never: tell of a walk that the real decision did not take without saying so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.concrete import Given
from ferrule.engine.prover.moves import AMEND, ANSWER, COMMAND, FALLS, REPORT, STRIKE, Label
from ferrule.engine.prover.slices import Taken
from ferrule.engine.prover.world import FEEDS, NOWHERE, SHOWS, STRAY, TESTER, TRUTH
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.place import step_at

MOST_LINES = 15
MOST_FACTS = 2
"""Facts told behind one line; the rest can be seen by walking."""
_TOLD_FIRST = ("zone", "hold", "result", "source", "lock", "link", "terminal")


def tell(job: Job, path: Sequence[Taken], walk: Sequence[Given]) -> tuple[str, ...]:
    """Return a found path in numbered lines, at most `MOST_LINES` of them; runs as written are folded."""
    said = [*_in_truth_at_first(path), *(_walked(job, path, walk) if walk else _not_walked(job, path))]
    if said:
        said[-1] = f"{said[-1]}  <- this must not be"
    if len(said) > MOST_LINES:
        left = len(said) - MOST_LINES + 1
        half = MOST_LINES // 2
        said = [*said[:half], f"… {left} lines left out …", *said[half + left :]]
    return tuple(f"{number:2}. {line}" for number, line in enumerate(said, 1))


def _in_truth_at_first(path: Sequence[Taken]) -> Iterator[str]:
    hidden = path[0].before if path else {}
    if hidden.get(STRAY) == "yes":
        yield "In truth a feed that nobody listed is live."
    if hidden.get(SHOWS) == NOWHERE:
        yield "In truth what is live shows between one pair only, which no step asks for."
    elif _unasked(path):
        yield "In truth what is live shows between one pair only, which this round does not ask for."
    if hidden.get(TESTER) == "dark":
        yield "In truth the indicator does not work."


def _walked(job: Job, path: Sequence[Taken], walk: Sequence[Given]) -> Iterator[str]:
    left = list(path)
    run: list[Given] = []
    for given in walk:
        if given.stands_for is None:
            if not isinstance(given.command, c.StampRound):
                run.append(given)
            continue
        yield from _folded(job, run)
        run = []
        while left and left[0].label is not given.stands_for:
            skipped = left.pop(0)
            if skipped.label.kind == TRUTH:
                yield _said(skipped.label)
            yield from _hidden(skipped)
        taken = left.pop(0) if left else None
        yield _command(job, given) + (_changes(taken) if taken else "")
        if taken is not None:
            yield from _hidden(taken)
    yield from _folded(job, run)


def _folded(job: Job, run: Sequence[Given]) -> Iterator[str]:
    """A run of answers as written, in one line."""
    steps = list(dict.fromkeys(given.before.state.step for given in run))
    if not steps:
        return
    first, last = (_text(job, where) for where in (steps[0], steps[-1]))
    if len(steps) == 1:
        yield f"{first}: as written."
    else:
        yield f"{len(steps)} steps as written, from {first} to {last}."


def _command(job: Job, given: Given) -> str:
    label = given.stands_for
    assert label is not None
    if label.kind == FALLS:
        why = f"; {label.name}" if label.name else ""
        return f"{_happened(job, given)}{why}"
    if label.kind == ANSWER:
        where = given.before.state.step
        return f"{_text(job, where)}: {_answer(label)}"
    return _said(label)


def _happened(job: Job, given: Given) -> str:
    command = given.command
    if isinstance(command, c.Report):
        return f"Reported: {command.what}{f' ({command.of})' if command.of else ''}"
    if isinstance(command, c.Correct):
        return f"The answer to {_text(job, given.before.state.done[command.entry].step)} is struck out"
    return "Work is stopped"


def _answer(label: Label) -> str:
    classes = dict.fromkeys(answer for _, answer in label.answers)
    if len(classes) == 1:
        return next(iter(classes)) or "done"
    return ", ".join(f"{of} {answer}" for of, answer in label.answers)


def _said(label: Label) -> str:
    of = f" ({label.of})" if label.of else ""
    return {
        REPORT: f"Reported: {label.name}{of}",
        STRIKE: f"The entry behind “{label.name.replace(':', ' ', 1)}” is struck out",
        AMEND: f"The card's {label.name} is amended",
        COMMAND: f"{label.name.capitalize()}",
        FALLS: f"It falls: {label.name}",
        TRUTH: f"In truth {label.name}.",
    }.get(label.kind, label.name)


def _not_walked(job: Job, path: Sequence[Taken]) -> Iterator[str]:
    for taken in path:
        where = f"{_text(job, taken.label.where)}: {_answer(taken.label)}" if taken.label.where else _said(taken.label)
        yield where + _changes(taken)
        yield from _hidden(taken)


def _changes(taken: Taken) -> str:
    changed = [
        f"{fact.replace(':', ' ', 1)} is {value}"
        for fact, value in sorted(taken.after.items(), key=lambda item: _weight(item[0]))
        if taken.before[fact] != value and fact not in (FEEDS, STRAY, SHOWS, TESTER)
    ]
    return f" → {'; '.join(changed[:MOST_FACTS])}" if changed else ""


def _unasked(path: Sequence[Taken]) -> bool:
    """True when a round was passed that does not ask for the one pair that shows."""
    rounds = [taken for taken in path if taken.label.name == "prove dead" and SHOWS in taken.before]
    return any(taken.label.where not in taken.before[SHOWS].split(", ") for taken in rounds)


def _weight(fact: str) -> int:
    family = fact.partition(":")[0]
    return _TOLD_FIRST.index(family) if family in _TOLD_FIRST else len(_TOLD_FIRST)


def _hidden(taken: Taken) -> Iterator[str]:
    """What changed in truth and nobody saw."""
    now, before = taken.after, taken.before
    if now.get(STRAY) == "yes" != before.get(STRAY):
        yield "In truth a feed that nobody listed has come on meanwhile."
    if now.get(FEEDS) == "yes" != before.get(FEEDS):
        yield "In truth the source is on again."
    if taken.label.name in ("isolate and lock", "switch off and lock for safety") and now.get(FEEDS) == "yes":
        yield "In truth the source still feeds: the wrong isolator was locked."


def _text(job: Job, where: str) -> str:
    step = step_at(job, where)
    return f"“{step.text.rstrip('.')}”" if step is not None else where


def mend_at(job: Job, path: Sequence[Taken], walk: Sequence[Given]) -> tuple[str, str]:
    """Return the procedure and step whose file is the first to look at."""
    hidden: Mapping[str, str] = path[-1].before
    blind = _unasked(path) or hidden.get(TESTER, "works") == "dark"
    wanted = "prove dead" if blind else path[-1].label.name
    steps = [given.before.state.step for given in walk] + [taken.label.where for taken in path]
    for where in reversed([s for s in steps if s]):
        step = step_at(job, where)
        if step is not None and step.act == wanted:
            procedure, _, step_id = where.partition("/")
            return procedure, step_id
    procedure, _, step_id = path[-1].label.where.partition("/")
    return procedure, step_id
