"""The rules of writing that look at words: one name for one thing, nothing vague, nothing that can be read two ways.

For: texts that two people read alike.
Must never: change a word; each finding names the word and one that can stand for it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from ferrule.engine.procedure.glossary import Term
from ferrule.engine.prover.writing_texts import Fault, Ground, Kind, clauses
from ferrule.engine.prover.writing_words import COUNTED, DENIALS, NUMBERED, VAGUE, any_of
from ferrule.engine.quantity.units import UNITS

_VAGUE = re.compile(rf"\b({any_of(VAGUE)})\b", re.I)
_EITHER = re.compile(r"\band/or\b|\b[a-z]{2,}/[a-z]{2,}\b", re.I)
_DENIALS = re.compile(rf"\b({any_of(DENIALS)})\b", re.I)
_NUMBER = re.compile(r"(?<![\w.])(?<!\d,)(\d+(?:[.,]\d+)?)(?![\w]|[.,]\d)")
_NAMED = re.compile(rf"\b({any_of(NUMBERED)})\.?\s*$", re.I)
_UNITS = frozenset({*UNITS, *COUNTED})


def two_names(ground: Ground) -> Iterator[Fault]:
    """A name that the glossary gives up for another."""
    if not ground.terms:
        return
    pattern, terms = _given_up(ground.terms)
    for piece in ground.pieces:
        for found in pattern.finditer(piece.text):
            term = terms[found.group(1).casefold()]
            message = f'"{found.group()}" is here called "{term.name}": {term.meaning}'
            yield Fault(message, piece.place, f'"{term.name}"')


@lru_cache(maxsize=4)
def _given_up(terms: tuple[Term, ...]) -> tuple[re.Pattern[str], dict[str, Term]]:
    """A pattern for every name that is given up, and the term that stands for it by the name in small letters."""
    by_name = {other.casefold(): term for term in terms for other in term.others}
    return re.compile(rf"(?<![\w-])({any_of(by_name) or '(?!)'})s?\b", re.I), by_name


def vague_word(ground: Ground) -> Iterator[Fault]:
    """A word that leaves open how much, when or whether."""
    for piece in ground.pieces:
        for word in _VAGUE.findall(piece.text):
            yield Fault(f'"{word}" leaves open what is meant.', piece.place, "say what is seen, how much, or by when")


def and_or(ground: Ground) -> Iterator[Fault]:
    """Two words with a stroke between them."""
    for piece in ground.pieces:
        for words in _EITHER.findall(piece.text):
            yield Fault(f'"{words}" can mean either or both.', piece.place, 'write "and", "or", or two lines')


def double_negative(ground: Ground) -> Iterator[Fault]:
    """Two denials in one clause."""
    for piece in ground.pieces:
        for clause in clauses(piece.text):
            denials = _DENIALS.findall(clause)
            if len(denials) > 1:
                message = f'"{denials[0]}" and "{denials[1]}" stand in one clause.'
                yield Fault(message, piece.place, "say what is, not what is not")


def bare_number(ground: Ground) -> Iterator[Fault]:
    """A number that says neither its unit nor what it names."""
    for piece in ground.of(Kind.STEP, Kind.PROMPT, Kind.STATE, Kind.HAZARD, Kind.CONSEQUENCE, Kind.AVOID, Kind.WHY):
        for found in _NUMBER.finditer(piece.text):
            behind = piece.text[found.end() :].lstrip().split(maxsplit=1)
            unit = behind[0].rstrip(".,;:") if behind else ""
            if unit not in _UNITS and not _NAMED.search(piece.text[: found.start()]):
                yield Fault(f'"{found.group(1)}" stands without its unit.', piece.place, "the unit behind it")
