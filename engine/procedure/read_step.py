"""From the form of a step to its compiled form: kind, act and object, cells, answers.

For: steps.
Must never: add a need or an effect; a step names an act and its object, and the table of acts says the rest.
"""

from __future__ import annotations

from collections.abc import Collection

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.findings import Findings, nearest
from ferrule.engine.procedure.compiled import Cell, Check, Step, Warned
from ferrule.engine.procedure.models import StepForm
from ferrule.engine.procedure.read_cell import Around, read_cell, read_cells
from ferrule.engine.procedure.read_fact import conditions
from ferrule.engine.procedure.read_limits import figure_hint
from ferrule.engine.procedure.words import DEFAULT_TARGETS, DONE, FIXED_TARGETS, KINDS, LISTS, OUTCOMES, WIDER_FAMILY
from ferrule.engine.safety.acts import ACTS, Act
from ferrule.engine.safety.facts import FAMILIES, HOLDS

_COMMON = frozenset(
    {"id", "act", "when", "warnings", "why", "source", "critical", "answers", "not applicable", "simultaneous"}
)
_LOOK = frozenset({"of", "states", "type", "as", "cells", "fails as", "hidden"})
_KEYS: dict[str, frozenset[str]] = {
    "do": _COMMON | {"of"},
    "observe": _COMMON | _LOOK,
    "verify": (_COMMON | _LOOK) - {"act", "of", "critical"},
    "measure": _COMMON | {"of", "with", "keep", "expect", "judge", "fails as", "hidden"},
    "round": _COMMON | {"of", "through", "cells", "checks", "hidden"},
    "compute": _COMMON | {"of", "figure", "judge", "cells", "checks", "fails as", "as", "keep"},
    "wait": _COMMON | {"of", "through", "minutes"},
    "hold": (_COMMON | {"point"}) - {"act"},
    "end": (_COMMON | {"outcome"}) - {"answers"},
    "call": frozenset({"id", "when", "through"}),
}
"""The keys that go with each kind of step, beside the kind itself."""

_MUST: dict[str, tuple[str, ...]] = {
    "do": ("act",),
    "observe": ("act",),
    "measure": ("act", "with"),
    "round": ("act", "cells"),
    "wait": ("minutes",),
    "hold": ("point",),
}
_ONE_OF: dict[str, tuple[str, ...]] = {
    "observe": ("states", "type", "cells"),
    "verify": ("states", "type", "cells"),
    "compute": ("figure", "cells"),
}
_CLOSING = {
    "close the log": "complete",
    "close the log as made safe": "made safe",
    "close the log as put back": "put back as found",
    "close the log as to be continued": "to be continued",
    "close the log as not begun": "stopped",
}


def step_id(form: StepForm) -> str:
    """The id of a step; a call may go without and is then called as its procedure."""
    return form.id or form.call


def read_step(form: StepForm, section: str, step_ids: Collection[str], found: Findings) -> Step | None:
    """The compiled step, its targets resolved inside the procedure; None when its kind cannot be told."""
    kind = _kind(form, found)
    if kind is None:
        return None
    _check_keys(kind, form, found)
    act_name = f"release hold point {form.point}" if kind == "hold" else form.act
    act = ACTS.get(act_name)
    _check_act(kind, form, act, found)
    around = Around(act, form.through, kind, frozenset(line.left for line in form.answers))
    cells = _cells(kind, form, around, found)
    checks = _checks(form, cells, found)
    return Step(
        id=step_id(form),
        kind=kind,
        text=getattr(form, kind),
        section=section,
        act=act_name,
        of=form.of,
        points=form.through,
        cells=cells,
        checks=checks,
        answers=_answers(kind, form, around, cells, checks, step_ids, found),
        when=conditions(form.when),
        warnings=tuple(Warned(w.severity, w.hazard, w.consequence, w.avoid) for w in form.warnings),
        hidden=form.hidden,
        not_applicable=form.not_applicable,
        minutes=form.minutes,
        outcome=_outcome(kind, form, found),
        critical=form.critical,
        why=form.why,
        source=form.source,
        line=form.place().line,
        simultaneous=form.simultaneous,
    )


