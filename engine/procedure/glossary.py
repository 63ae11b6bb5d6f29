"""The words of a set: one name for one thing, and the commands that a step may begin with.

For: the writing rules; a walk does not read it.
Must never: be part of a job, or change a text.
"""

from __future__ import annotations

from ferrule.engine.findings import Findings, Place
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.models_glossary import GlossaryForm, TermForm
from ferrule.engine.procedure.places import Places, term_key


@dataclass(frozen=True, slots=True)
class Term:
    """A name, what it means, and the names that must not stand for the same thing."""

    name: str
    meaning: str
    source: str
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Glossary:
    """All terms of a set, and the verbs of its steps in small letters."""

    id: str
    title: str
    terms: tuple[Term, ...]
    verbs: frozenset[str]


def read_glossary(form: GlossaryForm, found: Findings, places: Places) -> Glossary:
    """The compiled glossary; a name that stands twice, or is forbidden elsewhere, is kept as a finding."""
    taken: set[str] = set()
    for term in form.terms:
        places[term_key(term.term)] = term.place("term")
        for name in (term.term, *term.not_):
            if name.casefold() in taken:
                found.add("duplicate-id", f'The glossary has "{name}" twice.', _place(term, name))
            taken.add(name.casefold())
    terms = tuple(Term(t.term, t.meaning, t.source, tuple(t.not_)) for t in form.terms)
    return Glossary(form.glossary, form.title, terms, frozenset(verb.casefold() for verb in form.verbs))


def _place(term: TermForm, name: str) -> Place:
    return term.place("term") if name == term.term else term.place("not")
