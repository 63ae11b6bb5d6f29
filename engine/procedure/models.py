"""The forms of procedure, plan and limits as people write them: which keys, which sorts of value.

For: reading files and telling editors; what the values mean together is looked at in the `read_…` modules.
Must never: hold what an act needs or changes, or a limit inside a step.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import Field

from ferrule.engine.electrics.limits import Compares, Guard
from ferrule.engine.findings import Findings
from ferrule.engine.procedure.fields import (
    CardSaying,
    Choice,
    Count,
    DayOrNone,
    Id,
    Minutes,
    PairLine,
    Saying,
    Slot,
    StateLine,
    Words,
    YesNo,
    names,
)
from ferrule.engine.procedure.form import Form, Several
from ferrule.engine.procedure.words import (
    BASES,
    BELONGS_TO_LIMITS,
    ENDINGS,
    FORBIDDEN_IN_STEP,
    FUNCTIONS,
    LISTS,
    MATCHES,
    SEVERITIES,
)
from ferrule.engine.procedure.yamltext import Table

Function = Annotated[str, names(FUNCTIONS)]
ListName = Annotated[str, names(LISTS)]
CardField = Annotated[str, Choice(MATCHES)]


class WarnForm(Form):
    """A warning as a record (PA-05)."""

    severity: Annotated[str, Choice(SEVERITIES)]
    hazard: Words
    consequence: Words
    avoid: Words


class _NoLimitsForm(Form):
    """A form that refuses by name the keys that belong to acts and to limits."""

    @classmethod
    def unknown_key(cls, name: str, table: Table, found: Findings) -> None:
        """Keep the finding for a key that the form does not have."""
        if name not in FORBIDDEN_IN_STEP:
            super().unknown_key(name, table, found)
            return
        home = "a row of the limits file" if name in BELONGS_TO_LIMITS else "the act, in the table of acts"
        message = f'A step may not carry "{name}"; it belongs to {home}.'
        found.add(
            "forbidden-in-step", message, table.keys_at[name], hint="leave the key out and name the act or the row"
        )


class CellForm(_NoLimitsForm):
    """One thing to answer in a step."""

    id: Id = ""
    read: Words = ""
    see: Words = ""
    type_: CardField = Field("", alias="type")
    note: Words = ""
    figure: Words = ""
    as_: Words = Field("", alias="as")
    with_: Function = Field("", alias="with")
    keep: Slot = ""
    expect: Words = ""
    judge: Id = ""
    fails_as: Words = Field("", alias="fails as")
    states: Several[StateLine] = Field([])
    when: Several[CardSaying] = Field([])
    once: YesNo = False


class CheckForm(_NoLimitsForm):
    """A limits row over two readings of the same round."""

    judge: Id
    between: Several[Slot]
    expect: Words = ""


class StepForm(_NoLimitsForm):
    """One step; the key that holds the sentence says its kind."""

    stand_ins: ClassVar[Mapping[str, str]] = {}

    id: Id = ""
    do: Words = ""
    observe: Words = ""
    measure: Words = ""
    round: Words = ""
    compute: Words = ""
    wait: Words = ""
    hold: Words = ""
    verify: Words = ""
    end: Words = ""
    call: Id = ""
    act: Words = ""
    of: Words = ""
    through: ListName = ""
    with_: Function = Field("", alias="with")
    keep: Slot = ""
    expect: Words = ""
    judge: Id = ""
    fails_as: Words = Field("", alias="fails as")
    states: Several[StateLine] = Field([])
    type_: CardField = Field("", alias="type")
    as_: Words = Field("", alias="as")
    figure: Words = ""
    cells: Several[CellForm] = Field([])
    checks: Several[CheckForm] = Field([])
    minutes: Annotated[str, Minutes()] = ""
    point: Words = ""
    outcome: Annotated[str, Choice(ENDINGS)] = ""
    hidden: YesNo = False
    not_applicable: YesNo = Field(False, alias="not applicable")
    critical: YesNo = False
    simultaneous: YesNo = False
    answers: Several[PairLine] = Field([])
    when: Several[CardSaying] = Field([])
    warnings: Several[WarnForm] = Field([])
    why: Words = ""
    source: Words = ""


class SectionForm(Form):
    """A named part of a procedure."""

    stand_ins: ClassVar[Mapping[str, str]] = {"section": "?"}

    section: Words
    steps: Several[StepForm]


class ProcedureForm(Form):
    """A whole procedure file; steps stand in sections, or straight in the file."""

    stand_ins: ClassVar[Mapping[str, str]] = {"procedure": "x", "revision": "1", "title": "?", "purpose": "?"}

    procedure: Id
    revision: Count
    draft: YesNo = False
    title: Words
    purpose: Words
    scope: Words = ""
    prerequisites: Several[Words] = Field([])
    sections: Several[SectionForm] = Field([])
    steps: Several[StepForm] = Field([])


class GoalForm(Form):
    """A fact that the job wants, or needs in between, and the procedure that brings it about."""

    stand_ins: ClassVar[Mapping[str, str]] = {"by": "x"}

    fact: Saying
    by: Id
    when: Several[CardSaying] = Field([])
    title: Words = ""
    chapter: Words = ""


class WatchForm(Form):
    """Something that holds throughout the work while some facts are so."""

    stand_ins: ClassVar[Mapping[str, str]] = {"say": "?", "why": "?", "source": "?"}

    say: Words
    facts: Several[Saying] = Field(alias="while")
    when: Several[CardSaying] = Field([])
    why: Words
    source: Words


class PlanForm(Form):
    """A whole plan file."""

    stand_ins: ClassVar[Mapping[str, str]] = {"plan": "x", "revision": "1", "title": "?"}

    plan: Id
    revision: Count
    title: Words
    purpose: Words = Field("")
    covers: Words = Field("")
    leaves_out: Words = Field("", alias="leaves out")
    goals: Several[GoalForm]
    suppliers: Several[GoalForm] = Field([])
    made_safe: Several[GoalForm] = Field([], alias="made safe")
    put_back: Several[GoalForm] = Field([], alias="put back")
    continue_later: Several[GoalForm] = Field([], alias="continue later")
    not_begun: Several[GoalForm] = Field([], alias="not begun")
    throughout: Several[WatchForm] = Field([])


class SettingForm(Form):
    """A named choice where sources disagree."""

    value: Words
    why: Words
    source: Words


class RowForm(Form):
    """One limit with its bands."""

    stand_ins: ClassVar[Mapping[str, str]] = {"title": "?", "source": "?", "basis": BASES[0]}

    row: Id
    when: Several[Saying] = Field([])
    """Choices of the settings under which this row holds; another row of the same name stands for the others."""
    title: Words
    unit: Words
    compares: Annotated[str, names(c.value for c in Compares)] = Compares.VALUE.value
    bands: Several[PairLine]
    guard: Annotated[str, names(g.value for g in Guard)] = Guard.NONE.value
    settle_alone: YesNo = Field(False, alias="settle alone")
    source: Words
    basis: Annotated[str, Choice(BASES)]


class LimitsForm(Form):
    """A whole limits file."""

    stand_ins: ClassVar[Mapping[str, str]] = {"limits": "x", "title": "?", "edition": "?", "withdrawn on": "none"}

    limits: Id
    title: Words
    edition: Words
    withdrawn_on: DayOrNone = Field(alias="withdrawn on")
    settings: dict[str, SettingForm] = Field({})
    rows: Several[RowForm]
