"""From texts to compiled values: each file by itself, and all files of a job together.

For: everybody who holds the text of a card, a plan, procedures and limits.
Must never: open a file, or hand out a value beside an error.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import TypeVar

from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.findings import BadFile, Finding, Findings
from ferrule.engine.procedure.calls import inline_calls
from ferrule.engine.procedure.check_card import check_card
from ferrule.engine.procedure.check_choices import check_choices
from ferrule.engine.procedure.check_names import check_names
from ferrule.engine.procedure.compiled import Card, Job, Plan, Procedure
from ferrule.engine.procedure.form import Form, read_form
from ferrule.engine.procedure.glossary import Glossary, read_glossary
from ferrule.engine.procedure.lists import facts_of_card, objects_of_card
from ferrule.engine.procedure.models import LimitsForm, PlanForm, ProcedureForm
from ferrule.engine.procedure.models_card import CardForm
from ferrule.engine.procedure.models_glossary import GlossaryForm
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import Places
from ferrule.engine.procedure.read_card import read_card
from ferrule.engine.procedure.read_limits import read_limits
from ferrule.engine.procedure.read_plan import read_plan
from ferrule.engine.procedure.read_procedure import read_procedure
from ferrule.engine.procedure.yamltext import parse_yaml

_FormT = TypeVar("_FormT", bound=Form)
_ValueT = TypeVar("_ValueT")

ROLES = ("card", "plan", "procedure", "limits", "glossary")
"""What a text may be in a set; a job has no glossary."""


def load_card(text: str, file: str, today: str = "") -> tuple[Card | None, tuple[Finding, ...]]:
    """The card, or None beside errors; with a day (ISO date), what is out of date on it is found too."""
    return _alone(_card(text, file, today))


def load_plan(text: str, file: str) -> tuple[Plan | None, tuple[Finding, ...]]:
    """The plan, or None beside errors."""
    return _alone(_plan(text, file))


def load_procedure(text: str, file: str) -> tuple[Procedure | None, tuple[Finding, ...]]:
    """The procedure with its calls as steps of kind `call`, or None beside errors."""
    return _alone(_procedure(text, file))


def load_limits(text: str, file: str) -> tuple[LimitsSet | None, tuple[Finding, ...]]:
    """The limits, or None beside errors."""
    return _alone(_limits(text, file))


def load_glossary(text: str, file: str) -> tuple[Glossary | None, tuple[Finding, ...]]:
    """The glossary, or None beside errors."""
    return _alone(_glossary(text, file))


_KEPT = 512
"""Texts that are kept as read, and never changed: a set is read once, however many cards are checked with it."""

_Loaded = tuple[_ValueT | None, Findings, Places]


def _alone(loaded: _Loaded[_ValueT]) -> tuple[_ValueT | None, tuple[Finding, ...]]:
    value, found, _ = loaded
    return (None if found.has_errors() else value), found.all()


def _load(
    form: type[_FormT], text: str, file: str, read: Callable[[_FormT, Findings, Places], _ValueT]
) -> _Loaded[_ValueT]:
    node, found = parse_yaml(text, file)
    places: Places = {}
    if node is None and found.has_errors():
        return None, found, places
    made = read_form(form, node, file, found)
    return (None if made is None else read(made, found, places)), found, places


def _card(text: str, file: str, today: str = "") -> _Loaded[Card]:
    def read(form: CardForm, found: Findings, places: Places) -> Card:
        card = read_card(form, found, places)
        check_card(form, card, found, today)
        return card

    return _load(CardForm, text, file, read)


@lru_cache(maxsize=_KEPT)
def _plan(text: str, file: str) -> _Loaded[Plan]:
    return _load(PlanForm, text, file, read_plan)


@lru_cache(maxsize=_KEPT)
def _procedure(text: str, file: str) -> _Loaded[Procedure]:
    def read(form: ProcedureForm, found: Findings, places: Places) -> Procedure:
        return read_procedure(form, file, found, places)

    return _load(ProcedureForm, text, file, read)


@lru_cache(maxsize=_KEPT)
def _limits(text: str, file: str) -> _Loaded[LimitsSet]:
    return _load(LimitsForm, text, file, read_limits)


@lru_cache(maxsize=_KEPT)
def _glossary(text: str, file: str) -> _Loaded[Glossary]:
    return _load(GlossaryForm, text, file, read_glossary)


def compile_parts(texts: Iterable[tuple[str, str, str]], today: str = "") -> tuple[Parts, tuple[Finding, ...]]:
    """What the texts, each given as role, id and text, come to, and every finding over all of them.

    Places name a text by role and id, as `procedure/ring-step-two`.
    """
    found = Findings()
    places: Places = {}
    card: Card | None = None
    plan: Plan | None = None
    glossary: Glossary | None = None
    editions: list[tuple[LimitsSet | None, Places]] = []
    procedures: dict[str, Procedure] = {}
    unread: set[str] = set()
    for role, name, text in texts:
        file = f"{role}/{name}"
        if role == "card":
            card = _take(_card(text, file, today), found, places)
        elif role == "plan":
            plan = _take(_plan(text, file), found, places)
        elif role == "glossary":
            glossary = _take(_glossary(text, file), found, places)
        elif role == "limits":
            edition, own, own_places = _limits(text, file)
            found.extend(own.all())
            editions.append((edition, own_places))
        elif role == "procedure":
            procedure = _take(_procedure(text, file), found, places)
            if procedure is None:
                unread.add(name)
            else:
                _add_procedure(procedure, procedures, found, places)
        else:
            raise ValueError(f'"{role}" is no role of a text; the roles are {", ".join(ROLES)}.')
    limits = _edition_of(card, editions, places)
    objects = {} if card is None else objects_of_card(card)
    facts = {} if card is None else facts_of_card(card, {} if limits is None else limits.settings)
    whole = Parts(card, plan, procedures, limits, objects, facts, places, frozenset(unread))
    check_names(whole, found)
    check_choices(whole, found)
    inlined = inline_calls(procedures, found, places)
    return Parts(card, plan, inlined, limits, objects, facts, places, whole.unread, glossary), found.all()


def _edition_of(card: Card | None, editions: list[tuple[LimitsSet | None, Places]], places: Places) -> LimitsSet | None:
    """The limits that the card names, else the last ones given; only their places are kept."""
    named = [each for each in editions if card is not None and each[0] is not None and each[0].id == card.limits]
    for limits, own_places in (named or editions)[-1:]:
        places.update(own_places)
        return limits
    return None


def _take(loaded: _Loaded[_ValueT], found: Findings, places: Places) -> _ValueT | None:
    value, own, own_places = loaded
    found.extend(own.all())
    places.update(own_places)
    return value


def _add_procedure(procedure: Procedure, procedures: dict[str, Procedure], found: Findings, places: Places) -> None:
    if procedure.id in procedures:
        other = procedures[procedure.id].file
        message = f'Two procedures are called "{procedure.id}"; the other one stands in {other}.'
        found.add("duplicate-id", message, places.get(f"procedure|{procedure.id}||"))
    procedures[procedure.id] = procedure


def compile_job(texts: Iterable[tuple[str, str, str]]) -> Job:
    """The job that the texts make; BadFile with the findings over all of them when one is an error."""
    parts, found = compile_parts(texts)
    job = parts.job()
    if any(finding.level == "error" for finding in found) or job is None:
        raise BadFile(found or (_missing(parts),))
    return job


def _missing(parts: Parts) -> Finding:
    roles = {"card": parts.card, "plan": parts.plan, "limits": parts.limits}
    absent = " and no ".join(role for role, part in roles.items() if part is None)
    found = Findings()
    found.add("missing-file", f"The texts of the job hold no {absent}.")
    return found.all()[0]