def _kind(form: StepForm, found: Findings) -> str | None:
    kinds = [kind for kind in KINDS if form.has(kind)]
    if len(kinds) == 1:
        return kinds[0]
    hint = f"just one of: {', '.join(KINDS)}"
    if kinds:
        message = f"A step is of one kind; this one has {' and '.join(kinds)}."
        found.add("wrong-value", message, form.key_place(kinds[1]), hint=hint)
    else:
        found.add("missing-key", "The key that says what is done is missing here.", form.place(), hint=hint)
    return None


def _check_keys(kind: str, form: StepForm, found: Findings) -> None:
    for name in form.table:
        if name in form.key_names() and name != kind and name not in _KEYS[kind]:
            hint = f'with "{kind}" go: {", ".join(sorted(_KEYS[kind]))}'
            found.add("unknown-key", f'"{name}" does not go with "{kind}".', form.key_place(name), hint=hint)
    wanted = (*_MUST.get(kind, ()), *(() if kind == "call" else ("id",)))
    for name in wanted:
        if not form.has(name):
            found.add("missing-key", f'The key "{name}" is missing beside "{kind}".', form.key_place(kind))
    choice = _ONE_OF.get(kind, ())
    given = [name for name in choice if form.has(name)]
    if choice and len(given) != 1:
        message = f'Beside "{kind}" stands just one of: {", ".join(choice)}.'
        found.add("wrong-value" if given else "missing-key", message, form.key_place(given[1] if given else kind))
    if form.critical and not form.source and not form.has("source"):
        found.add(
            "no-source", "A critical step says where it comes from.", form.key_place("critical"), hint='"source: …"'
        )


def _check_act(kind: str, form: StepForm, act: Act | None, found: Findings) -> None:
    if kind == "hold":
        if form.point and form.point not in HOLDS:
            hint = f"one of: {', '.join(HOLDS)}"
            found.add("wrong-value", f'There is no hold point "{form.point}".', form.place("point"), hint=hint)
        return
    if act is None:
        if form.act:
            near = nearest(form.act, ACTS)
            message = f'There is no act "{form.act}" in the table of acts.'
            found.add("unknown-act", message, form.place("act"), hint=f'"{near}"' if near else "")
        return
    _check_object(form, act, found)


def _check_object(form: StepForm, act: Act, found: Findings) -> None:
    place = form.place("of") if form.has("of") else form.place("act")
    if not act.object:
        if form.of:
            found.add(
                "unknown-object", f'The act "{act.name}" is done to nothing in particular.', place, hint='no "of"'
            )
        return
    if not form.of:
        if not form.has("of"):
            found.add("missing-key", f'The act "{act.name}" wants "of": the {act.object} it is done to.', place)
        return
    if form.of == "each":
        _check_each(form, act, found)
        return
    family = FAMILIES.get(act.object)
    objects = family.objects if family else ()
    if objects and form.of not in objects:
        near = nearest(form.of, objects)
        hint = f'"{near}"' if near else f"one of: {', '.join(objects)}"
        found.add("unknown-object", f'There is no {act.object} "{form.of}".', place, hint=hint)


def _check_each(form: StepForm, act: Act, found: Findings) -> None:
    fits = [name for name, family in LISTS.items() if family and act.object in (family, WIDER_FAMILY.get(family))]
    if form.through not in fits:
        where = f'the list "{form.through}"' if form.through else "no list"
        message = f'"each" wants a list of {act.object}s; this step goes through {where}.'
        hint = f"through one of: {', '.join(fits)}" if fits else f"the name of one {act.object}"
        found.add("unknown-object", message, form.place("of"), hint=hint)


def _cells(kind: str, form: StepForm, around: Around, found: Findings) -> tuple[Cell, ...]:
    if form.cells:
        return read_cells(form.cells, around, found)
    alone = {"measure": "read", "compute": "figure"}.get(kind, "type" if form.has("type") else "see")
    if kind in ("measure", "compute") or (
        kind in ("observe", "verify") and form.has("states" if alone == "see" else "type")
    ):
        return (read_cell(alone, form, form.keep.replace("/", "-") or step_id(form), around, found),)
    return ()


