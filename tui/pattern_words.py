"""The facts of the table of acts in words, where no job says yet which object is meant.

For: pages and lists that are read before any card is chosen.
Must never: say what a conductor is now; the words for facts are those of the walk.
"""

from __future__ import annotations

from ferrule.engine.procedure.page import Wording
from ferrule.engine.safety.facts import family_of
from ferrule.tui.fact_words import fact_name, value_words
from ferrule.tui.words import warning_words


def pattern_words(fact: str, values: tuple[str, ...], of: str) -> str:
    """A fact of the table with its values in words; `of` is the step's object, or `each`."""
    said = " or ".join(value_words(fact, value) for value in values)
    return f"{_name(fact, of)}: {said}"


def _name(fact: str, of: str) -> str:
    family, _, name = fact.partition(":")
    if name == "*":
        found = family_of(fact)
        return _many("each", family, found.card or family if found else family)
    if name.startswith("["):
        return _many("each", family, name[1:-1])
    if name == "{of}":
        return _many("this", family, family) if of in ("", "each") else fact_name(f"{family}:{of}")
    return fact_name(fact)


def _many(which: str, family: str, noun: str) -> str:
    """`each source`, `lock on each source`: the name of a fact over objects that a card lists."""
    found = family_of(family)
    listed = found.card if found and found.card and noun == family else noun
    words = fact_name(f"{family}:{which} {listed}")
    doubled = f"{family} {which} {listed}"
    return f"{which} {listed}" if words == doubled else words


WORDING = Wording(pattern_words, warning_words)
"""The words of pages."""
