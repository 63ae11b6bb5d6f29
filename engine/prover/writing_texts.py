"""The texts of a set that a person reads, one by one with their places, and what a sentence is made of.

For: the rules of writing.
Must never: understand language; a rule knows words, their order and the marks between them, and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from enum import StrEnum
from functools import cached_property, lru_cache

from ferrule.engine.findings import Place
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Procedure, Step
from ferrule.engine.procedure.glossary import Term
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import band_key, goal_key, goals_of_plan, step_key
from ferrule.engine.prover.writing_words import LEADS, SOFT, THINGS, WAYS, any_of


class Kind(StrEnum):
    """What a text is for."""

    STEP = "step"
    """The sentence that says what to do."""
    PROMPT = "prompt"
    STATE = "state"
    HAZARD = "hazard"
    CONSEQUENCE = "consequence"
    AVOID = "avoid"
    WHY = "why"
    TITLE = "title"
    PURPOSE = "purpose"
    SCOPE = "scope"
    PREREQUISITE = "prerequisite"


@dataclass(frozen=True, slots=True)
class Piece:
    """One text with what it is for and where it stands; `step` is set inside steps."""

    kind: Kind
    text: str
    place: Place | None
    step: Step | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """What a rule says of one place; the rule's code and level are added by whoever runs it."""

    message: str
    place: Place | None
    hint: str = ""


@dataclass(frozen=True)
class Ground:
    """A set as the rules look at it."""

    parts: Parts

    @property
    def verbs(self) -> frozenset[str]:
        """The commands that the glossary lists; none without a glossary."""
        return self.parts.glossary.verbs if self.parts.glossary else frozenset()

    @property
    def terms(self) -> tuple[Term, ...]:
        """The terms of the glossary; none without one."""
        return self.parts.glossary.terms if self.parts.glossary else ()

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Every text of procedures, plan and limits that a person reads."""
        return tuple(_pieces(self.parts))

    def of(self, *kinds: Kind) -> Iterator[Piece]:
        """The texts of some kinds."""
        return (piece for piece in self.pieces if piece.kind in kinds)

    def steps(self) -> Iterator[tuple[Procedure, Step]]:
        """Every step with its procedure; a call is none, its steps stand in its place."""
        for procedure in self.parts.procedures.values():
            yield from ((procedure, step) for step in procedure.steps if step.kind != "call")

    def place(self, procedure: str, step: str = "", part: str = "") -> Place | None:
        """Where a part of a step stands, else the step."""
        places = self.parts.places
        return places.get(step_key(procedure, step, part)) or places.get(step_key(procedure, step))


def _pieces(parts: Parts) -> Iterator[Piece]:
    ground = Ground(parts)
    for procedure in parts.procedures.values():
        for kind, text in ((Kind.TITLE, procedure.title), (Kind.PURPOSE, procedure.purpose)):
            yield Piece(kind, text, ground.place(procedure.id, "", kind))
        if procedure.scope:
            yield Piece(Kind.SCOPE, procedure.scope, ground.place(procedure.id, "", "scope"))
        for number, line in enumerate(procedure.prerequisites):
            yield Piece(Kind.PREREQUISITE, line, ground.place(procedure.id, "", f"prerequisite/{number}"))
    for procedure, step in ground.steps():
        yield from _step_pieces(ground, procedure, step)
    if parts.plan is not None:
        for part, index, goal in goals_of_plan(parts.plan):
            if goal.title:
                yield Piece(Kind.TITLE, goal.title, parts.places.get(goal_key(part, index)))
    if parts.limits is not None:
        for row in parts.limits.rows.values():
            yield Piece(Kind.TITLE, row.title, parts.places.get(band_key(row.id)))


def _step_pieces(ground: Ground, procedure: Procedure, step: Step) -> Iterator[Piece]:
    def piece(kind: Kind, text: str, part: str) -> Piece:
        return Piece(kind, text, ground.place(procedure.id, step.id, part), step)

    yield piece(Kind.STEP, step.text, "text")
    if step.why:
        yield piece(Kind.WHY, step.why, "why")
    for number, warning in enumerate(step.warnings):
        for kind in (Kind.HAZARD, Kind.CONSEQUENCE, Kind.AVOID):
            yield piece(kind, getattr(warning, kind), f"warning/{number}/{kind}")
    for cell in step.cells:
        if cell.prompt != step.text:
            yield piece(Kind.PROMPT, cell.prompt, f"cell/{cell.id}/prompt")
        for number, state in enumerate(cell.states):
            yield piece(Kind.STATE, state.seen, f"cell/{cell.id}/state/{number}")


# --- what a sentence is made of ---

_THING_NEXT = rf"(?=\s+(?:{any_of(THINGS)})\b)"
_OBJECT_NEXT = rf"(?=\s+(?:{any_of((*THINGS, *WAYS))})\b)"
_SHORT = re.compile(r"\b[ad]\.c\.")


def sentences(text: str) -> list[str]:
    """The sentences of a text; a semicolon ends one too, the stops of "a.c." do not."""
    return [part.strip() for part in re.split(r"(?<=[.;!?])\s+(?=\S)", _SHORT.sub("dc", text)) if part]


def count_words(sentence: str) -> int:
    """How many words a sentence has: whatever stands between blanks and holds a letter or a digit."""
    return sum(any(sign.isalnum() for sign in word) for word in sentence.split())


def clauses(text: str) -> list[str]:
    """The parts of a text between its marks."""
    return [part.strip() for part in re.split(r"[,;:.]\s+|\s–\s", text) if part.strip()]


def first_word(text: str) -> str:
    """The first word in small letters, without marks."""
    found = re.match(r"[A-Za-z][A-Za-z-]*", text)
    return found.group().casefold() if found else ""


def command_of(sentence: str) -> str:
    """The part of a sentence that holds the command: what follows a condition that stands before it."""
    if first_word(sentence) in LEADS and "," in sentence:
        return sentence.split(",", 1)[1].strip()
    return sentence


def verb_of(command: str) -> str:
    """The word that a command begins with, after words such as "slowly" or "do not"."""
    rest = command
    for soft in SOFT:
        if rest.casefold().startswith(f"{soft} "):
            rest = rest[len(soft) + 1 :].lstrip()
    return first_word(rest)


def begins_with_command(text: str, verbs: Collection[str]) -> bool:
    """True when a text begins with a verb and what it is done to."""
    return first_word(text) in verbs and bool(re.match(r"[A-Za-z-]+" + _THING_NEXT, text))


def second_command(command: str, verbs: frozenset[str]) -> str:
    """The verb of another command that is joined to the first one, or an empty text."""
    for pattern in _joined(verbs) if verbs else ():
        found = pattern.search(command)
        if found:
            return found.group(1).casefold()
    return ""


@lru_cache(maxsize=4)
def _joined(verbs: frozenset[str]) -> tuple[re.Pattern[str], ...]:
    """Patterns for two commands in one sentence: joined by a word, as a pair, and done at once."""
    listed = any_of(verbs)
    joint = r"(?:,|;|\band|\bor|\bthen|\bbut)\s+(?:then\s+|do not\s+)?"
    return (
        re.compile(rf"{joint}({listed})\b{_OBJECT_NEXT}", re.I),
        re.compile(rf"^(?:{listed})(?:,| and| or)\s+({listed})\b", re.I),
        re.compile(r"\bwhile\s+([a-z]+ing)\b", re.I),
    )
