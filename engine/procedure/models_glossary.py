"""The form of a glossary: terms with their meaning, and the verbs that a step may begin with.

For: reading the file and telling editors.
Must never: look at other texts; that is for the writing rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from pydantic import Field

from ferrule.engine.procedure.fields import Id, Words
from ferrule.engine.procedure.form import Form, Several


class TermForm(Form):
    """One name for one thing, and the other names that do not stand for it."""

    stand_ins: ClassVar[Mapping[str, str]] = {"meaning": "?", "source": "?"}

    term: Words
    meaning: Words
    source: Words
    not_: Several[Words] = Field([], alias="not")


class GlossaryForm(Form):
    """A whole glossary file."""

    stand_ins: ClassVar[Mapping[str, str]] = {"glossary": "x", "title": "?"}

    glossary: Id
    title: Words
    terms: Several[TermForm]
    verbs: Several[Words]
