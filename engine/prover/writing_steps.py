"""The rules of writing that look at the sentence of a step and at what stands beside it.

For: steps that can be read aloud and done one by one.
Must never: judge whether a step is right; that is for the people who approve it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ferrule.engine.procedure.compiled import Cell, Procedure, Step
from ferrule.engine.prover.writing_texts import (
    Fault,
    Ground,
    Kind,
    command_of,
    count_words,
    first_word,
    second_command,
    sentences,
    verb_of,
)
from ferrule.engine.prover.writing_words import APPROVAL, IF_WORDS, LEADS, REASONS, SMALL_NUMBERS, any_of
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.facts import HOLDS

MOST_WORDS = 20
"""Words of a sentence that tells somebody what to do (ASD-STE100 rule 5.1)."""
MOST_STEPS = 9
"""Steps of a section: our figure (common practice)."""


def two_actions(ground: Ground) -> Iterator[Fault]:
    """A step with two commands, or in two sentences."""
    for piece in ground.of(Kind.STEP):
        if piece.step is None or piece.step.simultaneous:
            continue
        parts = sentences(piece.text)
        other = second_command(command_of(parts[0]), ground.verbs) if parts else ""
        if other or len(parts) > 1:
            what = f'"{other}" is a second action' if other else "This is more than one sentence"
            hint = 'a step for each action, or "simultaneous: true" where both are done at once'
            yield Fault(f"{what}; a step asks for one action.", piece.place, hint)


def not_imperative(ground: Ground) -> Iterator[Fault]:
    """A step that does not begin with a verb of the glossary."""
    for piece in ground.of(Kind.STEP):
        word = verb_of(command_of(piece.text))
        waits = first_word(piece.text) in IF_WORDS and "," not in piece.text
        if ground.verbs and word not in ground.verbs and not waits:
            message = f'"{word or piece.text[:20]}" is no command that the glossary lists.'
            yield Fault(message, piece.place, "begin with what is to be done, or add the verb to the glossary")


def not_a_sentence(ground: Ground) -> Iterator[Fault]:
    """A step without a capital letter at its beginning or a full stop at its end."""
    for piece in ground.of(Kind.STEP):
        if not (piece.text[:1].isupper() and piece.text.endswith(".")):
            yield Fault("A step is a sentence: it begins with a capital letter and ends with a full stop.", piece.place)


def long_sentence(ground: Ground) -> Iterator[Fault]:
    """A sentence of a step, or of the last part of a warning, with more than 20 words."""
    for piece in ground.of(Kind.STEP, Kind.AVOID):
        for sentence in sentences(piece.text):
            count = count_words(sentence)
            if count > MOST_WORDS:
                message = f"This sentence has {count} words; at most {MOST_WORDS} can be taken in while working."
                yield Fault(message, piece.place, "shorten it, or make two steps of it")


_LATE = re.compile(r"\s(?:and |or |only )?(if|when|whenever|unless|provided|in case)\s", re.I)


def condition_after(ground: Ground) -> Iterator[Fault]:
    """A condition behind the command, or one before it that no comma sets apart."""
    for piece in ground.of(Kind.STEP, Kind.AVOID):
        for sentence in sentences(piece.text):
            if first_word(sentence) in IF_WORDS and "," not in sentence:
                yield Fault("No comma sets the condition apart from its command.", piece.place, "a comma between them")
            late = _LATE.search(sentence)
            if late and first_word(sentence) not in LEADS:
                command, condition = sentence[: late.start()], sentence[late.start(1) :].rstrip(".;")
                hint = f'"{condition[:1].upper()}{condition[1:]}, {command[:1].lower()}{command[1:]}."'
                yield Fault(f'The condition "{condition}" stands behind its command.', piece.place, hint)


_REASON = re.compile(rf"\b({any_of(REASONS)})\b", re.I)


def reason_in_step(ground: Ground) -> Iterator[Fault]:
    """A reason inside the sentence that says what to do."""
    for piece in ground.of(Kind.STEP):
        found = _REASON.search(piece.text)
        if found:
            yield Fault(f'From "{found.group()}" on this is a reason.', piece.place, 'put it under "why"')


def no_reason(ground: Ground) -> Iterator[Fault]:
    """A step that does not say why."""
    for procedure, step in ground.steps():
        if not step.why:
            yield Fault("This step does not say why it is done.", ground.place(procedure.id, step.id), '"why: …"')


def no_reference(ground: Ground) -> Iterator[Fault]:
    """A step that does not say where it comes from."""
    for procedure, step in ground.steps():
        if not step.source:
            hint = '"source: …": a document with its clause, or "common practice"'
            yield Fault("This step does not say where it comes from.", ground.place(procedure.id, step.id), hint)


def no_prerequisite(ground: Ground) -> Iterator[Fault]:
    """A procedure that does not say what must be there before its first step."""
    for procedure in ground.parts.procedures.values():
        if not procedure.prerequisites:
            message = "This procedure does not say what must be there before its first step."
            yield Fault(message, ground.place(procedure.id), '"prerequisites:", with "None." where nothing is needed')


def no_look_after(ground: Ground) -> Iterator[Fault]:
    """A critical step after which nothing is seen or read."""
    for procedure in ground.parts.procedures.values():
        for at, step in enumerate(procedure.steps):
            act = ACTS.get(step.act)
            critical = step.critical or (act is not None and act.critical)
            seen = any(_looks(later) for later in procedure.steps[at:])
            if critical and step.kind not in ("end", "hold") and not seen:
                message = "Nothing is looked at or read after this critical step."
                hint = "ask for the state that is seen, here or in a step behind it"
                yield Fault(message, ground.place(procedure.id, step.id), hint)


def _looks(step: Step) -> bool:
    return any(cell.states or cell.function or cell.matches for cell in step.cells)


def value_without_limit(ground: Ground) -> Iterator[Fault]:
    """A reading that a test asks for with neither a limit nor an expected value."""
    for procedure, step in ground.steps():
        act = ACTS.get(step.act)
        if act is None or not act.effects:
            continue
        for cell in step.cells:
            if cell.function and not _is_measured_against(cell, step):
                message = f'Nothing says what "{cell.prompt}" should be.'
                place = ground.place(procedure.id, step.id, f"cell/{cell.id}/prompt")
                yield Fault(message, place, '"judge" with a row of the limits, or "expect" with a figure')


def _is_measured_against(cell: Cell, step: Step) -> bool:
    checked = any(cell.slot in (check.first, check.second) for check in step.checks if cell.slot)
    return bool(cell.judge or cell.expect or checked)


def answer_of_approval(ground: Ground) -> Iterator[Fault]:
    """A state that says that somebody is content, not what was seen."""
    for piece in ground.of(Kind.STATE):
        if piece.text.split(",")[0].strip(" .").casefold() in APPROVAL:
            yield Fault(f'"{piece.text}" approves; it does not say what is seen.', piece.place, "say the state seen")


def long_section(ground: Ground) -> Iterator[Fault]:
    """A section with more than nine steps."""
    for procedure in ground.parts.procedures.values():
        for section, steps in _sections(procedure):
            if len(steps) > MOST_STEPS:
                message = f'The section "{section}" has {len(steps)} steps; at most {MOST_STEPS} keep their place.'
                yield Fault(message, ground.place(procedure.id, steps[MOST_STEPS].id), "cut it into named parts")


def _sections(procedure: Procedure) -> Iterator[tuple[str, list[Step]]]:
    found: dict[str, list[Step]] = {}
    for step in procedure.steps:
        found.setdefault(step.section or procedure.title, []).append(step)
    yield from found.items()


_HOLD = re.compile(r"\bhold point ([a-z]+|[0-9]+)\b", re.I)


def unknown_reference(ground: Ground) -> Iterator[Fault]:
    """A text that names a hold point that there is not."""
    for piece in ground.pieces:
        for name in _HOLD.findall(piece.text):
            if (name.casefold() in SMALL_NUMBERS or name.isdigit()) and name.casefold() not in HOLDS:
                yield Fault(f'There is no hold point "{name}".', piece.place, f"one of: {', '.join(HOLDS)}")
