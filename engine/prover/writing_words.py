"""The word lists of the rules of writing, apart from the glossary, which each set has for itself.

For: the rules; a list that grows does not change a rule.
Must never: hold a name of a thing; those stand in the glossary with their meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

IF_WORDS = ("if", "when", "whenever", "unless", "where", "provided", "once", "after", "before", "until", "while")
"""Words that begin a condition."""
LEADS = (*IF_WORDS, "with", "without", "at", "for", "from", "in", "on", "through", "during", "as", "by")
"""Words that may begin the part of a sentence that stands before its command."""
SOFT = ("now", "then", "slowly", "always", "only", "never", "do not")
"""Words that may stand before the verb of a command."""
THINGS = (
    *("the", "a", "an", "each", "every", "all", "both", "this", "that", "these", "it", "them", "its", "your", "any"),
    *("no", "nothing", "one", "two", "everybody", "somebody"),
)
"""Words that show that the word before them is done to something; many verbs of the trade are nouns as well."""
WAYS = ("off", "on", "out", "up", "back", "to", "at", "for", "from", "with", "again", "once", "first")
"""Words that may follow a verb instead."""
RECORDED = (
    *("check", "disconnect", "energise", "isolate", "measure", "press", "prove", "read", "reconnect", "record"),
    *("release", "remove", "repeat", "replace", "report", "sign", "test", "tighten"),
)
"""Verbs of acts that leave a result or a fact, so that they want a step of their own."""
APPROVAL = (
    *("ok", "okay", "yes", "no", "checked", "good", "fine", "correct", "right", "pass", "passed", "fail", "failed"),
    *("true", "false", "acceptable", "in order", "all right", "as it should be", "not ok", "no good"),
)
"""Answers that approve instead of saying what was seen."""
HARM = (
    *("shock", "burn", "arc", "fire", "fall", "jolt", "injur", "wound", "death", "dies", "kill", "crush", "cut"),
    *("blind", "hurt", "smoke", "explo", "scald"),
)
"""Beginnings of words that name harm to people."""
FOR_PEOPLE = ("danger", "warning", "caution")
"""Signal words for harm to people; the remaining one, notice, is for property (ANSI Z535.6, from memory)."""
REASONS = ("because", "so that", "in order to", "in order that", "to avoid", "to prevent", "otherwise", "since")
"""Words that begin a reason."""
DENIALS = ("no", "not", "never", "none", "nobody", "nothing", "neither", "without", "cannot", "unless")
"""Words that deny."""
VAGUE = (
    *("adequate", "adequately", "appropriate", "appropriately", "approximately", "roughly", "suitable", "suitably"),
    *("sufficient", "sufficiently", "proper", "properly", "reasonable", "reasonably", "carefully", "with care"),
    *("regularly", "periodically", "normal", "normally", "usual", "relevant", "satisfactory", "acceptable", "ensure"),
    *("markedly", "significantly", "etc", "and so on", "and the like", "should", "might"),
    *("as required", "as necessary", "as needed", "as appropriate", "as applicable"),
    *("if necessary", "if possible", "if required", "where possible"),
)
"""Words that leave open how much, when or whether (IEC/IEEE 82079-1, from memory; common practice)."""
NUMBERED = (
    *("leg", "way", "step", "point", "phase", "row", "number", "reg", "table", "type", "series", "no", "class"),
    *("position", "round"),
)
"""Words before a number that is a name."""
COUNTED = ("°C", "°", "%", "degrees", "seconds", "minutes", "hours", "days", "months", "times", "of")
"""Words behind a number, beside the units, that say what it counts."""
SMALL_NUMBERS = (*("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),)
"""Numbers as words, by which hold points are called."""


def any_of(words: Iterable[str]) -> str:
    """A pattern for any of the words, the longest first."""
    return "|".join(sorted(map(re.escape, words), key=lambda word: (-len(word), word)))
