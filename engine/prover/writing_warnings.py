"""The rules of writing that look at warnings, and at texts that inform and must not command.

For: a warning that says what can hurt, what it does and how to keep clear of it, before the step that it guards.
Must never: decide how grave a hazard is; only whether the signal word and the named harm fit together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ferrule.engine.prover.writing_texts import (
    Fault,
    Ground,
    Kind,
    begins_with_command,
    command_of,
    first_word,
    sentences,
    verb_of,
)
from ferrule.engine.prover.writing_words import FOR_PEOPLE, HARM, RECORDED, any_of
from ferrule.engine.safety.acts import ACTS

_HURTS = re.compile(rf"\b({any_of(HARM)})", re.I)


def command_in_note(ground: Ground) -> Iterator[Fault]:
    """A command in a text that only informs."""
    informs = (Kind.HAZARD, Kind.CONSEQUENCE, Kind.WHY, Kind.PROMPT, Kind.SCOPE, Kind.PREREQUISITE)
    for piece in ground.of(*informs):
        for sentence in sentences(piece.text):
            if begins_with_command(sentence, ground.verbs):
                message = f'"{first_word(sentence)}" tells somebody what to do; this text only informs.'
                yield Fault(message, piece.place, "make a step of it, or say it as a fact")


def act_in_warning(ground: Ground) -> Iterator[Fault]:
    """An act with a result of its own in the last part of a warning."""
    for piece in ground.of(Kind.AVOID):
        own = verb_of(command_of(piece.step.text)) if piece.step else ""
        for part in re.split(r"[.;,]\s+|\s(?:and|then)\s", piece.text):
            word = first_word(part)
            if word in RECORDED and word != own:
                message = f'"{word}" is an act that leaves a result; a warning says only how to do its step.'
                yield Fault(message, piece.place, "make a step of it")


def no_way_out(ground: Ground) -> Iterator[Fault]:
    """A warning that does not say what to do."""
    for piece in ground.of(Kind.AVOID):
        for sentence in sentences(piece.text):
            word = verb_of(command_of(sentence))
            if ground.verbs and word not in ground.verbs:
                message = f'"{word or sentence[:20]}" is no command; the last part of a warning says what to do.'
                yield Fault(message, piece.place, "begin with a verb of the glossary")


def no_warning(ground: Ground) -> Iterator[Fault]:
    """A step that can hurt and that no warning stands before."""
    for procedure, step in ground.steps():
        act = ACTS.get(step.act)
        if act is not None and (act.hazard or act.live) and not step.warnings:
            hazard = act.hazard or "it is done on or beside live parts"
            message = f'The act "{act.name}" can hurt ({hazard}); no warning stands before it.'
            hint = '"warnings:", each with severity, hazard, consequence and avoid'
            yield Fault(message, ground.place(procedure.id, step.id, "act"), hint)


def severity_unlike_harm(ground: Ground) -> Iterator[Fault]:
    """A signal word for people where no harm to people is named, or notice where it is."""
    for procedure, step in ground.steps():
        for number, warning in enumerate(step.warnings):
            hurts = bool(_HURTS.search(warning.consequence))
            for_people = warning.severity in FOR_PEOPLE
            if hurts == for_people:
                continue
            names = "names no harm to people" if for_people else "names harm to people"
            message = f'"{warning.severity}" stands here, and the consequence {names}.'
            hint = "say how somebody is hurt, or write notice" if for_people else f"one of: {', '.join(FOR_PEOPLE)}"
            yield Fault(message, ground.place(procedure.id, step.id, f"warning/{number}/severity"), hint)
