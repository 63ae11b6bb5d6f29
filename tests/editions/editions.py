"""The packaged limits files and jobs that are held against one of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import ferrule.procedures
from ferrule.engine.electrics.figures import compute
from ferrule.engine.electrics.judge import judge
from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.electrics.verdict import Verdict
from ferrule.engine.procedure.compiled import Job, Texts
from ferrule.engine.procedure.lists import facts_of_card, function_of
from ferrule.engine.procedure.load import compile_job, load_limits
from ferrule.engine.procedure.needed import needed_texts
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.shell.sets import packaged_set, set_texts
from ferrule.engine.walk.cells import inputs_of
from tests.support.jobs import REFERENCE, card_path, job_of

FOLDER = Path(ferrule.procedures.__file__ or "").parent / "limits"
UK_NOW, UK_BEFORE, INTERNATIONAL = "uk-bs7671-a2-2022", "uk-bs7671-2008", "iec-60364"
ALL = (UK_NOW, UK_BEFORE, INTERNATIONAL)


def text_of(name: str) -> str:
    """The text of a packaged limits file."""
    return (FOLDER / f"{name}.yaml").read_text("utf-8")


def loaded(text: str) -> LimitsSet:
    """The limits of a text that has no finding."""
    limits, found = load_limits(text, "limits")
    assert found == ()
    assert limits is not None
    return limits


@cache
def limits_of(name: str) -> LimitsSet:
    """The compiled limits of a packaged file."""
    return loaded(text_of(name))


def with_setting(name: str, setting: str, value: str) -> LimitsSet:
    """A packaged file with one of its settings written otherwise."""
    return loaded(text_with(name, setting, value))


def text_with(name: str, setting: str, value: str) -> str:
    """The text of a packaged file with one of its settings written otherwise."""
    lines = text_of(name).splitlines(keepends=True)
    at = lines.index(f"  {setting}:\n") + 1
    assert lines[at].startswith("    value: ")
    lines[at] = f'    value: "{value}"\n'
    return "".join(lines)


def job_under(limits: LimitsSet, earthing: str = "TN-C-S") -> Job:
    """The reference job under other limits."""
    job = job_of()
    card = replace(job.card, limits=limits.id, supply=replace(job.card.supply, earthing=earthing))
    return replace(job, card=card, limits=limits, card_facts=facts_of_card(card, limits.settings))


def verdict(
    job: Job,
    row: str,
    value: str,
    unit: str,
    function: str,
    *,
    expect: str = "",
    point: str = "",
    readings: Mapping[str, Reading] | None = None,
) -> Verdict:
    """What one reading shows against a row of the job's limits, read with the card's instrument."""
    inputs = inputs_of(job, dict(readings or {}))
    found = function_of(job.card, function)
    assert found is not None
    return judge(
        Reading.measured(Decimal(value), unit, resolution=found[1].resolution),
        job.limits.rows[row],
        figure_of=lambda name: compute(name, inputs, point),
        expected=compute(expect, inputs, point) if expect else None,
        function=found[1],
    )


def job_otherwise(setting: str, value: str, card: str = REFERENCE, changes: Sequence[tuple[str, str]] = ()) -> Job:
    """A packaged job with one setting of its limits and some words of its card written otherwise."""
    return _job_otherwise(setting, value, card, tuple(changes))


@cache
def _job_otherwise(setting: str, value: str, card: str, changes: tuple[tuple[str, str], ...]) -> Job:
    return compile_job(texts_otherwise(setting, value, card, changes))


def texts_otherwise(
    setting: str, value: str, card: str, changes: Sequence[tuple[str, str]]
) -> list[tuple[str, str, str]]:
    """The texts of a packaged job, each as role, id and text, with one setting and some words written otherwise."""
    text = card_path(card).read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    limits = text_with(UK_NOW, setting, value)
    packaged = [(t.role, t.id, limits if (t.role, t.id) == ("limits", UK_NOW) else t.text) for t in _packaged()]
    files = [("card", card, text), *packaged]
    wanted = needed_texts(files)
    return [f for f in files if (f[0], f[1]) in wanted]


@cache
def _packaged() -> tuple[Texts, ...]:
    return tuple(set_texts(packaged_set()))