def _checks(form: StepForm, cells: tuple[Cell, ...], found: Findings) -> tuple[Check, ...]:
    kept = [cell.slot for cell in cells if cell.slot]
    checks = []
    for check in form.checks:
        for at, slot in enumerate(check.between):
            if slot not in kept:
                near = nearest(slot, kept)
                message = f'No cell of this step keeps a reading as "{slot}".'
                part = check.table["between"]
                place = part[at].place if isinstance(part, list) else check.place("between")
                found.add("wrong-value", message, place, hint=f'"{near}"' if near else "")
        if len(check.between) != 2 and not (len(check.between) == 1 and check.expect):
            message = "A check stands between two readings, or on one beside what is expected of it."
            found.add(
                "wrong-value", message, check.place("between"), hint='"between: [r1, rn]", or "[zs]" with "expect"'
            )
            continue
        if check.expect and check.expect not in NAMES:
            hint = figure_hint(check.expect)
            found.add("unknown-figure", f'There is no figure "{check.expect}".', check.place("expect"), hint=hint)
        second = check.between[1] if len(check.between) == 2 else ""
        checks.append(Check(check.judge, check.between[0], second, check.expect))
    return tuple(checks)


def _answers(
    kind: str,
    form: StepForm,
    around: Around,
    cells: tuple[Cell, ...],
    checks: tuple[Check, ...],
    step_ids: Collection[str],
    found: Findings,
) -> dict[str, str]:
    answers = {word: DEFAULT_TARGETS[word] for word in _usual(kind, cells, checks)}
    own = {state.answer for cell in cells for state in cell.states} if around.own_words else set()
    allowed = {*around.words(), *own, *(() if cells else (DONE,))}
    written: set[str] = set()
    for line in form.answers:
        if line.left in written:
            found.add("duplicate-id", f'The answer "{line.left}" stands here twice.', line.left_place)
        written.add(line.left)
        if line.left not in allowed:
            near = nearest(line.left, allowed)
            hint = f'"{near}"' if near else f"one of: {', '.join(sorted(allowed))}"
            found.add("unknown-answer", f'"{line.left}" is not an answer of this step.', line.left_place, hint=hint)
            continue
        target = FIXED_TARGETS.get(line.right)
        if target is None:
            target = f"step:{line.right}" if line.right in step_ids else f"procedure:{line.right}"
        answers[line.left] = target
        if not cells and line.left in ("pass", DONE):
            answers.update({"pass": target, DONE: target})
    return answers


def _usual(kind: str, cells: tuple[Cell, ...], checks: tuple[Check, ...]) -> tuple[str, ...]:
    """The answers of a step that lead somewhere without being written."""
    if kind == "end":
        return ()
    if not cells:
        return ("pass", DONE)
    words = {"pass", "not-measured"} if not _only_states(cells) else {"not-measured"}
    words |= {state.answer for cell in cells for state in cell.states if state.answer in DEFAULT_TARGETS}
    if checks or any(cell.judge for cell in cells):
        words |= {"conditional-pass", "conditional-fail"}
    if any(cell.function for cell in cells):
        words.add("unstable")
    return tuple(word for word in OUTCOMES if word in words)


def _only_states(cells: tuple[Cell, ...]) -> bool:
    return all(cell.states for cell in cells)


def _outcome(kind: str, form: StepForm, found: Findings) -> str:
    if kind != "end":
        return ""
    closes = _CLOSING.get(form.act, "")
    if form.outcome and form.outcome != closes:
        means = f'the act "{form.act}" closes the log as {closes}' if closes else "nothing closes the log here"
        hint = '"act: close the log"' if not form.act else ""
        found.add("wrong-value", f'The outcome is "{form.outcome}", but {means}.', form.place("outcome"), hint=hint)
    return closes
