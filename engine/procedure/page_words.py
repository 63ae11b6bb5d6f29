"""Words that pages, lists and graphs of procedures share: kinds of step, conditions, bands, answers.

Must never: name what the compiled set does not hold.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.electrics.limits import Band
from ferrule.engine.procedure.compiled import Condition, Procedure, Step
from ferrule.engine.procedure.setting_words import NUMBER_SETTINGS
from ferrule.engine.procedure.words import DONE

KIND_WORDS: Mapping[str, str] = {
    "do": "Do",
    "observe": "Look",
    "measure": "Measure",
    "round": "Round",
    "compute": "Work out",
    "wait": "Wait",
    "hold": "Hold point",
    "verify": "Verify",
    "end": "End",
    "call": "Whole procedure",
}
"""How each kind of step is called on a page."""


def standing_words(procedure: Procedure) -> str:
    """Whether a procedure may be worked by."""
    return "DRAFT: not approved for work" if procedure.draft else "approved"


def when_words(conditions: Sequence[Condition]) -> str:
    """Card conditions as one phrase; empty where there are none."""
    return " and ".join(f"{c.fact} is {' or '.join(c.values)}" for c in conditions)


def figure_words(name: str) -> str:
    """A figure by its title and its name."""
    spec = NAMES.get(name)
    return f"{spec.title} ({name})" if spec else name


_NAMED = re.compile(r"(figure|setting) ([a-z0-9]+(?:[.-][a-z0-9]+)*)")


def band_words(band: Band, settings: Mapping[str, str]) -> str:
    """A band as it stands in the limits file, each figure with its title and each setting with its value."""

    def said(found: re.Match[str]) -> str:
        kind, name = found.groups()
        if kind == "figure":
            return figure_words(name)
        if name not in settings:
            return found[0]
        unit = NUMBER_SETTINGS.get(name, "1")
        return f"{settings[name]}{'' if unit == '1' else f' {unit}'} (setting {name})"

    return _NAMED.sub(said, band.text)


def by_target(step: Step) -> Mapping[str, tuple[str, ...]]:
    """The answers of a step by where they lead; a step without anything to answer is just done."""
    given = {word: target for word, target in step.answers.items() if not (word == "pass" and DONE in step.answers)}
    targets = dict.fromkeys(given.values())
    return {target: tuple(word for word, own in given.items() if own == target) for target in targets}
